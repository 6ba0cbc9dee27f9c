"""Advice is solved before it is given: it cures, and breaks nothing that works. The builds are made for this."""

from __future__ import annotations

from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.kernel.diagnostics import Diagnostics, Problem

FLIP = """format: 1
title: flip
parts:
  flip: toggle-mini-dpdt-on-on
  selector: toggle-short
  volume: pot-24, 500k log
  neck: NECK
  bridge: BRIDGE
  output: jack-mono-open
leads:
  - neck.HOT -> flip.a common
  - neck.COLD -> flip.b common
  - flip.a 1 -> selector.up, red
  - flip.b 1 -> volume.case, black
  - flip.a 2 -> flip.b 1, black
  - flip.b 2 -> flip.a 1, red
  - bridge.HOT -> selector.down
  - bridge.COLD -> volume.case
  - selector.common -> volume.ten, red
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
"""
BRAIDED = (("NECK", "{symbol: dual-coil-braided, value: 4k 4k}"),
           ("BRIDGE", "{symbol: dual-coil-braided, value: 4k 4k}"), ("HOT", "hot"), ("COLD", "braid"))
SINGLES = (("NECK", "single-coil, 7k9 clockwise south"), ("BRIDGE", "single-coil, 7k9 anticlockwise north"),
           ("HOT", "finish"), ("COLD", "start"))


def said(changes: tuple[tuple[str, str], ...], code: str) -> list[Problem]:
    """The findings of one code for the build with its words changed."""
    text = FLIP
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    say = Diagnostics()
    check_connections(built(text), say)
    prove(built(text), say)
    return [p for p in say.sorted() if p.code == code]


def test_a_ground_that_would_mute_a_pickup_behind_a_phase_switch_is_not_advised() -> None:
    (found,) = said(BRAIDED, "CIR-107")
    assert found.remedy.startswith("Do not ground it as it is wired now: that silences a coil in flip 2")


def test_no_other_pickup_is_to_be_turned_round_where_every_one_is_braided() -> None:
    (found,) = said(BRAIDED, "CIR-240")
    assert "another pickup" not in found.remedy
    (found,) = said((("BRIDGE", "dual-coil, 4k 4k"), ("bridge.HOT", "bridge.a finish"),
                     ("bridge.COLD", "bridge.a start"), *BRAIDED[:1], *BRAIDED[2:]), "CIR-240")
    assert found.remedy.endswith("; or turn another pickup round.")


def test_leads_are_not_to_be_exchanged_where_that_puts_another_state_of_a_phase_switch_out() -> None:
    (found,) = said(SINGLES, "CIR-249")
    assert "flip 2" in found.message
    assert "else exchange" not in found.remedy
    assert "exchanging the two leads of neck or bridge does not put every state right" in found.remedy


def test_leads_of_a_braided_pickup_are_never_to_be_exchanged() -> None:
    found = [p for p in said(BRAIDED, "CIR-249") if "exchang" in p.remedy]
    assert not found


def test_one_pickup_wired_backwards_is_named_with_the_exchange_that_cures_it() -> None:
    (found,) = said((("flip.a 2 -> flip.b 1, black", "flip.a 2 -> flip.a 1, red"),
                     ("flip.b 2 -> flip.a 1, red", "flip.b 2 -> flip.b 1, black"),
                     ("bridge.HOT -> selector.down", "bridge.start -> selector.down"),
                     ("bridge.COLD -> volume.case", "bridge.finish -> volume.case"), *SINGLES), "CIR-249")
    assert "neck and bridge sound out of phase" in found.message
    assert found.remedy.endswith("else exchange the two leads of neck or bridge.")


def test_a_coil_without_its_ground_lead_is_not_to_be_shorted() -> None:
    text = FLIP.replace("  - bridge.COLD -> volume.case\n", "").replace("selector.down", "selector.common")
    for old, new in SINGLES:
        text = text.replace(old, new)
    say = Diagnostics()
    prove(built(text), say)
    (found,) = (p for p in say.sorted() if p.code == "CIR-242" and p.message.startswith("bridge"))
    assert "short" not in found.remedy
    assert "look for the lead that its open end lacks" in found.remedy
