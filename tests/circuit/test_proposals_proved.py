"""What a proposal is held to beside the wanted sounds: what cannot be proved, and what a knob did."""

from __future__ import annotations

from circuits import built

from diagramgen.circuit.proof import remedy

UNPROVED = """
format: 1
parts:
  neck: {symbol: single-coil, value: 7k2 clockwise south}
  bridge: {symbol: single-coil, value: 7k4 anticlockwise north}
  selector: toggle-short
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
  - neck.finish -> selector.up
  - bridge.finish -> selector.down
  - neck.start -> volume.case
  - bridge.start -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
wanted:
  - {when: {selector: up}, sounds: neck, hum: full}
  - {when: {selector: middle}, sounds: neck || bridge, phase: in, hum: cancels}
  - {when: {selector: down}, sounds: bridge, hum: full}
"""


def test_hum_that_cannot_be_proved_does_not_keep_a_missing_lead_from_being_found() -> None:
    found = remedy(built(UNPROVED))
    assert found is not None
    assert found.change is not None
    assert found.change.words == "add a lead from selector.common to volume.ten"
    assert found.text.endswith("Then every wanted sound that can be proved is true.")


def test_what_is_proved_is_said_without_reserve() -> None:
    found = remedy(built(UNPROVED.replace(", hum: cancels", "")))
    assert found is not None
    assert found.text.endswith("Then every wanted sound is true.")
