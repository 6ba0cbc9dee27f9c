"""Label sheets by their geometry: ready ones are sound, bad ones are said with the key that is wrong."""

from __future__ import annotations

import pytest

from diagramgen.features.labels.label_stock import LEAST, READY, read_label_sheet, ready_names, tape_sheet
from diagramgen.kernel.diagnostics import Diagnostics

GOOD = """paper: a4
columns: 3
rows: 8
label: [64, 34]
pitch: [66.5, 34]
margin: [6.5, 12.5]
corner: 2
"""


def read(text):
    say = Diagnostics()
    return read_label_sheet(text.encode(), "mine.yaml", say), [(p.code, p.place.line, p.message) for p in say]


def test_every_ready_sheet_reads_lies_on_its_paper_and_is_centred():
    assert ready_names() == ("2x5-a4-cut", "3x10-letter", "3x8-a4", "4x12-a4", "4x20-letter")
    for name in ready_names():
        sheet, said = read((READY / f"{name}.yaml").read_text(encoding="utf-8"))
        assert said == []
        first, last = sheet.cell(0), sheet.cell(sheet.count - 1)
        assert first.left == pytest.approx(sheet.width - last.right, abs=0.051)
        assert first.top == pytest.approx(sheet.height - last.bottom, abs=0.051)


def test_labels_count_along_the_rows():
    sheet, _ = read(GOOD)
    assert tuple(sheet.cell(0)) == (6.5, 12.5, 70.5, 46.5)
    assert tuple(sheet.cell(4)) == (73.0, 46.5, 137.0, 80.5)
    assert sheet.cell(23).right == pytest.approx(203.5)


def test_a_margin_left_out_centres_the_labels_and_a_pitch_left_out_sets_them_edge_to_edge():
    sheet, said = read("paper: [100, 50]\ncolumns: 2\nrows: 1\nlabel: [40, 30]\n")
    assert said == []
    assert [tuple(sheet.cell(i)) for i in (0, 1)] == [(10, 10, 50, 40), (50, 10, 90, 40)]


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("pitch: [66.5, 34]", "pitch: [60, 34]", 5, "labels of 64 mm width overlap at a pitch of 60 mm"),
        ("pitch: [66.5, 34]", "pitch: [66.5, 30]", 5, "labels of 34 mm height overlap at a pitch of 30 mm"),
        ("columns: 3", "columns: 4", 6, "4 labels reach from 6.5 to 270 mm, off a paper of 210 mm width"),
        ("margin: [6.5, 12.5]", "margin: [6.5, 40]", 6, "8 labels reach from 40 to 312 mm, off a paper of 297 mm"),
        ("margin: [6.5, 12.5]", "margin: [-1, 12.5]", 6, "3 labels reach from -1 to"),
        ("paper: a4", "paper: letter", 6, "off a paper of 279.4 mm height"),
        ("corner: 2", "corner: 18", 7, "corners of 18 mm are larger than half a label"),
        ("label: [64, 34]", "label: [64, 3]", 4, "labels of 3 mm height are too small to be read"),
    ],
)
def test_a_sheet_that_cannot_be_is_said_at_the_key_that_makes_it_so(old, new, line, words):
    sheet, said = read(GOOD.replace(old, new))
    assert sheet is None
    assert ("LAB-403", line) in [(code, at) for code, at, _ in said]
    assert any(words in message for _, _, message in said)


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("rows: 8\n", "", "INP-110", 1),
        ("rows: 8", "rows: 0", "INP-106", 3),
        ("rows: 8", "rows: 2.5", "INP-106", 3),
        ("columns", "colums", "INP-109", 2),
        ("paper: a4", "paper: a9", "INP-103", 1),
        ("label: [64, 34]", "label: [64,5, 34]", "INP-107", 4),
        ("label: [64, 34]", "label: [64", "INP-005", 4),
        ("corner: 2", "corner: round", "INP-105", 7),
    ],
)
def test_every_slip_of_the_pen_has_its_place_and_never_a_traceback(old, new, code, line):
    sheet, said = read(GOOD.replace(old, new))
    assert sheet is None
    assert (code, line) in [(c, at) for c, at, _ in said], said


def test_an_empty_or_binary_file_is_said():
    assert read("")[1][0][0] == "INP-012"
    say = Diagnostics()
    assert read_label_sheet(b"\0\1\2", "x", say) is None
    assert [p.code for p in say] == ["INP-002"]


def test_a_tape_is_cut_into_strips_of_at_most_250_mm():
    tape = tape_sheet(12, 46, 22)
    assert (tape.columns, tape.width, tape.height) == (5, 230, 12)
    assert tape_sheet(12, 46, 2).width == 92
    assert tape.cell(1).left == tape.cell(0).right


@pytest.mark.parametrize(("width", "length"), [(LEAST.y - 1, 40), (200, 40), (12, LEAST.x - 1), (12, 300)])
def test_a_tape_on_which_nothing_can_be_read_is_refused(width, length):
    with pytest.raises(ValueError, match="mm"):
        tape_sheet(width, length, 1)
