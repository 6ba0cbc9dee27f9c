"""``print``: a build's sheets into a folder."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.arguments import bar_measures, beside, held_states, named, pairs, turns
from diagramgen.console.number_types import NumberIn
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
from diagramgen.sheets.registry import on_request, sheet_names
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis


@click.command("print")
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the sheets. Default: the build's name, beside it.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default=None,
              help="Paper. Default: what the build says, else a4.")
@click.option("--sheet", "sheets", type=click.Choice(sheet_names()), multiple=True,
              help=f"Only this kind of sheet; may be given again. Default: all but {on_request()}.")
@click.option("--results", type=click.Path(path_type=Path), default=None,
              help="The file with the readings. Default: the one the build names under 'results'.")
@click.option("--state", "states", multiple=True, metavar="CONTROL=POSITION,...",
              help="With --sheet states or curves: show this state; may be given again. Default: those that wanted "
                   "names; of curves, every different sound.")
@click.option("--knob", "knobs", multiple=True, metavar="NAME=0..10,...",
              help="With --sheet curves: knobs stand like this; given again, the curves of each setting are shown. "
                   "Default: at 10, blends and trimmers at 5.")
@click.option("--png", is_flag=True, help="PNG pictures beside the SVG (needs the cairo library).")
@click.option("--dpi", type=NumberIn(30, 1200), default=150, show_default=True, help="Dots per inch of PNG.")
@click.option("--lettering", type=click.Choice(["font", "outline"]), default="font", show_default=True,
              help="SVG text as font, or as outlines for cutters and old viewers.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--bar-measures", "measures", default=None, metavar="ACROSS,UPRIGHT", callback=bar_measures,
              help="What the two 100 mm bars measured on your print, such as 99.2,99.6: full-size sheets are "
                   "stretched to come out true.")
@click.option("--spool", type=NumberIn(50, 100_000), default=None, metavar="MM",
              help="What one length of your wire measures, mm: the sheet of work says what to cut from each.")
@click.option("--anyway", is_flag=True, help="Print in spite of errors, stamped NOT PROVED.")
@replace_option
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say files and problems as JSON.")
def print_(
    build: Path,
    folder: Path | None,
    paper: str | None,
    sheets: tuple[str, ...],
    results: Path | None,
    states: tuple[str, ...],
    knobs: tuple[str, ...],
    png: bool,
    dpi: float,
    lettering: str,
    own: Path | None,
    measures: tuple[float, float],
    spool: float | None,
    anyway: bool,
    replace: bool,
    quiet: bool,
    as_json: bool,
) -> None:
    """Print the sheets of BUILD: full-size diagram, enlarged bench page, harness jig, drilling template, inside of
    the cover, stages, work (joints in order, with stops for the meter), changes and undo (where the build names its
    state as found), proof, test page and lead list.

    A build with errors is not printed, since a wrong page is worse than none; --anyway prints it stamped.

    \b
    Examples:
      diagramgen print baritone.yaml
      diagramgen print baritone.yaml --out sheets --paper a3
      diagramgen print baritone.yaml --sheet diagram --png
      diagramgen print baritone.yaml --sheet record
      diagramgen print baritone.yaml --sheet packet
      diagramgen print baritone.yaml --bar-measures 99.2,99.6
      diagramgen print baritone.yaml --sheet curves --state selector=up --knob volume=10 --knob volume=6
    """
    from diagramgen.analysis import examine
    from diagramgen.sheets.printing import NO_HOLE, compose, reasons_against
    from diagramgen.sheets.registry import sheets_for
    from diagramgen.sheets.sheet_kind import Request
    from diagramgen.writers.png import PngUnavailable

    analysis = examine(build, own, results=results)
    if not as_json:
        report_problems(analysis.problems, quiet)
    printable = analysis.layout is not None and (anyway or not analysis.has_errors)
    files: list[Path] = []
    if printable:
        held = tuple(tuple(one.items()) for one in held_states(analysis, states))
        set_to = tuple(tuple(turns(analysis.build, pairs((one,), "knob")).items()) for one in knobs
                       if analysis.build is not None)
        request = Request(paper or "", sheets_for(sheets), png, dpi, lettering, anyway, measures, held, set_to,
                          spool or 0.0)
        try:
            made = compose(analysis, request)
        except PngUnavailable as fault:
            raise click.UsageError(str(fault)) from fault
        missing = reasons_against(analysis, sheets)
        if not made:
            raise click.UsageError("\n".join(missing) or NO_HOLE)
        for line in missing:
            click.echo(line, err=True)
        files = write_sheets(folder if folder is not None else beside(build), made, analysis.checksum,
                             some=bool(sheets), permission=Permission(replace, (*analysis.files, *named(results))))
    if as_json:
        print_json({"files": [str(f) for f in files], "checksum": analysis.checksum,
                  "problems": [problem_dict(p) for p in analysis.problems]})
    elif not quiet:
        for file in files:
            click.echo(str(file))
        click.echo(f"{written(files)}; {counts(analysis.problems)}")
        for said in on_places(analysis) if files else ():
            click.echo(said, err=True)
        if not printable and analysis.layout is not None:
            click.echo("Mend the errors, or print with --anyway (stamped NOT PROVED).", err=True)
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)


def on_places(analysis: Analysis) -> list[str]:
    """What is to be known of the printed sheets where the program proposed places."""
    from diagramgen.layout.placement.guessed_places import guessed

    found = guessed(analysis.layout) if analysis.layout is not None else ()
    if not found:
        return []
    names = ", ".join(p.part.name for p in found)
    return [f"PLACES NOT MEASURED is stamped on every sheet: the program proposes those of {names}. "
            "The template drills no hole for them."]
