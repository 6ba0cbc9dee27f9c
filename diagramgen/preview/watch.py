"""Watches files by looking at them: a save is noticed when two looks after it agree.

Nothing but size, time and number of a file is compared, so that a look costs next to nothing; a file that is not
there is a state like any other.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

Stamp = tuple[int, int, int] | None
"""Time in ns, size and number of a file; None where there is none."""


def stamp(path: Path) -> Stamp:
    """How a file stands now."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):  # not there, not to be seen, a name the system cannot hold
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


class Watch:
    """A set of files, and how they stood when they were last drawn."""

    def __init__(self, files: Iterable[Path] = (), folder: Path | None = None):
        self._files = dict.fromkeys(files)
        self._folder = folder
        self._drawn = self._last = self._look()

    def follow(self, files: Iterable[Path]) -> None:
        """Watch these files from now on, as they stand, in place of others; those watched already keep their stamp."""
        self._files = dict.fromkeys(files)
        now = self._look()
        self._drawn = self._last = {path: self._drawn.get(path, found) for path, found in now.items()}

    @property
    def files(self) -> tuple[Path, ...]:
        """What is watched now."""
        return tuple(self._drawn)

    def due(self) -> bool:
        """Whether something was saved since the last drawing and is not being written any more: then draw.

        What was found stands for drawn from here on.
        """
        now = self._look()
        if now == self._drawn:
            self._last = now
            return False
        settled, self._last = now == self._last, now
        if settled:
            self._drawn = now
        return settled

    def stale(self) -> bool:
        """Whether something has changed since the last drawing began."""
        return self._look() != self._drawn

    def _look(self) -> Mapping[Path, Stamp]:
        files = dict(self._files)
        if self._folder is not None:
            files |= dict.fromkeys(sorted(self._folder.glob("*.yaml")))
        return {path: stamp(path) for path in files}
