"""What may not change the answers: order and names of parts and leads, turned parts, all coils reversed."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import numpy as np
import pytest
from circuits import built
from hypothesis import given, settings
from hypothesis import strategies as st
from second_solver import by_currents

from diagramgen.circuit.dc_readings import read
from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.elements.element import Element
from diagramgen.circuit.elements.two_terminal import Capacitor, Resistor
from diagramgen.circuit.netlist import Elements, Netlist, template_of
from diagramgen.circuit.nodal import Floating, check, sweep
from diagramgen.circuit.state_table import StateTable, response_of, state_table
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import faults
from diagramgen.model.build import Build, Part

GUITAR = """
parts:
  neck: {symbol: dual-coil, value: 4.0k 4.1k}
  middle: {symbol: single-coil, value: 6k, values: {winding: clockwise, magnet: north}}
  bridge: {symbol: single-coil, value: 6k4, values: {winding: anticlockwise, magnet: south}}
  selector: lever-open-5
  volume: pot-24-push-pull, 500k log
  tone: pot-24, 250k log
  cap: {symbol: capacitor-film, value: 22n}
  bleed: {symbol: resistor, value: 150k}
  output: jack-mono-open
leads:
  - neck.a start -> selector.a 3
  - neck.a finish -> neck.b finish
  - neck.a finish -> volume.a common
  - volume.a near -> volume.case
  - neck.b start -> volume.case
  - middle.finish -> selector.a 2
  - bridge.finish -> selector.a 1
  - middle.start -> volume.case
  - bridge.start -> volume.case
  - selector.a common -> volume.ten
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - tone.wiper -> volume.ten
  - tone.zero -> cap.one
  - cap.other -> volume.case
  - bleed.one -> volume.ten
  - bleed.other -> volume.wiper
"""


def answers(found: StateTable) -> list[tuple[object, ...]]:
    """What must not change: in the order of states, without names."""
    return [(r.sound.phase, r.sound.hum, _near(r.sound.hum_percent), _near(r.sound.level_db), _near(r.sound.peak_hz),
             _near(r.sound.peak_db), _near(r.reading.ohms), tuple(sorted(_near(h.level_db) for h in r.sound.sounding)))
            for _, r in found.each()]


def _near(value: float | None) -> float:
    return -1.0 if value is None else float(f"{value:.6g}")


BASE = built(GUITAR)
EXPECTED = answers(state_table(BASE, {"volume": 7, "tone": 4}))


def test_the_guitar_of_these_tests_has_different_answers() -> None:
    assert len(EXPECTED) == 10
    assert len(set(EXPECTED)) > 5


def shuffled(made: Build, seed: int) -> Build:
    dice = random.Random(seed)
    leads = [replace(lead, start=lead.end, end=lead.start) if dice.random() < 0.5 else lead for lead in made.leads]
    dice.shuffle(leads)
    parts = list(made.parts.items())
    dice.shuffle(parts)
    return replace(made, leads=tuple(leads), parts=dict(parts))


@settings(max_examples=15)
@given(st.integers(0, 10**6))
def test_reordering_parts_and_leads_and_turning_leads_round_changes_nothing(seed: int) -> None:
    found = state_table(shuffled(BASE, seed), {"volume": 7, "tone": 4})
    by_state = {tuple(sorted(s.items())): a for (s, _), a in zip(found.each(), answers(found), strict=True)}
    for (state, _), answer in zip(state_table(BASE).each(), EXPECTED, strict=True):
        assert by_state[tuple(sorted(state.items()))] == answer


@settings(max_examples=10)
@given(st.permutations(["neck", "middle", "bridge", "selector", "volume", "tone", "cap", "bleed", "output"]))
def test_renaming_parts_renames_the_network_and_changes_nothing_else(order: list[str]) -> None:
    names = dict(zip(["neck", "middle", "bridge", "selector", "volume", "tone", "cap", "bleed", "output"],
                     [f"x{i}{n[::-1]}" for i, n in enumerate(order)], strict=True))
    text = re.sub(r"(?m)^  (\w+):|(?<=- )(\w+)(?=\.)|(?<=-> )(\w+)(?=\.)",
                  lambda m: m[0].replace(next(g for g in m.groups() if g), names[next(g for g in m.groups() if g)]),
                  GUITAR)
    found = state_table(built(text), {names["volume"]: 7, names["tone"]: 4})
    assert answers(found) == EXPECTED
    for (_, a), (_, b) in zip(state_table(BASE).each(), found.each(), strict=True):
        renamed = re.sub(r"[a-z]+(?=\.|$| )", lambda m: names.get(m[0], m[0]), a.sound.network)
        assert b.sound.network == renamed


def turned(part: Part, coils: tuple[str, ...]) -> Part:
    """The part with the ends of these elements exchanged."""
    def swap(element: object) -> object:
        ends = list(element.ends.items())  # type: ignore[attr-defined]
        (a, x), (b, y) = ends
        return replace(element, ends={a: y, b: x})  # type: ignore[type-var]

    elements = tuple(swap(e) if e.name in coils or e.kind in coils else e for e in part.symbol.elements)
    return replace(part, symbol=replace(part.symbol, elements=elements))


def test_reversing_every_coil_changes_no_hum_no_reading_no_curve() -> None:
    parts = {n: turned(p, ("coil",)) for n, p in BASE.parts.items()}
    found = state_table(replace(BASE, parts=parts), {"volume": 7, "tone": 4})
    assert answers(found) == EXPECTED
    for (_, a), (_, b) in zip(state_table(BASE).each(), state_table(replace(BASE, parts=parts)).each(), strict=True):
        assert [h.sign for h in a.sound.sounding] == [None if h.sign is None else -h.sign for h in b.sound.sounding]
        assert a.sound.network == b.sound.network


@pytest.mark.parametrize("name", ["cap", "bleed"])
def test_turning_a_resistor_or_capacitor_round_changes_nothing(name: str) -> None:
    part = turned(BASE.parts[name], ("capacitor", "resistor"))
    found = state_table(replace(BASE, parts={**BASE.parts, name: part}), {"volume": 7, "tone": 4})
    assert answers(found) == EXPECTED


def test_reversing_one_coil_turns_only_its_sign() -> None:
    part = turned(BASE.parts["bridge"], ("coil",))
    state = {"selector": "2"}
    _, before = response_of(BASE, state)
    _, after = response_of(replace(BASE, parts={**BASE.parts, "bridge": part}), state)
    at = before.sources.index("bridge")
    np.testing.assert_allclose(after.transfers[:, at], -before.transfers[:, at], rtol=1e-12)
    other = before.sources.index("middle")
    np.testing.assert_allclose(after.transfers[:, other], before.transfers[:, other], rtol=1e-9)


NAMES = st.integers(0, 5)


@settings(max_examples=150)
@given(st.lists(st.tuples(st.sampled_from("rcw"), NAMES, NAMES, st.floats(1, 9.99), st.integers(0, 4)),
                min_size=1, max_size=12))
def test_any_network_of_parts_is_solved_as_with_unknown_currents(parts: list[tuple[str, int, int, float, int]]) -> None:
    elements: list[Element] = [Resistor("load", 0, 1, 1e6)]
    for i, (kind, a, b, digits, decade) in enumerate(parts):
        if a == b:
            continue
        if kind == "r":
            elements.append(Resistor(f"r{i}", a, b, digits * 10 ** (decade + 2)))
        elif kind == "c":
            elements.append(Capacitor(f"c{i}", a, b, digits * 10 ** (decade - 12)))
        else:
            elements.append(Coil(f"w{i}", a, b, digits * 1e3, digits * 10 ** (decade - 3)))
    net = Netlist(6, 1, Elements.of(elements), tuple("gabcde"))
    frequencies = np.geomspace(20, 20e3, 41)
    try:
        ours = sweep(net, frequencies)
    except Floating:
        with pytest.raises(Floating):
            check(net)
        return
    assert np.isfinite(ours.transfers).all()
    for i, hertz in list(enumerate(frequencies))[::10]:
        transfers, impedance = by_currents(net, float(hertz))
        plain = np.array(list(transfers.values()))
        # A coil that drives nothing gives 0 or what rounding leaves of it: 220 dB below its EMF nothing is compared.
        scale = np.maximum(np.abs(plain), 1e-5 * max(1.0, np.abs(plain).max(initial=0.0)))
        assert (np.abs(ours.transfers[i] - plain) / scale).max(initial=0) <= 1e-6
        np.testing.assert_allclose(ours.impedance[i], impedance, rtol=1e-6)


def test_a_floating_part_is_a_named_problem_and_no_number() -> None:
    parts = Elements((Resistor("r", 0, 1, 1e3), Resistor("lost", 2, 3, 1e3)))
    net = Netlist(4, 1, parts, ("sleeve", "tip", "cap.one", "cap.other"))
    with pytest.raises(Floating, match=r"cap\.one, cap\.other"):
        check(net)


@pytest.mark.parametrize("bad", [0.0, -5.0, float("nan"), float("inf")])
def test_a_value_no_circuit_can_have_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match=r"zero, negative or no finite"):
        check(Netlist(2, 1, Elements((Resistor("r", 0, 1, bad),)), ("sleeve", "tip")))
    part = replace(BASE.parts["bleed"], values={"resistance": bad})
    made = replace(BASE, parts={**BASE.parts, "bleed": part})
    assert [p.name for p, _ in faults(made)] == ["bleed"]
    with pytest.raises(ValueError, match="resistance"):
        state_table(made)


def test_a_track_of_0_ohm_joins_its_ends_and_one_of_a_million_megohm_is_solved() -> None:
    for ohm, silent in ((0.0, True), (1e12, False)):
        part = replace(BASE.parts["volume"], values={"track": ohm})
        found = state_table(replace(BASE, parts={**BASE.parts, "volume": part}))
        assert all(r.sound.silent is silent for r in found.results)


def test_loops_of_contacts_and_leads_are_solved() -> None:
    made = built(GUITAR + "  - selector.b common -> selector.a common\n  - selector.b 1 -> selector.a 1\n"
                 "  - volume.case -> tone.case\n  - tone.case -> output.sleeve\n")
    assert [r.sound.network for r in state_table(made).results] == [r.sound.network for r in state_table(BASE).results]


def test_three_hundred_parts_are_read_and_a_thousand_solved() -> None:
    parts = "".join(f"  r{i}: resistor, 1k\n" for i in range(290))
    leads = "".join(f"  - r{i}.other -> r{i + 1}.one\n" for i in range(289))
    made = built(f"parts:\n{parts}  output: jack-mono-open\nleads:\n{leads}  - r0.one -> output.tip\n"
                 "  - r289.other -> output.sleeve\n")
    here = template_of(made)
    assert read(here, classes_of(here, (), ()), "output.tip", "output.sleeve").ohms == pytest.approx(290e3)
    ladder = tuple(Resistor(f"r{i}", i, (i + 1) % 500, 1e3) for i in range(500)) * 2
    net = Netlist(500, 1, Elements(ladder), tuple(f"p{i}" for i in range(500)))
    assert sweep(net, np.array([100.0, 1e3])).impedance[0] == pytest.approx(0.5 * 499 / 500 * 1e3)
