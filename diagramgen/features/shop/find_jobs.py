"""Which builds of a folder are jobs, which are states as found or earlier revisions, and where each one's sheets go."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from diagramgen.features.shop.codes import SHP_703
from diagramgen.features.shop.jobs import natural
from diagramgen.kernel.diagnostics import Diagnostics, Location, spoken
from diagramgen.kernel.provenance import bytes_up_to

ENDINGS = (".yaml", ".yml")
_KEY = re.compile(rb"^(?:\xef\xbb\xbf)?([A-Za-z][A-Za-z -]*?)[ \t]*:[ \t]*(.*?)[ \t\r]*$", re.MULTILINE)
"""A key at the left edge with what stands behind it on its line."""
OF_A_BUILD = {"parts", "leads", "lugs", "changes to"}
OF_NO_BUILD = {"ends", "gives", "about", "currency", "columns", "symbol"}
"""What tells a group, a price file, a label sheet and a symbol from a build."""
LIMIT = 1_000_001
OF_SHEETS = (*ENDINGS, ".json", ".csv", ".pdf", ".svg", ".png", ".html")
"""What names of sheets end in, and of builds that keep their ending in the name of their folder."""


@dataclass(frozen=True)
class Task:
    """One build to be looked at: its file, where its sheets go, and its name in the folder."""

    path: Path
    out: Path
    name: str
    earlier: tuple[Path, ...] = ()
    """Builds of its earlier revisions, the oldest first."""
    ring: tuple[str, ...] = ()
    """Builds, itself among them, that name one another in a ring as what they began from."""
    job: str = ""
    """Its number as it stands in the file; a build that cannot be read has it all the same."""


def tasks(folder: Path, out: Path) -> tuple[Task, ...]:
    """Every job below the folder, but for what lies in ``out`` or in a hidden folder, in order of names.

    A build named as the state as found of another, with the same job number or none, is no job of its own, unless the
    two name each other: then nothing says which was first. Builds of one number that all name revisions of their own
    are one job: the last revision counts.
    """
    found: dict[Path, dict[str, str]] = {}
    for path in sorted(p for p in folder.rglob("*") if p.suffix.lower() in ENDINGS):
        inside = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in inside.parts)
        if not hidden and path.is_file() and not path.resolve().is_relative_to(out.resolve()):
            keys = _keys(path)
            if keys is None or (OF_A_BUILD & keys.keys() and not OF_NO_BUILD & keys.keys()):
                found[path] = keys or {}
    begun_from = {path: tuple(_bases(path, keys, folder, found)) for path, keys in found.items()}
    rings = {path: ring for path in found if path in (ring := _reached(path, begun_from))}
    bases = {base for named in begun_from.values() for base in named} - rings.keys()
    own = {path: keys for path, keys in found.items() if path not in bases}
    earlier = _revisions(own)
    old = {path for paths in earlier.values() for path in paths}
    jobs = [path for path in own if path not in old]
    places = places_of([path.relative_to(folder) for path in jobs])
    names = {path: spoken(path.relative_to(folder).as_posix()) for path in found}
    return tuple(Task(
        path, out / places[path.relative_to(folder)], names[path], earlier.get(path, ()),
        tuple(sorted(names[p] for p in rings.get(path, ()) if path in rings.get(p, ()))),
        own[path].get("job", "")) for path in jobs)


def check_rings(found: Iterable[Task], folder: PurePath, say: Diagnostics) -> None:
    """Builds of which each names the other as what it began from (SHP-703), said once of each ring."""
    for task in found:
        if task.ring and task.name == task.ring[0]:
            listed = ", ".join(f"'{name}'" for name in task.ring)
            say.add(SHP_703, Location(str(folder / task.name)),
                    f"{listed} name one another under 'as found' or 'changes to': which was first is not known, so "
                    "each is taken for a job")


def _reached(path: Path, begun_from: Mapping[Path, Sequence[Path]]) -> frozenset[Path]:
    """All builds that are come to from this one by what each began from."""
    reached: set[Path] = set()
    waiting = list(begun_from[path])
    while waiting:
        one = waiting.pop()
        if one not in reached:
            reached.add(one)
            waiting += begun_from[one]
    return frozenset(reached)


def places_of(builds: Sequence[PurePath]) -> dict[PurePath, PurePath]:
    """The folder of each build's sheets: its name without ``.yaml``. No two share one, also where capital and small
    letters, or two ways to write an accent, are the same; and none bears the name of a sheet."""
    places: dict[PurePath, PurePath] = {}
    taken: set[str] = set()
    for build in builds:
        bare = build.with_suffix("")
        # "a.yaml" and "a.yml" may lie side by side, and "leads.csv.yaml" in a folder called as a job is.
        wanted = bare if build.suffix == ".yaml" and bare.suffix.lower() not in OF_SHEETS else build
        place, count = wanted, 1
        while (key := unicodedata.normalize("NFC", str(place)).casefold()) in taken:
            count += 1
            place = wanted.with_name(f"{wanted.name}-{count}")
        taken.add(key)
        places[build] = place
    return places


def _revisions(found: Mapping[Path, Mapping[str, str]]) -> dict[Path, tuple[Path, ...]]:
    """The build that counts -> those of its earlier revisions."""
    numbers: dict[str, list[Path]] = {}
    for path, keys in found.items():
        numbers.setdefault(" ".join(keys.get("job", "").lower().split()), []).append(path)
    result = {}
    for number, paths in numbers.items():
        words = {path: found[path].get("revision", "") for path in paths}
        if number and len(paths) > 1 and all(words.values()) and len(set(words.values())) == len(paths):
            *before, last = sorted(paths, key=lambda p: natural(words[p]))
            result[last] = tuple(before)
    return result


def _keys(path: Path) -> dict[str, str] | None:
    """The keys at the left edge of a file; None where it cannot be read: it may be a job, and reading it says why."""
    try:
        text = bytes_up_to(path, LIMIT)
    except OSError:
        return None
    said = ((k.decode("ascii").lower(), v.decode("utf-8", "replace")) for k, v in _KEY.findall(text))
    return {" ".join(key.split()): value.split(" #")[0].strip(" \t'\"") for key, value in said}


def _bases(
    path: Path, keys: Mapping[str, str], folder: Path, found: Mapping[Path, Mapping[str, str]]
) -> Iterator[Path]:
    for key in ("as found", "changes to"):
        # "old/../found.yaml" is "found.yaml"; the folder itself stays as it was typed.
        base = folder / os.path.normpath(path.relative_to(folder).parent / keys[key]) if keys.get(key) else path
        if base != path and base in found:
            number = found[base].get("job", "")
            if number in ("", keys.get("job", number)):
                yield base
