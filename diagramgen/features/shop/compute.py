"""A folder of jobs: makes the sheets of those that changed, and keeps a summary of each.

What a job's sheets rest on is the bytes of every file read, the program's version and the settings. Where none of it
changed and the sheets lie there as they were made, nothing is done.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import lru_cache, partial
from itertools import pairwise
from pathlib import Path

from diagramgen.analysis import Analysis, examine
from diagramgen.features.shop.codes import SHP_704, SHP_705, SHP_706
from diagramgen.features.shop.find_jobs import Task, tasks
from diagramgen.features.shop.jobs import Job, as_plain, from_plain, header
from diagramgen.features.shop.workers import Lost, each
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.kernel.errors import CannotWrite
from diagramgen.kernel.provenance import bytes_up_to
from diagramgen.kernel.version import __version__
from diagramgen.sheets.printing import compose
from diagramgen.sheets.registry import default_sheets
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers.output_folder import JOB_LIST, write_packet
from diagramgen.writers.overwriting import MayNotReplace, Permission

__all__ = ["Task", "Wishes", "kept", "make", "run", "tasks"]

SUMMARY = "job.json"
LIMIT = 1_000_001
MOST = 100_000_000
"""Bytes of a file that a build may rest on, a photograph, as far as they are looked at for a change."""


@dataclass(frozen=True)
class Wishes:
    """What is made of every job."""

    paper: str = ""
    sheets: tuple[str, ...] = field(default_factory=default_sheets)
    symbols: str = ""
    """Folder of the shop's own symbols; '' for none."""
    replace: bool = False
    """Whether files of the user's own may be replaced; no sheet differs by it."""

    @property
    def made_with(self) -> str:
        """Program and settings as one line."""
        settings = {key: value for key, value in asdict(self).items() if key != "replace"}
        return f"diagramgen {__version__} {json.dumps(settings, sort_keys=True)}"


def kept(task: Task, wishes: Wishes) -> Job | None:
    """The summary of a job that need not be made anew; None where anything changed."""
    try:
        job = from_plain(json.loads(bytes_up_to(task.out / SUMMARY, 2 * LIMIT)))
    except (OSError, ValueError):
        return None
    if job is None or job.file != task.name or job.made_with != wishes.made_with or job.errors:
        return None
    revisions = {role for role in job.made_from if role.startswith("revision:")}
    same = revisions == {_revision_role(task, path) for path in task.earlier} and all(
        _digest(task, role, wishes) == digest for role, digest in job.made_from.items())
    return job if same and _there(task.out, job.sheets) else None


def _there(folder: Path, sheets: Mapping[str, int]) -> bool:
    try:
        return all((folder / name).stat().st_size == size for name, size in sheets.items())
    except OSError:
        return False


def _digest(task: Task, role: str, wishes: Wishes) -> str:
    """The SHA-256 of a file by its role, as it is now; '' where it is gone."""
    kind, _, name = role.partition(":")
    if kind in ("symbol", "group"):
        return _shipped(kind, name, wishes.symbols)
    if kind not in ("build", "file", "revision"):
        return ""
    try:
        file = task.path if kind == "build" else task.path.parent / name
        return hashlib.sha256(bytes_up_to(file, MOST)).hexdigest()
    except OSError:
        return ""


@lru_cache(maxsize=4096)
def _shipped(kind: str, name: str, own: str) -> str:
    from diagramgen.library import catalogue
    from diagramgen.reader.groups import ready_files

    try:
        if kind == "group":
            return hashlib.sha256(ready_files()[name].read_bytes()).hexdigest()
        known = catalogue.with_own(Path(own), Diagnostics()) if own else catalogue.shipped()
        return hashlib.sha256(known.file(name).read_bytes()).hexdigest()
    except (KeyError, OSError):
        return ""


def make(task: Task, wishes: Wishes) -> Job:
    """Read, prove and print one job into its folder; returns its summary. Raises ``CannotWrite``."""
    analysis = examine(task.path, Path(wishes.symbols) if wishes.symbols else None)
    files: dict[str, bytes] = {}
    if analysis.layout is not None and not analysis.has_errors:
        files = compose(analysis, Request(wishes.paper, wishes.sheets))
    job = _summary(task, analysis, files, wishes)
    job = replace(job, history=_history(task, wishes), made_from={**job.made_from, **{
        role: _digest(task, role, wishes) for role in (_revision_role(task, path) for path in task.earlier)}})
    _write(task, files, job, Permission(wishes.replace, (task.path, *task.earlier, *analysis.files)))
    return job


def _write(task: Task, files: Mapping[str, bytes], job: Job, permission: Permission) -> None:
    """The sheets, and at last what they rest on. Sheets of an earlier run that are no longer true go, also where
    nothing takes their place."""
    summary = (json.dumps(as_plain(job), ensure_ascii=False, indent=1) + "\n").encode()
    write_packet(task.out, files, job.checksum, JOB_LIST, permission=permission, closing={SUMMARY: summary})


def _revision_role(task: Task, path: Path) -> str:
    return f"revision:{Path(os.path.relpath(path, task.path.parent)).as_posix()}"


def _history(task: Task, wishes: Wishes) -> tuple[str, ...]:
    """What was changed from each revision to the next, in words."""
    own = Path(wishes.symbols) if wishes.symbols else None
    proofs = [examine(path, own, reading=True) for path in (*task.earlier, task.path)] if task.earlier else []
    return tuple(_between(a, b) for a, b in pairwise(proofs))


def _between(before: Analysis, after: Analysis) -> str:
    from diagramgen.job.change_steps import changes_in_words
    from diagramgen.job.changes import check_same_instrument, compare

    a, b = before.build, after.build
    if a is None or b is None:
        return "?: a revision cannot be read"
    head = " to ".join(one.record.get("revision", "?") for one in (a, b))
    say = Diagnostics()
    if before.has_errors or after.has_errors:
        return f"{head}: not compared, for there are errors in them"
    if not check_same_instrument(a, b, Location(b.file), say):
        return f"{head}: not compared; {'; '.join(p.message for p in say)}"
    return f"{head}: {'; '.join(changes_in_words(compare(a, b))) or 'nothing in the wiring'}"


def _summary(task: Task, analysis: Analysis, files: Mapping[str, bytes], wishes: Wishes) -> Job:
    count = {s: sum(p.severity is s for p in analysis.problems) for s in Severity}
    return Job(
        file=task.name, **header(analysis.build), history=(), checksum=analysis.checksum,
        job_line=_job_line(task.path), errors=count[Severity.ERROR], warnings=count[Severity.WARNING],
        problems=tuple(p.text() for p in analysis.problems if p.severity is not Severity.NOTE),
        sheets={name: len(data) for name, data in sorted(files.items())}, made_from=dict(analysis.sources),
        made_with=wishes.made_with)


def _job_line(path: Path) -> int:
    try:
        lines = bytes_up_to(path, LIMIT).splitlines()
    except OSError:
        return 0
    return next((n for n, line in enumerate(lines, 1) if re.match(rb"job\s*:", line)), 0)


def run(
    found: Sequence[Task], wishes: Wishes, workers: int, done: Callable[[Job, bool], None], seconds: float = 0,
    begun: Callable[[Task], None] = lambda _: None,
) -> tuple[tuple[Job, ...], tuple[CannotWrite, ...]]:
    """Every job's summary, in order of the tasks, and whatever files kept a job from being written; those that changed
    are made, ``workers`` at a time, each in at most so many ``seconds`` (0 for any time).

    ``done`` hears of each job as it is finished, and whether it was made; ``begun`` of each that is made. A job that is
    not finished, or whose sheets would replace a file of the user's, keeps no other from being made. Raises
    ``CannotWrite`` where nothing can be written.
    """
    results: dict[Task, Job] = {}
    changed: list[Task] = []
    for task in found:
        job = kept(task, wishes)
        if job is None:
            changed.append(task)
        else:
            results[task] = job
            done(job, False)
    refused: list[CannotWrite] = []
    for task, made in each(partial(_tried, wishes=wishes), changed, min(workers, len(changed)), seconds, begun):
        anew = isinstance(made, Job)
        if isinstance(made, Lost):
            made = _lost(task, wishes, made, seconds)
        if isinstance(made, Job):
            results[task] = made
        elif isinstance(made, MayNotReplace):
            refused.append(made)
            results[task] = _not_made(task, wishes, SHP_705, f"its sheets are not written: {made}", made.remedy)
        else:
            raise made
        done(results[task], anew)
    return tuple(results[task] for task in found), tuple(refused)


def _tried(task: Task, wishes: Wishes) -> Job | CannotWrite:
    """A job made in a process of its own; what cannot be written comes back as data."""
    try:
        return make(task, wishes)
    except CannotWrite as fault:
        return fault


def _lost(task: Task, wishes: Wishes, lost: Lost, seconds: float) -> Job | CannotWrite:
    """A job that was not finished; sheets of an earlier state go, as those of a job with errors do."""
    if lost.late:
        minutes = f"{seconds / 60:g} minute{'' if seconds == 60 else 's'}"
        job = _not_made(task, wishes, SHP_704, f"its sheets were not finished within {minutes}, so there are none")
    else:
        job = _not_made(task, wishes, SHP_706, "the process that made its sheets was ended from outside, so there are "
                        "none; the memory may have been full", "Run it again: with --workers 1 it needs least.")
    try:
        _write(task, {}, job, Permission(wishes.replace, (task.path, *task.earlier)))
    except CannotWrite as fault:
        return fault
    return job


def _not_made(task: Task, wishes: Wishes, code: Code, message: str, remedy: str | None = None) -> Job:
    advice = code.advice if remedy is None else remedy
    said = Problem(code.id, code.severity, Location(str(task.path)), message, advice)
    told = {**header(None), "job": task.job}
    return Job(file=task.name, **told, history=(), checksum="", job_line=_job_line(task.path), errors=1,
               warnings=0, problems=(said.text(),), sheets={}, made_from={}, made_with=wishes.made_with)
