"""Follows a build file: waits for a save, draws, shows; nothing that stands in a file ends it."""

from __future__ import annotations

import gc
import os
import threading
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from diagramgen.features.preview.redraw import Redraw, Shown

# Watches files by looking at them: a save is noticed when two looks after it agree.

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


LOOK = 0.06
"""Seconds between two looks at the files."""


class Follower(threading.Thread):
    """Draws in a thread of its own, so that the page is answered meanwhile."""

    def __init__(self, path: Path, show: Callable[[Shown], None], symbols: Path | None = None, look: float = LOOK):
        super().__init__(name="preview", daemon=True)
        self._redraw = Redraw(path, symbols)
        self._watch = Watch((path,), symbols)
        self._show, self._look = show, look
        self._ended = threading.Event()

    def end(self) -> None:
        """Draw nothing any more."""
        self._ended.set()

    def run(self) -> None:
        """Draw once, then after every save."""
        self.draw()
        # What the first drawing has loaded stays: it need not be looked through again for what can be thrown away.
        gc.freeze()
        while not self._ended.wait(self._look):
            if self._watch.due():
                self.draw()

    def draw(self) -> None:
        """One drawing; given up where the files change again before it is done."""
        # Looking for what can be thrown away took a third of a drawing's time: it is done after it.
        gc.disable()
        try:
            for shown in self._redraw.steps():
                if self._ended.is_set():
                    return
                self._watch.follow(self._redraw.files)
                self._show(shown)
                if self._watch.stale():
                    return
        except Exception as fault:  # a fault of the program must not end what shows its user the file
            self._show(self._redraw.stumbled(fault))
        finally:
            gc.enable()
            gc.collect()
