"""``shop``: a folder of jobs, of which only what changed is made anew, and its index."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import (
    CANNOT_WRITE,
    HAS_ERRORS,
    cannot_write,
    counts,
    fail,
    print_json,
    problem_dict,
    replace_option,
    report_problems,
    write_sheets,
)
from diagramgen.kernel.paper import PRINTED
from diagramgen.sheets.registry import default_sheets
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from click._termui_impl import ProgressBar

    from diagramgen.features.shop.find_jobs import Task
    from diagramgen.features.shop.jobs import Job
    from diagramgen.kernel.diagnostics import Problem

SAID = 3
"""Problems of one job that are said; 'check' says them all."""


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), default=None,
              help="Folder for all sheets and the index. Default: 'sheets' in FOLDER.")
@click.option("--sheet", "sheets", type=click.Choice(default_sheets()), multiple=True,
              help="Only this kind of sheet; may be given again. Default: all.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default=None,
              help="Paper. Default: what each build says; of the index a4.")
@click.option("--workers", type=click.IntRange(1, 64), default=None,
              help="Jobs made at the same time. Default: as many as there are cores.")
@click.option("--limit", type=click.IntRange(0, 1440), default=10, show_default=True, metavar="MINUTES",
              help="What one job may take; one that is not finished then is said, and the rest goes on. 0: any time.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@replace_option
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say everything as JSON.")
def shop(
    folder: Path, out: Path | None, sheets: tuple[str, ...], paper: str | None, workers: int | None, limit: int,
    own: Path | None, replace: bool, quiet: bool, as_json: bool,
) -> None:
    """Make the sheets of every job in FOLDER and an index of them: index.pdf, and index.html to search by instrument,
    part, customer and reference.

    Only jobs of which a file changed, or whose sheets are gone, are made anew. A job with errors gets no sheets; the
    index says so.

    \b
    Examples:
      diagramgen shop jobs
      diagramgen shop jobs --out papers --sheet diagram --sheet leads
    """
    from diagramgen.features.shop.compute import Wishes, run
    from diagramgen.features.shop.find_jobs import check_rings, tasks
    from diagramgen.features.shop.jobs import check_numbers
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.errors import CannotWrite

    where = out if out is not None else folder / "sheets"
    found = tasks(folder, where)
    if not found:
        raise click.UsageError(f"there is no build in '{folder}': a build is a .yaml file with parts and leads")
    wishes = Wishes(paper or "", sheets or default_sheets(), str(own) if own else "", replace)
    made: list[str] = []
    try:
        with _progress(len(found), quiet or as_json) as bar:
            def done(job: Job, anew: bool) -> None:
                made.extend([job.file] if anew else [])
                bar.done(job.file)

            jobs, refused = run(found, wishes, workers or os.cpu_count() or 1, done, 60 * limit,
                                lambda task: bar.begun(task.name))
    except CannotWrite as fault:
        fail(cannot_write(fault))
    say = Diagnostics()
    check_numbers(jobs, folder, say)
    check_rings(found, folder, say)
    _index(found, jobs, where, paper or "a4", replace)
    _say(jobs, sorted(made), say.sorted(), where, (quiet, as_json))
    if refused:
        sys.exit(CANNOT_WRITE)
    if say.has_errors or any(job.errors for job in jobs):
        sys.exit(HAS_ERRORS)


class _Bar:
    """How far the jobs are, and which are being made."""

    def __init__(self, bar: ProgressBar[str | None] | None):
        self._bar = bar
        self._at_work: dict[str, None] = {}

    def begun(self, name: str) -> None:
        """This job is being made."""
        self._at_work[name] = None
        self._show(0)

    def done(self, name: str) -> None:
        """This job is finished."""
        self._at_work.pop(name, None)
        self._show(1)

    def _show(self, more: int) -> None:
        if self._bar is not None:
            self._bar.current_item = ", ".join(self._at_work)
            self._bar.update(more)
            self._bar.render_progress()


@contextmanager
def _progress(count: int, silent: bool) -> Iterator[_Bar]:
    """A bar on the error stream where that is a terminal; else nothing."""
    if silent or not sys.stderr.isatty():
        yield _Bar(None)
        return
    with click.progressbar(length=count, label="jobs", file=sys.stderr, show_pos=True,
                           item_show_func=lambda names: names or "") as bar:
        yield _Bar(bar)


def _index(found: Sequence[Task], jobs: Sequence[Job], where: Path, paper: str, replace: bool) -> None:
    from diagramgen.features.shop.index_page import index_page
    from diagramgen.features.shop.index_sheet import index_sheets
    from diagramgen.kernel.paper import PAPERS
    from diagramgen.writers.pdf import pdf_bytes

    check = hashlib.sha256("".join(f"{j.file}\0{j.checksum}\n" for j in jobs).encode()).hexdigest()[:8]
    makers = index_sheets(jobs, check, PAPERS[paper])
    pages = [make(i, len(makers)) for i, make in enumerate(makers, 1)]
    folders = [task.out.relative_to(where).as_posix() for task in found]
    files = {"index.pdf": pdf_bytes(pages, "Index of jobs"), "index.html": index_page(jobs, folders, check)}
    # What a build names lies beside it; its role says where.
    read = [task.path.parent / name for task, job in zip(found, jobs, strict=True) for role in job.made_from
            for kind, _, name in [role.partition(":")] if kind == "file"]
    write_sheets(where, files, check, "shop's index", permission=Permission(replace, tuple(read)))


def _say(
    jobs: Sequence[Job], made: Sequence[str], problems: Sequence[Problem], where: Path, how: tuple[bool, bool]
) -> None:
    quiet, as_json = how
    if as_json:
        from diagramgen.features.shop.jobs import as_plain

        print_json({"jobs": [as_plain(job) for job in jobs], "made": list(made),
                  "files": [str(where / name) for name in ("index.html", "index.pdf")],
                  "problems": [problem_dict(p) for p in problems]})
        return
    for job in jobs:
        # What keeps a job from being made is told with what to do: no other command says it.
        heads = [text if ": error SHP-70" in text else text.split("\n")[0] for text in job.problems]
        said = [head for head in heads if ": error " in head] if quiet or job.file not in made else heads
        for head in said[:SAID]:
            click.echo(head, err=True)
        if len(said) > SAID:
            click.echo(f"{job.file}: {len(said) - SAID} more; all of them: diagramgen check", err=True)
    report_problems(problems, quiet)
    if quiet:
        return
    click.echo(str(where / "index.html"))
    click.echo(str(where / "index.pdf"))
    left = sum(bool(job.errors) and job.file not in made for job in jobs)
    faulty = sum(not job.printed for job in jobs) - left
    words = f", {left} not made" if left else ""
    words += f", {faulty} with errors and so without sheets" if faulty else ""
    unchanged = len(jobs) - len(made) - left
    click.echo(f"{len(jobs)} jobs: {len(made)} made, {unchanged} unchanged{words}; {counts(problems)}")
