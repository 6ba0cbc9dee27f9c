"""``identify``: which conductor of a pickup's cable is which, from a meter."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.completion import complete_part
from diagramgen.console.report import HAS_ERRORS, report_problems
from diagramgen.kernel.brief import counted

if TYPE_CHECKING:
    from diagramgen.features.identify.compute import Orders, Sorted
    from diagramgen.features.identify.model import Pickup
    from diagramgen.features.identify.observations import Metering
    from diagramgen.model.build import Build


@click.command()
@click.argument("build", type=click.Path(path_type=Path), required=False)
@click.argument("part", required=False, shell_complete=complete_part)
@click.option("--symbol", "kind", default=None, metavar="NAME", help="The kind of pickup, where there is no build yet.")
@click.option("--conductors", default="", metavar="RED,WHITE,...",
              help="The colours that come out of the cable, as seen; bare is one of them.")
@click.option("--metered", "lines", multiple=True, metavar="WHERE: WHAT", help="What the meter says; may be repeated.")
@click.option("--metered-in", "listed", type=click.Path(path_type=Path, exists=True, dir_okay=False), default=None,
              help="A text file with one such line for each measurement; # begins a comment.")
@click.option("--ask", is_flag=True, help="Ask for one measurement at a time.")
@click.option("--write", is_flag=True, help="Write the colours into BUILD where every conductor is settled.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def identify(
    build: Path | None, part: str | None, kind: str | None, conductors: str, lines: tuple[str, ...],
    listed: Path | None, ask: bool, write: bool, as_json: bool,
) -> None:
    """Name the conductors of a pickup from readings between them, and say what to measure next.

    Give BUILD and the PART in it, or --symbol. The pickup must be off the circuit, its conductors apart.

    \b
    Examples:
      diagramgen identify --symbol dual-coil --conductors red,white,green,black,bare
      diagramgen identify my.yaml neck --conductors red,white,green,black,bare --metered "red to white: 4.1k"
      diagramgen identify my.yaml neck --metered "kick white to red: plus" --metered "magnet slug: south"
      diagramgen identify my.yaml neck --metered "tap red to white: slug" --metered "bare to cover: joined" --write
    """
    from diagramgen.console.typed_observations import lines_of
    from diagramgen.features.identify.compute import orders_of, sort

    made, pickup, known = _subject(build, part, kind)
    colours = _colours(conductors, known, pickup)
    orders = orders_of(pickup)
    metered = _metered((*lines, *lines_of(listed)), colours, pickup)
    found = sort(orders, metered, colours)
    if ask:
        found = _ask(orders, metered, colours, found)
    if as_json:
        click.echo(json.dumps(_json(found, colours), indent=2, ensure_ascii=False))
    else:
        for line in _text(found, colours, metered):
            click.echo(line)
    if write:
        _write(build, part, made, found, colours)


def _subject(build: Path | None, part: str | None, kind: str | None) -> tuple[Build | None, Pickup, tuple[str, ...]]:
    """(the build where one is given, the pickup, colours known from the build)."""
    from diagramgen.console.arguments import read
    from diagramgen.features.identify.model import pickup_of
    from diagramgen.kernel.diagnostics import Diagnostics, nearest
    from diagramgen.library import catalogue

    if build is None:
        if kind is None:
            raise click.UsageError("name a build and a part of it, or a kind of pickup with --symbol dual-coil")
        known = catalogue.shipped()
        if kind not in known:
            raise click.BadParameter(f"there is no symbol '{kind}'. {nearest(kind, known)}")
        symbol, values = known[kind], {}
        own: tuple[str, ...] = ()
    else:
        say = Diagnostics({})
        made, _ = read(build, None, say)
        if made is None:
            report_problems(say.sorted())
            sys.exit(HAS_ERRORS)
        if part is None or part not in made.parts:
            pickups = [n for n, p in made.parts.items() if any(e.kind == "coil" for e in p.symbol.elements)]
            raise click.BadParameter(f"there is no part '{part or ''}' in {build}. {nearest(part or '', pickups)}")
        placed = made.parts[part]
        symbol, values = placed.symbol, dict(placed.values)
        own = tuple(c.word for c in placed.colours.values())
        try:
            return made, pickup_of(symbol, values), own
        except ValueError as reason:
            raise click.BadParameter(str(reason)) from None
    try:
        return None, pickup_of(symbol, values), own
    except ValueError as reason:
        raise click.BadParameter(str(reason)) from None


def _colours(typed: str, known: Sequence[str], pickup: Pickup) -> tuple[str, ...]:
    from diagramgen.kernel.colours import parse_colour

    words = [" ".join(w.lower().split()) for w in typed.split(",") if w.strip()] or list(known)
    for word in words:
        try:
            parse_colour(word)
        except ValueError as reason:
            raise click.BadParameter(f"{reason}. Write plain colours: red,white,green,black,bare") from None
    if len(set(words)) != len(words):
        raise click.BadParameter("two conductors of one colour cannot be told apart in words: mark one (white/black)")
    if len(words) != len(pickup.lugs):
        lugs = ", ".join(pickup.lugs)
        raise click.BadParameter(f"this kind has {len(pickup.lugs)} conductors ({lugs}), and {len(words)} colours are "
                                 "named. Give them with --conductors red,white,...")
    return tuple(words)


def _metered(lines: Sequence[str], colours: Sequence[str], pickup: Pickup) -> list[Metering]:
    from diagramgen.features.identify.observations import BadMetering, read_metering

    found = []
    for line in lines:
        try:
            found.append(read_metering(line, colours, pickup))
        except BadMetering as reason:
            raise click.BadParameter(f"{reason} (in '{line}')") from None
    return found


def _text(found: Sorted, colours: Sequence[str], metered: Sequence[Metering]) -> Iterator[str]:
    yield counted(len(metered), "measurement")
    for name in found.names:
        sure = "" if name.probability >= 0.95 else f"   not settled ({round(100 * name.probability)} %)"
        yield f"  {name.lug:10} {colours[name.conductor]}{sure}"
    for warning in found.warnings:
        yield f"! {warning}"
    if found.question is not None and not found.sure:
        yield f"next: {found.question.words}"
    if found.sure:
        yield "Every conductor is settled. Kick, magnet and coil stand for this pickup alone: mark the cable."


def _json(found: Sorted, colours: Sequence[str]) -> dict[str, Any]:
    question = found.question
    return {
        "conductors": [{"lug": n.lug, "colour": colours[n.conductor], "probability": round(n.probability, 4)}
                       for n in found.names],
        "settled": found.sure,
        "fault": found.fault or None,
        "warnings": list(found.warnings),
        "next": None if question is None or found.sure else {"measure": question.words,
                                                             "bits": round(question.bits, 3)},
    }


def _ask(orders: Orders, metered: list[Metering], colours: Sequence[str], found: Sorted) -> Sorted:
    """One question at a time; an empty line ends it."""
    from diagramgen.features.identify.compute import sort
    from diagramgen.features.identify.observations import BadMetering, answered

    while found.question is not None and not found.sure:
        click.echo(f"next: {found.question.words}")
        typed = click.prompt("what it shows (empty: no more)", default="", show_default=False).strip()
        if not typed:
            break
        question = found.question
        try:
            metered.append(answered(typed, question.kind, (question.one, question.other), orders.pickup))
        except BadMetering as reason:
            click.echo(str(reason))
            continue
        found = sort(orders, metered, colours)
    return found


def _write(build: Path | None, part: str | None, made: Build | None, found: Sorted, colours: Sequence[str]) -> None:
    from diagramgen.console.edit_in_place import bytes_of, write_back
    from diagramgen.edit.set_colours import coloured_bytes

    if build is None or part is None or made is None:
        raise click.UsageError("--write needs the build and the part to write into")
    if not found.sure:
        raise click.UsageError("nothing was written: not every conductor is settled yet")
    old = bytes_of(build)
    if old is None:
        raise click.UsageError(f"nothing was written: {build} cannot be read any more")
    try:
        data = coloured_bytes(old, part, {n.lug: colours[n.conductor] for n in found.names})
    except KeyError:
        raise click.UsageError(f"nothing was written: '{part}' is not written in {build} itself") from None
    write_back(build, old, data)
    click.echo(f"written into {build}: colours of {part}", err=True)
