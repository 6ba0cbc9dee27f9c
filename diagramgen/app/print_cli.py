"""``print``: a build's sheets into a folder."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.number_types import NumberIn
from diagramgen.console.report import (
    HAS_ERRORS,
    PAPER_NAMES,
    counts,
    problem_dict,
    replace_option,
    say_json,
    say_problems,
    write_sheets,
    written,
)
from diagramgen.sheets.kinds import KINDS
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.job.pipeline import Proof


def bar_measures(_: click.Context, __: click.Parameter, said: str | None) -> tuple[float, float]:
    """The two lengths in mm; a usage error where they are not two numbers from 90 to 110."""
    if said is None:
        return 100.0, 100.0
    how = "Print without this option, measure the level and the upright bar with a steel rule: 99.2,99.6"
    try:
        across, upright = (float(part.strip().removesuffix("mm")) for part in said.split(","))
    except ValueError:
        raise click.BadParameter(f"{said!r} is not two lengths in mm with a comma between. {how}") from None
    for length in (across, upright):
        if not 90 <= length <= 110:
            raise click.BadParameter(f"a bar of 100 mm that measures {length:g} mm was scaled by the printer's "
                                     f"settings: print at 100 %, no scaling. Corrected is from 90 to 110 mm. {how}")
    return across, upright


@click.command("print")
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the sheets. Default: the build's name, beside it.")
@click.option("--paper", type=click.Choice(PAPER_NAMES, case_sensitive=False), default=None,
              help="Paper. Default: what the build says, else a4.")
@click.option("--sheet", "sheets", type=click.Choice(KINDS), multiple=True,
              help="Only this kind of sheet; may be given again. Default: all but player (the player's side), "
                   "curves (responses), states (live paths), intake and closing (papers of the job), faults (where to "
                   "look), record (for the customer, with the diagrams) and packet: one PDF with contents and links, "
                   "of all sheets or of those named with it.")
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
    from diagramgen.console.arguments import pairs, turns
    from diagramgen.job.pipeline import Request, compose, examine, unavailable
    from diagramgen.sheets.kinds import PACKET, SHEETS
    from diagramgen.writers.png import PngUnavailable

    proof = examine(build, own, results=results)
    if not as_json:
        say_problems(proof.problems, quiet)
    printable = proof.layout is not None and (anyway or not proof.has_errors)
    files: list[Path] = []
    if printable:
        held = tuple(tuple(one.items()) for one in held_states(proof, states))
        set_to = tuple(tuple(turns(proof.build, pairs((one,), "knob")).items()) for one in knobs
                       if proof.build is not None)
        asked = PACKET if set(sheets) == {"packet"} else sheets or SHEETS
        request = Request(paper or "", asked, png, dpi, lettering, anyway, measures, held, set_to,
                          spool or 0.0)
        try:
            made = compose(proof, request)
        except PngUnavailable as fault:
            raise click.UsageError(str(fault)) from fault
        missing = [f"no sheet '{kind}': {why}" for kind in sheets if (why := unavailable(kind, proof))]
        if not made:
            raise click.UsageError("\n".join(missing) or "no hole was measured, so there is no drilling template. "
                                   "Write each part's place as 'at'.")
        for line in missing:
            click.echo(line, err=True)
        files = write_sheets(folder if folder is not None else beside(build), made, proof.checksum,
                             some=bool(sheets), permission=Permission(replace, (*proof.files, *named(results))))
    if as_json:
        say_json({"files": [str(f) for f in files], "checksum": proof.checksum,
                  "problems": [problem_dict(p) for p in proof.problems]})
    elif not quiet:
        for file in files:
            click.echo(str(file))
        click.echo(f"{written(files)}; {counts(proof.problems)}")
        for said in on_places(proof) if files else ():
            click.echo(said, err=True)
        if not printable and proof.layout is not None:
            click.echo("Mend the errors, or print with --anyway (stamped NOT PROVED).", err=True)
    if proof.has_errors:
        sys.exit(HAS_ERRORS)


def on_places(proof: Proof) -> list[str]:
    """What is to be known of the printed sheets where the program proposed places."""
    from diagramgen.layout.placement.guessed_places import guessed

    found = guessed(proof.layout) if proof.layout is not None else ()
    if not found:
        return []
    names = ", ".join(p.part.name for p in found)
    return [f"PLACES NOT MEASURED is stamped on every sheet: the program proposes those of {names}. "
            "The template drills no hole for them."]


def held_states(proof: Proof, typed: tuple[str, ...]) -> list[dict[str, str]]:
    """States as typed with the names of controls and positions made whole; raises ``click.BadParameter``."""
    from diagramgen.console.arguments import pairs, positions

    if proof.build is None:
        return []
    held = [positions(proof.build, pairs((one,), "position")) for one in typed]
    for one in held:
        try:
            if proof.chart:
                proof.chart.space.select(dict(one))
        except ValueError as fault:
            raise click.BadParameter(str(fault)) from fault
    return held


def named(*files: Path | None) -> tuple[Path, ...]:
    """Those of the files of an option that were given."""
    return tuple(file for file in files if file is not None)


def beside(build: Path) -> Path:
    """The folder beside a build file that bears its name; a file without an ending gets a word added."""
    return build.with_suffix("") if build.suffix else build.with_name(build.name + "-sheets")
