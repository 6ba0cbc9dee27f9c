"""``page``: the player's page, one HTML file in which positions are picked and the live path is seen."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from diagramgen.console.arguments import beside
from diagramgen.console.report import (
    HAS_ERRORS,
    counts,
    print_json,
    problem_dict,
    replace_option,
    report_problems,
    write_sheets,
)
from diagramgen.writers.overwriting import Permission


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--out", "folder", type=click.Path(path_type=Path), default=None,
              help="Folder for the page. Default: the build's name, beside it.")
@click.option("--state", "states", multiple=True, metavar="CONTROL=POSITION,...",
              help="Only this position; may be given again. Default: all of them.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--anyway", is_flag=True, help="Write it in spite of errors, stamped NOT PROVED.")
@replace_option
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say file and problems as JSON.")
def page(
    build: Path, folder: Path | None, states: tuple[str, ...], own: Path | None, anyway: bool,
    replace: bool, quiet: bool, as_json: bool,
) -> None:
    """Write the player's page of BUILD: page.html, one file that needs no network and no server.

    The player picks positions on drawn controls and sees the live path lit, the coils that sound, the reading at the
    plug and the response. It prints the position picked, and without script it is a table of all.

    \b
    Examples:
      diagramgen page baritone.yaml
      diagramgen page baritone.yaml --out sheets
      diagramgen page baritone.yaml --state selector=up --state selector=middle,neck-mode=a
    """
    from diagramgen.analysis import examine
    from diagramgen.console.arguments import held_states
    from diagramgen.features.playerpage.file import player_file

    analysis = examine(build, own)
    if not as_json:
        report_problems(analysis.problems, quiet)
    files: list[Path] = []
    if analysis.layout is not None and (anyway or not analysis.has_errors):
        made = player_file(analysis, held_states(analysis, states))
        if made:
            files = write_sheets(folder if folder is not None else beside(build), {"page.html": made},
                                 analysis.checksum, "page", permission=Permission(replace, analysis.files))
    if as_json:
        print_json({"files": [str(f) for f in files], "checksum": analysis.checksum,
                  "problems": [problem_dict(p) for p in analysis.problems]})
    elif not quiet:
        for file in files:
            click.echo(str(file))
        click.echo(f"{'1 file' if files else 'nothing'} written; {counts(analysis.problems)}")
    if not files and not as_json and analysis.layout is not None:
        click.echo("Mend the errors: what was not solved cannot be played." if anyway else
                   "Mend the errors, or write it with --anyway (stamped NOT PROVED).", err=True)
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)
