"""A folder of sheets that belong together: what an earlier run left there and this one no longer makes goes.

A list (``sheets.json`` for ``print``) says what was written, with the file check of the data behind it. Only files
named there, and still as they were written, are ever removed or replaced: nothing of the user's (``permission.py``).
Each command that writes sheets keeps a list of its own, so several may share a folder; none of them takes or replaces a
sheet in the list of another.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Collection, Mapping
from pathlib import Path
from types import MappingProxyType

from diagramgen.kernel.provenance import bytes_up_to
from diagramgen.writers.atomic_files import only_one, write_ordered
from diagramgen.writers.overwriting import ONLY_OURS, MayNotReplace, Permission, check_permission, is_as_written

LONGEST = 2_000_000
"""Bytes of a list at most: a longer one is none of ours."""
MANIFEST = "sheets.json"
JOB_LIST = "job-sheets.json"
LISTS = {"print": MANIFEST, "compare": "compared.json", "labels": "labels.json", "price": "price-files.json",
         "shop": JOB_LIST, "shop's index": "shop-index.json", "page": "page.json", "symbols": "cards.json",
         "trace": "traced.json"}
"""What each command calls its list."""


def write_packet(
    folder: Path, files: Mapping[str, bytes], check: str, listed_in: str = MANIFEST, some: bool = False,
    permission: Permission = ONLY_OURS, closing: Mapping[str, bytes] = MappingProxyType({}),
) -> list[Path]:
    """Write the files and their list into ``folder``, and remove the sheets of an earlier run that are not among
    them. ``some``: only some kinds of sheet were asked for; those of an earlier run stay where they were made from
    data of the same ``check``. Packets with lists of different names may share a folder. ``closing``: files that come
    when all others stand there. Raises ``CannotWrite``, also where a file of the same name is in the list of another
    command (a folder with both would be a mixture), and where ``permission`` is not given to replace one: then none
    is written."""
    with only_one(folder):
        before = _earlier(folder, listed_in)
        _keep_apart(folder, {**files, **closing}, listed_in)
        kept = _still_there(folder, before) if some and _check_of(folder, listed_in) == check else {}
        new = {name: hashlib.sha256(data).hexdigest() for name, data in {**files, **closing}.items()}
        listed = dict(sorted({**kept, **new}.items()))
        # Two lists: one of old and new, so that a run killed on the way leaves no sheet that none knows of; then the
        # true one, once all that is in it stands there and nothing else.
        both = _as_bytes({"file_check": check, "files": listed, "before": before})
        last = {listed_in: _as_bytes({"file_check": check, "files": listed}), **closing}

        def remove() -> None:
            for name in sorted(before.keys() - listed.keys()):
                _remove(folder / name, before[name])

        def permitted() -> None:
            known = {**before, listed_in: _own_list(folder / listed_in)}
            check_permission(folder, {**files, **last}, known, permission)

        return write_ordered(folder, {listed_in: both}, files, last, remove, permitted)


def write_alone(path: Path, data: bytes, permission: Permission) -> None:
    """Write one file that no list speaks of: one that is there is the user's. Raises ``CannotWrite``."""
    def permitted() -> None:
        check_permission(path.parent, {path.name: data}, {}, permission)

    with only_one(path.parent):
        write_ordered(path.parent, {}, {path.name: data}, {}, check=permitted)


def _still_there(folder: Path, before: Mapping[str, list[str]]) -> dict[str, str]:
    """The sheets of an earlier run that are as it wrote them."""
    return {name: digests[0] for name, digests in before.items()
            if len(digests) == 1 and is_as_written(folder / name, digests)}


def _as_bytes(listed: object) -> bytes:
    return (json.dumps(listed, indent=1) + "\n").encode()


def _own_list(path: Path) -> tuple[str, ...]:
    """The digest of a list that was written here: one that says, letter by letter, what its readers make of it."""
    try:
        data = bytes_up_to(path, LONGEST)
        listed = json.loads(data)
        ours = {"file_check", "files"} <= listed.keys() <= {"file_check", "files", "before"} and _as_bytes(
            {key: listed[key] for key in ("file_check", "files", "before") if key in listed}) == data
    except (OSError, ValueError, AttributeError, RecursionError):
        return ()
    return (hashlib.sha256(data).hexdigest(),) if ours else ()


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
            if is_as_written(folder / name, listed[name]):
                raise MayNotReplace(folder / name, f"a sheet of '{command}' lies there ({other} lists it)")


def _remove(path: Path, digests: Collection[str]) -> None:
    with contextlib.suppress(OSError):
        if is_as_written(path, digests):
            path.unlink()
