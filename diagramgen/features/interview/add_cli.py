"""``add``: one part or lead more in a build file, every other byte of it as it was."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.completion import complete_addition
from diagramgen.console.edit_in_place import bytes_of, write_back
from diagramgen.console.report import HAS_ERRORS, counts, fail, print_json, problem_dict, report_problems

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.kernel.diagnostics import Problem


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.argument("kind", type=click.Choice(["part", "lead"]))
@click.argument("texts", metavar="TEXT...", nargs=-1, required=True, shell_complete=complete_addition)
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--anyway", is_flag=True, help="Write it although the file has more errors with it.")
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say what was done as JSON.")
def add(build: Path, kind: str, texts: tuple[str, ...], own: Path | None, anyway: bool, quiet: bool,
        as_json: bool) -> None:
    """Put a part or a lead into BUILD, written as it stands in the file. Comments and layout stay as they are.

    The new file is read and proved before it takes the old one's place; where it has more errors it is not written.

    \b
    Examples:
      diagramgen add my.yaml part "tone: pot-24, 250k log"
      diagramgen add my.yaml lead "volume.ten -> tone.wiper, blue" "volume.case -> tone.case, black"
      diagramgen add my.yaml lead volume.ten tone.wiper blue
    """
    from diagramgen.analysis import examine

    old = bytes_of(build)
    before = examine(build, own, data=old)
    data, lines = _with(build, before, old or b"", kind, _as_typed(kind, texts))
    after = examine(build, own, data=data)
    new = _new(before, after)
    refused = not anyway and _errors(after) > _errors(before)
    if not refused:
        write_back(build, old or b"", data)
    if as_json:
        print_json({"written": not refused, "lines": lines, "problems": [problem_dict(p) for p in new]})
    else:
        report_problems(new, quiet)
        if refused:
            click.echo("Nothing was written: the file would have more errors. --anyway writes it all the same.",
                       err=True)
        elif not quiet:
            where = ", ".join(str(line) for line in lines)
            click.echo(f"{build}: {kind} in line {where}; {counts(after.problems)}")
    if refused or (after.has_errors and not before.has_errors):
        sys.exit(HAS_ERRORS)


def _as_typed(kind: str, texts: tuple[str, ...]) -> tuple[str, ...]:
    """The texts; a lead's two ends and its remarks may be words of their own, as the tab key offers them."""
    if kind == "lead" and len(texts) > 1 and not any("->" in text or text.startswith("{") for text in texts):
        return (", ".join([f"{texts[0]} -> {texts[1]}", *texts[2:]]),)
    return texts


def _with(build: Path, before: Analysis, data: bytes, kind: str, texts: tuple[str, ...]) -> tuple[bytes, list[int]]:
    """The bytes with every text put in, and the lines they stand in; ends where the file cannot be added to."""
    import yaml

    from diagramgen.edit.insert_entry import CannotAdd, added

    if before.build is None:
        report_problems(before.problems, quiet=True)
        fail(f"Nothing was written: {build} cannot be read as it is.", HAS_ERRORS)
    lines = []
    for text in texts:
        try:
            done = added(data, kind, text)
        except CannotAdd as fault:
            fail(f"error: {fault}", HAS_ERRORS, remedy=fault.remedy)
        except (yaml.YAMLError, UnicodeDecodeError):
            fail(f"error: {build} changed while it was read; nothing was written", remedy="Try again.")
        data = done.data
        lines.append(done.line)
    return data, lines


def _errors(analysis: Analysis) -> int:
    return sum(1 for p in analysis.problems if p.severity.word == "error")


def _new(before: Analysis, after: Analysis) -> tuple[Problem, ...]:
    """Problems the old file did not have; a line further down is no news."""
    known = {(p.code, p.message) for p in before.problems}
    return tuple(p for p in after.problems if (p.code, p.message) not in known)
