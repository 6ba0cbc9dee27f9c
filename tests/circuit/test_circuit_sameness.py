"""What may change nothing, on every sample: order, names of parts and positions, turned parts, all coils reversed."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from circuits import readable, sample
from hypothesis import given, settings
from hypothesis import strategies as st

from diagramgen.circuit.state_table import StateResult, state_table
from diagramgen.circuit.values import elements_of, knobs_of
from diagramgen.library.model import Control, Element, Symbol
from diagramgen.model.build import Build, End, Part

SAMPLES = {p.stem: p for p in sorted((Path(__file__).resolve().parents[2] / "samples").glob("*.yaml")) if readable(p)}
TURNED = 6.0
State = frozenset[tuple[str, str]]


@cache
def base(name: str) -> Build:
    return sample(SAMPLES[name])


def solved(made: Build) -> dict[State, StateResult]:
    """Every state's result with every knob at 6, where all of a track matters."""
    found = state_table(made, dict.fromkeys(knobs_of(made), TURNED))
    return {frozenset(state.items()): result for state, result in found.each()}


@cache
def expected(name: str) -> dict[State, StateResult]:
    return solved(base(name))


def same_words(text: str) -> object:
    """A network in words, free of the order of its terms and of which coil the minus signs are counted from."""
    names = frozenset(re.findall(r"(?<![\w.])[a-z][\w.-]*", text))
    minus = frozenset(n.strip("- ") for n in re.findall(r"(?:^|[( ])-(?: (?=[(a-z]))?[a-z][\w.-]*", text))
    tokens = re.findall(r"\(|\)|\|\||[+-](?= )|-?[a-z][\w.-]*|[,:]", text)

    def whole() -> object:
        terms: list[object] = []
        how = "one"
        while tokens and tokens[0] != ")":
            token = tokens.pop(0)
            if token == "(":
                terms.append(whole())
                tokens.pop(0)
            elif token in ("+", "-", "||"):
                how = "||" if token == "||" else "+"
            else:
                terms.append(token.removeprefix("-"))
        return how, tuple(sorted(terms, key=repr))

    return (whole(), frozenset((minus, names - minus))) if ":" not in text else (names, "neither")


def alike(one: StateResult, other: StateResult, name: Callable[[str], str] = str, signs: int = 1) -> None:
    """Two results are the same answer; names of coils go through ``name``."""
    a, b = one.sound, other.sound
    assert (a.phase, a.hum, a.assumed) == (b.phase, b.hum, b.assumed)
    for x, y in ((a.hum_percent, b.hum_percent), (a.level_db, b.level_db), (a.peak_hz, b.peak_hz),
                 (a.peak_db, b.peak_db), (one.reading.ohms, other.reading.ohms), (one.reading.low, other.reading.low),
                 (one.reading.high, other.reading.high), (one.current, other.current)):
        assert (x is None) is (y is None)
        assert x is None or x == pytest.approx(y, rel=1e-6, abs=1e-6)
    assert one.reading.kind == other.reading.kind
    heard = {h.coil: h for h in b.sounding}
    for h in a.sounding:
        twin = heard[name(h.coil)]
        assert twin.level_db == pytest.approx(h.level_db, abs=1e-6)
        assert (twin.weak, twin.usual) == (h.weak, h.usual)
        assert twin.sign == (None if h.sign is None else signs * h.sign)
    assert len(heard) == len(a.sounding)


@pytest.mark.parametrize("name", SAMPLES)
@settings(max_examples=4, deadline=None)
@given(st.integers(0, 10**6))
def test_order_of_parts_and_leads_and_of_their_ends_changes_nothing(name: str, seed: int) -> None:
    dice = random.Random(seed)
    made = base(name)
    leads = [replace(lead, start=lead.end, end=lead.start) if dice.random() < 0.5 else lead for lead in made.leads]
    dice.shuffle(leads)
    parts = list(made.parts.items())
    dice.shuffle(parts)
    found = solved(replace(made, leads=tuple(leads), parts=dict(parts)))
    assert set(found) == set(expected(name))
    for state, result in expected(name).items():
        alike(result, found[state])
        assert same_words(result.sound.network) == same_words(found[state].sound.network)


def flipped(symbol: Symbol, kinds: tuple[str, ...]) -> Symbol:
    """A symbol whose elements of these kinds have their two ends exchanged."""
    def turn(e: Element) -> Element:
        if e.kind not in kinds:
            return e
        (a, x), (b, y) = e.ends.items()
        return replace(e, ends={a: y, b: x})

    return replace(symbol, elements=tuple(turn(e) for e in symbol.elements))


def with_parts(made: Build, change: Callable[[Part], Part]) -> Build:
    return replace(made, parts={n: change(p) for n, p in made.parts.items()})


@pytest.mark.parametrize("name", SAMPLES)
def test_every_resistor_capacitor_and_lamp_turned_round_changes_nothing(name: str) -> None:
    kinds = ("resistor", "capacitor", "lamp")
    found = solved(with_parts(base(name), lambda p: replace(p, symbol=flipped(p.symbol, kinds))))
    for state, result in expected(name).items():
        alike(result, found[state])
        assert result.sound.network == found[state].sound.network


@pytest.mark.parametrize("name", SAMPLES)
def test_every_coil_reversed_turns_every_sign_and_nothing_else(name: str) -> None:
    found = solved(with_parts(base(name), lambda p: replace(p, symbol=flipped(p.symbol, ("coil", "transducer")))))
    for state, result in expected(name).items():
        alike(result, found[state], signs=-1)
        assert result.sound.network == found[state].sound.network


@pytest.mark.parametrize("name", SAMPLES)
def test_one_coil_reversed_changes_its_sign_and_no_level_of_its_own(name: str) -> None:
    made = base(name)
    part, coil = next((p, e) for p, e in elements_of(made, "coil"))
    own = replace(part.symbol, elements=tuple(
        flipped(replace(part.symbol, elements=(e,)), ("coil",)).elements[0] if e == coil else e
        for e in part.symbol.elements))
    found = solved(replace(made, parts={**made.parts, part.name: replace(part, symbol=own)}))
    called = part.name if sum(e.kind == "coil" for e in part.symbol.elements) == 1 else f"{part.name}.{coil.name}"
    for state, result in expected(name).items():
        before = {h.coil: h for h in result.sound.sounding}
        after = {h.coil: h for h in found[state].sound.sounding}
        assert before.keys() == after.keys()
        for key, h in before.items():
            assert after[key].level_db == pytest.approx(h.level_db, abs=1e-6)
            turned = -1 if key == called else 1
            assert after[key].sign == (None if h.sign is None else turned * h.sign)
        assert found[state].reading.ohms == pytest.approx(result.reading.ohms)


def renamed(made: Build, names: Mapping[str, str]) -> Build:
    """The build with its parts called otherwise, wherever their names stand."""
    def end(e: End) -> End:
        return replace(e, part=names.get(e.part, e.part))

    def ends(found: tuple[End, ...]) -> tuple[End, ...]:
        return tuple(end(e) for e in found)

    def dotted(text: str) -> str:
        part, dot, rest = text.partition(".")
        return names.get(part, part) + dot + rest

    parts = {names[p.name]: replace(p, name=names[p.name], mounted_on=names.get(p.mounted_on, p.mounted_on),
                                    between=(end(p.between[0]), end(p.between[1])) if p.between else None)
             for p in made.parts.values()}
    leads = tuple(replace(x, start=end(x.start), end=end(x.end), shield_to=ends(x.shield_to)) for x in made.leads)
    cables = {n: replace(c, shield_to=ends(c.shield_to)) for n, c in made.cables.items()}
    return replace(made, parts=parts, leads=leads, cables=cables, wanted=(),
                   together=tuple(tuple(dotted(t) for t in group) for group in made.together))


def other_words(made: Build, words: Mapping[str, str]) -> Build:
    """The build with every position of every switch, and every mode, called otherwise; plugs keep theirs."""
    def control(c: Control) -> Control:
        return c if c.kind == "plug" else replace(c, positions=tuple(words[p] for p in c.positions), words=())

    def symbol(s: Symbol) -> Symbol:
        plugs = {c.name for c in s.controls if c.kind == "plug"}
        tables = tuple(t if t.control in plugs else replace(t, rows=tuple(
            replace(r, position=words.get(r.position, r.position)) for r in t.rows)) for t in s.contacts)
        modes = {words[m]: {c: words.get(p, p) for c, p in how.items()} for m, how in s.modes.items()}
        return replace(s, controls=tuple(control(c) for c in s.controls), contacts=tables, modes=modes)

    return replace(with_parts(made, lambda p: replace(p, symbol=symbol(p.symbol))), wanted=())


def positions(made: Build) -> list[str]:
    return sorted({w for p in made.parts.values() for c in p.symbol.controls if c.kind != "plug"
                   for w in c.positions} | {m for p in made.parts.values() for m in p.symbol.modes})


@pytest.mark.parametrize("name", SAMPLES)
@settings(max_examples=3, deadline=None)
@given(st.integers(0, 10**6))
def test_random_names_for_parts_and_positions_change_only_the_names(name: str, seed: int) -> None:
    dice = random.Random(seed)
    made = base(name)
    fresh = [f"{''.join(dice.choices('bdfgjkmpqvxz', k=5))}{i}" for i in range(400)]
    dice.shuffle(fresh)
    parts = dict(zip(made.parts, fresh, strict=False))
    words = dict(zip(positions(made), fresh[200:], strict=False))
    found = solved(other_words(renamed(made, parts), words))

    def called(text: str) -> str:
        part, dot, rest = text.partition(".")
        return parts[part] + dot + rest

    plugs = {p.name for p in made.parts.values() if any(c.kind == "plug" for c in p.symbol.controls)}
    for state, result in expected(name).items():
        twin = found[frozenset((called(k), v if k in plugs else words[v]) for k, v in state)]
        alike(result, twin, called)
        assert twin.sound.network == re.sub(r"(?<![\w.-])[a-z][a-z0-9-]*(?:\.[\w]+)?(?![\w:])",
                                            lambda m: called(m[0]) if m[0].partition(".")[0] in parts else m[0],
                                            result.sound.network)


def test_the_comparison_of_words_sees_order_through_and_connection_not() -> None:
    assert same_words("(a + b) || c") == same_words("c || (b + a)")
    assert same_words("a - b") == same_words("-a + b")
    assert same_words("(a + b) || c") != same_words("(a + c) || b")
    assert same_words("a - b") != same_words("a + b")
