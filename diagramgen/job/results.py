"""Readings taken on the bench, held against what the circuit must give; and the empty file to fill in.

The band is the one the test page prints, rounded as it is printed there, so that paper and verdict never differ.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import states_of, words
from diagramgen.circuit.dc_readings import SHORT, Reading, read
from diagramgen.circuit.measured_values import slipped
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.one_output import heard_at
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.connections import is_strings
from diagramgen.circuit.state_table import StateTable, state_table
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import knobs_of
from diagramgen.job.codes import REC_506, REC_507, REC_508, REC_509, REC_510, REC_511
from diagramgen.job.output_words import at_words
from diagramgen.job.verdict import Verdict
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.units import RESISTANCE, number, quantity
from diagramgen.model.build import Build, Wanted
from diagramgen.model.output_names import output_of
from diagramgen.model.results import AtPlug, Results
from diagramgen.reader.wanted import position_of
from diagramgen.yamlfile.schema_fields import Located

INSIDE, OUTSIDE, NOTHING = "inside", "outside", "not meaningful"
GROUND = 1.0
"""Ohm a plain joint may read after the meter's leads are taken off (common practice, no source)."""
OPEN_FROM = 10e6
"""Ohm from which a reading is taken for open: damp hands and flux read so (common practice, no source)."""
CURRENT_SHARE = 2.0
"""A battery's current may be this many times what the boards are said to take, or its share (common practice)."""
FIGURES = 3
TINY = 1e-9
"""What two machines may differ by in one figure."""
KEYS = ("when", "at", "ohms", "at zero", "heard", "note")


def band_words(reading: Reading) -> str:
    """Say in words what a meter may read: ``7.1 kΩ to 8.3 kΩ``, ``open``, ``under 1 Ω``, ``no ohm test``."""
    if reading.kind == "open":
        return "open"
    if reading.ohms is None or reading.low is None or reading.high is None:
        return "no ohm test"
    if reading.ohms == 0:
        return "under 1 Ω"
    return f"{quantity(reading.low, RESISTANCE)} to {quantity(reading.high, RESISTANCE)}"


def reading_words(ohms: float | None) -> str:
    """A metered value as it is printed."""
    if ohms is None or math.isinf(ohms):
        return "" if ohms is None else "open"
    return quantity(ohms, RESISTANCE) if ohms >= 1 else f"{number(ohms, 2)} Ω"


def current_words(ampere: float) -> str:
    """A battery's current as a meter shows it."""
    return f"{number(ampere * 1000, 2)} mA"


def verdict_of(ohms: float, expected: Reading) -> str:
    """Whether a reading lies in the printed band."""
    if expected.kind == "open":
        return INSIDE if ohms >= OPEN_FROM else OUTSIDE
    if expected.ohms is None or expected.low is None or expected.high is None:
        return NOTHING
    if expected.ohms == 0:
        return INSIDE if ohms <= GROUND else OUTSIDE
    low, high = _rounded(expected.low), _rounded(expected.high)
    return INSIDE if low * (1 - TINY) <= ohms <= high * (1 + TINY) else OUTSIDE


def _rounded(ohms: float) -> float:
    """A bound as it is printed, to three figures."""
    if ohms <= 0:
        return 0.0
    place = FIGURES - 1 - math.floor(math.log10(ohms) + 1e-9)
    return math.floor(ohms * 10.0**place + 0.5 + 1e-9) / 10.0**place


@dataclass(frozen=True)
class _Row:
    """What is expected in one position."""

    says: str
    sounds: str
    ten: Reading
    zero: Reading | None


def judged(found: StateTable, results: Results, say: Diagnostics) -> tuple[Verdict, ...]:
    """Every reading entered, in the order of the file, with its verdict; what is wrong is said at its place."""
    zero = state_table(found.build, dict.fromkeys(knobs_of(found.build), 0.0))
    result: list[Verdict] = []
    for one in results.plug:
        output = _output(found, one, say)
        row = _row(heard_at(found, output), heard_at(zero, output), one, say) if output is not None else None
        if row is None:
            continue
        result.append(_judge(row.says, one.ten, row.ten, say, row.sounds, one))
        if row.zero is not None and one.zero is not None:
            result.append(_judge(f"{row.says}, knobs at 0", one.zero, row.zero, say))
    result += _strings(found.build, results, say)
    result += _battery(found, results, say)
    return tuple(result)


def check_results(found: StateTable, results: Results, job: str, say: Diagnostics) -> tuple[Verdict, ...]:
    """As ``judged``; also says where the file is of another job."""
    if results.job is not None and job and results.job.value != job:
        say.add(REC_506, results.job.place, f"these readings are of the job '{results.job.value}'; the build is of "
                f"'{job}'")
    return judged(found, results, say)


def _output(found: StateTable, one: AtPlug, say: Diagnostics) -> Output | None:
    """The output a reading was taken at; None after a problem was said."""
    if one.at is None:
        return found.outputs[0]
    lug = output_of(one.at.value, one.at.place, found.build.parts, say)
    output = next((output for output in found.outputs if output.lug == lug), None)
    if lug is not None and output is None:
        say.add(REC_507, one.at.place, f"no signal comes to '{one.at.value}', so nothing is metered there",
                f"Name one of: {', '.join(output.lug for output in found.outputs)}.")
    return output


def _row(found: StateTable, zero: StateTable, one: AtPlug, say: Diagnostics) -> _Row | None:
    """The one expectation for a position; None after a problem was said."""
    when: dict[str, str] = {}
    for key, given in one.when.items():
        position = position_of(key, given, found.build.parts, say, KEYS)
        if position is None:
            return None
        when[position[0]] = position[1]
    output = found.outputs[0]
    indices = [i for i in states_of(found.space, Wanted(when, "", "", "", one.place, output.lug))
               if found.result(i).plug == "mono"]
    rows = {_key(found, zero, i): i for i in reversed(indices)}
    if not rows:
        say.add(REC_507, one.place, "no position is like this", "Check the controls named.")
        return None
    if len(rows) > 1 and (one.ten is not None or one.zero is not None):
        free = [d.keys[0] for d in found.space.switches if d.kind == "switch" and not set(when) & set(d.names(0))]
        say.add(REC_507, one.place, "this names more than one position, and they read differently",
                f"Say where these stood: {', '.join(free)}." if free else "Name every control.")
        return None
    index = min(rows.values())
    result = found.result(index)
    at_zero = zero.result(index).reading if index < zero.count else None
    says = ", ".join(f"{k} {v}" for k, v in when.items()) or words(found.space.state(index), found.space)
    says += f", {at_words(found.build, output.lug)}" if one.at is not None else ""
    return _Row(says, result.sound.network, result.reading, at_zero)


def _key(found: StateTable, zero: StateTable, index: int) -> tuple[object, ...]:
    other = zero.result(index).reading if index < zero.count else None
    return (found.result(index).reading, other)


def _judge(
    what: str, given: Located[float] | None, expected: Reading, say: Diagnostics, sounds: str = "",
    one: AtPlug | None = None,
) -> Verdict:
    verdict = "" if given is None else verdict_of(given.value, expected)
    if given is not None and verdict == OUTSIDE:
        _outside(what, given, expected, say)
    if given is not None and verdict == NOTHING:
        say.add(REC_509, given.place, f"{what}: an ohm figure means nothing here: {expected.why or 'no ohm test'}")
    heard, note = (one.heard, one.note) if one is not None else ("", "")
    return Verdict(what, band_words(expected), reading_words(None if given is None else given.value), verdict, sounds,
                   heard, note)


def _outside(what: str, given: Located[float], expected: Reading, say: Diagnostics) -> None:
    told = f"{what}: {reading_words(given.value)} was metered, {band_words(expected)} is expected"
    if expected.ohms and slipped(given.value, expected.ohms):
        say.add(REC_510, given.place, f"{told}: about 1000 times off, so the letter may be wrong, k for M or none "
                "for k")
        return
    again = ("Meter again with the plug in; then look at the joints of the lead to the bridge."
             if what.startswith("strings ") else
             "Meter again with the knobs at 10 and the plug in; then look at the joints of this position.")
    say.add(REC_508, given.place, told, f"{again} Nothing leaves the bench with a reading outside its band.")


def string_expectation(build: Build) -> Reading | None:
    """Work out what the meter must read from the strings to the first jack's sleeve, every contact left open.

    Returns: a dead short where metal joins the strings to the sleeve, or may join them; else the reading through
    parts; None where the build has no strings or no jack.
    """
    found = jacks(build)
    if not found:
        return None
    sleeve = f"{found[0].name}.sleeve"
    graph, here = connect(build), template_of(build)
    for part in build.parts.values():
        for metal in part.symbol.metal:
            node = metal_node(part.name, metal.name)
            if is_strings(part, metal) and metal.lugs and node in graph.nodes:
                if graph.joined(node, sleeve, perhaps=True):
                    return SHORT
                return read(here, classes_of(here, (), ()), f"{part.name}.{metal.lugs[0]}", sleeve)
    return None


def _strings(build: Build, results: Results, say: Diagnostics) -> Iterator[Verdict]:
    expected = string_expectation(build)
    if results.strings is not None and expected is None:
        say.add(REC_511, results.strings.place, "the build says nothing of strings and their ground, so this "
                "reading is held against nothing", "Add the bridge and its ground wire to the build.")
    if expected is not None:
        yield _judge("strings to the plug's sleeve", results.strings, expected, say)


def current_expectation(found: StateTable) -> float:
    """What the battery gives with a mono plug in, A; 0 without a battery."""
    return max((r.current for r in found.results if r.plug == "mono"), default=0.0)


def _battery(found: StateTable, results: Results, say: Diagnostics) -> Iterator[Verdict]:
    expected, given = current_expectation(found), results.current
    if not expected:
        if given is not None:
            say.add(REC_511, given.place, "the build has no battery that a plug switches on, so this current is "
                    "held against nothing", "Add the battery to the build.")
        return
    low, high = expected / CURRENT_SHARE, expected * CURRENT_SHARE
    told = f"{current_words(low)} to {current_words(high)}"
    verdict = "" if given is None else INSIDE if low <= given.value <= high else OUTSIDE
    if given is not None and verdict == OUTSIDE:
        slip = slipped(given.value, expected)
        say.add(REC_510 if slip else REC_508, given.place, f"battery: {current_words(given.value)} was metered, "
                f"{told} is expected" + (": about 1000 times off, so the letter may be wrong" if slip else ""),
                "Meter in the battery's lead, on a range of mA, plug in.")
    yield Verdict("battery, plug in", told, "" if given is None else current_words(given.value), verdict)


def counted(verdicts: Iterable[Verdict]) -> str:
    """``7 readings inside, 1 outside, 2 not metered``."""
    found = list(verdicts)
    parts = []
    for word, verdict in (("inside", INSIDE), ("outside", OUTSIDE), ("not meaningful", NOTHING), ("not metered", "")):
        n = sum(v.verdict == verdict for v in found)
        if n:
            parts.append(f"{n} {word}")
    return ", ".join(parts) or "no readings"


def positions_to_meter(found: StateTable, every: bool = False) -> Sequence[int]:
    """States to meter: each circuit once as on the test page, or with ``every`` all, nothing held."""
    zero = heard_at(state_table(found.build, dict.fromkeys(knobs_of(found.build), 0.0)), found.outputs[0])
    chosen: list[int] = []
    said: set[tuple[object, ...]] = set()
    for index in range(found.count):
        if found.result(index).plug != "mono" or found.space.momentary(index):
            continue
        key = (int(found.of_state[index]), zero.result(index).reading if index < zero.count else None)
        if every or key not in said:
            chosen.append(index)
        said.add(key)
    return chosen


def place_of(results: Results) -> Location:
    """Where a results file as a whole is spoken of."""
    return Location(results.file)
