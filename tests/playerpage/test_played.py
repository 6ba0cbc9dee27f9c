"""What the player's page knows of every position is what the solver gives for it, asked one by one."""

from __future__ import annotations

from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.circuit.signal_path import active_path
from diagramgen.circuit.state_table import state_table
from diagramgen.features.playerpage import compute as module
from diagramgen.features.playerpage.compute import CENTRED, TURNS, contact, knob_choices, played, turns_of
from diagramgen.features.playerpage.page import player_page
from diagramgen.job.sound_words import reading_words
from diagramgen.model.build import Build
from diagramgen.sheets.context import context_of

ROOT = Path(__file__).resolve().parents[2]


def leads_of(proof):
    return [one.lead for one in proof.layout.leads]


def made_of(name, asked=()):
    proof = proof_of(name)
    return proof, played(proof.build, proof.chart, leads_of(proof), asked)


@pytest.mark.parametrize("name", ["three-singles-lever", "left-handed", "holes-in-top", "bass-active", "one-volume"])
def test_each_outcome_and_lit_path_is_the_solvers_for_that_state_and_setting(name):
    proof, made = made_of(name)
    for at, setting in list(enumerate(made.settings))[::7]:
        turned = turns_of(made.knobs, setting)
        for position, numbers in enumerate(made.numbers):
            state = {key: word for c, n in zip(made.controls, numbers, strict=True) if c.digit
                     for key, word in zip(c.keys, c.digit.positions[n], strict=True)}
            result = state_table(proof.build, turned, {**state, **_mono(proof.build)}).result(0)
            outcome, light = (pool[n] for pool, n in zip((made.outcomes, made.lights),
                                                         made.rows[made.of_state[position]][at], strict=True))
            assert outcome.network == result.sound.network
            assert outcome.reads == reading_words(result.reading)
            assert [c for c, _ in outcome.coils] == [h.coil for h in result.sound.sounding]
            assert bool(outcome.curve) == (not result.sound.silent)
            live = active_path(proof.build, state, turned, {h.coil for h in result.sound.sounding})
            joins = frozenset() if result.sound.silent else live.joins
            assert set(light.leads) == {lead.tag for lead in leads_of(proof)
                                        if frozenset((str(lead.start), str(lead.end))) in joins}
            carrying = () if result.sound.silent else live.contacts
            assert set(light.carrying) == {contact(a, b) for a, b in carrying}


def _mono(build: Build) -> dict[str, str]:
    return {part.name: "mono" for part in build.parts.values() if part.symbol.family == "jacks"
            and any(c.kind == "plug" for c in part.symbol.controls) and part.symbol.contacts}


def test_a_volume_at_0_lights_nothing_and_reads_what_the_meter_would():
    _proof, made = made_of("one-volume")
    at = made.settings.index((TURNS.index(0.0),))
    outcome, light = made.rows[0][at]
    assert made.outcomes[outcome].curve == ()
    assert made.outcomes[outcome].says == "silent"
    assert made.lights[light].leads == ()
    # The wiper is on ground: 0 ohm at the plug (common practice, no source).
    assert made.outcomes[outcome].reads == "0 Ω"


def test_legs_of_a_component_are_lit_too():
    _proof, made = made_of("no-cavity")
    assert {"cap leg 1", "cap leg 2"} <= set(made.lights[made.rows[0][0][1]].leads)


def test_knobs_are_turned_together_while_that_is_not_too_much_else_one_at_a_time(monkeypatch):
    proof, made = made_of("three-singles-lever")
    assert (made.alone, len(made.settings)) == (False, 4**3)
    monkeypatch.setattr(module, "MOST_SOLVED", 100)
    alone = played(proof.build, proof.chart, leads_of(proof))
    assert (alone.alone, len(alone.settings)) == (True, 1 + 3 * 3)
    rest = alone.settings[0]
    assert all(sum(a != b for a, b in zip(s, rest, strict=True)) == 1 for s in alone.settings[1:])
    both = {s: i for i, s in enumerate(made.settings)}
    for i, setting in enumerate(alone.settings):
        for row_a, row_b in zip((alone.rows[r] for r in alone.of_state), (made.rows[r] for r in made.of_state),
                                strict=True):
            assert alone.outcomes[row_a[i][0]] == made.outcomes[row_b[both[setting]][0]]


def test_a_knob_with_a_detent_rests_in_its_middle():
    proof, _ = made_of("bass-active")
    blend = next(k for k in knob_choices(proof.build) if k.part == "blend")
    assert (blend.turns, blend.turns[blend.rest]) == (CENTRED, 5.0)


def test_the_plug_is_mono_unless_a_position_asked_for_says_otherwise():
    _proof, made = made_of("bass-active")
    assert made.controls == ()
    _, asked = made_of("bass-active", [{"output": "out"}, {"output": "mono"}])
    assert asked.chosen
    assert [o.curve == () for o in (asked.outcomes[asked.rows[r][0][0]] for r in asked.of_state)] == [True, False]


@pytest.mark.parametrize(("limit", "most"), [("MOST_NETWORKS", 23), ("MOST_STATES", 95)])
def test_above_the_stated_number_chosen_positions_are_shown_and_it_is_said(monkeypatch, limit, most):
    proof = proof_of("baritone")
    monkeypatch.setattr(module, limit, most)
    page = player_page(context_of(proof), proof.chart)
    assert page.played.chosen
    assert len(page.table) == len(page.played.titles) == 6
    assert page.hints[0] == ("This instrument has 96 positions with 24 different connections; this page shows 6 "
                             "chosen ones.")
    monkeypatch.setattr(module, limit, most + 1)
    monkeypatch.setattr(module, "MOST_SOLVED", 0)
    assert not played(proof.build, proof.chart, leads_of(proof)).chosen


def test_positions_asked_for_come_in_that_order():
    _, made = made_of("baritone", [{"selector": "down", "bridge-mode": "b"}, {"selector": "up", "neck-mode": "a"}])
    assert [t.split(", ")[-2:] for t in made.titles] == [["bridge-mode b", "neck-mode series"],
                                                        ["bridge-mode series", "neck-mode a"]]
    first, second = (made.outcomes[made.rows[r][0][0]] for r in made.of_state)
    assert (first.says, second.says) == ("bridge heavier coil alone", "neck lighter coil alone")


def test_the_page_says_what_a_pull_changes_that_leaves_the_coils_alone():
    proof = proof_of("baritone")
    page = player_page(context_of(proof), proof.chart)
    assert page.hints[-1].startswith("Volume. Pushed: treble bleed on. Pulled: off; with volume at 5: about ")


def test_selectors_come_first_and_what_is_pulled_stands_beside_its_knob():
    proof = proof_of("baritone")
    page = player_page(context_of(proof), proof.chart)
    made = page.played
    shown = [(made.controls if kind == "control" else made.knobs)[i].says for kind, i in page.order]
    assert shown == ["selector", "neck mode", "bridge mode", "volume", "volume pull", "tone", "transducer blend"]


def test_every_position_of_every_control_is_a_picture_of_its_own():
    proof = proof_of("baritone")
    page = player_page(context_of(proof), proof.chart)
    for choice, sheet in [*zip(page.played.controls, page.control_pictures, strict=True),
                          *zip(page.played.knobs, page.knob_pictures, strict=True)]:
        groups = [m for m in sheet.marks if getattr(m, "subject", "").startswith("at:")]
        assert [g.subject for g in groups] == [f"at:{i}" for i in range(len(choice.words))]
        assert len({str(g.children) for g in groups}) == len(groups), choice.says
