"""``guess``: which usual wiring an instrument was found with."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.cli.saying import HAS_ERRORS, say_problems

if TYPE_CHECKING:
    from diagramgen.work.found.guessing import Guesses

LISTED = 5


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--seen", "lines", multiple=True, metavar="WHERE: WHAT",
              help="A reading at the plug, or a sound, as for the command fault; may be repeated.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def guess(build: Path, lines: tuple[str, ...], as_json: bool) -> None:
    """Rank the usual wirings of the parts in BUILD by readings at the plug; its leads are not looked at.

    \b
    Examples:
      diagramgen guess my.yaml
      diagramgen guess my.yaml --seen "selector=up: 7.7k" --seen "selector=middle: 3.9k"
      diagramgen guess my.yaml --seen "selector=middle, neck-volume=0: 0" --json
    """
    from diagramgen.cli.circuits import read
    from diagramgen.problems import Collector
    from diagramgen.work.faults.seen import BadSight, read_sight
    from diagramgen.work.found.guessing import guess as ranked
    from diagramgen.work.found.guessing import laid_out

    say = Collector({})
    made, _ = read(build, None, say)
    if made is None:
        say_problems(say.sorted())
        sys.exit(HAS_ERRORS)
    try:
        laid = laid_out(made)
        sights = [read_sight(line, laid.wiring) for line in lines]
        found = ranked(made, sights)
    except BadSight as reason:
        raise click.BadParameter(f"{reason.message}. {reason.remedy}") from None
    except ValueError as reason:
        raise click.ClickException(str(reason)) from None
    if as_json:
        click.echo(json.dumps(_json(found), indent=2, ensure_ascii=False))
    else:
        for line in _text(found):
            click.echo(line)


def _text(found: Guesses) -> Iterator[str]:
    yield f"{found.tried} usual wirings of these parts"
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
    if found.next_reading:
        yield f"next: {found.next_reading}"


def _json(found: Guesses) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "tried": found.tried,
        "other": round(found.other, 4),
        "guesses": [{"probability": round(g.probability, 4), "wirings": [dict(u.choices) for u in g.usual]}
                    for g in found.guesses],
        "look_at": list(found.look),
        "next": found.next_reading or None,
    }
