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

from diagramgen.sources import bytes_up_to
from diagramgen.writers.files import CannotWrite, only_one, write_ordered

LONGEST = 2_000_000
"""Bytes of a list at most: a longer one is none of ours."""
MANIFEST = "sheets.json"
JOB_LIST = "job-sheets.json"
LISTS = {"print": MANIFEST, "compare": "compared.json", "labels": "labels.json", "price": "price-files.json",
         "shop": JOB_LIST}
"""What each command calls its list."""


def write_packet(
    folder: Path, files: Mapping[str, bytes], check: str, listed_in: str = MANIFEST, some: bool = False
) -> list[Path]:
    """Write the files and their list into ``folder``, and remove the sheets of an earlier run that are not among
    them. ``some``: only some kinds of sheet were asked for; those of an earlier run stay where they were made from
    data of the same ``check``. Packets with lists of different names may share a folder. Raises ``CannotWrite``,
    also where a file of the same name is in the list of another command: a folder with both would be a mixture."""
    new = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    with only_one(folder):
        before = _earlier(folder, listed_in)
        _keep_apart(folder, files, listed_in)
        kept = _still_there(folder, before) if some and _check_of(folder, listed_in) == check else {}
        listed = dict(sorted({**kept, **new}.items()))

        def remove() -> None:
            for name in sorted(before.keys() - listed.keys()):
                for digest in before[name]:
                    _remove(folder / name, digest)

        # Two lists: one of old and new, so that a run killed on the way leaves no sheet that none knows of; then the
        # true one, once all that is in it stands there and nothing else.
        both = {"file_check": check, "files": listed, "before": before}
        return write_ordered(folder, {listed_in: _as_bytes(both)}, files,
                             {listed_in: _as_bytes({"file_check": check, "files": listed})}, remove)


def _still_there(folder: Path, before: Mapping[str, list[str]]) -> dict[str, str]:
    """The sheets of an earlier run that are as it wrote them."""
    return {name: digests[0] for name, digests in before.items()
            if len(digests) == 1 and _is_as_listed(folder / name, digests[0])}


def _as_bytes(listed: object) -> bytes:
    return (json.dumps(listed, indent=1) + "\n").encode()


def _earlier(folder: Path, listed_in: str) -> dict[str, list[str]]:
    """What the list of an earlier run names, with what each may hold; nothing where there is none or it is not ours."""
    found: dict[str, list[str]] = {}
    try:
        listed = json.loads(bytes_up_to(folder / listed_in, LONGEST))
        for name, digest in listed["files"].items():
            found.setdefault(name, []).append(digest)
        for name, digests in listed.get("before", {}).items():
            found.setdefault(name, []).extend(digests)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}
    return {name: sorted({d for d in digests if isinstance(d, str)}) for name, digests in found.items()
            if Path(name).name == name}


def _check_of(folder: Path, listed_in: str) -> str:
    """The check of the data an earlier run was made from; '' where there is none."""
    try:
        found = json.loads(bytes_up_to(folder / listed_in, LONGEST))
        # With old and new in one list the run did not end: which data a sheet is from is not known.
        return "" if "before" in found else str(found["file_check"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


def _keep_apart(folder: Path, files: Mapping[str, bytes], listed_in: str) -> None:
    for command, other in LISTS.items():
        listed = _earlier(folder, other) if other != listed_in else {}
        for name in sorted(listed.keys() & files.keys()):
            if any(_is_as_listed(folder / name, digest) for digest in listed[name]):
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
