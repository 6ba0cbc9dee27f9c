"""What a technician says, in many words, is heard as what the solved circuit gives; phase is among it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from circuits import built, sample

from diagramgen.circuit.elements.element import ElementFault
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.diagnosis import observation_words as spoken
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.observation_words import OF_A_CONTROL, OF_A_SOUND, SOUNDS, control_words_in, sounds_in
from diagramgen.diagnosis.observations import BadObservation, Heard, Knob, Reading, Worn, read_observations
from diagramgen.diagnosis.polarity import signs_of
from diagramgen.diagnosis.posterior import groups, sounds
from diagramgen.diagnosis.simulate import FaultRun, simulate
from diagramgen.features.faults import fault_kinds
from diagramgen.features.faults.compute import Finding, find
from diagramgen.features.faults.fault_kinds import single_faults
from diagramgen.features.faults.fault_table import look_up
from diagramgen.features.jobpapers.intake_sheet import intake_sheets

ONE = Path(__file__).resolve().parents[2] / "samples" / "one-volume.yaml"

ROOT = Path(__file__).resolve().parent.parent.parent

TWO = """
format: 1
title: Two single coils, one of them with its start on hot
parts:
  neck: single-coil, 6k1
  bridge: single-coil, 6k6
  selector: toggle-short
  volume: pot-24, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> selector.up
  - neck.start -> volume.case
  - bridge.start -> selector.down
  - bridge.finish -> volume.case
  - selector.common -> volume.ten, white
  - volume.ten -> tone.wiper, blue
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - tone.case -> volume.case, bare
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, black
  - selector.frame -> volume.case, black
"""


@cache
def run_of(name: str) -> FaultRun:
    laid = fault_model(built(TWO) if name == "two" else sample(ROOT / "samples" / f"{name}.yaml"))
    return simulate(laid, single_faults(laid))


def seen(run: FaultRun, *lines: str) -> Finding:
    return find(run, [observation for line in lines for observation in read_observations(line, run.wiring)])


def shares(found: Finding) -> dict[str, float]:
    return {found.fault(i).key: p for g in found.groups for i, p in g.faults}


def test_two_pickups_nobody_metered_are_taken_to_be_in_phase_where_nothing_is_wrong() -> None:
    # Whichever end of a coil is hot: a sound instrument is in phase, or it would not have been left so.
    signs, taken = signs_of(built(TWO))
    assert taken == {"bridge"}
    assert signs["neck"] == -signs["bridge"]
    run = run_of("two")
    assert np.allclose(run.agree[0, 0], 1.0, atol=0.01)


def test_two_exchanged_leads_thin_in_the_middle_go_before_nothing_is_wrong() -> None:
    for name, lines in (("two", ("middle: thin",)), ("two-pickups-toggle", ("selector=middle: thin", "up: right")),
                        ("three-singles-lever", ("2: nasal", "1: fine"))):
        found = seen(run_of(name), *lines)
        best = found.fault(found.groups[0].faults[0][0])
        assert best.kind == "exchanged", (name, best.words)
        assert shares(found).get("none", 0.0) < 0.02


def test_a_coil_reversed_within_a_pickup_is_not_as_it_should_be() -> None:
    run = run_of("two-pickups-toggle")
    found = seen(run, "up: thin, weak, hums", "down: right", "selector=up: 7.78k")
    assert found.fault(found.groups[0].faults[0][0]).kind == "exchanged"
    assert "as it should" not in found.verdict
    reversed_ = next(i for i, f in enumerate(run.faults) if f.key == "exchanged W01 J01")
    assert SOUNDS[sounds(run, 0)[reversed_, 0]] in ("thin", "faint")


def test_a_magnet_the_other_way_round_makes_thin_without_hum_and_reads_as_before() -> None:
    run = run_of("two-pickups-toggle")
    number = next(i for i, f in enumerate(run.faults) if f.kind == "turned")
    assert [SOUNDS[s] for s in sounds(run, 0)[number]] == ["right", "thin", "right"]
    assert np.allclose(run.ohms[number], run.ohms[0], equal_nan=True)
    assert np.allclose(run.hum[number], run.hum[0], equal_nan=True)


def test_a_fault_that_can_be_heard_stands_in_no_group_with_nothing_is_wrong() -> None:
    run = run_of("two")
    of, heard = groups(run), sounds(run, 0)
    assert all((heard[i] == heard[0]).all() for i in np.flatnonzero(of == 0))


@pytest.mark.parametrize(("said", "meant"), [
    ("dead", "silent"), ("No Sound", "silent"), ("SILENT", "silent"), ("weak", "faint"), ("low", "faint"),
    ("thin", "thin"), ("nasal", "thin"), ("no bass", "thin"), ("hum", "hums"), ("buzz", "hums"),
    ("crackles", "crackles"), ("scratchy", "crackles"), ("cuts out", "crackles"), ("no treble", "dull"),
    ("as it should", "right"), ("very thin", "thin"), ("sounds weak", "faint"),
])
def test_the_words_of_the_shop_are_known(said: str, meant: str) -> None:
    run = run_of("two")
    assert read_observations(f"selector=up: {said}", run.wiring) == (Heard(0, 0, meant),)


def test_several_words_are_several_observations() -> None:
    run = run_of("two")
    assert read_observations("MIDDLE: Thin, weak and hums", run.wiring) == tuple(
        Heard(1, 0, word) for word in ("thin", "faint", "hums"))
    assert sounds_in("thin, purple") == ()


def test_knobs_switches_jack_and_pickups_may_be_named_themselves() -> None:
    run = run_of("two")
    assert read_observations("volume: stuck loud", run.wiring) == read_observations("volume: dead", run.wiring)
    assert isinstance(read_observations("volume: stuck", run.wiring)[0], Knob)
    assert read_observations("volume: scratchy", run.wiring) == (Worn("volume", "crackles"),)
    assert read_observations("selector: cuts out", run.wiring) == (Worn("selector", "crackles"),)
    assert read_observations("jack: loose", run.wiring) == (Worn("output", "loose"),)
    # The position in which the pickup sounds by itself is meant.
    assert read_observations("neck: dead", run.wiring) == (Heard(0, 0, "silent"),)
    assert read_observations("bridge: no sound", run.wiring) == (Heard(2, 0, "silent"),)
    assert isinstance(read_observations("position middle: 3.2k", run.wiring)[0], Reading)


def test_what_crackles_is_looked_for_among_what_would_change_that_position() -> None:
    found = seen(run_of("two"), "selector: scratchy")
    best = found.fault(found.groups[0].faults[0][0])
    assert any(lug.startswith("selector.") for lug in best.lugs)
    found = seen(run_of("two"), "up: crackles", "down: right")
    best = found.fault(found.groups[0].faults[0][0])
    assert any(lug.startswith(("neck.", "selector.up")) for lug in best.lugs), best.words


@pytest.mark.parametrize(("line", "near"), [
    ("middle: thinn", "'thin'"), ("middle: buz", "'buzz'"), ("volume: stuk", "'stuck'"),
    ("selector: scrachy", "'scratchy'"), ("neck: nasel", "'nasal'"),
])
def test_an_unknown_word_is_answered_with_the_nearest(line: str, near: str) -> None:
    with pytest.raises(BadObservation) as fault:
        read_observations(line, run_of("two").wiring)
    assert near in str(fault.value)


def test_every_word_the_intake_sheet_asks_for_is_known() -> None:
    source = (ROOT / "diagramgen" / "features" / "jobpapers" / "intake_sheet.py").read_text(encoding="utf-8")
    assert intake_sheets is not None
    asked = next(re.finditer(r'Column\("(weak, thin, [^"]*)"', source))[1].split(", ")
    assert all(word in OF_A_SOUND for word in [*asked, "hum"])
    of_controls = re.findall(r'Column\("(scratchy|dead|loose)"', source)
    assert sorted(of_controls) == ["dead", "loose", "scratchy"]
    assert all(control_words_in(word) for word in of_controls)
    assert all(word == word.lower() for word in (*OF_A_SOUND, *OF_A_CONTROL))


@pytest.mark.parametrize("line", ["plug: 6.05k", "output: 6.05k", "pickup: 6.05k"])
def test_a_reading_said_of_jack_or_pickup_is_one_at_the_plug(line: str) -> None:
    laid = fault_model(sample(ONE))
    (observation,) = read_observations(line, laid)
    assert isinstance(observation, Reading)
    setting = laid.settings[observation.setting].name
    assert (observation.state, setting, observation.ohms) == (0, "rest", pytest.approx(6050))


def test_a_reading_that_is_neither_joined_nor_open_is_refused_for_metal() -> None:
    laid = fault_model(sample(ONE))
    for line in ("volume: 6.05k", "strings: 300"):
        with pytest.raises(BadObservation, match=r"neither joined nor open.*plug: "):
            read_observations(line, laid)
    assert read_observations("strings: 0.3", laid) == read_observations("strings: joined", laid)
    assert read_observations("strings: 220k", laid) == read_observations("strings: open", laid)


def test_without_a_switch_the_remedy_names_the_plug_and_no_position() -> None:
    with pytest.raises(BadObservation, match=r"plug: 7\.9k"):
        read_observations("6.05k", fault_model(sample(ONE)))


def test_stuck_with_a_comma_before_loud_is_the_phrase_without_it() -> None:
    assert spoken.control_words_in("STUCK, loud") == spoken.control_words_in("stuck loud") == ("stuck",)
    assert spoken.sounds_in("thin, hums") == ("thin", "hums")


def test_the_sections_of_one_tapped_winding_are_not_taken_to_be_in_phase_with_each_other() -> None:
    """One winding has one sense: nothing has to be taken of a pickup that is alone."""
    build = built("parts:\n  it: single-coil-tapped\n  volume: pot-24\n  output: jack-mono-open\nleads:\n"
                  "  - it.finish -> volume.ten\n  - it.start -> volume.case\n"
                  "  - volume.wiper -> output.tip\n  - volume.zero -> volume.case\n  - volume.case -> output.sleeve\n")
    assert signs_of(build)[1] == frozenset()


def test_a_fault_that_only_a_new_element_declares_has_weight_and_words(monkeypatch):
    """An element brings its own faults: nothing else lists them."""
    plain = ElementFault("core loose", "its core is loose", "open")
    told = ElementFault("hums", "it hums", "open", weight=3.0, called="hum of its own")
    changed = {**KINDS, "capacitor": replace(KINDS["capacitor"], faults=(plain, told))}
    monkeypatch.setattr(fault_kinds, "KINDS", changed)
    assert fault_kinds.fault_kind("core loose") == fault_kinds.FaultKind("core loose", 1.0)
    assert fault_kinds.fault_kind("hums") == fault_kinds.FaultKind("hum of its own", 3.0)
    laid = fault_model(built(TWO))
    found = [f for f in single_faults(laid) if f.kind in ("core loose", "hums")]
    assert [(f.kind, f.weight) for f in found] == [("core loose", 1.0), ("hums", 3.0)]
    coil = {**KINDS, "coil": replace(KINDS["coil"], faults=(told,))}
    monkeypatch.setattr(fault_kinds, "KINDS", coil)
    rows = look_up(simulate(laid, single_faults(laid))).rows
    assert "hum of its own" in {heading for row in rows for heading, _, _ in row.faults}


def test_faults_of_one_kind_are_weighed_and_called_alike():
    declared = {(w.kind, w.weight, w.heading) for kind in KINDS.values() for w in kind.faults}
    assert len({kind for kind, _, _ in declared}) == len(declared)
    assert not {kind for kind, _, _ in declared} & set(fault_kinds.OF_NO_ELEMENT)
