"""Contrast measured by an independent colour library against WCAG 2.2 SC 1.4.3 and SC 1.4.11."""

import itertools

import pytest
from coloraide import Color

from diagramgen.drawing.scene import Emphasis, Role
from diagramgen.drawing.style import SHADES, TEXT_BACKGROUND, style_of
from diagramgen.kernel.tokens import PAPER

TEXT_ROLES = [role for role in Role if role.value.endswith("-text")]
CODES = sorted(SHADES)


def contrast(a, b):
    return Color(a).contrast(Color(b), method="wcag21")


@pytest.mark.parametrize(
    ("a", "b", "ratio"),
    [
        ("#000000", "#ffffff", 21.0),
        ("#767676", "#ffffff", 4.5422),
        ("#ff0000", "#0000ff", 2.1494),
    ],
)
def test_the_measure_itself_gives_the_ratios_of_its_formula(a, b, ratio):
    """By hand from WCAG 2.2 (W3C), relative luminance and contrast ratio."""
    assert contrast(a, b) == pytest.approx(ratio, abs=5e-4)


@pytest.mark.parametrize("emphasis", list(Emphasis))
@pytest.mark.parametrize("role", TEXT_ROLES)
def test_text_stands_at_4_5_to_1_on_its_ground(role, emphasis):
    ground = style_of(TEXT_BACKGROUND[role]).fill if role in TEXT_BACKGROUND else PAPER
    assert contrast(style_of(role, emphasis).text_colour, ground) >= 4.5


@pytest.mark.parametrize("emphasis", list(Emphasis))
@pytest.mark.parametrize("code", [*CODES, "WH/BK", "YE/WH", ""])
def test_the_edge_of_a_lead_stands_at_3_to_1_on_paper(code, emphasis):
    assert contrast(style_of(Role.LEAD_EDGE, emphasis, code).stroke, PAPER) >= 3
    assert contrast(style_of(Role.SWATCH_EDGE, emphasis, code).stroke, PAPER) >= 3


def test_the_edge_of_a_lead_stands_at_3_to_1_on_the_cavity_floor():
    for code in CODES:
        assert contrast(SHADES[code].edge, style_of(Role.CAVITY_FLOOR).fill) >= 3


def test_outlines_that_carry_meaning_stand_at_3_to_1_on_paper():
    for role in (
        Role.CAVITY_WALL,
        Role.BODY,
        Role.HIDDEN,
        Role.LUG,
        Role.GROUND,
        Role.JOINT_GROUND,
        Role.TICK_BOX,
        Role.SCALE_BAR,
        Role.WARNING,
        Role.CAUTION,
        Role.TAG,
        Role.LEADER,
        Role.CURVE,
    ):
        assert contrast(style_of(role).stroke, PAPER) >= 3, role


def test_any_two_lead_shades_differ_plainly():
    plain = [code for code in CODES if code != "GNYE"]
    near = {
        (a, b): Color(SHADES[a].body).delta_e(Color(SHADES[b].body), method="2000")
        for a, b in itertools.combinations(plain, 2)
    }
    closest = min(near, key=near.get)
    assert near[closest] >= 12, closest
