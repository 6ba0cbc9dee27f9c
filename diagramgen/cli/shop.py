"""``shop``: a folder of jobs, of which only what changed is made anew, and its index."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.cli.saying import (
    HAS_ERRORS,
    PAPER_NAMES,
    counts,
    fail,
    problem_dict,
    say_json,
    say_problems,
    write_files,
)
from diagramgen.sheets.kinds import SHEETS

if TYPE_CHECKING:
    from diagramgen.office.shop import Task
    from diagramgen.problems import Problem
    from diagramgen.work.jobs import Job

SAID = 3
"""Problems of one job that are said; 'check' says them all."""


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), default=None,
              help="Folder for all sheets and the index. Default: 'sheets' in FOLDER.")
@click.option("--sheet", "sheets", type=click.Choice(SHEETS), multiple=True,
              help="Only this kind of sheet; may be given again. Default: all.")
@click.option("--paper", type=click.Choice(PAPER_NAMES, case_sensitive=False), default=None,
              help="Paper. Default: what each build says; of the index a4.")
@click.option("--workers", type=click.IntRange(1, 64), default=None,
              help="Jobs made at the same time. Default: as many as there are cores.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say everything as JSON.")
def shop(
    folder: Path, out: Path | None, sheets: tuple[str, ...], paper: str | None, workers: int | None, own: Path | None,
    quiet: bool, as_json: bool,
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
    from concurrent.futures.process import BrokenProcessPool

    from diagramgen.office.shop import Wishes, run, tasks
    from diagramgen.problems import Collector
    from diagramgen.work.jobs import check_numbers
    from diagramgen.writers.files import CannotWrite

    where = out if out is not None else folder / "sheets"
    found = tasks(folder, where)
    if not found:
        raise click.UsageError(f"there is no build in '{folder}': a build is a .yaml file with parts and leads")
    wishes = Wishes(paper or "", sheets or SHEETS, str(own) if own else "")
    made: list[str] = []
    try:
        with _progress(len(found), quiet or as_json) as step:
            def done(job: Job, anew: bool) -> None:
                made.extend([job.file] if anew else [])
                step(job.file)

            jobs = run(found, wishes, workers or os.cpu_count() or 1, done)
    except CannotWrite as fault:
        fail(f"error: cannot write {fault.path}: {fault.reason}\n  -> Choose another folder with --out, or free it.")
    except BrokenProcessPool:
        fail("error: a process that made sheets was ended from outside; the memory may have been full\n"
             "  -> Run it again: what is done is kept. With --workers 1 it needs least.")
    say = Collector()
    check_numbers(jobs, folder, say)
    _index(found, jobs, where, paper or "a4")
    _say(jobs, sorted(made), say.sorted(), where, (quiet, as_json))
    if say.has_errors or any(job.errors for job in jobs):
        sys.exit(HAS_ERRORS)


@contextmanager
def _progress(count: int, silent: bool) -> Iterator[Callable[[str], None]]:
    """A bar on the error stream where that is a terminal; else nothing."""
    if silent or not sys.stderr.isatty():
        yield lambda _: None
        return
    with click.progressbar(length=count, label="jobs", file=sys.stderr, show_pos=True,
                           item_show_func=lambda name: name or "") as bar:
        yield lambda name: bar.update(1, name)


def _index(found: Sequence[Task], jobs: Sequence[Job], where: Path, paper: str) -> None:
    from diagramgen.office.indexpage import index_page
    from diagramgen.sheets.paper import PAPERS
    from diagramgen.sheets.shopindex import index_sheets
    from diagramgen.writers.pdf import pdf_bytes

    check = hashlib.sha256("".join(f"{j.file}\0{j.checksum}\n" for j in jobs).encode()).hexdigest()[:8]
    makers = index_sheets(jobs, check, PAPERS[paper])
    pages = [make(i, len(makers)) for i, make in enumerate(makers, 1)]
    folders = [task.out.relative_to(where).as_posix() for task in found]
    write_files(where, {"index.pdf": pdf_bytes(pages, "Index of jobs"), "index.html": index_page(jobs, folders, check)})


def _say(
    jobs: Sequence[Job], made: Sequence[str], problems: Sequence[Problem], where: Path, how: tuple[bool, bool]
) -> None:
    quiet, as_json = how
    if as_json:
        from diagramgen.work.jobs import as_plain

        say_json({"jobs": [as_plain(job) for job in jobs], "made": list(made),
                  "files": [str(where / name) for name in ("index.html", "index.pdf")],
                  "problems": [problem_dict(p) for p in problems]})
        return
    for job in jobs:
        heads = [text.split("\n")[0] for text in job.problems]
        said = [head for head in heads if ": error " in head] if quiet or job.file not in made else heads
        for head in said[:SAID]:
            click.echo(head, err=True)
        if len(said) > SAID:
            click.echo(f"{job.file}: {len(said) - SAID} more; all of them: diagramgen check", err=True)
    say_problems(problems, quiet)
    if quiet:
        return
    click.echo(str(where / "index.html"))
    click.echo(str(where / "index.pdf"))
    faulty = sum(not job.printed for job in jobs)
    words = f", {faulty} with errors and so without sheets" if faulty else ""
    click.echo(f"{len(jobs)} jobs: {len(made)} made, {len(jobs) - len(made)} unchanged{words}; {counts(problems)}")
