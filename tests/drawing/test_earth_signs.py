"""Earth signs: joints on ground bear one, joints that carry signal never, and it covers nothing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
import shapely
from sampled import proof_of

from diagramgen.drawing.labelling.place_labels import frame_of
from diagramgen.drawing.scene import Role, Shape, Sheet, walk
from diagramgen.features.diagrams.sheet import full_size_drawing
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def made(name):
    proof = proof_of(name)
    return (proof.roles, *full_size_drawing(context_of(proof)))


def shapes(name, role):
    return [mark for mark in walk(Sheet(1, 1, "", made(name)[1].marks))
            if isinstance(mark, Shape) and mark.role == role]


def signs(name):
    """Lug key -> the lines of its sign."""
    return {mark.subject.removeprefix("lug:"): shapely.MultiLineString([p.flat(0.05) for p in mark.path])
            for mark in shapes(name, Role.GROUND)}


@pytest.mark.parametrize("name", ["one-volume", "two-pickups-toggle"])
def test_signs_stand_at_joints_on_ground_only_and_at_most_of_them(name):
    roles = made(name)[0]
    rings = {mark.subject.removeprefix("lug:") for mark in shapes(name, Role.JOINT_GROUND)}
    shown = set(signs(name))
    assert {roles[key] for key in shown} == {"ground"}
    assert shown <= rings
    assert len(shown) >= 0.75 * len(rings)


@pytest.mark.parametrize("name", ["one-volume", "two-pickups-toggle"])
def test_a_sign_lies_on_no_lead_no_label_and_no_foreign_lug(name):
    _, drawing, layout = made(name)
    leads = [shapely.LineString(one.path.flat(0.05)).buffer(0.575) for one in layout.leads]
    words = [frame_of(one) for one in drawing.labels]
    for key, sign in signs(name).items():
        assert not any(sign.intersects(other) for other in (*leads, *words)), key
        assert all(sign.distance(shapely.Point(lug.at)) > 1.4 for part in layout.parts.values()
                   for lug in part.lugs.values() if lug.key != key), key
