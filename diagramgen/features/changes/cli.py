"""``compare``: what is done between an instrument as found and as left, and the way back."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import (
    HAS_ERRORS,
    counts,
    print_json,
    problem_dict,
    replace_option,
    report_problems,
    write_sheets,
    written,
)
from diagramgen.kernel.paper import PRINTED
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.job.changes import Changes


@click.command()
@click.argument("found", type=click.Path(path_type=Path))
@click.argument("left", type=click.Path(path_type=Path))
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the sheets of changes and undo, and changes.csv and .json. Default: no sheets.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default=None,
              help="Paper. Default: what LEFT says, else a4.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--anyway", is_flag=True, help="Write the sheets in spite of errors in LEFT, stamped NOT PROVED.")
@replace_option
@click.option("--quiet", "-q", is_flag=True, help="Say errors only, and no summary.")
@click.option("--json", "as_json", is_flag=True, help="Say everything as JSON.")
def compare(
    found: Path, left: Path, folder: Path | None, paper: str | None, own: Path | None, anyway: bool, replace: bool,
    quiet: bool, as_json: bool,
) -> None:
    """Say what is done from the build FOUND to the build LEFT: joints to open and to solder, leads and parts out and
    in, what to settle with the meter first, what to keep and what cannot be undone.

    Both files must be of one instrument. A circuit that is wrong as found is no error here.

    \b
    Examples:
      diagramgen compare found.yaml left.yaml
      diagramgen compare found.yaml left.yaml --out changes
    """
    from diagramgen.features.changes.compute import change_files, comparison

    analysis, changes = comparison(found, left, own)
    if not as_json:
        report_problems(analysis.problems, quiet)
        if changes is not None and not quiet:
            click.echo("\n".join(_summary(changes)))
    files: list[Path] = []
    if folder is not None and changes is not None and changes.any and (anyway or not analysis.has_errors):
        made = change_files(analysis, paper or "")
        files = write_sheets(folder, made, analysis.checksum, "compare", permission=Permission(replace, analysis.files))
    if as_json:
        from diagramgen.features.changes.export import changes_dict

        print_json({"changes": changes_dict(changes) if changes is not None else None, "files": [str(f) for f in files],
                  "checksum": analysis.checksum, "problems": [problem_dict(p) for p in analysis.problems]})
    elif not quiet:
        for file in files:
            click.echo(str(file))
        begin = f"{written(files)}; " if files or folder is not None else ""
        click.echo(f"{begin}{counts(analysis.problems)}")
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)


def _summary(changes: Changes) -> Iterator[str]:
    """The changes in words, the steps in order, what is kept."""
    from diagramgen.job.change_steps import cannot_undo, changes_in_words, to_keep
    from diagramgen.job.changes import counts as counted

    if not changes.any:
        yield "Nothing is changed."
        return
    number = counted(changes)
    yield (f"{number.joints_opened} joints to open, {number.joints_made} to solder; leads: {number.leads_out} out, "
           f"{number.leads_in} in, {number.leads_moved} moved, {number.leads_cut} to cut; "
           f"parts: {number.parts_out} out, {number.parts_in} in")
    yield from _block("What is changed:", changes_in_words(changes))
    yield from _block("Step by step:", _steps(changes))
    yield from _block("To keep in the bag:", to_keep(changes))
    yield from _block("What cannot be undone:", cannot_undo(changes))


def _block(head: str, lines: Iterable[str]) -> Iterator[str]:
    made = [f"  {line}" for line in lines]
    if made:
        yield ""
        yield head
        yield from made


def _steps(changes: Changes) -> Iterator[str]:
    from diagramgen.job.change_steps import DO, steps

    for n, step in enumerate(steps(changes), 1):
        about = f" {step.subject}" if step.do in ("settle", "lead out", "relay") else ""
        yield f"{n:2} {DO[step.do]}{about}: {step.says}" if step.do not in ("open", "make") else (
            f"{n:2} {DO[step.do]} {step.says}")
        for one in step.leads:
            lead = (one.change.found if step.do == "open" else one.change.left) or one.change.lead
            colour = f" {lead.colour.word}" if lead.colour else ""
            yield f"     {one.change.tag}{colour}: {one.says}"
        if step.stays:
            yield f"     stays: {', '.join(step.stays)}"
