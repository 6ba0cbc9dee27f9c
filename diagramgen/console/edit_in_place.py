"""Builds that a command changes where they lie: read whole, and written back only over the bytes that were read."""

from __future__ import annotations

from pathlib import Path

from diagramgen.console.report import fail, write_files
from diagramgen.kernel.provenance import bytes_up_to

LIMIT = 1_000_001
"""Bytes read of a build: one more than it may have, so that a longer one is never written back cut short."""


def bytes_of(build: Path) -> bytes | None:
    """The bytes of a build that can be changed; None where it cannot be read or is too large to be a build."""
    try:
        data = bytes_up_to(build, LIMIT)
    except OSError:
        return None
    return data if len(data) < LIMIT else None


def write_back(build: Path, old: bytes, new: bytes) -> None:
    """Write the new bytes in place of the old ones; ends with status 3 where the file holds others by now.

    An editor may have saved the file since it was read: what it saved was never proved and is not lost.
    """
    if bytes_of(build) != old:
        fail(f"error: {build} changed while it was read; nothing was written", remedy="Try again.")
    # A file reached by a link is changed where it lies; the link stays.
    real = build.resolve()
    write_files(real.parent, {real.name: new})
