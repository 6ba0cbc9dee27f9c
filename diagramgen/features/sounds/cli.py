"""``sounds``: what every state of a build gives."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.number_types import NumberIn
from diagramgen.console.report import HAS_ERRORS, problem_dict, report_problems

if TYPE_CHECKING:
    from diagramgen.circuit.dc_readings import Reading
    from diagramgen.circuit.outputs import Output
    from diagramgen.circuit.sounds import Sound
    from diagramgen.circuit.state_table import AtOutput, StateResult, StateTable
    from diagramgen.kernel.diagnostics import Problem

_Curve = dict[str, list[float]]

LISTED = 60
"""States above which the text lists each network once."""
NAMED = 12
"""Assumed values named in the text; the rest stands in the JSON."""


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--state", "states", multiple=True, metavar="CONTROL=POSITION,...", help="Only states like this.")
@click.option("--knob", "knobs", multiple=True, metavar="NAME=0..10,...",
              help="Where knobs stand; else at 10, blends and trimmers at 5.")
@click.option("--temperature", type=NumberIn(-20, 60), default=20.0, show_default=True,
              help="Of the bench in degrees C: copper reads 0.4 % more a degree.")
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
@click.option("--response", is_flag=True, help="With --json: the curve of every state.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
def sounds(
    build: Path, states: tuple[str, ...], knobs: tuple[str, ...], temperature: float, as_json: bool, response: bool,
    own: Path | None,
) -> None:
    """Say what BUILD sounds like in every state: coils, connection, phase, hum, reading at the plug, resonance.

    \b
    Examples:
      diagramgen sounds baritone.yaml
      diagramgen sounds baritone.yaml --state selector=up --knob volume=7
      diagramgen sounds baritone.yaml --json
    """
    from diagramgen.circuit.dc_readings import MeterConditions
    from diagramgen.circuit.proof import prove
    from diagramgen.console.arguments import pairs, positions, read, turns
    from diagramgen.kernel.diagnostics import Diagnostics

    say = Diagnostics({})
    made, checksum = read(build, own, say)
    found = None
    if made is not None and not say.has_errors:
        held = positions(made, pairs(states, "position"))
        meter = MeterConditions(temperature) if temperature != MeterConditions().temperature else None
        found = prove(made, say, turns(made, pairs(knobs, "knob")), dict(held), meter, mend=True)
    problems = say.sorted()
    if as_json:
        for piece in _json(found, checksum, problems, response):
            click.echo(piece, nl=False)
    else:
        report_problems(problems)
        if found is not None:
            for line in _lines(found):
                click.echo(line)
    if say.has_errors:
        sys.exit(HAS_ERRORS)


def _json(found: StateTable | None, checksum: str, problems: tuple[Problem, ...], response: bool) -> Iterator[str]:
    """One JSON object in pieces, so that many states need little memory."""
    yield '{\n  "states": ['
    if found is not None:
        curves = {i: _curves(found, r) for i, r in enumerate(found.results)} if response else {}
        for index in range(found.count):
            number = int(found.of_state[index])
            entry = _entry(found, index, found.results[number])
            if number in curves:
                entry["response"], *others = curves[number]
                for other, curve in zip(entry["other_outputs"], others, strict=True):
                    other["response"] = curve
            yield ("," if index else "") + "\n    " + json.dumps(entry, ensure_ascii=False)
    rest: dict[str, Any] = {"file_check": checksum, "problems": [problem_dict(p) for p in problems]}
    if found is not None:
        load = found.build.load
        rest |= {
            "networks": found.networks,
            "knobs": dict(found.knobs),
            "load": {"cable_pf": _round(load.cable_length / 1000 * load.cable_capacitance * 1e12, 1),
                     "amplifier_ohms": load.amplifier, "assumed": load.assumed},
            "assumed": list(found.assumed),
        }
    yield "\n  ]" + "".join(f",\n  {json.dumps(k)}: {json.dumps(v, ensure_ascii=False)}" for k, v in rest.items())
    yield "\n}\n"


def _entry(found: StateTable, index: int, result: StateResult) -> dict[str, Any]:
    return {
        "state": found.space.state(index),
        "held": list(found.space.momentary(index)),
        "output": found.outputs[0].lug,
        **_heard(result.sound),
        **_meter(result.reading),
        "battery_ma": _round(result.current * 1000, 3),
        "like_state": found.results[result.like].first,
        "other_outputs": [{"output": one.output.lug, **_heard(one.sound), **_meter(one.reading)}
                          for one in _others(found, result)],
    }


def _others(found: StateTable, result: StateResult) -> Sequence[AtOutput]:
    """What is heard beside the main output."""
    return [one for one in result.heard if one.output != found.outputs[0]]


def _meter(reading: Reading) -> dict[str, Any]:
    """What a meter reads at an output."""
    return {"meter": reading.kind, "meter_ohms": _round(reading.ohms, 1), "meter_low": _round(reading.low, 1),
            "meter_high": _round(reading.high, 1)}


def _heard(sound: Sound) -> dict[str, Any]:
    """What is heard at one output."""
    return {
        "sounding": [{"coil": h.coil, "sign": None if h.usual else h.sign, "usual_sign": h.sign,
                      "level_db": _round(h.level_db, 2), "weak": h.weak}
                     for h in sound.sounding],
        "network": sound.network,
        "phase": sound.phase,
        "hum": sound.hum,
        "hum_percent": _round(sound.hum_percent, 1),
        "hum_percent_least": _round(sound.hum_least, 1),
        "hum_percent_same_wire": _round(sound.hum_same_wire, 1),
        "hum_from": sound.hum_from,
        "hum_weighed_by": list(sound.hum_weighed),
        "level_db": _round(sound.level_db, 2),
        "peak_hz": _round(sound.peak_hz, 0),
        "peak_db": _round(sound.peak_db, 2),
        "assumed_signs": sound.assumed,
    }


def _curves(found: StateTable, result: StateResult) -> tuple[_Curve, ...]:
    """The curve at the main output, then those of the others that are heard."""
    from diagramgen.features.sounds.response import response_curve

    main = found.outputs[0]
    return (response_curve(found, result, result.sound, main),
            *(response_curve(found, result, one.sound, one.output) for one in _others(found, result)))


def _round(value: float | None, digits: int) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return round(value, digits) + 0.0


def _lines(found: StateTable) -> Iterator[str]:
    """The chart as text."""
    from textwrap import wrap

    from diagramgen.circuit.check_wanted import words
    from diagramgen.circuit.hum_words import hum_basis
    from diagramgen.circuit.tolerances import band_words
    from diagramgen.circuit.values import SECTIONS_APART, tapped
    from diagramgen.model.coil_expression import NOTATION_KEY

    yield (f"{found.count} state{'' if found.count == 1 else 's'}, {found.networks} "
           f"network{'' if found.networks == 1 else 's'}; knobs at 10, blends and trimmers at 5, unless said")
    if any(sign in r.sound.network for r in found.results for sign in "+|-."):
        yield f"neck.a is coil a of neck; {NOTATION_KEY}"
    indices = range(found.count) if found.count <= LISTED else [r.first for r in found.results]
    if found.count > LISTED:
        yield f"each network once, with its first state (all {found.count} states: --json)"
    for index in indices:
        result = found.result(index)
        held = "  (held)" if found.space.momentary(index) else ""
        yield ""
        yield words(found.space.state(index), found.space) + held
        yield from (f"    {line}" for line in _sentences(found, result))
        if result.like != int(found.of_state[index]):
            yield f"    sounds like {words(found.space.state(found.results[result.like].first), found.space)}"
    yield ""
    yield "Levels compare only states of the same coils: the place on the string is not counted, nor is coupling"
    yield "between coils."
    yield from wrap(band_words(found.build), 106)
    if tapped(found.build):
        yield from wrap(SECTIONS_APART, 106)
    yield from wrap(hum_basis(one.sound for r in found.results for one in r.heard), 106)
    if found.assumed:
        more = " ..." if len(found.assumed) > NAMED else ""
        yield f"Assumed, because nobody gave them: {', '.join(found.assumed[:NAMED])}{more}"


PHASES = {"in": "in phase", "out": "OUT OF PHASE", "mixed": "phase mixed", "single": "one coil", "piezo": "one piezo",
          "silent": "", "unknown": "phase unknown"}


def _sentences(found: StateTable, result: StateResult) -> Iterator[str]:
    """One line, or one for each output where there are several."""
    from diagramgen.circuit.coil_words import NO_PLUG
    from diagramgen.circuit.state_table import AtOutput
    from diagramgen.kernel.units import number

    battery = f"battery {number(result.current * 1000, 2)} mA" if result.current else ""
    if not found.several:
        main = AtOutput(found.outputs[0], result.sound, result.reading)
        yield _sentence(main, battery) if result.heard else "; ".join(s for s in (NO_PLUG, battery) if s)
        return
    for output in found.outputs:
        one = result.at(output)
        yield f"at {output.says}: " + (_sentence(one) if one in result.heard else _not_taken(output, found, result))
    if battery:
        yield battery


def _not_taken(output: Output, found: StateTable, result: StateResult) -> str:
    """Why nothing is taken off at an output."""
    from diagramgen.circuit.coil_words import NO_PLUG

    stands = dict(found.space.plugs(result.first)).get(output.jack)
    return NO_PLUG if stands == "out" else f"not heard with a {stands} plug"


def _sentence(one: AtOutput, battery: str = "") -> str:
    sound = ["no coil; the contact hangs open and buzzes with a cable in"] if one.floating else _sound_words(one.sound)
    return "; ".join(s for s in [*sound, _ohms(one.reading), *_peak_words(one.sound), battery] if s)


def _sound_words(sound: Sound) -> list[str]:
    """Network, phase and hum."""
    from diagramgen.circuit.hum_words import hum_said

    said = [sound.network, PHASES[sound.together]]
    unsigned = dict.fromkeys(h.called for h in sound.sounding if h.sign is None)
    if sound.phase == "unknown":
        said.append(f"sign of {', '.join(unsigned)}: ?" if unsigned else "sign of one pickup against another: ?")
    if not sound.silent:
        said.append(hum_said(sound))
    return [s for s in said if s]


def _peak_words(sound: Sound) -> list[str]:
    """Resonance, and what the signs rest on."""
    from diagramgen.kernel.units import FREQUENCY, number, quantity

    said = []
    if sound.peak_hz is not None and sound.peak_db is not None:
        said.append(f"peak {quantity(sound.peak_hz, FREQUENCY, 2)} {'+' if sound.peak_db >= 0 else ''}"
                    f"{number(sound.peak_db)} dB")
    if sound.assumed and sound.phase != "unknown":
        said.append("signs as usual for this kind, not metered")
    return said


def _ohms(reading: Reading) -> str:
    from diagramgen.kernel.units import RESISTANCE, quantity

    if reading.kind == "open":
        return "plug reads open"
    if reading.ohms is None or reading.low is None or reading.high is None:
        return "no ohm test here"
    if reading.ohms == 0:
        return "plug reads 0 Ω"
    low, high = quantity(reading.low, RESISTANCE), quantity(reading.high, RESISTANCE)
    return f"plug reads {quantity(reading.ohms, RESISTANCE)} ({low} to {high})"
