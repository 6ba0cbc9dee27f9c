import math
import subprocess
import sys
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from diagramgen import lettering
from diagramgen.kernel.geometry import Point, box_around
from diagramgen.lettering.font_file import face
from diagramgen.lettering.outlines import text_outlines

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("bold", [False, True])
def test_widths_read_by_hand_equal_those_a_font_library_reads(bold):
    font = TTFont(lettering.font_path(bold))
    units = font["head"].unitsPerEm
    expected = {code: font["hmtx"][glyph][0] / units for code, glyph in font.getBestCmap().items()}
    assert face(bold).advances == expected


@pytest.mark.parametrize("bold", [False, True])
def test_a_capital_h_stands_exactly_the_height_asked_for(bold):
    box = box_around(p for path in text_outlines("H", Point(0, 0), 2.5, bold=bold) for p in path.flat())
    assert box.top == pytest.approx(-2.5, abs=1e-9)
    assert box.bottom == pytest.approx(0.0, abs=1e-9)


def test_width_grows_in_step_with_height_and_letters():
    one = lettering.text_width("Volume", 2.5)
    assert lettering.text_width("Volume", 5.0) == pytest.approx(2 * one)
    assert lettering.text_width("VolumeVolume", 2.5) == pytest.approx(2 * one)
    assert lettering.text_width("Volume", 2.5, bold=True) > one
    assert lettering.text_width("", 2.5) == 0.0


def test_an_accent_typed_apart_measures_as_its_letter():
    assert lettering.text_width("Zoe\u0308", 2.5) == lettering.text_width("Zo\u00eb", 2.5)
    assert lettering.missing_characters("e\u0308") == ""


def test_a_soft_hyphen_has_no_width_and_is_not_set():
    assert lettering.text_width("Schalt\u00adplan", 2.5) == lettering.text_width("Schaltplan", 2.5)
    assert text_outlines("a\u200bb\u00ad", Point(0, 0), 2) == text_outlines("ab", Point(0, 0), 2)


def test_ink_stays_within_the_box_of_the_text():
    for text in ("Bridge pickup, gjpqy", "Łukasz 500 kΩ", "W07 wht/blk"):
        for angle in (0.0, 0.7, -math.pi / 2):
            box = lettering.text_box(text, Point(10, 20), 2.5, "middle", angle)
            ink = box_around(
                p for path in text_outlines(text, Point(10, 20), 2.5, "middle", angle) for p in path.flat()
            )
            grown = box.grown(0.35)  # side bearings and round letters overshoot a little
            assert grown.left <= ink.left
            assert grown.right >= ink.right
            assert grown.top <= ink.top
            assert grown.bottom >= ink.bottom


def test_anchors_place_the_box_left_about_and_right_of_the_point():
    start, middle, end = (
        lettering.text_box("Tone", Point(50, 0), 2.5, a) for a in ("start", "middle", "end")
    )
    assert start.left == 50
    assert middle.centre.x == pytest.approx(50)
    assert end.right == pytest.approx(50)


def test_names_and_signs_a_workshop_writes_can_be_set():
    wanted = "Łukasz Żółć Ångström Жуков Ελένη Ω µ μ ° ± × ≤ ≥ ≈ ½ → ← ☐ ☑ ✓ ⌀ ♯ ♭ ⚠ – — … “ ” ‘ ’ √ ∥ ∞ │ ┼"
    assert lettering.missing_characters(wanted) == ""
    assert set(TTFont(lettering.font_path()).getBestCmap()) == set(
        TTFont(lettering.font_path(True)).getBestCmap()
    )


def test_missing_characters_are_named_once_in_order():
    assert lettering.missing_characters("東a京東") == "東京"


words = st.lists(st.text("abcdefgWM", min_size=1, max_size=12), max_size=12).map(" ".join)


@given(words, st.floats(4, 80))
def test_wrapped_lines_fit_and_lose_no_letter(text, width):
    lines = lettering.wrap(text, 2.5, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(lettering.text_width(line, 2.5) <= width + 1e-9 or len(line) == 1 for line in lines)


@given(words, st.floats(0, 80))
def test_fitted_text_is_never_wider_than_the_room(text, width):
    short = lettering.fit(text, 2.5, width)
    assert lettering.text_width(short, 2.5) <= width + 1e-9
    assert short in (text, "") or short.endswith("…")


def test_wrap_keeps_line_ends_that_were_typed():
    assert lettering.wrap("one\n\ntwo three", 2.5, 1000) == ["one", "", "two three"]


def test_the_fonts_keep_their_licence_and_drop_the_reserved_name():
    for bold in (False, True):
        names = TTFont(lettering.font_path(bold))["name"]
        assert "Permission is hereby granted" in names.getDebugName(13)
        assert names.getDebugName(14)
        assert names.getDebugName(1) == lettering.FAMILY
        assert not any(word in names.getDebugName(4) for word in ("Vera", "Bitstream", "Arev"))
    notice = Path(lettering.font_path().parent, "LICENSE-fonts.txt").read_text(encoding="utf-8")
    assert "Permission is hereby granted" in notice


def test_measuring_imports_no_heavy_library():
    code = (
        "import sys; import diagramgen.drawing.style, diagramgen.drawing.strokes;"
        "import diagramgen.lettering as l;"
        "l.text_width('Volume', 2.5);"
        "print([m for m in ('fontTools', 'reportlab', 'svgwrite', 'numpy', 'shapely') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_the_fonts_can_be_made_again_byte_for_byte(tmp_path):
    import importlib.util

    spec = importlib.util.spec_from_file_location("make_fonts", ROOT / "tools" / "make_fonts.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    if not tool.SOURCE.is_dir():
        pytest.skip("missing: the package fonts-dejavu-core")
    for name, style in tool.FACES:
        tool.make(tool.SOURCE / name, style, tmp_path / "made.ttf")
        assert (tmp_path / "made.ttf").read_bytes() == lettering.font_path(style == "Bold").read_bytes()
