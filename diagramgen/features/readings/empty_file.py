"""The results file before it is filled in: every position, coil and check named, every value empty."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagramgen.circuit.coil_words import sound_words
from diagramgen.circuit.measured_values import loose_coils
from diagramgen.circuit.one_output import each_output
from diagramgen.circuit.state_table import StateTable
from diagramgen.job.results import band_words, current_expectation, positions_to_meter, string_expectation
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.reader.upgrade import RESULTS_FORMAT

HEAD = """\
# Readings of {what}. Fill in behind the colons; what stays empty was not metered.
# Ohms with their letter (7.81k, 250k, 1.2M), or open. Knobs at 10, blends and trimmers at 5, plug in, nothing plugged
# into the other end. Leave the names before the colons as they are.
format: {format}
job: {job}
date:
metered by:
meter:
"""


def empty_results(found: StateTable, every: bool = False) -> str:
    """The text of the file; ``every`` names all positions, also those that give the same circuit as another."""
    build = found.build
    head = HEAD.format(what=_plain(build.title or "the instrument"), format=RESULTS_FORMAT, job=_quoted(build.job))
    return "\n".join([head.rstrip(), *_coils(found), *_plug(found, every), *_rest(found)]) + "\n"


def _coils(found: StateTable) -> Iterator[str]:
    coils = list(loose_coils(found.build))
    if coils:
        yield ""
        yield "# Each coil loose, before its leads are soldered; they then count in place of the usual values."
        yield "coils:"
        yield from (f"  {name}:  # {quantity(ohms, RESISTANCE)} expected" for name, ohms in coils)


def _plug(found: StateTable, every: bool) -> Iterator[str]:
    own = list(each_output(found))
    chosen = [positions_to_meter(one, every) for one in own]
    yield ""
    yield "# At the plug, tip to sleeve. In 'heard': as it should, weak, thin, crackles, silent."
    if any(output.contact == "ring" for output in found.outputs):
        yield "# Where 'at' names a ring: a stereo plug, ring to sleeve."
    if sum(map(len, chosen)) < sum(map(_positions, own)):
        yield "# Positions that give the same circuit are named once."
    yield "plug:"
    for one, indices in zip(own, chosen, strict=True):
        yield from _at_output(one, indices, found.several)


def _at_output(found: StateTable, chosen: Sequence[int], several: bool) -> Iterator[str]:
    """The readings at one output, which is named where there are several."""
    plugs = {k for d in found.space.switches if d.kind == "plug" for k in d.keys}
    held = {k for d in found.space.switches if d.kind == "momentary" for k in d.keys}
    for index in chosen:
        result = found.result(index)
        yield f"  # {_plain(sound_words(result.sound, found.build))}; {_expected(band_words(result.reading))}"
        state = {k: v for k, v in found.space.state(index).items() if k not in plugs | held}
        lines = [f"at: {found.outputs[0].named}"] if several else []
        lines += [f"{key}: {_quoted(position)}" for key, position in state.items()]
        lines = lines or ["note:"]
        lines += (["ohms:", "at zero:"] if result.reading.kind != "not meaningful" else []) + ["heard:"]
        yield from (f"  {'-' if not i else ' '} {line}" for i, line in enumerate(lines))


def _expected(band: str) -> str:
    return "no ohm test here" if band == "no ohm test" else f"{band} expected"


def _positions(found: StateTable) -> int:
    return sum(found.result(i).plug == "mono" and not found.space.momentary(i) for i in range(found.count))


def _rest(found: StateTable) -> Iterator[str]:
    yield ""
    strings = string_expectation(found.build)
    if strings is not None:
        yield f"strings to sleeve:  # {band_words(strings)} expected; from the strings, not the bridge"
    if current_expectation(found):
        yield from ("battery current:  # in mA: 0.42 mA", "battery voltage:", "battery date:")
    yield "note:"


def _quoted(text: str) -> str:
    """A text as it must stand behind a colon."""
    plain = _plain(text)
    bare = plain and all(c.isalnum() or c in "-_./ " for c in plain) and plain[0].isalnum()
    return plain if bare or not plain else "'" + plain.replace("'", "''") + "'"


def _plain(text: str) -> str:
    return " ".join(text.split())
