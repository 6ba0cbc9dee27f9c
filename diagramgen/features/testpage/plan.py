"""What to check with the meter before the instrument is closed: switches alone, grounds, readings by position."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.coil_words import heard_words
from diagramgen.circuit.dc_readings import Reading, alone, read, without
from diagramgen.circuit.grounding import Grounded, grounded
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import NetlistTemplate, template_of
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.one_output import each_output, heard_at
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.connections import grounded_through, is_strings, string_reading
from diagramgen.circuit.state_table import StateResult, StateTable, state_table
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import elements_of, knobs_of, source_name
from diagramgen.job.words import lug_word
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.library.model import Metal
from diagramgen.model.build import Build, Part

# What a reading at the plug that is not the right one means in this very circuit: 0 ohm, open, the pot's value.

NAMED = 3
"""Positions named in one sentence; beyond, how many more."""
LOST = 4
"""States at most of which it is said what one lost coil does."""


def odd_readings(found: StateTable, rows: Sequence[PlugReading] = ()) -> Iterator[str]:
    """Sentences on the readings at a chart's first output, knobs at 10, and at 0 where ``rows`` ask for them."""
    plugged = [r for r in found.results if r.plug == "mono" and not found.space.momentary(r.first)]
    for why in dict.fromkeys(r.reading.why for r in plugged if r.reading.kind == "not meaningful"):
        yield f"No ohm test at this plug: {why}."
    metered = [r for r in plugged if r.reading.kind != "not meaningful"]
    if not metered:
        return
    yield from _short(found, metered, rows)
    here = template_of(found.build, found.knobs)
    lifted: dict[str, list[StateResult]] = {}
    for result in metered:
        reading = _at(found, without(here), result)
        if reading != result.reading:
            lifted.setdefault("" if reading.kind == "open" else _about(reading), []).append(result)
    yield _open(found, metered, lifted)
    for about, results in lifted.items():
        if about and about != "0 Ω":
            yield (f"About {about} at 10 {_where(found, results, metered)}: that is the pots alone. No coil reaches "
                   f"the plug: {_can_be_open(found, metered)} is open.")
    yield from _lost(found, here, metered)


def _can_be_open(found: StateTable, metered: Sequence[StateResult]) -> str:
    """What lies between coil and plug in this build."""
    links = [" or its series link"] if any("+" in r.sound.network for r in metered) else []
    switches = [" or a contact of a switch"] if any(d.kind != "plug" for d in found.space.switches) else []
    return "".join(["a pickup's lead", *links, *switches])


def _short(found: StateTable, metered: Sequence[StateResult], rows: Sequence[PlugReading]) -> Iterator[str]:
    zero = [r for r in metered if r.reading.ohms == 0]
    also = f", but {_where(found, zero, metered)}, where it is right" if zero else ""
    yield (f"0 Ω with knobs at 10{also}: hot touches ground. Look for a whisker, a braid on a hot lug, a lug on its "
           "case.")
    at_zero = [r.at_zero for r in rows if r.at_zero is not None and r.at_zero.kind == "value"]
    if at_zero and all(r.ohms == 0 for r in at_zero):
        yield "0 Ω with knobs at 0 is right here. More: the 0 end of a volume has lost its way to ground."
    elif any(r.ohms for r in at_zero):
        yield "With knobs at 0 this plug reads a track, not 0 Ω (see the column): the volumes do not ground the output."


def _open(found: StateTable, metered: Sequence[StateResult], lifted: dict[str, list[StateResult]]) -> str:
    right = [r for r in metered if r.reading.kind == "open"]
    also = f", but {_where(found, right, metered)}, where it is right" if right else ""
    lost = (f" {_where(found, lifted[''], metered).capitalize()} also a lost pickup: no pot lies across it."
            if "" in lifted else "")
    return f"Open{also}: the hot or the ground lead of the jack is off, or the plug is not home.{lost}"


def _lost(found: StateTable, here: NetlistTemplate, metered: Sequence[StateResult]) -> Iterator[str]:
    """Where several coils sound at once: what the meter shows when one of them is lost."""
    said = 0
    for result in metered:
        coils = [h.coil for h in result.sound.sounding if not h.weak]
        if len(coils) < 2 or "||" not in result.sound.network or said == LOST or result.reading.ohms is None:
            continue
        shown = [_at(found, without(here, {coil}), result) for coil in coils]
        highs = [r.ohms for r in shown if r.ohms is not None]
        if len(highs) < len(coils) or min(highs) < 1.15 * result.reading.ohms:
            continue
        said += 1
        band = dict.fromkeys(quantity(ohm, RESISTANCE, 2) for ohm in (min(highs), max(highs)))
        yield (f"About {' to '.join(band)} instead of {quantity(result.reading.ohms, RESISTANCE)} "
               f"{_where(found, [result], ())}: one of the coils is lost.")


def _at(found: StateTable, here: NetlistTemplate, result: StateResult) -> Reading:
    """The reading at the plug in a state of a changed circuit."""
    output = found.outputs[0]
    classes = classes_of(here, found.space.switches, found.space.numbers(result.first))
    return read(here, classes, output.lug, output.sleeve)


def _about(reading: Reading) -> str:
    if not reading.ohms or reading.low is None or reading.high is None:
        return "0 Ω"
    low, high = (quantity(ohm, RESISTANCE, 2) for ohm in (reading.low, reading.high))
    return f"{quantity(reading.ohms, RESISTANCE)} ({low} to {high})"


def _where(found: StateTable, some: Sequence[StateResult], every: Collection[StateResult]) -> str:
    """``in every position``, or those that are meant."""
    if len(some) == len(every):
        return "in every position" if len(every) > 1 else "here"
    named = [words(found.space.state(r.first), found.space) for r in some[:NAMED]]
    more = f" and {len(some) - NAMED} more" if len(some) > NAMED else ""
    return "in " + "; ".join(named) + more


@dataclass(frozen=True)
class Closure:
    """One position of a switch on its own, out of the circuit: which lugs must read under 1 ohm."""

    part: str
    position: str
    joined: tuple[str, ...]
    """``a common = a 1 = a 2``."""
    apart: str
    """Lugs that must be joined to none."""
    check: str


@dataclass(frozen=True)
class GroundCheck:
    """A piece of metal against the plug's sleeve."""

    what: str
    expected: str


@dataclass(frozen=True)
class PlugReading:
    """The readings at the plug of an output in a state, all knobs at 10 and all at 0."""

    state: str
    sounds: str
    at_ten: Reading
    at_zero: Reading | None
    output: Output


@dataclass(frozen=True)
class Alone:
    """A pickup's coil metered with one of its leads lifted; None where ohms say nothing (a contact transducer)."""

    source: str
    ends: tuple[str, str]
    """``part.lug``."""
    reading: Reading | None


def closures(build: Build) -> Iterator[Closure]:
    """The closure table of every switch of the build, position by position."""
    for part in build.parts.values():
        for table in part.symbol.contacts:
            control = part.symbol.control(table.control)
            if control is None or control.kind == "plug":
                continue
            lugs = list(dict.fromkeys(n for row in table.rows for join in row.joins for n in join))
            says = dict(zip(control.positions, control.words, strict=True))
            for row in table.rows:
                if row.between is not None:
                    continue
                used = {n for join in row.joins for n in join}
                name = part.says if len(part.symbol.contacts) == 1 else f"{part.says}, {table.control}"
                yield Closure(
                    name,
                    says.get(row.position, row.position),
                    tuple(" = ".join(_word(part, n) for n in join) for join in row.joins),
                    ", ".join(_word(part, n) for n in lugs if n not in used),
                    table.check,
                )


def _word(part: Part, lug: str) -> str:
    return part.symbol.lug_words.get(lug, lug)


def ground_checks(build: Build) -> Iterator[GroundCheck]:
    """Strings and every metal part against the sleeve, plug in; paint is not foil, a network is not a wire."""
    found = jacks(build)
    if not found:
        return
    graph = connect(build)
    here = template_of(build)
    none = classes_of(here, (), ())
    for one in grounded(build):
        part, metal = one.part, one.metal
        if metal_node(part.name, metal.name) not in graph.nodes:
            continue
        own = part in found and "sleeve" in metal.lugs
        what = (f"bush of {part.says}" if own else metal.name if is_strings(part, metal) else
                f"{metal.name} of {part.says}")
        if any(v == "paint" for v in (part.values.get("sheet"), _typical(part, "sheet"))):
            yield GroundCheck(what, "0.1 to 2 kΩ across paint; it does not beep")
        elif one.sure:
            yield GroundCheck(what, "under 1 Ω after the meter's leads are taken off" + _which(build, one))
        elif one.perhaps:
            yield GroundCheck(what, "under 1 Ω if its nut makes contact; if not, run a wire")
        elif metal.lugs and is_strings(part, metal):
            yield GroundCheck(what, string_words(build, part, metal))
        elif metal.lugs:
            yield GroundCheck(what, _reading_words(read(here, none, f"{part.name}.{metal.lugs[0]}",
                                                        f"{found[0].name}.sleeve")))


def _which(build: Build, one: Grounded) -> str:
    """To which plug, where the grounds of several jacks are apart."""
    if not one.without:
        return ""
    return f", to the plug of {' and '.join(build.parts[name].says or name for name in one.sure)}"


def string_words(build: Build, part: Part, metal: Metal) -> str:
    """What strings to sleeve must read where no plain wire grounds them."""
    if not grounded_through(build, part, metal):
        return "open: it is joined to no ground"
    return (f"{string_reading(build, part, metal)}: a network lies in the string wire; "
            "touching the strings quiets less; no safety promised")


def _typical(part: Part, name: str) -> object:
    value = part.symbol.values.get(name)
    return value.value if value else None


def _reading_words(reading: Reading) -> str:
    from diagramgen.kernel.units import RESISTANCE, quantity

    if reading.kind == "value" and reading.ohms is not None:
        return f"about {quantity(reading.ohms, RESISTANCE)}: it is joined through parts, not by a wire"
    return "open: it is joined to no ground"


def plug_readings(found: StateTable) -> Iterator[PlugReading]:
    """Each network of each output once with its plug in, knobs at 10 and at 0; ``found`` has its knobs at rest."""
    zero = state_table(found.build, dict.fromkeys(knobs_of(found.build), 0.0))
    for own in each_output(found):
        yield from _plug_readings(own, heard_at(zero, own.outputs[0]))


def _plug_readings(found: StateTable, zero: StateTable) -> Iterator[PlugReading]:
    said: set[tuple[object, ...]] = set()
    for index in range(found.count):
        result: StateResult = found.result(index)
        if result.plug != "mono" or found.space.momentary(index):
            continue
        other = zero.result(index).reading if index < zero.count else None
        key = (int(found.of_state[index]), other)
        if key in said:
            continue
        said.add(key)
        sounding = heard_words(result.at(found.outputs[0]), found.build)
        yield PlugReading(words(found.space.state(index), found.space), sounding, result.reading, other,
                          found.outputs[0])


def pickups_alone(build: Build) -> Iterator[Alone]:
    """Every coil by itself, one of its leads lifted: all that ohms can tell where a board or battery lies behind."""
    for part, element in elements_of(build, "coil", "transducer"):
        ends = tuple(f"{part.name}.{lug}" for lug in element.ends.values())
        reading = alone(part, element) if element.kind == "coil" else None
        yield Alone(source_name(part, element), (ends[0], ends[1]), reading)


def lug_in_words(build: Build, key: str) -> str:
    """``part.lug`` as the shop says it, with the colour of a pickup's conductor."""
    part, _, lug = key.partition(".")
    found = jacks(build)
    if len(found) == 1 and found[0].name == part and lug in ("tip", "sleeve"):
        return f"plug's {lug}"
    if len(found) > 1 and lug in ("tip", "ring", "sleeve") and part in {jack.name for jack in found}:
        return f"{lug} of the plug in {build.parts[part].says}"
    colour = build.parts[part].colours.get(lug)
    return f"{build.parts[part].says} {lug_word(build, part, lug)}" + (f" ({colour.short})" if colour else "")
