"""What a reading at the plug that is not the right one means in this very circuit: 0 ohm, open, the pot's value.

Nothing here is said of circuits in general: each sentence rests on the circuit solved with its coils lifted off.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from diagramgen.circuit.chart import Chart, Result
from diagramgen.circuit.network import Frame, frame
from diagramgen.circuit.readings import Reading, read, without
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.wanted import words
from diagramgen.units import RESISTANCE, quantity
from diagramgen.work.testplan import PlugReading

NAMED = 3
"""Positions named in one sentence; beyond, how many more."""
LOST = 4
"""States at most of which it is said what one lost coil does."""


def odd_readings(found: Chart, rows: Sequence[PlugReading] = ()) -> Iterator[str]:
    """Sentences on the readings at a chart's first output, knobs at 10, and at 0 where ``rows`` ask for them."""
    plugged = [r for r in found.results if r.plug == "mono" and not found.space.momentary(r.first)]
    for why in dict.fromkeys(r.reading.why for r in plugged if r.reading.kind == "not meaningful"):
        yield f"No ohm test at this plug: {why}."
    metered = [r for r in plugged if r.reading.kind != "not meaningful"]
    if not metered:
        return
    yield from _short(found, metered, rows)
    here = frame(found.build, found.knobs)
    lifted: dict[str, list[Result]] = {}
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


def _can_be_open(found: Chart, metered: Sequence[Result]) -> str:
    """What lies between coil and plug in this build."""
    links = [" or its series link"] if any("+" in r.sound.network for r in metered) else []
    switches = [" or a contact of a switch"] if any(d.kind != "plug" for d in found.space.digits) else []
    return "".join(["a pickup's lead", *links, *switches])


def _short(found: Chart, metered: Sequence[Result], rows: Sequence[PlugReading]) -> Iterator[str]:
    zero = [r for r in metered if r.reading.ohms == 0]
    also = f", but {_where(found, zero, metered)}, where it is right" if zero else ""
    yield (f"0 Ω with knobs at 10{also}: hot touches ground. Look for a whisker, a braid on a hot lug, a lug on its "
           "case.")
    at_zero = [r.at_zero for r in rows if r.at_zero is not None and r.at_zero.kind == "value"]
    if at_zero and all(r.ohms == 0 for r in at_zero):
        yield "0 Ω with knobs at 0 is right here. More: the 0 end of a volume has lost its way to ground."
    elif any(r.ohms for r in at_zero):
        yield "With knobs at 0 this plug reads a track, not 0 Ω (see the column): the volumes do not ground the output."


def _open(found: Chart, metered: Sequence[Result], lifted: dict[str, list[Result]]) -> str:
    right = [r for r in metered if r.reading.kind == "open"]
    also = f", but {_where(found, right, metered)}, where it is right" if right else ""
    lost = (f" {_where(found, lifted[''], metered).capitalize()} also a lost pickup: no pot lies across it."
            if "" in lifted else "")
    return f"Open{also}: the hot or the ground lead of the jack is off, or the plug is not home.{lost}"


def _lost(found: Chart, here: Frame, metered: Sequence[Result]) -> Iterator[str]:
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


def _at(found: Chart, here: Frame, result: Result) -> Reading:
    """The reading at the plug in a state of a changed circuit."""
    output = found.outputs[0]
    classes = classes_of(here, found.space.digits, found.space.numbers(result.first))
    return read(here, classes, output.lug, output.sleeve)


def _about(reading: Reading) -> str:
    if not reading.ohms or reading.low is None or reading.high is None:
        return "0 Ω"
    low, high = (quantity(ohm, RESISTANCE, 2) for ohm in (reading.low, reading.high))
    return f"{quantity(reading.ohms, RESISTANCE)} ({low} to {high})"


def _where(found: Chart, some: Sequence[Result], every: Collection[Result]) -> str:
    """``in every position``, or those that are meant."""
    if len(some) == len(every):
        return "in every position" if len(every) > 1 else "here"
    named = [words(found.space.state(r.first), found.space) for r in some[:NAMED]]
    more = f" and {len(some) - NAMED} more" if len(some) > NAMED else ""
    return "in " + "; ".join(named) + more
