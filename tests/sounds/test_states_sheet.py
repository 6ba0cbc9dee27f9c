"""Sheets of states: pictures large enough for their tags, headings of one height, no state left out."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.circuit.check_wanted import chosen_states
from diagramgen.drawing.scene import Role, Text, Viewport, walk
from diagramgen.features.sounds.states_sheet import LEAST, MOST, state_sheets
from diagramgen.kernel.paper import PAPERS
from diagramgen.lettering import wrap
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def made(name, paper):
    proof = proof_of(name)
    states = chosen_states(proof.chart, [])
    makers = state_sheets(context_of(proof), proof.chart, states, PAPERS[paper])
    return proof.chart, states, [make(1, 1) for make in makers]


def pictures(sheet):
    return [m for m in sheet.marks if isinstance(m, Viewport) and len(m.children) == 1]


@pytest.mark.parametrize(("name", "paper"), [
    ("baritone", "a4"), ("baritone", "a3"), ("left-handed", "a3"), ("left-handed", "letter"), ("one-volume", "tabloid"),
])
def test_every_state_has_one_picture_and_few_share_a_page_where_they_would_be_small(name, paper):
    _, states, sheets = made(name, paper)
    per_page = [len(pictures(sheet)) for sheet in sheets]
    assert sum(per_page) == len(states)
    assert max(per_page) <= MOST
    small = [p for sheet in sheets for p in pictures(sheet) if abs(p.place.a) < LEAST]
    assert not small or max(per_page) <= 2


def test_the_baritone_on_a4_has_two_states_a_page():
    """Six pictures of it on A4 crowd their tags until nobody can follow a lead."""
    assert [len(pictures(sheet)) for sheet in made("baritone", "a4")[2]] == [2, 2, 2]


@pytest.mark.parametrize("name", ["baritone", "left-handed"])
def test_headings_of_states_are_of_one_height(name):
    from diagramgen.circuit.check_wanted import words

    chart, states, sheets = made(name, "a3")
    firsts = {wrap(words(chart.space.state(i), chart.space), 99.0, 1e6)[0].split(",")[0] for i in states}
    heads = {m.height for sheet in sheets for m in walk(sheet)
             if isinstance(m, Text) and m.bold and m.role == Text("", m.at, 1.0).role
             and any(m.text.startswith(first) for first in firsts)}
    assert len(heads) == 1
    assert Role.TAG_TEXT in {m.role for sheet in sheets for m in walk(sheet) if isinstance(m, Text)}
