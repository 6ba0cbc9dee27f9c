"""A folder of sheets that belong together: what an earlier run left there and this one no longer makes goes.

``sheets.json`` lists what was written, with the file check of the data behind it. Only files named there, and
still as they were written, are ever removed: nothing of the user's.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

from diagramgen.writers.files import write_all

MANIFEST = "sheets.json"


def write_packet(folder: Path, files: Mapping[str, bytes], check: str, listed_in: str = MANIFEST) -> list[Path]:
    """Write the files and their list into ``folder``, and remove the sheets of an earlier run that are not among
    them. Packets with lists of different names may share a folder. Raises ``CannotWrite``."""
    before = _earlier(folder, listed_in)
    listed = {name: hashlib.sha256(data).hexdigest() for name, data in sorted(files.items())}
    manifest = json.dumps({"file_check": check, "files": listed}, indent=1) + "\n"
    places = write_all(folder, files)
    # The list comes last: until it is there, the old one still tells what is what.
    write_all(folder, {listed_in: manifest.encode()})
    for name, digest in sorted(before.items()):
        if name not in listed:
            _remove(folder / name, digest)
    return places


def _earlier(folder: Path, listed_in: str) -> dict[str, str]:
    """What the list of an earlier run names; nothing where there is none or it is not ours."""
    try:
        found = json.loads((folder / listed_in).read_text(encoding="utf-8"))["files"]
        return {n: d for n, d in found.items() if isinstance(n, str) and isinstance(d, str) and Path(n).name == n}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}


def _remove(path: Path, digest: str) -> None:
    with contextlib.suppress(OSError):
        if not path.is_symlink() and hashlib.sha256(path.read_bytes()).hexdigest() == digest:
            path.unlink()
