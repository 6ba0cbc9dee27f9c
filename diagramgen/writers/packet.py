"""A folder of sheets that belong together: what an earlier run left there and this one no longer makes goes.

A list (``sheets.json`` for ``print``) says what was written, with the file check of the data behind it. Only files
named there, and still as they were written, are ever removed: nothing of the user's. Each command that writes sheets
keeps a list of its own, so several may share a folder; none of them takes or replaces a sheet in the list of another.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

from diagramgen.writers.files import CannotWrite, write_all

MANIFEST = "sheets.json"
JOB_LIST = "job-sheets.json"
LISTS = {"print": MANIFEST, "compare": "compared.json", "labels": "labels.json", "price": "price-files.json",
         "shop": JOB_LIST}
"""What each command calls its list."""


def write_packet(folder: Path, files: Mapping[str, bytes], check: str, listed_in: str = MANIFEST) -> list[Path]:
    """Write the files and their list into ``folder``, and remove the sheets of an earlier run that are not among
    them. Packets with lists of different names may share a folder. Raises ``CannotWrite``, also where a file
    of the same name is in the list of another command: a folder with both would be a mixture."""
    before = _earlier(folder, listed_in)
    _keep_apart(folder, files, listed_in)
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


def _keep_apart(folder: Path, files: Mapping[str, bytes], listed_in: str) -> None:
    for command, other in LISTS.items():
        listed = _earlier(folder, other) if other != listed_in else {}
        for name in sorted(listed.keys() & files.keys()):
            if _is_as_listed(folder / name, listed[name]):
                raise CannotWrite(folder / name, f"a sheet of '{command}' lies there ({other} lists it)")


def _is_as_listed(path: Path, digest: str) -> bool:
    try:
        return not path.is_symlink() and hashlib.sha256(path.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def _remove(path: Path, digest: str) -> None:
    with contextlib.suppress(OSError):
        if _is_as_listed(path, digest):
            path.unlink()
