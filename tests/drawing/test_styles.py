import pytest

from diagramgen.drawing.scene import Emphasis, Role
from diagramgen.drawing.strokes import lead_marks, swatch_marks
from diagramgen.drawing.style import (
    LEAD_EDGE_WIDTH,
    LEAD_HALO_WIDTH,
    LEAD_WIDTH,
    SHADES,
    TEXT_BACKGROUND,
    mixed,
    shade,
    stripe_shade,
    style_of,
)
from diagramgen.kernel.colours import WORDS
from diagramgen.kernel.geometry import Box, Point, polyline
from diagramgen.kernel.tokens import PAPER

ISO_128_WIDTHS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0}
PATH = polyline((Point(0, 0), Point(10, 0)))


def test_every_role_has_a_style_in_every_emphasis():
    for role in Role:
        for emphasis in Emphasis:
            assert style_of(role, emphasis) is not None


def test_every_colour_code_has_a_shade():
    assert set(SHADES) == set(WORDS)


def test_drawing_lines_are_of_the_iso_128_series():
    for role in Role:
        if role.value.startswith("lead-"):
            continue
        for emphasis in Emphasis:
            assert style_of(role, emphasis).width_mm in ISO_128_WIDTHS | {0.0}, role


def test_a_lead_is_body_in_edge_in_halo():
    assert LEAD_WIDTH < LEAD_EDGE_WIDTH < LEAD_HALO_WIDTH
    assert [m.role for m in lead_marks(PATH, "RD")] == [Role.LEAD_HALO, Role.LEAD_EDGE, Role.LEAD_BODY]
    assert lead_marks(PATH, "WH/BK")[-1].role == Role.LEAD_STRIPE
    assert lead_marks(PATH, "GNYE")[-1].role == Role.LEAD_STRIPE
    assert lead_marks(PATH, "BARE")[-1].role == Role.LEAD_BARE_TWIST
    assert lead_marks(PATH, "BK")[-1].role == Role.LEAD_SHEEN


def test_a_striped_lead_and_its_swatch_show_both_shades():
    for marks, base, stripe in (
        (lead_marks(PATH, "WH/BK"), Role.LEAD_BODY, Role.LEAD_STRIPE),
        (swatch_marks(Box(0, 0, 8, 4), "WH/BK"), Role.SWATCH, Role.SWATCH_STRIPE),
    ):
        styles = {m.role: style_of(m.role, m.emphasis, m.colour) for m in marks}
        assert SHADES["WH"].body in (styles[base].stroke, styles[base].fill)
        assert SHADES["BK"].body in (styles[stripe].stroke, styles[stripe].fill)


def test_a_lead_edge_and_a_text_keep_their_roles_when_strong_or_faint():
    assert style_of(Role.LEAD_BODY, Emphasis.STRONG, "RD").width_mm > LEAD_WIDTH
    assert style_of(Role.LEAD_BODY, Emphasis.FAINT, "RD").stroke != SHADES["RD"].body
    assert style_of(Role.FRAME, Emphasis.STRONG).width_mm == 1.0


def test_an_unknown_colour_is_refused():
    with pytest.raises(ValueError, match="no print shade"):
        shade("XX")
    with pytest.raises(ValueError, match="takes a shade"):
        style_of(Role.CURVE, Emphasis.NORMAL, "RD")
    assert style_of(Role.CURVE, Emphasis.NORMAL, "#123456").stroke == "#123456"
    assert stripe_shade("RD") == ""


def test_mixing_goes_from_one_shade_to_the_other():
    assert mixed("#000000", "#ffffff", 0.0) == "#000000"
    assert mixed("#000000", "#ffffff", 1.0) == "#ffffff"
    assert mixed("#000000", "#fe0000", 0.5) == "#7f0000"


def test_every_text_role_is_on_paper_or_on_a_filled_ground():
    for text, ground in TEXT_BACKGROUND.items():
        assert text.value.endswith("-text")
        fill = style_of(ground).fill
        assert fill or ground == Role.PAGE
    assert style_of(Role.PAGE).fill == PAPER
