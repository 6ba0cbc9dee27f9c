"""The smallest change of leads that makes all wanted sounds true."""

from __future__ import annotations

import math
import random
from collections import Counter
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from circuits import built, sample

from diagramgen.circuit.check_wanted import mismatches
from diagramgen.circuit.nets import connect
from diagramgen.circuit.proof import complaints, prove
from diagramgen.circuit.repair.search import (
    EFFORT_OF_TWO,
    Change,
    Repair,
    applied,
    changes,
    connection_problems,
    smallest_change,
)
from diagramgen.circuit.state_table import state_table
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.model.build import Build, End

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"

SPLIT = """
parts:
  pickup: dual-coil
  mode: pot-24-push-pull, 500k log
  output: jack-mono-open
leads:
  - pickup.a start -> mode.ten
  - pickup.a finish -> pickup.b {hot}
  - pickup.a finish -> mode.a common
  - mode.a near -> {near}
  - pickup.b {cold} -> mode.case
  - mode.zero -> mode.case
  - mode.wiper -> output.tip
  - mode.case -> output.sleeve
wanted:
  - {{when: {{mode: pushed}}, sounds: pickup.a + pickup.b, phase: in, hum: most}}
  - {{when: {{mode: pulled}}, sounds: pickup.a, hum: full}}
"""


def mended(made: Build) -> tuple[Repair, bool]:
    found = smallest_change(made)
    if found.change is None:
        return found, False
    return found, not list(mismatches(state_table(applied(made, found.change))))


def test_a_coil_the_wrong_way_round_is_mended_by_exchanging_its_leads() -> None:
    found, fine = mended(built(SPLIT.format(hot="start", cold="finish", near="mode.case")))
    assert fine
    assert found.change is not None
    assert "exchange the ends at" in found.change.words
    assert "pickup.b start" in found.change.words
    assert "pickup.b finish" in found.change.words
    assert found.text.endswith("Then every wanted sound is true.")


def test_a_lead_on_the_wrong_lug_is_mended_by_moving_its_end() -> None:
    found, fine = mended(built(SPLIT.format(hot="finish", cold="start", near="mode.a far")))
    assert fine
    assert found.change is not None
    assert "mode.a near" in found.change.words


def test_what_no_single_change_mends_is_said() -> None:
    text = SPLIT.format(hot="finish", cold="start", near="mode.case").replace("phase: in", "phase: out")
    text = text.replace("sounds: pickup.a, hum: full", "sounds: pickup.b, hum: most")
    found, _ = mended(built(text))
    assert found.change is None
    assert found.complete
    assert found.tried == len(list(changes(built(text)))) > 200
    assert 0 < found.pairs <= EFFORT_OF_TWO
    assert found.text.startswith("No single change")
    assert found.text.endswith(f"nor did any of {found.pairs} pairs tried.")


def test_effort_is_counted() -> None:
    made = built(SPLIT.format(hot="start", cold="finish", near="mode.case"))
    found = smallest_change(made, 5)
    assert (found.change, found.tried, found.complete) == (None, 5, False)


def test_every_change_differs_from_the_build() -> None:
    made = built(SPLIT.format(hot="start", cold="finish", near="mode.case"))
    found = list(changes(made))
    assert len({c.words for c in found}) == len(found)
    assert all(c.leads != made.leads for c in found)


def broken(made: Build, seed: int) -> Build:
    """One end of one lead moved to another lug at random, so that some wanted sound is lost."""
    dice = random.Random(seed)
    lugs = [(p.name, lug) for p in made.parts.values() for lug in p.symbol.lug_names()]
    while True:
        i = dice.randrange(len(made.leads))
        part, lug = dice.choice(lugs)
        moved = replace(made.leads[i], end=End(part, lug, made.leads[i].place))
        worse = replace(made, leads=(*made.leads[:i], moved, *made.leads[i + 1 :]))
        if str(moved.start) != str(moved.end) and any(m.kind != "unknown" for m in mismatches(state_table(worse))):
            return worse


@pytest.mark.parametrize("seed", range(12))
def test_a_lead_moved_at_random_in_a_sample_is_mended_by_one_change(seed: int) -> None:
    made = sample(SAMPLES / ("two-pickups-toggle.yaml" if seed % 2 else "three-singles-lever.yaml"))
    found, fine = mended(broken(made, seed))
    assert fine, found.text


@pytest.mark.parametrize("seed", [0, 4])
def test_two_leads_moved_at_random_that_no_single_change_mends_are_mended_by_two(seed: int) -> None:
    made = sample(SAMPLES / "three-singles-lever.yaml")
    found, fine = mended(broken(broken(made, seed), seed + 100))
    assert fine, found.text
    assert 0 < found.pairs <= EFFORT_OF_TWO
    assert ", and " in found.text


def test_no_proposal_raises_a_new_warning() -> None:
    made = built(SPLIT.format(hot="finish", cold="start", near="mode.a far"))
    best = smallest_change(made).change
    assert best is not None
    new = Problem("C999", Severity.WARNING, Location("hand.yaml"), "new")
    refused = smallest_change(made, complaints=lambda b: [new] if b.leads == best.leads else [])
    assert refused.change is None or refused.change.leads != best.leads
    known = smallest_change(made, complaints=lambda b: [new])
    assert known.change is not None
    assert known.change.leads == best.leads


def test_a_build_that_keeps_its_promises_is_never_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object, **__: object) -> Repair:
        raise AssertionError("searched")

    monkeypatch.setattr("diagramgen.circuit.proof.smallest_change", never)
    prove(sample(SAMPLES / "three-singles-lever.yaml"), Diagnostics(), mend=True)


def test_an_exchange_of_two_ends_is_tried_once() -> None:
    made = built(SPLIT.format(hot="start", cold="finish", near="mode.case"))
    exchanged = [c.leads for c in changes(made) if c.words.startswith("exchange")]
    assert len(exchanged) == len(set(exchanged)) > 0


def test_leads_are_added_and_taken_out_only_where_the_search_is_not_held_to_some_nets() -> None:
    made = built(SPLIT.format(hot="start", cold="finish", near="mode.case"))
    assert {c.words.split()[0] for c in changes(made)} == {"move", "exchange", "add", "take"}
    assert {c.words.split()[0] for c in changes(made, {"mode.ten", "mode.case"})} == {"move", "exchange"}


def test_a_lead_that_is_missing_is_found() -> None:
    found, fine = mended(built("""
parts:
  one: single-coil
  output: jack-mono-open
leads:
  - one.start -> output.sleeve
wanted:
  - {when: {output: mono}, sounds: one}
"""))
    assert fine
    assert found.change is not None
    assert found.change.words.startswith("add a lead from")
    assert {"one.finish", "output.tip"} <= set(found.change.words.split())


def test_a_build_without_leads_has_no_single_change() -> None:
    made = replace(built(SPLIT.format(hot="start", cold="finish", near="mode.case")), leads=())
    assert list(changes(made)) == []
    assert smallest_change(made).text.startswith("No single change")


def test_every_change_of_each_kind_is_tried_once() -> None:
    """By counting: an end goes to every other net, any two ends on two leads and nets change places, any two nets get
    a lead, any lead goes. A conductor stays at its pickup unless it meets another, or a second lead is on it."""
    made = built(SPLIT.format(hot="start", cold="finish", near="mode.case"))
    lugs = {f"{p.name}.{lug}" for p in made.parts.values() for lug in p.symbol.lug_names()}
    nets = [net for net in connect(made).nets() if lugs & set(net)]
    of = {node: i for i, net in enumerate(nets) for node in net}
    ends = [(i, str(end)) for i, lead in enumerate(made.leads) for end in (lead.start, lead.end)]
    fast = {"pickup.a start", "pickup.b finish"}
    loose = [(i, end) for i, end in ends if end not in fast]
    tried = Counter(c.words.split()[0] for c in changes(made) if not c.words.startswith("exchange all"))
    assert tried == {
        "move": len(loose) * (len(nets) - 1), "add": math.comb(len(nets), 2), "take": len(made.leads),
        "exchange": sum(i != j and of[a] != of[b]
                        and (not {a, b} & fast or all(e.startswith("pickup.") for e in (a, b)))
                        for (i, a), (j, b) in combinations(ends, 2)),
    }


@pytest.mark.parametrize("pairs", [0, 1, 7])
def test_the_effort_of_two_changes_is_counted_one_by_one(pairs: int) -> None:
    text = SPLIT.format(hot="finish", cold="start", near="mode.case").replace("phase: in", "phase: out")
    found = smallest_change(built(text.replace("sounds: pickup.a, hum: full", "sounds: pickup.b, hum: most")),
                            of_two=pairs)
    assert (found.change, found.pairs) == (None, pairs)
    assert ("two at once were not tried" in found.text) is (pairs == 0)


HUNG = """
parts:
  pickup: dual-coil
  cap: capacitor-film, 22n, between pickup.a start and output.tip
  output: jack-mono-open
leads:
  - pickup.a finish -> pickup.b {hot}
  - pickup.b {cold} -> output.sleeve
wanted:
  - {{when: {{output: mono}}, sounds: pickup.a + pickup.b, phase: in, hum: most}}
"""


def test_a_component_hung_by_its_legs_stays_where_it_hangs_while_leads_are_changed() -> None:
    found, fine = mended(built(HUNG.format(hot="start", cold="finish")))
    assert fine, found.text


def test_a_component_whose_leg_is_a_lead_that_was_moved_hangs_by_its_leads_alone() -> None:
    made = built(HUNG.format(hot="finish", cold="start").replace("wanted", "  - cap.other -> output.tip\nwanted"))
    assert made.parts["cap"].between is not None
    assert applied(made, Change("", made.leads)).parts["cap"].between == made.parts["cap"].between
    assert applied(made, Change("", made.leads[:-1])).parts["cap"].between is None


HOT_CASE = """
parts:
  one: single-coil
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
  - one.finish -> volume.ten
  - one.start -> output.sleeve
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
  - volume.case -> output.tip
"""


def test_what_a_proposal_may_not_add_to_is_all_that_check_says_of_leads_and_states_but_broken_promises() -> None:
    assert {p.code for p in connection_problems(built(HOT_CASE))} == {"CIR-104", "CIR-112"}
    assert {p.code for p in complaints(built(HOT_CASE))} == {"CIR-104", "CIR-112"}
    broken = HOT_CASE + "wanted:\n  - {when: {output: mono}, sounds: silent}\n"
    assert {p.code for p in complaints(built(broken))} == {"CIR-104", "CIR-112"}


@pytest.mark.parametrize("mend", [False, True])
def test_a_remedy_is_searched_only_where_it_was_asked_for(mend: bool) -> None:
    say = Diagnostics()
    prove(built(SPLIT.format(hot="start", cold="finish", near="mode.case")), say, mend=mend)
    remedies = {p.remedy.split(":")[0] for p in say if p.code == "CIR-302"}
    assert remedies == {"Smallest change"} if mend else {"Compare the leads of these parts with what was meant."}
