"""Meter readings of builds made of resistors, against worked examples of open textbooks (data/circuits.toml)."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from circuits import built, plug

FACTS: dict[str, Any] = tomllib.loads(
    (Path(__file__).parent.parent / "data" / "circuits.toml").read_text(encoding="utf-8"))["circuit"]


def wired(ohms: list[float], leads: list[str]) -> float:
    parts = "".join(f"  r{i + 1}: resistor, {ohm:g}\n" for i, ohm in enumerate(ohms))
    lines = "".join(f"  - {lead}\n" for lead in leads)
    reading = plug(built(f"parts:\n{parts}  output: jack-mono-open\nleads:\n{lines}"))
    assert reading.ohms is not None
    return reading.ohms


def chain(ohms: list[float]) -> float:
    ends = [f"r{i + 1}.other -> r{i + 2}.one" for i in range(len(ohms) - 1)]
    return wired(ohms, ["output.tip -> r1.one", *ends, f"r{len(ohms)}.other -> output.sleeve"])


def side_by_side(ohms: list[float]) -> float:
    names = [f"r{i + 1}" for i in range(len(ohms))]
    return wired(ohms, [f"output.tip -> {n}.one" for n in names] + [f"{n}.other -> output.sleeve" for n in names])


@pytest.mark.parametrize(("name", "key"), [
    ("series_1_6_13", "total_ohm"), ("extremes_36_50_700", "series_ohm"), ("series_18k", "total_ohm"),
])
def test_resistors_in_series_add(name: str, key: str) -> None:
    assert chain(FACTS[name]["r_ohm"]) == pytest.approx(FACTS[name][key], rel=1e-9)


@pytest.mark.parametrize(("name", "key"), [
    ("parallel_1_6_13", "total_ohm"), ("extremes_36_50_700", "parallel_ohm"), ("parallel_10k_2k_1k", "total_ohm"),
])
def test_resistors_in_parallel_follow_the_worked_examples(name: str, key: str) -> None:
    assert side_by_side(FACTS[name]["r_ohm"]) == pytest.approx(FACTS[name][key], rel=2.5e-3)


def test_ten_equal_resistors() -> None:
    fact = FACTS["ten_equal"]
    assert chain([fact["r_each"]] * 10) == pytest.approx(fact["series_ohm"])
    assert side_by_side([fact["r_each"]] * 10) == pytest.approx(fact["parallel_ohm"])


def test_series_and_parallel_together() -> None:
    fact = FACTS["series_parallel_1_6_13"]
    leads = ["output.tip -> r1.one", "r1.other -> r2.one", "r1.other -> r3.one", "r2.other -> output.sleeve",
             "r3.other -> output.sleeve"]
    assert wired(fact["r_ohm"], leads) == pytest.approx(fact["total_ohm"], rel=2e-3)


def test_two_parallel_pairs_in_series() -> None:
    fact = FACTS["series_parallel_liec"]
    leads = ["output.tip -> r1.one", "output.tip -> r2.one", "r1.other -> r3.one", "r2.other -> r3.one",
             "r1.other -> r4.one", "r3.other -> output.sleeve", "r4.other -> output.sleeve"]
    assert wired(fact["r_ohm"], leads) == pytest.approx(fact["total_ohm"], rel=5e-4)
