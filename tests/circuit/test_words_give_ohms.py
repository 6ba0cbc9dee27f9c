"""The network in words gives the meter's reading: ``a + b`` and ``a || b`` evaluated with the coils' own ohms.

The words come from impedances at 1 kHz, the reading from a direct current solve: two ways to the same figure.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace
from pathlib import Path

import pytest
from circuits import STILL, built, readable, sample

from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.values import elements_of, number_of, source_name
from diagramgen.model.build import Build, End

SAMPLES = [p for p in sorted((Path(__file__).resolve().parents[2] / "samples").glob("*.yaml")) if readable(p)]


def ohms_of(text: str, coils: dict[str, float]) -> float:
    """The resistance of a network in words: brackets, ``+`` (or `` - `` for a reversed coil), ``||``.

    ``+`` and ``||`` never stand beside each other without brackets; that is checked too.
    """
    tokens = re.findall(r"\(|\)|\|\||(?<= )[+-](?= )|-?[a-z0-9][\w.-]*", text)
    assert "".join(tokens) == text.replace(" ", ""), text

    def term() -> float:
        word = tokens.pop(0)
        if word == "(":
            value = whole()
            assert tokens.pop(0) == ")"
            return value
        return coils[word.removeprefix("-")]

    def whole() -> float:
        values, signs = [term()], set()
        while tokens and tokens[0] != ")":
            sign = tokens.pop(0)
            signs.add("||" if sign == "||" else "+")
            values.append(term())
        assert len(signs) <= 1, text
        return 1 / sum(1 / v for v in values) if "||" in signs else sum(values)

    found = whole()
    assert not tokens, text
    return found


@pytest.mark.parametrize(("text", "expected"), [
    ("a", 6.0), ("a + b", 9.0), ("a || b", 2.0), ("(a + b) || c", 4.5), ("a + (b || -c)", 6 + 9 / 4), ("-a - b", 9.0),
])
def test_the_evaluator_of_these_tests_can_count(text: str, expected: float) -> None:
    assert ohms_of(text, {"a": 6.0, "b": 3.0, "c": 9.0}) == pytest.approx(expected)


def coil_ohms(made: Build) -> dict[str, float]:
    return {source_name(p, e): number_of(p, e, "resistance").number for p, e in elements_of(made, "coil")}


def lifted(made: Build) -> Build:
    """The build with every track and resistor so large that no meter sees it beside a coil: pots lifted."""
    huge = {"track", "resistance"}
    parts = dict(made.parts)
    for part, element in elements_of(made, "track", "resistor"):
        names = {element.values[p] for p in huge if p in element.values}
        parts[part.name] = replace(parts[part.name], values={**parts[part.name].values, **dict.fromkeys(names, 1e13)})
    return replace(made, parts=parts)


def compared(made: Build) -> int:
    """Holds words against readings in every state of a build whose words say how all that sounds is joined."""
    coils = coil_ohms(made)
    known = state_table(made)
    metered = state_table(lifted(made), meter=STILL)
    held = 0
    for (state, one), (_, other) in zip(known.each(), metered.each(), strict=True):
        words, reading = one.sound.network, other.reading
        if ":" in words or words == "silent" or reading.kind != "value" or any(h.weak for h in one.sound.sounding):
            continue
        if not all(h.coil in coils for h in one.sound.sounding):
            continue
        assert reading.ohms == pytest.approx(ohms_of(words, coils), rel=1e-6), (state, words)
        held += 1
    return held


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_words_give_the_reading_in_every_state_of_every_sample(path: Path) -> None:
    made = sample(path)
    held = compared(made)
    active = any(True for _ in elements_of(made, "buffer"))
    assert held == (0 if active else state_table(made).count), held


def test_the_shunt_of_a_volume_at_10_stands_beside_the_words() -> None:
    """One volume of 250k: the reading is the words' ohms beside its track."""
    made = sample(next(p for p in SAMPLES if p.stem == "three-singles-lever"))
    coils = coil_ohms(made)
    for _, result in state_table(made, meter=STILL).each():
        own = ohms_of(result.sound.network, coils)
        assert result.reading.ohms == pytest.approx(own * 250e3 / (own + 250e3), rel=1e-9)


def generated(seed: int) -> Build:
    """Two to five coils in a random series-parallel network behind a volume, some reversed."""
    dice = random.Random(seed)
    count = dice.randrange(2, 6)
    leads: list[str] = []
    joints = iter(range(99))

    def joined(names: list[str], top: str, bottom: str, series: bool) -> None:
        if len(names) == 1:
            ends = ["finish", "start"]
            dice.shuffle(ends)
            leads.extend([f"{names[0]}.{ends[0]} -> {top}", f"{names[0]}.{ends[1]} -> {bottom}"])
            return
        cut = dice.randrange(1, len(names))
        if series:
            middle = f"j{next(joints)}.joint"
            joined(names[:cut], top, middle, not series)
            joined(names[cut:], middle, bottom, not series)
        else:
            joined(names[:cut], top, bottom, not series)
            joined(names[cut:], top, bottom, not series)

    joined([f"c{i}" for i in range(count)], "volume.ten", "volume.case", dice.random() < 0.5)
    used = sorted({int(n) for n in re.findall(r"j(\d+)\.", " ".join(leads))})
    parts = [f"c{i}: {{symbol: single-coil, value: {dice.randrange(40, 120) / 10}k, values: {{kick: plus}}}}"
             for i in range(count)] + [f"j{n}: splice" for n in used]
    parts += ["volume: pot-24, 500k log", "output: jack-mono-open"]
    leads += ["volume.zero -> volume.case", "volume.wiper -> output.tip", "volume.case -> output.sleeve"]
    return built("parts:\n" + "".join(f"  {p}\n" for p in parts) + "leads:\n" + "".join(f"  - {x}\n" for x in leads))


@pytest.mark.parametrize("seed", range(30))
def test_words_give_the_reading_of_generated_networks(seed: int) -> None:
    assert compared(generated(seed)) == 1


def moved(made: Build, seed: int) -> Build:
    """A build with one to three ends of leads moved to other lugs."""
    dice = random.Random(seed)
    lugs = [(p.name, lug) for p in made.parts.values() for lug in p.symbol.lug_names()]
    leads = list(made.leads)
    for _ in range(dice.randrange(1, 4)):
        i = dice.randrange(len(leads))
        leads[i] = replace(leads[i], end=End(*dice.choice(lugs), leads[i].place))
    return replace(made, leads=tuple(leads))


PASSIVE = [p for p in SAMPLES if p.stem not in ("baritone", "bass-active")]


@pytest.mark.parametrize("seed", range(20))
def test_words_give_the_reading_of_samples_with_leads_moved(seed: int) -> None:
    compared(moved(sample(PASSIVE[seed % len(PASSIVE)]), seed))
