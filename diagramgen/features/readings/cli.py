"""``readings``: an empty results file to fill in at the bench, and what was filled in held against the circuit."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import (
    CANNOT_WRITE,
    HAS_ERRORS,
    counts,
    fail,
    print_json,
    problem_dict,
    report_problems,
    write_files,
)

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--results", type=click.Path(path_type=Path), default=None,
              help="The file with the readings. Default: the one the build names under 'results'.")
@click.option("--out", type=click.Path(path_type=Path), default=None,
              help="Write an empty results file here; one that is there is never written over.")
@click.option("--every", is_flag=True, help="With --out, or where nothing was metered yet: name every position, also "
                                            "those that give the same circuit.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say the verdicts as JSON.")
def readings(
    build: Path, results: Path | None, out: Path | None, every: bool, own: Path | None, quiet: bool, as_json: bool
) -> None:
    """Write an empty file of readings for BUILD, every position named; or hold a filled one against the circuit.

    Each reading is inside its band, outside it, or not meaningful (a stage or crystal lies between). Coils metered
    loose take the place of the usual values, so the bands shrink; the lines to keep them in the build are said.

    \b
    Examples:
      diagramgen readings my.yaml --out my-readings.yaml
      diagramgen readings my.yaml --results my-readings.yaml
    Then name it in the build (results: my-readings.yaml), and: diagramgen print my.yaml --sheet record
    """
    from diagramgen.analysis import examine

    analysis = examine(build, own, results=results)
    if not as_json:
        report_problems(analysis.problems, quiet)
    if analysis.chart is None:
        if as_json:
            print_json({"readings": [], "problems": [problem_dict(p) for p in analysis.problems]})
        fail("the circuit was not solved, so no reading can be expected", HAS_ERRORS, remedy="Mend the errors first.")
    entered = analysis.build is not None and analysis.build.results is not None
    if out is not None or not entered:
        _empty(analysis, out, every)
    elif as_json:
        print_json(_as_dict(analysis))
    else:
        _say(analysis, quiet)
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)


def _empty(analysis: Analysis, out: Path | None, every: bool) -> None:
    from diagramgen.features.readings.empty_file import empty_results

    assert analysis.chart is not None
    text = empty_results(analysis.chart, every)
    if out is None:
        click.echo(text, nl=False)
        return
    # Readings are the technician's own work: a file of them is not written over, whatever is asked.
    if out.exists():
        fail(f"error: {out} is there already and is not written over", CANNOT_WRITE,
             remedy="Choose another name with --out.")
    write_files(out.parent, {out.name: text.encode()})
    click.echo(str(out))


def _say(analysis: Analysis, quiet: bool) -> None:
    from diagramgen.job.results import counted

    if quiet:
        return
    for one in analysis.verdicts:
        told = one.verdict or "not metered"
        metered = f"{one.metered}, " if one.metered else ""
        heard = f"; heard: {one.heard}" if one.heard else ""
        click.echo(f"{told:<14}  {one.what}: {metered}{one.expected} expected{heard}")
    for line in _lines(analysis):
        click.echo(line)
    click.echo(f"{counted(analysis.verdicts)}; {counts(analysis.problems)}")


def _lines(analysis: Analysis) -> Iterator[str]:
    lines = _pasted(analysis)
    if lines:
        yield ""
        yield "The metered coils count in place of the usual values. To keep them in the build itself, give each part:"
        yield from (f"  {line}" for line in lines)
        yield ""


def _pasted(analysis: Analysis) -> tuple[str, ...]:
    from diagramgen.circuit.measured_values import lines_to_paste

    build = analysis.build
    return lines_to_paste(build, build.results) if build is not None and build.results is not None else ()


def _as_dict(analysis: Analysis) -> dict[str, object]:
    rows = [{"what": v.what, "expected": v.expected, "metered": v.metered or None, "verdict": v.verdict or None,
             "sounds": v.sounds or None, "heard": v.heard or None, "note": v.note or None} for v in analysis.verdicts]
    return {"readings": rows, "to_paste": list(_pasted(analysis)),
            "checksum": analysis.checksum, "problems": [problem_dict(p) for p in analysis.problems]}
