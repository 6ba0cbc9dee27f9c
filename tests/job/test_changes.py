"""As found and as left: leads known again, the order of work, the way back. All builds here are invented."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from builders import build, cavity, lead, part, place
from hypothesis import given, settings
from hypothesis import strategies as st

from diagramgen.features.labels.compute import bag_labels
from diagramgen.job.change_steps import cannot_undo, changes_in_words, questions, steps, to_keep
from diagramgen.job.changes import all_leads, apply, check_same_instrument, compare, counts, joints_of, undo
from diagramgen.job.record_words import handed_back
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build, Lead
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
POTS = ("one", "two", "three")


def wiring(made: Build) -> tuple[object, Counter[Lead]]:
    return dict(made.parts), Counter(made.leads)


def pots(*leads: Lead, **parts: object) -> Build:
    return build([*(part(name, "pot") for name in POTS), *parts.values()], leads)  # type: ignore[list-item]


def fates(found: Build, left: Build) -> dict[str, str]:
    return {c.tag: c.what for c in compare(found, left).leads}


@cache
def sample(name: str) -> Build:
    path, say = SAMPLES / f"{name}.yaml", Diagnostics()
    made = read_build(path.read_bytes(), str(path), Sources(SAMPLES), shipped(), say)
    assert made is not None
    return made


@pytest.mark.parametrize("name", ["two-pickups-toggle", "bass-active", "three-singles-lever"])
def test_a_file_in_another_order_and_with_ends_exchanged_has_no_change(name: str) -> None:
    found = sample(name)
    turned = [replace(one, start=one.end, end=one.start) for one in reversed(found.leads)]
    left = replace(found, leads=tuple(turned), parts=dict(reversed(found.parts.items())))
    changes = compare(found, left)
    assert not changes.any
    assert steps(changes) == ()


def test_a_lead_with_one_end_on_another_lug_moves_and_opens_one_joint() -> None:
    changes = compare(pots(lead("W1", "one.ten -> two.ten", colour="red")),
                      pots(lead("W1", "one.ten -> three.ten", colour="red")))
    assert [c.what for c in changes.leads] == ["moves"]
    assert [str(e) for e in changes.opened] == ["two.ten"]
    assert [str(e) for e in changes.made] == ["three.ten"]


def test_a_lead_in_another_colour_is_another_lead() -> None:
    found, left = (pots(lead("W1", "one.ten -> two.ten", colour=c)) for c in ("red", "black"))
    assert sorted(c.what for c in compare(found, left).leads) == ["comes", "goes"]


def test_a_longer_lead_is_another_and_a_shorter_one_is_cut_and_cannot_be_undone() -> None:
    short, long = (pots(lead("W1", "one.ten -> two.ten", colour="red", length=n)) for n in (80.0, 120.0))
    assert fates(long, short) == {"W1": "shortened"}
    assert sorted(c.what for c in compare(short, long).leads) == ["comes", "goes"]
    assert len(cannot_undo(compare(long, short))) == 1
    assert [c.what for c in undo(compare(long, short)).leads] == ["renewed"]


def test_what_is_soldered_to_a_pot_of_another_value_comes_off_and_goes_back_on() -> None:
    leads = (lead("W1", "one.ten -> two.ten", colour="red"), lead("J1", "one.zero -> one.case", "bend"))
    found = build([part("one", "pot", values={"track": 250e3}), part("two", "pot")], leads)
    left = build([part("one", "pot", values={"track": 500e3}), part("two", "pot")], leads)
    changes = compare(found, left)
    assert sorted((c.tag, c.what) for c in changes.leads) == [("J1", "comes"), ("J1", "goes"), ("W1", "lifted")]
    assert [str(e) for e in changes.opened] == ["one.ten"]
    assert {str(e) for e in changes.made} == {"one.ten", "one.zero", "one.case"}
    assert len(to_keep(changes)) == 1


def test_a_pot_metered_anew_within_its_tolerance_is_the_same_pot() -> None:
    found = build([part("one", "pot", values={"track": 500e3})])
    left = build([part("one", "pot", values={"track": 470e3})])
    assert [p.what for p in compare(found, left).parts] == ["metered"]


def test_an_end_not_traced_is_a_question_and_opens_nothing() -> None:
    changes = compare(pots(lead("W1", "one.wiper -> unknown", colour="red")),
                      pots(lead("W1", "one.wiper -> two.ten", colour="red")))
    assert [c.what for c in changes.leads] == ["unsure"]
    assert changes.opened == changes.made == ()
    assert len(questions(changes)) == 1
    assert "Two ten" in questions(changes)[0]


def test_a_lug_with_several_leads_is_opened_once() -> None:
    leads = [lead(f"W{n}", f"one.case -> {p}.case", colour="black") for n, p in enumerate(("two", "three"), 1)]
    opened = [s for s in steps(compare(pots(*leads), pots())) if s.do == "open" and s.subject == "one.case"]
    assert len(opened) == 1
    assert len(opened[0].leads) == 2


@pytest.mark.parametrize("changed", [
    {"hand": "left"}, {"instrument": "Another"}, {"cavities": {"other": cavity("other")}},
    {"cavities": {"main": cavity("main", width=90)}},
])
def test_another_instrument_is_said(changed: dict[str, object]) -> None:
    found, say = build(instrument="This one"), Diagnostics()
    assert check_same_instrument(found, found, place(), say)
    assert not check_same_instrument(found, replace(found, **changed), place(), say)  # type: ignore[arg-type]
    assert [p.code for p in say] == ["CHG-301"]


LUGS = [f"{p}.{lug}" for p in POTS for lug in ("ten", "wiper", "zero", "case")] + ["cap.one", "cap.other"]


@st.composite
def builds(draw: st.DrawFn) -> Build:
    """Pots, some missing or of another value, with leads between their lugs."""
    parts = [part(name, "pot", values={"track": draw(st.sampled_from((250e3, 500e3)))})
             for name in POTS if draw(st.integers(0, 3))]
    names = {p.name for p in parts}
    if draw(st.booleans()) and len(names) > 1:
        a, b = sorted(names)[:2]
        parts.append(part("cap", "cap", between=(f"{a}.ten", f"{b}.{draw(st.sampled_from(('wiper', 'zero')))}")))
    lugs = [x for x in LUGS if x.split(".")[0] in names] + ["unknown", "parked"]
    ends = draw(st.lists(st.lists(st.sampled_from(lugs), min_size=2, max_size=2, unique=True), max_size=7,
                         unique_by=frozenset))
    leads = [lead(f"W{n:02}", f"{a} -> {b}", colour=draw(st.sampled_from(("red", "black"))),
                  length=draw(st.sampled_from((None, 80.0, 120.0))), pinned=draw(st.booleans()))
             for n, (a, b) in enumerate(ends) if {a, b} - {"unknown", "parked"}]
    return build(parts, leads)


def fault(found: Build, left: Build, order: list) -> str:  # type: ignore[type-arg]
    """Why the steps cannot be done in this order, or ''; written from the rules of the bench alone."""
    changes = compare(found, left)
    on = {(id(c), str(e)) for c in changes.leads if c.found for e in joints_of(found, c.found)}
    here = {c.name for c in changes.parts if c.found is not None}
    leaves = {c.name for c in changes.parts if c.what in ("out", "replaced")}
    fresh: set[str] = set()
    by_tag = {c.found.tag: id(c) for c in changes.leads if c.found is not None}
    here_again = {id(c): c for c in changes.leads}
    seen: list[tuple[str, str]] = []
    off: set[tuple[int, str]] = set()
    for step in order:
        if (step.do, step.subject) in seen:
            return "twice"
        seen.append((step.do, step.subject))
        who = {k for one in step.leads for k, c in here_again.items() if c == one.change}
        name = step.subject.split(".")[0]
        if step.do == "open":
            on -= {(k, step.subject) for k in who}
            off |= {(k, step.subject) for k in who}
        elif step.do == "lead out" and any(k == by_tag[step.subject] for k, _ in on):
            return "a lead was taken out before it was opened"
        elif step.do == "part out":
            held = {k for k, e in on if e.split(".")[0] == step.subject}
            if any(any(end.part != step.subject for end in joints_of(found, here_again[k].found)) for k in held):
                return "a part came out with leads on it"
            on = {(k, e) for k, e in on if e.split(".")[0] != step.subject}
            here.discard(step.subject)
        elif step.do == "part in":
            if step.subject in here:
                return "a part went in where another is"
            here.add(step.subject)
            fresh.add(step.subject)
        elif step.do == "make":
            if name not in here or (name in leaves and name not in fresh):
                return "soldered to a part that is not there"
            if any((k, str(e)) not in off for k in who for e in here_again[k].opens):
                return "a lead was moved before its joint was opened"
            on |= {(k, step.subject) for k in who}
    wanted = {(id(c), str(e)) for c in changes.leads if c.left for e in joints_of(left, c.left) if c.what != "unsure"}
    on = {(k, e) for k, e in on if here_again[k].what != "unsure"}
    return "" if on == wanted and here == set(left.parts) else "not as left in the end"


@given(builds(), builds())
@settings(max_examples=120, deadline=None)
def test_changes_give_the_build_as_left_and_undone_the_one_as_found(found: Build, left: Build) -> None:
    changes = compare(found, left)
    assert wiring(apply(changes, found)) == wiring(left)
    assert wiring(apply(undo(changes), left)) == wiring(found)
    assert len([c for c in changes.leads if c.found]) == len(all_leads(found))
    assert bool(changes_in_words(changes)) >= changes.any
    assert counts(changes).joints_opened == sum(s.do == "open" for s in steps(changes))
    assert counts(changes).joints_made == sum(s.do == "make" for s in steps(changes))


@given(builds(), builds())
@settings(max_examples=120, deadline=None)
def test_the_order_of_work_can_be_done_and_ends_as_left(found: Build, left: Build) -> None:
    assert fault(found, left, list(steps(compare(found, left)))) == ""


def test_random_orders_of_the_same_steps_are_refused() -> None:
    found = pots(lead("W1", "one.ten -> two.ten", colour="red"), lead("W2", "two.wiper -> three.ten", colour="black"))
    left = replace(pots(lead("W1", "one.ten -> three.wiper", colour="red")),
                   parts={n: p for n, p in pots().parts.items() if n != "two"})
    right = list(steps(compare(found, left)))
    assert fault(found, left, right) == ""
    chance = random.Random(7)
    refused = sum(bool(fault(found, left, chance.sample(right, len(right)))) for _ in range(50))
    assert refused > 40


def test_apply_refuses_a_build_the_changes_do_not_begin_from() -> None:
    changes = compare(pots(lead("W1", "one.ten -> two.ten")), pots())
    with pytest.raises(ValueError, match="W1"):
        apply(changes, pots())


def test_a_sleeved_joint_that_is_opened_is_no_part_to_hand_back_to_charge_or_to_bag() -> None:
    left = sample("two-pickups-toggle")
    without = replace(left, parts={name: p for name, p in left.parts.items() if name != "common"},
                      leads=tuple(x for x in left.leads if "common" not in (x.start.part, x.end.part)))
    changes = compare(left, without)
    assert [c.name for c in changes.parts_that("out")] == ["common"]
    assert changes.things_that("out") == ()
    assert counts(changes).parts_out == 0
    assert handed_back(changes) == ()
    assert not any("common:" in kept for kept in to_keep(changes))
    assert bag_labels(left, without) == ()
