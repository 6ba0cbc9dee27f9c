"""A folder of jobs: finds the builds, makes the sheets of those that changed, and keeps a summary of each.

What a job's sheets rest on is the bytes of every file read, the program's version and the settings. Where none of it
changed and the sheets lie there as they were made, nothing is done.
"""

from __future__ import annotations

import hashlib
import json
import multiprocessing
import os
import re
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from diagramgen import __version__
from diagramgen.pipeline import Proof, Request, compose, examine
from diagramgen.problems import Collector, Place, Severity, spoken
from diagramgen.sheets.kinds import SHEETS
from diagramgen.sources import bytes_up_to
from diagramgen.work.jobs import Job, as_plain, from_plain, header, natural
from diagramgen.writers.files import CannotWrite, write_all
from diagramgen.writers.packet import JOB_LIST, write_packet

SUMMARY = "job.json"
_KEY = re.compile(rb"^(?:\xef\xbb\xbf)?([A-Za-z][A-Za-z -]*?)[ \t]*:[ \t]*(.*?)[ \t\r]*$", re.MULTILINE)
"""A key at the left edge with what stands behind it on its line."""
OF_A_BUILD = {"parts", "leads", "lugs", "changes to"}
OF_NO_BUILD = {"ends", "gives", "about", "currency", "columns", "symbol"}
"""What tells a group, a price file, a label sheet and a symbol from a build."""
LIMIT = 1_000_001
MOST = 100_000_000
"""Bytes of a file that a build may rest on, a photograph, as far as they are looked at for a change."""


@dataclass(frozen=True)
class Wishes:
    """What is made of every job."""

    paper: str = ""
    sheets: tuple[str, ...] = SHEETS
    symbols: str = ""
    """Folder of the shop's own symbols; '' for none."""

    @property
    def made_with(self) -> str:
        """Program and settings as one line."""
        return f"diagramgen {__version__} {json.dumps(asdict(self), sort_keys=True)}"


@dataclass(frozen=True)
class Task:
    """One build to be looked at: its file, where its sheets go, and its name in the folder."""

    path: Path
    out: Path
    name: str
    earlier: tuple[Path, ...] = ()
    """Builds of its earlier revisions, the oldest first."""


def tasks(folder: Path, out: Path) -> tuple[Task, ...]:
    """Every job below the folder, but for what lies in ``out`` or in a hidden folder, in order of names.

    A build named as the state as found of another, with the same job number or none, is no job of its own. Builds of
    one number that all name revisions of their own are one job: the last revision counts.
    """
    found: dict[Path, dict[str, str]] = {}
    for path in sorted({*folder.rglob("*.yaml"), *folder.rglob("*.yml")}):
        inside = path.relative_to(folder)
        hidden = any(part.startswith(".") for part in inside.parts)
        if not hidden and path.is_file() and not path.resolve().is_relative_to(out.resolve()):
            keys = _keys(path)
            if keys is None or (OF_A_BUILD & keys.keys() and not OF_NO_BUILD & keys.keys()):
                found[path] = keys or {}
    bases = {base for path, keys in found.items() for base in _bases(path, keys, found)}
    own = {path: keys for path, keys in found.items() if path not in bases}
    earlier = _revisions(own)
    old = {path for paths in earlier.values() for path in paths}
    return tuple(_task(path, folder, out, earlier.get(path, ())) for path in own if path not in old)


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


def _bases(path: Path, keys: Mapping[str, str], found: Mapping[Path, Mapping[str, str]]) -> Iterator[Path]:
    for key in ("as found", "changes to"):
        base = path.parent / keys[key] if keys.get(key) else path
        if base != path and base in found:
            number = found[base].get("job", "")
            if number in ("", keys.get("job", number)):
                yield base


def _task(path: Path, folder: Path, out: Path, earlier: tuple[Path, ...]) -> Task:
    inside = path.relative_to(folder)
    # "a.yaml" and "a.yml" may lie side by side.
    place = inside.with_suffix("") if inside.suffix == ".yaml" else inside
    return Task(path, out / place, spoken(inside.as_posix()), earlier)


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
    from diagramgen.build.groups import ready_files
    from diagramgen.library import catalogue

    try:
        if kind == "group":
            return hashlib.sha256(ready_files()[name].read_bytes()).hexdigest()
        known = catalogue.with_own(Path(own), Collector()) if own else catalogue.shipped()
        return hashlib.sha256(known.file(name).read_bytes()).hexdigest()
    except (KeyError, OSError):
        return ""


def make(task: Task, wishes: Wishes) -> Job:
    """Read, prove and print one job into its folder; returns its summary. Raises ``CannotWrite``."""
    proof = examine(task.path, Path(wishes.symbols) if wishes.symbols else None)
    files: dict[str, bytes] = {}
    if proof.layout is not None and not proof.has_errors:
        files = compose(proof, Request(wishes.paper, wishes.sheets))
    if files or (task.out / JOB_LIST).exists():
        # Sheets of an earlier run that are no longer true go, also where nothing takes their place.
        write_packet(task.out, files, proof.checksum, JOB_LIST)
    job = _summary(task, proof, files, wishes)
    job = replace(job, history=_history(task, wishes), made_from={**job.made_from, **{
        role: _digest(task, role, wishes) for role in (_revision_role(task, path) for path in task.earlier)}})
    write_all(task.out, {SUMMARY: (json.dumps(as_plain(job), ensure_ascii=False, indent=1) + "\n").encode()})
    return job


def _revision_role(task: Task, path: Path) -> str:
    return f"revision:{Path(os.path.relpath(path, task.path.parent)).as_posix()}"


def _history(task: Task, wishes: Wishes) -> tuple[str, ...]:
    """What was changed from each revision to the next, in words."""
    own = Path(wishes.symbols) if wishes.symbols else None
    proofs = [examine(path, own, reading=True) for path in (*task.earlier, task.path)] if task.earlier else []
    return tuple(_between(a, b) for a, b in pairwise(proofs))


def _between(before: Proof, after: Proof) -> str:
    from diagramgen.work.changes import check_same_instrument, compare
    from diagramgen.work.changesteps import changes_in_words

    a, b = before.build, after.build
    if a is None or b is None:
        return "?: a revision cannot be read"
    head = " to ".join(one.record.get("revision", "?") for one in (a, b))
    say = Collector()
    if before.has_errors or after.has_errors:
        return f"{head}: not compared, for there are errors in them"
    if not check_same_instrument(a, b, Place(b.file), say):
        return f"{head}: not compared; {'; '.join(p.message for p in say)}"
    return f"{head}: {'; '.join(changes_in_words(compare(a, b))) or 'nothing in the wiring'}"


def _summary(task: Task, proof: Proof, files: Mapping[str, bytes], wishes: Wishes) -> Job:
    count = {s: sum(p.severity is s for p in proof.problems) for s in Severity}
    return Job(
        file=task.name, **header(proof.build), history=(), checksum=proof.checksum,
        job_line=_job_line(task.path), errors=count[Severity.ERROR], warnings=count[Severity.WARNING],
        problems=tuple(p.text() for p in proof.problems if p.severity is not Severity.NOTE),
        sheets={name: len(data) for name, data in sorted(files.items())}, made_from=dict(proof.sources),
        made_with=wishes.made_with)


def _job_line(path: Path) -> int:
    try:
        lines = bytes_up_to(path, LIMIT).splitlines()
    except OSError:
        return 0
    return next((n for n, line in enumerate(lines, 1) if re.match(rb"job\s*:", line)), 0)


def run(
    found: Sequence[Task], wishes: Wishes, workers: int, done: Callable[[Job, bool], None]
) -> tuple[Job, ...]:
    """Every job's summary, in order of the tasks; those that changed are made, ``workers`` at a time.

    ``done`` hears of each job as it is finished, and whether it was made. Raises ``CannotWrite``.
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
    for task, job in _made(changed, wishes, workers):
        results[task] = job
        done(job, True)
    return tuple(results[task] for task in found)


def _tried(task: Task, wishes: Wishes) -> Job | tuple[Path, str]:
    """A job made in a process of its own; what could not be written comes back as data, since not every fault does."""
    try:
        return make(task, wishes)
    except CannotWrite as fault:
        return fault.path, fault.reason


def _made(changed: Sequence[Task], wishes: Wishes, workers: int) -> Iterator[tuple[Task, Job]]:
    if workers < 2 or len(changed) < 2:
        yield from ((task, make(task, wishes)) for task in changed)
        return
    # Processes started afresh: a copy of this one would hold its locks and threads.
    context = multiprocessing.get_context("spawn")
    # Ctrl-C reaches them too: what they are at is ended from here, without a word of theirs.
    deaf = (signal.signal, (signal.SIGINT, signal.SIG_IGN))
    with ProcessPoolExecutor(min(workers, len(changed)), context, *deaf) as pool:
        waiting = {pool.submit(_tried, task, wishes): task for task in changed}
        try:
            for future in as_completed(waiting):
                made = future.result()
                if not isinstance(made, Job):
                    raise CannotWrite(*made)
                yield waiting[future], made
        finally:
            pool.shutdown(cancel_futures=True)
