"""No lead over a foreign lug, no ground claimed where lugs lie behind one another: in crowded builds and planted."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "benchmarks"))

from dense_builds import BUILDS  # noqa: E402 - the path is made just before

from diagramgen.analysis import examine  # noqa: E402
from diagramgen.drawing.diagram import Look, draw  # noqa: E402
from diagramgen.drawing.foldout import foldout_marks, foldouts, lug_leads  # noqa: E402
from diagramgen.drawing.leads_over_lugs import over_lugs  # noqa: E402
from diagramgen.drawing.parts import stacks  # noqa: E402
from diagramgen.drawing.scene import Group, Role, Shape, Text, Viewport, leaves  # noqa: E402
from diagramgen.kernel.geometry import Point, polyline  # noqa: E402
from diagramgen.layout.pads import rim_joints  # noqa: E402

NAMES = ("two-and-two-left", "two-and-two-over", "blend-left", "rings", "four-pole-inline", "two-decks")


@cache
def proof_of(name):
    return examine(Path("crowded.yaml"), data=BUILDS[name].encode())


def errors(proof):
    return [p.message for p in proof.problems if p.code in ("DRW-103", "DRW-113")]


def rerouted(layout, tag, point):
    """The layout with one lead led through a point."""
    laid = next(one for one in layout.leads if one.lead.tag == tag)
    span = replace(laid.spans[0], path=polyline([laid.path.start, point, laid.path.end]))
    return replace(layout, leads=tuple(replace(one, spans=(span,)) if one is laid else one for one in layout.leads))


def marked(layout, roles, role):
    """Subjects of all marks of a role on the plain diagram."""
    marks = draw(layout, roles, Look(), layout.box.grown(20)).marks
    found = []

    def visit(mark, subject):
        own = getattr(mark, "subject", "") or subject
        if isinstance(mark, (Group, Viewport)):
            for child in mark.children:
                visit(child, own)
        elif isinstance(mark, Shape) and mark.role is role:
            found.append(own)

    for mark in marks:
        visit(mark, "")
    return found


@pytest.mark.parametrize("name", NAMES)
def test_in_a_crowded_build_no_lead_lies_over_a_lug_that_is_not_its_own(name):
    proof = proof_of(name)
    assert errors(proof) == []
    assert over_lugs(proof.layout) == ()


def test_a_lead_over_the_joint_of_a_foreign_bent_lug_is_found():
    layout = proof_of("two-and-two-left").layout
    pad = next(rim_joints(layout.parts["neck-volume"], [one.lead for one in layout.leads]))
    found = over_lugs(rerouted(layout, "W03", pad.at))
    assert ("DRW-103", ("lead:W03", f"lug:{pad.key}")) in [(f.code.id, f.subjects) for f in found]


def test_a_lead_that_only_grazes_a_foreign_pad_is_found_and_one_clear_of_it_is_not():
    layout = proof_of("four-pole-inline").layout
    lug = layout.parts["lever"].lugs["a 5"]
    laid = next(one for one in layout.leads if one.lead.tag == "W20")

    def led(off):
        path = polyline([Point(lug.at.x - 1.0, lug.at.y + off), Point(lug.at.x + 1.0, lug.at.y + off)])
        moved = replace(laid, spans=(replace(laid.spans[0], path=path),))
        return [f.subjects for f in over_lugs(replace(layout, leads=(moved,)))]

    assert led(1.9) == [("lead:W20", "lug:lever.a 5")]
    assert led(2.3) == []


@pytest.mark.parametrize("name", ["blend-left", "two-decks", "rings"])
def test_where_lugs_lie_behind_one_another_the_plan_shows_neither_ground_nor_signal(name):
    proof = proof_of(name)
    deep = {f"lug:{lug.key}" for part in proof.layout.parts.values() for group in stacks(part) for lug in group}
    assert deep
    for role in (Role.GROUND, Role.JOINT_GROUND, Role.JOINT):
        drawn = set(marked(proof.layout, proof.roles, role))
        assert drawn
        assert not drawn & deep
    grounded = {f"lug:{key}" for key, role in proof.roles.items() if role == "ground"}
    assert grounded & deep


@pytest.mark.parametrize(("name", "part", "grounds"), [("blend-left", "blend", 2), ("two-decks", "turn", 2)])
def test_the_detail_tells_ground_for_each_lug_and_no_lug_hides_another(name, part, grounds):
    proof = proof_of(name)
    columns = next(c for p, c in foldouts(proof.layout) if p.part.name == part)
    group, _ = foldout_marks(proof.layout.parts[part], columns, lug_leads(proof.layout), proof.roles, Point(0, 0), 1.0)
    marks = list(leaves([group]))
    assert sum(isinstance(m, Shape) and m.role is Role.GROUND for m in marks) == grounds
    assert sum(isinstance(m, Text) and m.text.endswith("(ground)") for m in marks) == grounds
    letters = [m.at for m in marks if isinstance(m, Text) and len(m.text) == 1]
    assert len(letters) == sum(map(len, columns))
    assert min(a.distance(b) for i, a in enumerate(letters) for b in letters[i + 1:]) > 3.8
    assert all(2 < at.x < 52 for at in letters)


def test_the_detail_names_the_braid_that_is_soldered_to_a_stacked_lug():
    leads = lug_leads(proof_of("rings").layout)
    assert "braid of W12" in leads["volume.a far"]
