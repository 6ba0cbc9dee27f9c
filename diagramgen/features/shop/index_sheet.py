"""The index of the shop: every job by its number, by instrument, and by the parts it holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagramgen.features.shop.jobs import Job, natural
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import SheetMaker
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.table import Column, Row, Table
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0
STAMP = "index of jobs"


def index_sheets(jobs: Sequence[Job], check: str, paper: Paper) -> list[SheetMaker]:
    """The index on lying sheets."""
    shops = list(dict.fromkeys(job.workshop for job in jobs if job.workshop))
    line = JobLine("index", f"{len(jobs)} job{'s' if len(jobs) != 1 else ''}", "", "", "",
                   shops[0] if len(shops) == 1 else "", "", check)
    tables = [_jobs(jobs), _revisions(jobs), _instruments(jobs), _parts(jobs)]
    return list_sheets(tables, line, paper, STAMP, "index", cautioned=False)


def by_number(jobs: Iterable[Job]) -> list[Job]:
    """Jobs in the order of their numbers, figures as figures: LL-9 before LL-10; those without one last."""
    return sorted(jobs, key=lambda j: (not j.job, natural(j.job), j.file))


def _jobs(jobs: Sequence[Job]) -> Table:
    rows = [Row((job.job or "no number", job.instrument, job.title, job.customer, job.reference,
                 " / ".join(filter(None, (job.date, job.revision))), _fate(job), job.file), bold=0)
            for job in by_number(jobs)]
    columns = (Column("job", 24), Column("instrument", 52), Column("work", 56), Column("customer", 34),
               Column("reference", 24), Column("date / rev", 26), Column("sheets", 30), Column("build", 46))
    return Table(columns, tuple(rows), LETTERING)


def _fate(job: Job) -> str:
    if not job.printed:
        return job.fate
    warned = f", {job.warnings} warning{'s' if job.warnings != 1 else ''}" if job.warnings else ""
    return f"{len(job.sheets)} files{warned}"


def _revisions(jobs: Sequence[Job]) -> Table:
    rows = [Row(("Revisions: what was changed from one to the next",), heading=True)]
    for job in by_number(jobs):
        rows += [Row(("" if n else job.job, *line.partition(": ")[::2]), bold=0) for n, line in enumerate(job.history)]
    columns = (Column("job", 24), Column("revisions", 40), Column("what was changed", 220))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _instruments(jobs: Sequence[Job]) -> Table:
    return _table("By instrument", "instrument", ((job.instrument, job) for job in jobs if job.instrument))


def _parts(jobs: Sequence[Job]) -> Table:
    return _table("By part", "part", ((part, job) for job in jobs for part in job.parts))


def _table(head: str, what: str, pairs: Iterable[tuple[str, Job]]) -> Table:
    groups: dict[str, list[Job]] = {}
    for words, job in pairs:
        groups.setdefault(words, []).append(job)
    rows = [Row((head,), heading=True)]
    for words in sorted(groups, key=natural):
        found = by_number(groups[words])
        rows.append(Row((words, str(len(found)), ", ".join(job.job or job.file for job in found)), bold=0))
    columns = (Column(what, 90), Column("jobs", 14, right=True), Column("numbers", 180))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)
