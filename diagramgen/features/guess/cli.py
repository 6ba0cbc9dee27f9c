"""``guess``: which usual wiring an instrument was found with."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import HAS_ERRORS, report_problems
from diagramgen.kernel.brief import counted

if TYPE_CHECKING:
    from diagramgen.diagnosis.observations import Observation
    from diagramgen.features.guess.compute import Guesses, NextReading

LISTED = 5


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--seen", "lines", multiple=True, metavar="WHERE: WHAT",
              help="A reading at the plug, or a sound, as for the command fault; may be repeated.")
@click.option("--seen-in", "listed", type=click.Path(path_type=Path, exists=True, dir_okay=False), default=None,
              help="A text file with one such line for each thing seen; # begins a comment.")
@click.option("--results", type=click.Path(path_type=Path, exists=True, dir_okay=False), default=None,
              help="A results file (diagramgen readings): what was metered at the plug is taken from it.")
@click.option("--ask", is_flag=True, help="Ask for one reading at a time until one wiring is left.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def guess(
    build: Path, lines: tuple[str, ...], listed: Path | None, results: Path | None, ask: bool, as_json: bool
) -> None:
    """Rank the usual wirings of the parts in BUILD by readings at the plug; its leads are not looked at.

    \b
    Examples:
      diagramgen guess my.yaml
      diagramgen guess my.yaml --seen "selector=up: 7.7k" --seen "selector=middle: 3.9k"
      diagramgen guess my.yaml --seen "selector=middle, neck-volume=0: 0" --json
      diagramgen guess my.yaml --ask
    """
    from diagramgen.console.arguments import read
    from diagramgen.console.typed_observations import lines_of, seen_at
    from diagramgen.features.guess.compute import guess as ranked
    from diagramgen.features.guess.compute import simulated_wiring
    from diagramgen.features.guess.export import guesses_dict
    from diagramgen.kernel.diagnostics import Diagnostics

    say = Diagnostics({})
    made, _ = read(build, None, say)
    if made is None:
        report_problems(say.sorted())
        sys.exit(HAS_ERRORS)
    try:
        laid = simulated_wiring(made).wiring
    except ValueError as reason:
        raise click.ClickException(str(reason)) from None
    observations = seen_at((*lines, *lines_of(listed)), results, laid)
    found = ranked(made, observations)
    while ask and found.question is not None:
        answer = _answer(found.question)
        if answer is None:
            break
        observations.append(answer)
        found = ranked(made, observations)
    if as_json:
        click.echo(json.dumps(guesses_dict(found), indent=2, ensure_ascii=False))
    else:
        for line in _text(found):
            click.echo(line)


def _answer(question: NextReading) -> Observation | None:
    """What the plug shows in the position asked for; None for an empty line."""
    from diagramgen.diagnosis.observations import BadObservation, Reading, answered

    click.echo(f"next: {question.words}")
    while True:
        typed = click.prompt("what it shows (empty: no more)", default="", show_default=False).strip()
        if not typed:
            return None
        try:
            return answered(typed, Reading(question.state, question.setting, 0.0))
        except BadObservation as reason:
            click.echo(f"{reason.message}. {reason.remedy}")


def _text(found: Guesses) -> Iterator[str]:
    yield f"{counted(found.tried, 'usual wiring')} of these parts"
    yield found.verdict
    for place, one in enumerate(found.guesses[:LISTED], start=1):
        yield ""
        yield f"{place}. {round(100 * one.probability)} %: {one.usual[0].words}"
        for other in one.usual[1:4]:
            yield f"   reads the same: {other.words}"
    if found.other > 0.01:
        yield ""
        yield f"   none of the usual ones: {round(100 * found.other)} %"
    if found.look:
        yield ""
        yield from (f"look at {line}" for line in found.look)
    if found.question is not None:
        yield f"next: {found.question.words}"
