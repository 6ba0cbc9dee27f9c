"""What to check with the meter before the instrument is closed: switches alone, grounds, readings by position."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.build.model import Build, Part
from diagramgen.circuit.atoutput import each_output, heard_at
from diagramgen.circuit.chart import Chart, Result, chart
from diagramgen.circuit.coilwords import heard_words
from diagramgen.circuit.graph import connect, metal_node
from diagramgen.circuit.grounding import Grounded, grounded
from diagramgen.circuit.network import frame
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.readings import Reading, alone, read
from diagramgen.circuit.roles import jacks
from diagramgen.circuit.rules import grounded_through, is_strings, string_reading
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import elements_of, knobs_of, source_name
from diagramgen.circuit.wanted import words
from diagramgen.library.model import Metal
from diagramgen.work.words import lug_word


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
    here = frame(build)
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
    from diagramgen.units import RESISTANCE, quantity

    if reading.kind == "value" and reading.ohms is not None:
        return f"about {quantity(reading.ohms, RESISTANCE)}: it is joined through parts, not by a wire"
    return "open: it is joined to no ground"


def plug_readings(found: Chart) -> Iterator[PlugReading]:
    """Each network of each output once with its plug in, knobs at 10 and at 0; ``found`` has its knobs at rest."""
    zero = chart(found.build, dict.fromkeys(knobs_of(found.build), 0.0))
    for own in each_output(found):
        yield from _plug_readings(own, heard_at(zero, own.outputs[0]))


def _plug_readings(found: Chart, zero: Chart) -> Iterator[PlugReading]:
    said: set[tuple[object, ...]] = set()
    for index in range(found.count):
        result: Result = found.result(index)
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
