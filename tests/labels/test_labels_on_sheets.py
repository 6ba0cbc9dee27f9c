"""Labels on sheets: nothing is cut, nothing leaves its label, what does not fit is said."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from sampled import read_of

from diagramgen.app.main import group
from diagramgen.drawing.scene import Role, Text, walk
from diagramgen.features.labels.compute import (
    FLAG,
    PART,
    SLEEVE,
    WRAP,
    LabelWords,
    cable_labels,
    lead_labels,
    part_labels,
)
from diagramgen.features.labels.label_stock import READY, LabelSheet, read_label_sheet, ready_names, tape_sheet
from diagramgen.features.labels.sheet import (
    QUIET,
    LabelRun,
    alignment_sheet,
    labels_csv,
    laid_labels,
    qr_shape,
    rows_of,
    side,
    sleeve_for,
)
from diagramgen.features.labels.typesetting import block, fitted
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Point, box_around
from diagramgen.sheets.scale_marks import Correction

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def build(name):
    return read_of(name).build


@cache
def ready(name):
    return read_label_sheet((READY / f"{name}.yaml").read_bytes(), f"{name}.yaml", Diagnostics())


def lay(labels, sheet, **how):
    say = Diagnostics()
    sheets, laid = laid_labels(labels, LabelRun(sheet, **how), say)
    return sheets, laid, list(say)


def words(head="W01 red", *body, kind=FLAG, diameter=1.4):
    bodies = (body, ()) if body else ((),)
    return LabelWords(kind, "W01", head, bodies, diameter, "lead:W01", bool(body))


def one(width, height):
    return LabelSheet("one", width, height, 1, 1, Point(width, height), Point(width, height), Point(0, 0))


@pytest.mark.parametrize("name", ready_names())
@pytest.mark.parametrize("kind", [FLAG, WRAP, SLEEVE, PART])
def test_every_letter_stays_inside_its_label_and_no_capital_is_below_1_8_mm(name, kind):
    b = build("baritone")
    labels = part_labels(b) if kind == PART else lead_labels(b, kind) + (cable_labels(b) if kind == WRAP else ())
    sheets, laid, _ = lay(labels, ready(name), module=0.4, job="LL-1175", checksum="0123abcd")
    assert len(laid) == len(labels)
    cells = [ready(name).cell(i) for i in range(ready(name).count)]
    for sheet in sheets:
        texts = [m for m in walk(sheet) if isinstance(m, Text)]
        for text in texts:
            assert text.height >= 1.8
            box = text.box()
            assert any(c.left + 0.9 <= box.left and box.right <= c.right - 0.9 and c.top + 0.5 <= box.top
                       and box.bottom <= c.bottom - 0.5 for c in cells), text  # fmt: skip


@pytest.mark.parametrize("kind", [FLAG, WRAP, SLEEVE])
def test_no_two_texts_of_a_sheet_overlap(kind):
    sheets, *_ = lay(lead_labels(build("baritone"), kind), ready("4x12-a4"))
    texts = [m.box() for m in walk(sheets[0]) if isinstance(m, Text)]
    # Boxes reach from accents to descenders: lines of one label may share a hair of them.
    assert not [(a, b) for i, a in enumerate(texts) for b in texts[i + 1:] if a.grown(-0.3).overlaps(b.grown(-0.3))]


def test_every_word_of_a_label_is_printed():
    labels = lead_labels(build("two-pickups-toggle"))
    sheets, _, said = lay(labels, ready("2x5-a4-cut"))
    assert said == []
    printed = " ".join(m.text for sheet in sheets for m in walk(sheet) if isinstance(m, Text)).split()
    wanted = " ".join(f"{label.head} {' '.join(label.bodies[0])}" for label in labels).split()
    assert sorted(printed) == sorted(wanted + wanted)  # both halves of a flag say it


def test_a_flag_says_the_same_on_both_halves_with_room_for_the_lead_between():
    (sheet,), *_ = lay([words("W01 red", "to Output tip", diameter=3.0)], one(50, 20))
    boxes = [m.box() for m in walk(sheet) if isinstance(m, Text)]
    left, right = [b for b in boxes if b.left < 25], [b for b in boxes if b.left > 25]
    assert len(left) == len(right) > 0
    assert min(b.left for b in right) - max(b.right for b in left) >= math.pi * 3.0


def test_where_it_goes_is_left_out_only_with_a_warning_and_a_tag_never():
    tight = one(34, 6)
    _, laid, said = lay([words("W01 red", "to Transducer blend wiper")], tight)
    assert [p.code for p in said] == ["LAB-406"]
    assert laid[0].says == "W01 red"
    _, laid, said = lay([words("W01 white/black", "to Output tip")], one(14, 4))
    assert [(p.code, p.severity.word) for p in said] == [("LAB-405", "error")]
    assert laid == []


def test_a_name_too_long_gives_way_to_the_name_in_the_file():
    long = LabelWords(PART, "output", "Unbreakablywrittentogetherplughole", ((),), other_head="output")
    _, laid, said = lay([long], one(30, 12))
    assert (laid[0].says, said) == ("output", [])


def test_what_the_letters_cannot_set_or_set_the_wrong_way_round_is_named():
    for head, named in (("吉他 red", "吉 (U+5409), 他 (U+4ED6)"), ("שלום", "U+05E9"), ("سماعة", "U+0633")):
        _, _, said = lay([words(head)], one(50, 20))
        assert [(p.code, p.severity.word) for p in said] == [("LAB-404", "error")]
        assert named in said[0].message
    assert lay([words("Громкость ąčłñø Ωμ")], one(60, 20))[2] == []


def test_a_wrap_is_made_only_where_a_line_fits_a_third_of_the_way_round():
    least = (1.045 + 0.33) * 1.8 * 3 / math.pi
    for diameter, kind in ((least + 0.01, WRAP), (least - 0.01, FLAG), (None, FLAG)):
        _, laid, said = lay([words("W01 red", "to Output tip", kind=WRAP, diameter=diameter)], one(60, 25))
        assert laid[0].kind == kind
        assert [p.code for p in said] == ([] if kind == WRAP else ["LAB-407"])


def test_a_lead_too_thin_for_a_wrap_gets_no_second_flag_where_flags_were_asked_for_too():
    b = build("baritone")
    flags, wraps = lead_labels(b), lead_labels(b, WRAP)
    _, laid, _ = lay([*flags, *wraps], ready("4x12-a4"))
    assert [one.kind for one in laid[:len(flags)]] == [FLAG] * len(flags)
    assert [one.words.tag for one in laid[len(flags):]] == ["W11", "W11", "W12", "W12"]
    assert {one.kind for one in laid[len(flags):]} == {WRAP}
    assert [(one.sheet - 1) * 48 + (one.row - 1) * 4 + one.column for one in laid] == list(range(1, len(laid) + 1))


def test_a_wrap_says_its_line_three_times_round_or_it_is_said_that_the_label_is_too_low():
    (sheet,), *_ = lay([words("W01", kind=WRAP, diameter=5.0)], one(60, 25))
    bases = [m.at.y for m in walk(sheet) if isinstance(m, Text)]
    assert len(bases) == 3
    assert bases[1] - bases[0] == pytest.approx(math.pi * 5 / 3)
    *_, said = lay([words("W01", kind=WRAP, diameter=5.0)], one(60, 13))
    assert "twice" in said[0].message


def test_a_sleeve_slides_over_its_lead_and_shrinks_to_half_onto_it():
    assert [sleeve_for(d) for d in (1.3, 1.4, 2.0, 2.5, 4.4, 6.0)] == [2.4, 2.4, 2.4, 3.2, 4.8, 6.4]
    assert sleeve_for(0.5) is None
    assert sleeve_for(6.3) is None


def test_labels_used_already_are_skipped_on_the_first_sheet_only():
    labels = lead_labels(build("baritone"))
    sheets, laid, _ = lay(labels, ready("3x8-a4"), skip=23)
    assert (laid[0].sheet, laid[0].row, laid[0].column) == (1, 8, 3)
    assert (laid[1].sheet, laid[1].row, laid[1].column) == (2, 1, 1)
    assert len(sheets) == 1 + math.ceil((len(labels) - 1) / 24)
    first = [m.box() for m in walk(sheets[0]) if isinstance(m, Text)]
    cell = ready("3x8-a4").cell(23)
    assert first
    assert all(cell.contains(b.centre) for b in first)


def test_a_printers_correction_and_a_shift_move_every_label():
    sheet = ready("4x12-a4")
    run = LabelRun(sheet, correction=Correction(99.0, 101.0), shift=Point(0.5, -1.0))
    for i in (0, 20, 47):
        true, moved = sheet.cell(i), run.cell(i)
        assert moved.width == pytest.approx(true.width * 100 / 99)
        assert moved.height == pytest.approx(true.height * 100 / 101)
        assert moved.centre.x - 0.5 - 105 == pytest.approx((true.centre.x - 105) * 100 / 99)
        assert moved.centre.y + 1.0 - 148.5 == pytest.approx((true.centre.y - 148.5) * 100 / 101)


def test_the_alignment_page_has_an_outline_and_a_cross_for_every_label():
    sheet = alignment_sheet(LabelRun(ready("4x12-a4")))
    shapes = [m for m in walk(sheet) if not isinstance(m, Text) and m.role == Role.CROP]
    assert sum(m.subject == "label" for m in shapes) == 48
    crosses = [box_around(p for path in m.path for p in path.flat()) for m in shapes if m.subject == "cross"]
    for i, cross in enumerate(crosses):
        assert cross.centre == pytest.approx(ready("4x12-a4").cell(i).centre)


def test_a_code_keeps_four_white_modules_and_counts_as_its_standard_says():
    """ISO/IEC 18004: version 1 has 21 x 21 modules, quiet zone 4 modules (read second hand)."""
    text = "W07/0123ABCD/LL-1107"
    assert len(rows_of(text)) == 21
    assert QUIET == 4
    assert side(text, 0.4) == pytest.approx(29 * 0.4)
    box = box_around(p for path in qr_shape(text, Point(10, 20), 0.4).path for p in path.flat())
    assert tuple(box) == pytest.approx((11.6, 21.6, 20.0, 30.0))


def test_a_code_that_does_not_fit_is_said_and_the_words_take_its_place():
    (sheet,), laid, said = lay([words("W01 red", "to Output tip")], one(45, 11), module=0.4, checksum="ab", job="1")
    assert [p.code for p in said] == ["LAB-408"]
    assert laid[0].code == ""
    assert sum(isinstance(m, Text) and m.text == "W01 red" for m in walk(sheet)) == 2


def test_strips_of_tape_hold_only_what_is_printed_with_a_line_at_each_cut():
    labels = lead_labels(build("one-volume"))
    sheets, *_ = lay(labels, tape_sheet(12, 60, len(labels)))
    assert [s.width for s in sheets] == [240, 60 * (len(labels) - 4)]
    cuts = [m for m in walk(sheets[0]) if getattr(m, "subject", "") == "cut"]
    assert [m.path[0].start.x for m in cuts] == [60, 120, 180]


def test_the_list_says_where_each_label_stands():
    _, laid, _ = lay(lead_labels(build("one-volume")), ready("4x12-a4"))
    rows = labels_csv(laid, "0123abcd").split("\r\n")
    assert rows[0] == "sheet,row,column,kind,tag,text,round_mm,code,file_check"
    assert rows[1] == "1,1,1,flag,W01,W01 wht / at Volume 10 / from Pickup finish,,,0123abcd"


def test_a_name_is_parted_at_its_hyphens_only_where_nothing_else_fits():
    named = LabelWords(FLAG, "toggle-cable", "toggle-cable", ((),))
    wide = fitted(named, 40.0, 18.0)
    assert [text for text, *_ in wide.lines] == ["toggle-cable"]
    # 14 mm: the name is 15 mm long in letters of 1.8 mm.
    narrow = fitted(named, 13.5, 18.0)
    marks = block(narrow, Box(0, 0, 13.5, 18), "")
    assert [mark.text for mark in marks] == ["toggle-", "cable"]
    assert all(mark.box().right <= 13.5 and mark.height >= 1.8 for mark in marks)
    assert narrow.text() == "toggle-cable"
    assert fitted(replace(named, head="togglecable"), 13.5, 18.0) is None


@pytest.mark.parametrize("name", ["two-pickups-toggle", "two-pickups-toggle-found", "bass-active", "no-cavity"])
def test_every_ready_sample_has_flags_on_the_usual_sheet(name, tmp_path):
    done = CliRunner().invoke(group, ["labels", str(SAMPLES / f"{name}.yaml"), "--automatic-tags", "--kind", "flags",
                                      "--out", str(tmp_path / "o")])
    assert done.exit_code == 0, done.output
