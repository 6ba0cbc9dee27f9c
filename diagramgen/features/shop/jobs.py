"""What the shop keeps of every job: its header, its parts, its sheets, and what its sheets rest on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import PurePath
from typing import Any

from diagramgen.features.shop.codes import SHP_701, SHP_702
from diagramgen.job.part_changes import values_in_words
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.model.build import Build

FORMAT = 1
"""Version of a job's summary file; another one is made anew."""
HEADER = ("job", "title", "instrument", "customer", "reference", "date", "revision", "workshop")
TEXTS = (*HEADER, "file", "checksum", "made_with")
LISTS = ("parts", "names", "history", "problems")


@dataclass(frozen=True)
class Job:
    """One job of the folder."""

    file: str
    """The build, from the folder of jobs, with ``/``."""
    job: str
    title: str
    instrument: str
    customer: str
    reference: str
    date: str
    revision: str
    workshop: str
    parts: tuple[str, ...]
    """Kind and values of every part, alike ones once."""
    names: tuple[str, ...]
    """What the parts are called."""
    history: tuple[str, ...]
    """What was changed from revision to revision, a line each: ``A to B: ...``, the oldest first."""
    checksum: str
    job_line: int
    """The line its number stands on, 0 where it has none."""
    errors: int
    warnings: int
    problems: tuple[str, ...]
    """What was said of it, whole."""
    sheets: Mapping[str, int]
    """Files made, with their sizes in bytes; none where it has errors."""
    made_from: Mapping[str, str]
    """SHA-256 of every file read, by its role."""
    made_with: str
    """Program and settings."""

    @property
    def printed(self) -> bool:
        """Whether it has sheets."""
        return bool(self.sheets)

    @property
    def fate(self) -> str:
        """``printed`` or why not."""
        return "printed" if self.printed else f"not printed, {self.errors} error{'s' if self.errors != 1 else ''}"


def header(build: Build | None) -> dict[str, Any]:
    """What a build says of its job, as far as it could be read."""
    if build is None:
        return dict.fromkeys(HEADER, "") | {"parts": (), "names": ()}
    kinds = dict.fromkeys(values_in_words(part) for part in build.parts.values())
    told = {key: build.record.get(key, "") for key in ("customer", "reference", "date", "revision", "workshop")}
    return {"job": build.job, "title": build.title, "instrument": build.instrument, **told, "parts": tuple(kinds),
            "names": tuple(dict.fromkeys(part.says for part in build.parts.values()))}


def as_plain(job: Job) -> dict[str, Any]:
    """The summary as its file holds it."""
    return {"format": FORMAT, **asdict(job)}


def from_plain(found: Any) -> Job | None:
    """A summary read back; None where it is not one of this format."""
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        return None
    known: dict[str, Any] = {f.name: found.get(f.name) for f in fields(Job)}
    whole = (_all(known, TEXTS, str) and _all(known, ("job_line", "errors", "warnings"), int)
             and all(_listed(known[n], str) for n in LISTS)
             and _listed(_values_of(known["sheets"]), int) and _listed(_values_of(known["made_from"]), str))
    return Job(**{**known, **{n: tuple(known[n]) for n in LISTS}}) if whole else None


def _all(known: Mapping[str, Any], names: Iterable[str], kind: type) -> bool:
    return all(isinstance(known[n], kind) for n in names)


def _listed(value: Any, kind: type) -> bool:
    return isinstance(value, list) and all(isinstance(one, kind) for one in value)


def _values_of(value: Any) -> Any:
    return list(value.values()) if isinstance(value, dict) else None


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Make a key that sorts texts by their figures as numbers, case set aside: ``job 9`` comes before ``Job 10``."""
    return tuple((0, int(piece), "") if piece.isdigit() else (1, 0, piece.lower())
                 for piece in re.findall(r"[0-9]+|[^0-9]+", text))


def check_numbers(jobs: Iterable[Job], folder: PurePath, say: Diagnostics) -> None:
    """Two jobs of a folder with one number (SHP-701), and jobs without one (SHP-702)."""
    first: dict[str, Job] = {}
    for job in jobs:
        file = str(folder / job.file)
        key = " ".join(job.job.lower().split())
        if not key:
            say.add(SHP_702, Location(file), "this build has no job number")
        elif key in first:
            say.add(SHP_701, Location(file, job.job_line, 1) if job.job_line else Location(file),
                    f"the job number {job.job} is that of '{first[key].file}' too")
        else:
            first[key] = job
