"""``check``: the problems of a build, all of them in one run."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from diagramgen.console.report import HAS_ERRORS, counts, print_json, problem_dict, report_problems


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--quiet", "-q", is_flag=True, help="Say errors only.")
@click.option("--json", "as_json", is_flag=True, help="Say the problems as JSON.")
def check(build: Path, own: Path | None, quiet: bool, as_json: bool) -> None:
    """Check BUILD: grammar, names, fit in the cavity, grounds, leads and the drawing. Writes nothing.

    Where a wanted sound is not given, or a lead seems to be missing, the change of leads that mends it is said.

    \b
    Examples:
      diagramgen check baritone.yaml
      diagramgen check baritone.yaml --json
    """
    from diagramgen.features.diagrams.drawing_audit import checked

    analysis = checked(build, own)
    problems = analysis.problems
    if as_json:
        print_json({"problems": [problem_dict(p) for p in problems]})
    else:
        report_problems(problems, quiet)
        if not quiet:
            click.echo(f"{build}: {counts(problems)}")
    if analysis.has_errors:
        sys.exit(HAS_ERRORS)
