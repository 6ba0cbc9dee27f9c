"""Circuits that cannot be or should not be, through the commands: a clear sentence or the right answer, never a NaN."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result
from running import quick

NO_NUMBER = re.compile(r"(?i)(?<![a-z])(nan|-?inf|infinity)(?![a-z])")

ONE = """format: 1
title: one coil
parts:
  pickup: single-coil, 6k5
  volume: pot-24, 250k log
{parts}  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
{leads}"""


def one(parts: str = "", leads: str = "", instead: tuple[str, str] = ("", "")) -> str:
    """The good circuit with parts and leads more, and one piece of its text exchanged."""
    text = ONE.format(parts="".join(f"  {p}\n" for p in parts.splitlines()),
                      leads="".join(f"  - {x}\n" for x in leads.splitlines()))
    assert instead[0] in text
    return text.replace(*instead) if instead[0] else text


def value(what: str) -> str:
    return one(instead=("pot-24, 250k log", f"{{symbol: pot-24, values: {{track: {what}}}}}"))


def coil(what: str) -> str:
    return one(instead=("single-coil, 6k5", f"{{symbol: single-coil, values: {{{what}}}}}"))


CIRCUITS = {
    "a ring of leads": one("link: splice\nmore: splice",
                           "link.joint -> more.joint\nmore.joint -> volume.case\nvolume.case -> link.joint"),
    "a loop of contacts": one("a: toggle-mini-spdt-on-on\nb: toggle-mini-spdt-on-on",
                              "a.common -> b.common\na.throw 1 -> b.throw 1\na.throw 2 -> b.throw 2\n"
                              "a.common -> volume.ten"),
    "a coil shorted on itself": one(leads="pickup.finish -> pickup.start"),
    "no sleeve lead": one(instead=("  - volume.case -> output.sleeve\n", "")),
    "no tip lead": one(instead=("  - volume.wiper -> output.tip\n", "")),
    "no jack": one(instead=("  output: jack-mono-open\n", "")).replace("  - volume.wiper -> output.tip\n", "").replace(
        "  - volume.case -> output.sleeve\n", ""),
    "two jacks": one("second: jack-mono-open", "second.tip -> volume.wiper\nsecond.sleeve -> volume.case"),
    "no coil": one(instead=("  pickup: single-coil, 6k5\n", "")).replace(
        "  - pickup.finish -> volume.ten\n  - pickup.start -> volume.case\n", ""),
    "a pot of 0 ohm": value("0"),
    "a pot of a million megohm": value("1000000M"),
    "a negative pot": value("-250k"),
    "a pot that is no number": value("nan"),
    "an infinite pot": value("inf"),
    "a coil of 0 ohm": coil("resistance: 0"),
    "a coil of 0 henry": coil("inductance: 0 H"),
    "a negative loss": coil("loss: -1M"),
    "a coil with 1e400": coil("resistance: 1e400"),
    "a coil at its smallest": coil("resistance: 50m, inductance: 10 mH, capacitance: 1p"),
    "a coil at its largest": coil("resistance: 200k, inductance: 50 H, capacitance: 20n"),
    "every control held by hand": one("kill: push-button-momentary\ncut: toggle-mini-spdt-momentary",
                                      "kill.one -> volume.wiper\nkill.other -> volume.case\n"
                                      "cut.common -> volume.ten"),
    "a capacitor with both legs on one net": one("cap: capacitor-film, 22n, between volume.case and output.sleeve"),
    "a resistor across itself": one("r: resistor, 1k", "r.one -> volume.ten\nr.other -> pickup.finish"),
    "a battery shorted": one("battery: battery-9v", "battery.plus -> volume.case\nbattery.minus -> volume.case"),
    "a battery across the signal": one("battery: battery-9v",
                                       "battery.plus -> volume.ten\nbattery.minus -> volume.case"),
    "two batteries head to head": one("one: battery-9v\ntwo: battery-9v",
                                      "one.plus -> two.plus\none.minus -> two.minus\none.minus -> volume.case"),
    "a buffer fed from its own output": one(
        "board: buffer-board\nbattery: battery-9v",
        "board.out -> board.in\nboard.ground -> volume.case\nbattery.plus -> board.plus\n"
        "battery.minus -> volume.case"),
    "a wheel of buffers": one(
        "first: buffer-board\nsecond: buffer-board\nbattery: battery-9v",
        "first.out -> second.in\nsecond.out -> first.in\nfirst.ground -> volume.case\n"
        "second.ground -> volume.case\nbattery.plus -> first.plus\nfirst.plus -> second.plus\n"
        "battery.minus -> output.sleeve\nfirst.out -> volume.ten"),
    "a part joined to nothing": one("r: resistor, 1k\ns: resistor, 1k", "r.other -> s.one\ns.other -> r.one"),
    "tip and sleeve joined": one(leads="output.tip -> output.sleeve"),
}
SAYS = {
    "a coil shorted on itself": {"CIR-119", "CIR-211"}, "no sleeve lead": {"CIR-101", "CIR-211"},
    "no tip lead": {"CIR-101", "CIR-211"},
    "no jack": {"CIR-203"}, "two jacks": {"CIR-204"}, "no coil": {"CIR-206", "CIR-211"}, "a pot of 0 ohm": {"INP-105"},
    "a pot of a million megohm": {"INP-105"}, "a negative pot": {"INP-105"}, "a pot that is no number": {"INP-105"},
    "an infinite pot": {"INP-105"}, "a coil of 0 ohm": {"INP-105"}, "a coil of 0 henry": {"INP-105"},
    "a negative loss": {"INP-105"},
    "a coil with 1e400": {"INP-105"}, "a capacitor with both legs on one net": {"CIR-119"},
    "a resistor across itself": {"CIR-119"}, "a battery shorted": {"CIR-224"},
    "a battery across the signal": {"CIR-220", "CIR-211"},
    "two batteries head to head": {"CIR-222"}, "tip and sleeve joined": {"CIR-102"}, "a ring of leads": {"CIR-251"},
}
SOUNDS = {"a ring of leads", "a loop of contacts", "two jacks", "a coil at its smallest", "a coil at its largest",
          "every control held by hand", "a capacitor with both legs on one net", "a resistor across itself",
          "a part joined to nothing"}
"""Drawn and heard as if nothing were wrong, whatever is said of them."""


def tried(text: str, folder: Path, *words: str) -> Result:
    path = folder / "hand.yaml"
    path.write_text(text, encoding="utf-8")
    result = quick(words[0], str(path), *words[1:])
    assert result.exit_code in (0, 1), result.output
    assert "Traceback" not in result.output
    return result


def finite(value: object) -> None:
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        finite(inner)
    assert not isinstance(value, float) or math.isfinite(value)


def loaded(result: Result) -> dict[str, Any]:
    """JSON of a command, in which no number may be other than finite."""
    found = json.loads(result.stdout, parse_constant=lambda constant: pytest.fail(f"{constant} in JSON"))
    finite(found)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize("name", CIRCUITS)
def test_a_bad_circuit_is_named_or_rightly_heard_by_sounds(name: str, tmp_path: Path) -> None:
    result = tried(CIRCUITS[name], tmp_path, "sounds", "--json", "--response")
    found = loaded(result)
    assert result.exit_code == (0 if name in SOUNDS else 1) or name.startswith(("a buffer", "a wheel"))
    if name in SOUNDS:
        plugged = [s for s in found["states"] if not s["held"] and (name != "two jacks" or
                                                                    "out" not in s["state"].values())]
        assert {s["network"] for s in plugged} == {"pickup"}
    told = tried(CIRCUITS[name], tmp_path, "sounds")
    assert not NO_NUMBER.search(told.stdout)


@pytest.mark.parametrize("name", CIRCUITS)
def test_a_bad_circuit_gets_a_netlist_of_plain_numbers_or_none(name: str, tmp_path: Path) -> None:
    result = tried(CIRCUITS[name], tmp_path, "netlist")
    assert not NO_NUMBER.search(result.stdout)
    assert bool(result.stdout) is (result.exit_code == 0)


@pytest.mark.parametrize("name", CIRCUITS)
def test_a_bad_circuit_is_named_when_it_is_printed_and_no_sheet_says_nan(name: str, tmp_path: Path) -> None:
    out = tmp_path / "sheets"
    words = ("print", "--json", "--anyway", "--sheet", "proof", "--sheet", "test", "--sheet", "curves", "--out")
    result = tried(CIRCUITS[name], tmp_path, *words, str(out))
    found = loaded(result)
    assert SAYS.get(name, set()) <= {p["code"] for p in found["problems"]}
    assert bool([p for p in found["problems"] if p["severity"] == "error"]) is (result.exit_code == 1)
    assert bool(found["files"]) is out.exists()
    for file in (*out.glob("*.svg"), *out.glob("*.csv")):
        text = re.sub(r"base64,[^)]*", "", file.read_text(encoding="utf-8"))  # the font's letters may say anything
        assert not NO_NUMBER.search(text), file


def rotaries(count: int, kind: str = "rotary-1x12") -> str:
    """A build with this many rotary switches, one of them in use."""
    parts = "\n".join(f"s{i}: {kind}" for i in range(count))
    return one(parts, "s0.common -> volume.ten")


@pytest.mark.parametrize(("text", "states"), [
    (one("\n".join(f"t{i}: toggle-mini-spdt-on-on" for i in range(17)), "t0.common -> volume.ten"), 131072),
    (rotaries(6), 2985984),
])
def test_too_many_states_ask_for_a_selection_and_then_are_solved(text: str, states: int, tmp_path: Path) -> None:
    result = tried(text, tmp_path, "sounds", "--json")
    problem = next(p for p in loaded(result)["problems"] if p["code"] == "CIR-205")
    assert f"{states} states are more than 100000" in problem["message"]
    assert "--state" in problem["remedy"]
    held = "t0=1,t1=1,t2=1,t3=1,t4=1,t5=1,t6=1,t7=1,t8=1,t9=1,t10=1,t11=1" if "t0" in text else "s0=1,s1=1,s2=1,s3=2"
    chosen = tried(text, tmp_path, "sounds", "--state", held)
    assert "pickup; one coil" in chosen.stdout


def test_a_thousand_parts_are_refused_by_name_and_three_hundred_solved(tmp_path: Path) -> None:
    many = one("\n".join(f"r{i}: resistor, 1k" for i in range(1000)))
    assert "INP-015" in tried(many, tmp_path, "check").stderr
    chain = one("\n".join(f"r{i}: resistor, 1k" for i in range(290)),
                "\n".join(f"r{i}.other -> r{i + 1}.one" for i in range(289)))
    full = chain + "  - r0.one -> volume.wiper\n  - r289.other -> output.sleeve\n"
    state = loaded(tried(full, tmp_path, "sounds", "--json"))["states"][0]
    assert state["meter_ohms"] == pytest.approx(1 / (1 / 6.5e3 + 1 / 250e3 + 1 / 290e3), rel=1e-5)
