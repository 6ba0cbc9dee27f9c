"""When the two ends of a knob are to be exchanged: solved before it is advised, and never for a missing ground."""

from __future__ import annotations

from circuits import built

from diagramgen.circuit.knob_advice import turned_round
from diagramgen.circuit.proof import complaints
from diagramgen.circuit.values import elements_of

CASES = """
format: 1
parts:
  pup: {symbol: dual-coil, value: 4k 4k}
  volume: pot-24, 500k log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
leads:
  - pup.a finish -> volume.ten
  - pup.a start -> pup.b start
  - pup.b finish -> volume.case
  - pup.bare -> volume.case
  - volume.ten -> tone.wiper
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - tone.case -> output.sleeve
"""
FLOATS = "volume.zero is joined to the case of volume, which is on no ground: mend that first, " \
         "with a lead to the sleeve of the jack or to a grounded case."


def remedies(text: str) -> dict[str, str]:
    return {p.code: p.remedy for p in complaints(built(text)) if p.code in ("CIR-211", "CIR-243")}


def test_a_case_without_its_ground_lead_is_not_answered_by_exchanging_the_ends_of_the_volume() -> None:
    found = remedies(CASES)
    assert found
    assert set(found.values()) == {FLOATS}
    message = next(p.message for p in complaints(built(CASES)) if p.code == "CIR-243")
    assert "wrong way" not in message
    assert "backwards" not in message


def test_an_exchange_that_puts_metal_on_the_signal_is_no_cure() -> None:
    made = built(CASES)
    gangs = [(p, e) for p, e in elements_of(made, "track") if p.name == "volume"]
    assert turned_round(made, gangs, ["pup.a", "pup.b"]) is None


def test_a_volume_with_its_ends_exchanged_is_still_to_be_exchanged_back() -> None:
    text = CASES + "  - volume.case -> tone.case\n"
    text = text.replace("volume.ten", "volume.TEN").replace("volume.zero", "volume.ten").replace("TEN", "zero")
    assert remedies(text)["CIR-211"] == "Exchange what is on volume.zero and volume.ten."
