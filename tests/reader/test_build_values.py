"""The short text of a part's values, against the symbol's own list of values."""

from __future__ import annotations

from typing import Any

import pytest
from reading import codes, good

TEXTS: list[tuple[str, str, dict[str, Any]]] = [
    ("pot-24", "500k log", {"track": 500e3, "law": "log"}),
    ("pot-24", "log 500k", {"track": 500e3, "law": "log"}),
    ("pot-24", "500k audio", {"track": 500e3, "law": "log"}),
    ("pot-24", "1M reverse log 85 %", {"track": 1e6, "law": "reverse log", "law-percent": 85.0}),
    ("pot-24", "250 kohm linear", {"track": 250e3, "law": "linear"}),
    ("pot-24", "500k, log", {"track": 500e3, "law": "log"}),
    ("pot-24-no-load", "250k no load", {"track": 250e3, "law": "no-load"}),
    ("pot-concentric", "250k log 500k linear",
     {"front-track": 250e3, "front-law": "log", "rear-track": 500e3, "rear-law": "linear"}),
    ("single-coil", "7.2k 3.1 H", {"resistance": 7200.0, "inductance": 3.1}),
    ("single-coil", "7k2 120p north plus", {"resistance": 7200.0, "capacitance": 120e-12, "magnet": "north",
                                            "kick": "plus"}),
    ("dual-coil", "4k1 4k3", {"a-resistance": 4100.0, "b-resistance": 4300.0}),
    # Between hot and ground a meter reads both coils in series (first principles); two values are one for each coil.
    ("dual-coil-two-conductor-bare", "7k4", {"a-resistance": 3700.0, "b-resistance": 3700.0}),
    ("dual-coil-braided", "7k4 4.8 H", {"a-resistance": 3700.0, "b-resistance": 3700.0, "a-inductance": 2.4,
                                        "b-inductance": 2.4}),
    ("dual-coil-braided", "4k0 3k4", {"a-resistance": 4000.0, "b-resistance": 3400.0}),
    ("dual-coil", "4k1", {"a-resistance": 4100.0}),
    ("battery-9v", "9 V", {"voltage": 9.0}),
    ("capacitor-film", "223", {"capacitance": 22e-9}),
    ("capacitor-film", "0.022 uF", {"capacitance": 22e-9}),
    ("bleed-series", "130k 1n2", {"resistance": 130e3, "capacitance": 1.2e-9}),
]


def values_of(symbol: str, text: str) -> dict[str, Any]:
    build = good(f"format: 1\nparts:\n  base: pot-24\n  it: {symbol}, {text}\nleads:\n"
                 f"  - base.zero -> base.case, bend\n{_leads(symbol)}")
    return dict(build.parts["it"].values)


def _leads(symbol: str) -> str:
    from reading import SHIPPED

    lugs = SHIPPED[symbol].lug_names()[:2]
    return "".join(f"  - it.{lug} -> base.{goal}\n" for lug, goal in zip(lugs, ("ten", "wiper"), strict=False))


@pytest.mark.parametrize(("symbol", "text", "expected"), TEXTS, ids=[f"{s}, {t}" for s, t, _ in TEXTS])
def test_the_text_gives_these_values(symbol: str, text: str, expected: dict[str, Any]) -> None:
    found = values_of(symbol, text)
    assert set(found) == set(expected)
    for name, value in expected.items():
        assert found[name] == (pytest.approx(value) if isinstance(value, float) else value), name


@pytest.mark.parametrize(("text", "code"), [
    ("values: {track: 0}", "INP-105"),
    ("values: {track: 50M}", "INP-105"),
    ("values: {law: sideways}", "INP-114"),
    ("values: {law: B}", "INP-114"),
    ("values: {law-percent: 150}", "INP-115"),
    ("values: {trck: 500k}", "INP-305"),
    ("value: 10%", "INP-115"),
    ("value: 500k blend 10%", "INP-115"),
    ("value: 22n", "INP-105"),
])
def test_values_that_cannot_be_are_said(text: str, code: str) -> None:
    assert codes(f"format: 1\nparts:\n  v: {{symbol: pot-24, {text}}}\nleads:\n  - v.zero -> v.case, bend\n") == [code]


def test_a_value_by_name_goes_before_the_short_text() -> None:
    text = "format: 1\nparts:\n  v: {symbol: single-coil, value: 3 H, values: {resistance: 7k, loss: 800k}}\n"
    build = good(text + "  j: jack-mono-open\nleads:\n  - v.finish -> j.tip\n")
    assert build.parts["v"].values == {"resistance": 7000.0, "loss": 800e3, "inductance": 3.0}


def test_measures_of_the_real_part_replace_the_typical_ones() -> None:
    text = "format: 1\nparts:\n  v: {symbol: pot-24, dimensions: {body: 23.6, lug pitch: 0.3 in}}\n"
    build = good(text + "leads:\n  - v.zero -> v.case, bend\n")
    assert build.parts["v"].dimensions == {"body": 23.6, "lug-pitch": pytest.approx(7.62)}


def test_the_ohms_of_a_pickup_joined_inside_may_be_given_by_name_as_the_total_a_meter_reads() -> None:
    build = good("format: 1\nparts:\n  base: pot-24\n  it: {symbol: dual-coil-braided, values: {resistance: 7k4}, "
                 "metered: {resistance: 3 May}}\nleads:\n  - base.zero -> base.case, bend\n  - it.hot -> base.ten\n"
                 "  - it.braid -> base.case\n")
    part = build.parts["it"]
    assert (part.values["a-resistance"], part.values["b-resistance"]) == (3700.0, 3700.0)
    assert part.metered == {"a-resistance": "3 May", "b-resistance": "3 May"}
