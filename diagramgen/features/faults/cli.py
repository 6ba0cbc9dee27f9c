"""``fault``: from what was metered and heard to the joints that explain it."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.report import HAS_ERRORS, report_problems
from diagramgen.kernel.brief import counted

if TYPE_CHECKING:
    from diagramgen.diagnosis.observations import Observation
    from diagramgen.diagnosis.simulate import FaultRun
    from diagramgen.features.faults.compute import Finding
    from diagramgen.features.faults.next_question import Question
    from diagramgen.kernel.diagnostics import Problem

LISTED = 5
"""Groups listed in the text."""
NAMED = 6
"""Faults of a group named."""


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--seen", "lines", multiple=True, metavar="WHERE: WHAT",
              help="What was metered or heard; may be repeated.")
@click.option("--seen-in", "listed", type=click.Path(path_type=Path, exists=True, dir_okay=False), default=None,
              help="A text file with one such line for each thing seen; # begins a comment.")
@click.option("--results", type=click.Path(path_type=Path, exists=True, dir_okay=False), default=None,
              help="A results file (diagramgen readings): what was metered at the plug is taken from it.")
@click.option("--output", "at", default="", metavar="JACK[.ring]",
              help="The output it was metered and heard at; else the tip of the first jack.")
@click.option("--ask", is_flag=True, help="Ask for one measurement at a time until the fault is found.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
def fault(
    build: Path, lines: tuple[str, ...], listed: Path | None, results: Path | None, at: str, ask: bool,
    as_json: bool, own: Path | None,
) -> None:
    """Rank the single faults of BUILD that explain what was seen, and say what to measure next.

    WHERE is a position (controls that are not named stand at their first one), a knob, a switch, the jack, a pickup, a
    part with metal, or two lugs; WHAT is a reading at the plug, or how it sounds (silent, weak, thin, dull, hums,
    crackles, right, and other words of the shop, several with commas); of a control: dead, works, scratchy, loose; of
    metal and lugs: joined or open.

    \b
    Examples:
      diagramgen fault my.yaml --seen "selector=up: 7.9k" --seen "selector=down: open"
      diagramgen fault my.yaml --seen "selector=up, volume=0: 240k" --seen "volume: stuck"
      diagramgen fault my.yaml --seen "middle: thin, weak" --seen "neck: no sound" --seen "volume: scratchy"
      diagramgen fault my.yaml --seen "strings: open" --seen "neck.finish to selector.up: joined"
      diagramgen fault my.yaml --ask
    """
    from diagramgen.console.arguments import output_named, read
    from diagramgen.console.typed_observations import lines_of, seen_at
    from diagramgen.diagnosis.posterior import groups
    from diagramgen.features.faults.compute import find, simulated
    from diagramgen.features.faults.export import finding_dict
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.errors import NotAvailable

    say = Diagnostics({})
    made, checksum = read(build, own, say)
    problems = say.sorted()
    if made is None or say.has_errors:
        if as_json:
            click.echo(json.dumps({"problems": _problems(problems)}, indent=2, ensure_ascii=False))
        else:
            report_problems(problems)
        sys.exit(HAS_ERRORS)
    try:
        run = simulated(made, output_named(made, at))
    except NotAvailable as reason:
        raise click.ClickException(str(reason)) from None
    observations = seen_at((*lines, *lines_of(listed)), results, run.wiring)
    numbers = groups(run)
    found = find(run, observations, numbers)
    if ask:
        _ask(found, run, observations, numbers)
    elif as_json:
        click.echo(json.dumps({"file_check": checksum} | finding_dict(found), indent=2, ensure_ascii=False))
    else:
        for line in _text(found):
            click.echo(line)


def _problems(problems: tuple[Problem, ...]) -> list[dict[str, Any]]:
    from diagramgen.console.report import problem_dict

    return [problem_dict(p) for p in problems]


def _text(found: Finding) -> Iterator[str]:
    """The finding as text."""
    from diagramgen.circuit.outputs import outputs
    from diagramgen.features.faults.export import taken_in_phase

    run = found.judged.run
    yield (f"{len(run.faults) - 1} single faults in {counted(len(run.wiring.states), 'state')}; "
           f"{counted(len(found.judged.observations), 'thing')} seen")
    others = [one for one in outputs(run.wiring.build) if one != run.wiring.output]
    if others:
        yield (f"seen at {run.wiring.output.says}; what was seen at "
               f"{' or '.join(one.says for one in others)}: --output {others[0].named}")
    yield found.verdict
    if run.wiring.taken:
        yield ("Taken, since nobody metered them: in phase where nothing is wrong: "
               f"{', '.join(taken_in_phase(found))}.")
    for warning in found.warnings:
        yield f"! {warning}"
    for misfit in found.misfits:
        yield f"! does not fit the likeliest: {misfit}"
    if found.judged.observations:
        for place, group in enumerate(found.groups[:LISTED], start=1):
            yield ""
            yield f"{place}. {_percent(group.probability)}"
            for number, probability in group.faults[:NAMED]:
                yield f"   - {found.fault(number).words}" + (f" ({_percent(probability)})" if len(group.faults) > 1
                                                             else "")
            if len(group.faults) > NAMED:
                yield f"   ... and {len(group.faults) - NAMED} more"
            if group.telling:
                yield f"   told apart by: {'; '.join(group.telling)}"
        if found.judged.outside > 0.01:
            yield ""
            yield f"   two faults, or one that is not in the list: {_percent(found.judged.outside)}"
    if found.question is not None:
        yield ""
        yield from _asked(found, found.question)


def _asked(found: Finding, question: Question) -> Iterator[str]:
    yield f"next: {question.words}"
    for answer in question.answers[:6]:
        names = [found.fault(i).words for i in answer.faults[:2]]
        more = len(answer.faults) - len(names)
        yield f"   {answer.words}: {'; '.join(names)}" + (f"; {more} more" if more else "")


def _percent(share: float) -> str:
    return "under 1 %" if share < 0.01 else f"{round(100 * share)} %"


def _ask(found: Finding, run: FaultRun, observations: list[Observation], numbers: Any) -> None:
    """One question at a time; an empty line ends it."""
    from diagramgen.diagnosis.observations import BadObservation, answered
    from diagramgen.features.faults.compute import find

    while found.question is not None and not _done(found):
        click.echo(found.verdict)
        for line in _asked(found, found.question):
            click.echo(line)
        typed = click.prompt("what it shows (empty: no more)", default="", show_default=False).strip()
        if not typed:
            break
        try:
            observations.append(answered(typed, found.question.answers[0].observation))
        except BadObservation as reason:
            click.echo(f"{reason.message}. {reason.remedy}")
            continue
        found = find(run, observations, numbers)
    click.echo("")
    for line in _text(found):
        click.echo(line)


def _done(found: Finding) -> bool:
    return bool(found.groups and found.groups[0].faults and found.groups[0].faults[0][1] > 0.95)
