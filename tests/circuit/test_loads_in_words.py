"""What lies across coils is part of their connection or only a load: it is a load from 5 times their impedance on.

Impedances at 1 kHz by hand: a coil of 6k and 2.4 H has |6k + j 15.1k| = 16.2k, two in series 32.5k, two in parallel
8.1k; a contact transducer of 1 nF has 159k.
"""

from __future__ import annotations

import pytest
from circuits import built

from diagramgen.circuit.state_table import state_table

COIL = "{symbol: single-coil, values: {resistance: 6k, inductance: 2.4 H, kick: plus}}"
BETWEEN = {
    "one": ["a.finish -> mid.joint", "a.start -> output.sleeve"],
    "series": ["a.finish -> mid.joint", "a.start -> b.finish", "b.start -> output.sleeve"],
    "parallel": ["a.finish -> mid.joint", "b.finish -> mid.joint", "a.start -> output.sleeve",
                 "b.start -> output.sleeve"],
    "strip": ["a.hot -> mid.joint", "a.shield -> output.sleeve"],
}


def words(between: str, ohm: str) -> str:
    """The words where a resistor lies across these coils, which a further coil joins to the tip."""
    first = "{symbol: contact-transducer, value: 1n}" if between == "strip" else COIL
    leads = [*BETWEEN[between], "r.one -> mid.joint", "r.other -> output.sleeve", "top.start -> mid.joint",
             "top.finish -> output.tip"]
    parts = {"a": first, **({"b": COIL} if len(BETWEEN[between]) > 2 else {}), "top": COIL, "mid": "splice",
             "r": f"resistor, {ohm}", "output": "jack-mono-open"}
    text = "parts:\n" + "".join(f"  {n}: {p}\n" for n, p in parts.items())
    return state_table(built(text + "leads:\n" + "".join(f"  - {x}\n" for x in leads))).result(0).sound.network


@pytest.mark.parametrize(("between", "ohm", "expected"), [
    ("one", "75k", "(a || r) + top"), ("one", "91k", "a + top"),
    ("series", "150k", "((a + b) || r) + top"), ("series", "180k", "a + b + top"),
    ("parallel", "36k", "(a || b || r) + top"), ("parallel", "47k", "(a || b) + top"),
    ("strip", "680k", "(a || r) + top"), ("strip", "910k", "a + top"),
])
def test_a_resistor_across_coils_is_named_below_5_times_their_impedance(between: str, ohm: str, expected: str) -> None:
    assert words(between, ohm) == expected
