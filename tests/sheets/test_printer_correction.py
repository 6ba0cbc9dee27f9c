"""A printer that was measured: full-size drawings, bars and square are stretched so that they come out true."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from sampled import proof_of

from diagramgen.app.print_cli import print_
from diagramgen.drawing.scene import Role, Shape, Text, walk
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.kernel.geometry import Point, Transform, circle, moved, scaled, turned
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.scale_marks import Correction

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def subject(name="one-volume"):
    return context_of(proof_of(name))


def corrected(x, y, name="one-volume"):
    return replace(subject(name), correction=Correction(x, y))


def measure(sheet, subject_name):
    return next(m for m in walk(sheet) if isinstance(m, Shape) and m.subject == subject_name).path[0].box()


def words_of(sheet):
    return [m.text for m in walk(sheet) if isinstance(m, Text)]


def lug_middles(sheet):
    found = {}
    for m in walk(sheet):
        if isinstance(m, Shape) and m.role == Role.LUG_HOLE:
            found[m.subject] = m.path[0].box().centre
    return found


@pytest.mark.parametrize(("x", "y"), [(99.2, 99.6), (100.8, 100.0), (90.0, 110.0)])
def test_the_bars_are_written_a_hundred_times_a_hundred_over_what_they_measured(x, y):
    for make in (diagrams.full_size, diagrams.jig):
        sheet = make(corrected(x, y), PAPERS["a4"])[0](1, 1)
        assert measure(sheet, "measure:bar").width == pytest.approx(100 * 100 / x, abs=1e-9)
        assert measure(sheet, "measure:upright").height == pytest.approx(100 * 100 / y, abs=1e-9)
        box = measure(sheet, "measure:square")
        assert (box.width, box.height) == pytest.approx((50 * 100 / x, 50 * 100 / y))


def test_the_drawing_is_stretched_by_as_much_as_the_bars():
    plain = lug_middles(diagrams.full_size(subject(), PAPERS["a4"])[0](1, 1))
    found = lug_middles(diagrams.full_size(corrected(99.2, 99.6), PAPERS["a4"])[0](1, 1))
    a, b = "lug:volume.zero", "lug:output.tip"
    assert found[b].x - found[a].x == pytest.approx((plain[b].x - plain[a].x) * 100 / 99.2, abs=1e-6)
    assert found[b].y - found[a].y == pytest.approx((plain[b].y - plain[a].y) * 100 / 99.6, abs=1e-6)


def test_a_tiled_diagram_is_stretched_on_every_piece():
    sheets = [make(1, 9) for make in diagrams.full_size(corrected(98.0, 99.0, "baritone"), PAPERS["a4"])]
    tiles = [s for s in sheets if s.subject.startswith("tile-") and s.subject != "tile-key"]
    assert len(tiles) > 1
    for sheet in tiles:
        assert measure(sheet, "measure:bar").width == pytest.approx(10000 / 98)
    plain = [make(1, 9) for make in diagrams.full_size(subject("baritone"), PAPERS["a4"])]
    one = lug_middles(next(s for s in plain if s.subject == "tile-A1"))
    other = lug_middles(next(s for s in sheets if s.subject == "tile-A1"))
    a, b = "lug:volume.ten", "lug:tone.zero"
    assert other[b].x - other[a].x == pytest.approx((one[b].x - one[a].x) * 100 / 98, abs=1e-6)


def test_the_sheet_says_what_was_corrected_and_the_bar_still_says_100_mm():
    sheet = diagrams.full_size(corrected(99.2, 99.6), PAPERS["a4"])[0](1, 1)
    words = words_of(sheet)
    assert words.count("100 mm") == 2
    said = next(w for w in words if w.startswith("Corrected"))
    assert "99.2 across" in said
    assert "99.6 mm upright" in said


def test_a_true_printer_changes_nothing_and_nothing_is_said():
    plain = diagrams.full_size(subject(), PAPERS["a4"])[0](1, 1)
    same = diagrams.full_size(corrected(100.0, 100.0), PAPERS["a4"])[0](1, 1)
    assert plain == same
    assert not [w for w in words_of(plain) if w.startswith("Corrected")]


def test_a_page_that_is_not_for_measuring_is_not_corrected():
    assert diagrams.enlarged(subject(), PAPERS["a4"])[0](1, 1) == diagrams.enlarged(
        corrected(95.0, 105.0), PAPERS["a4"])[0](1, 1)


def test_a_circle_stretched_in_one_direction_is_the_ellipse():
    path = circle(Point(10, 5), 4.0).mapped(Transform(a=1.1))
    for p in path.flat(0.001):
        assert ((p.x - 11) / 4.4) ** 2 + ((p.y - 5) / 4.0) ** 2 == pytest.approx(1, abs=2e-3)


@pytest.mark.parametrize("place", [Transform(), scaled(2.0), turned(0.3).then(moved(Point(1, 2))),
                                   Transform(a=-1.0, e=4.0), turned(1.0).then(Transform(a=-3.0, d=3.0))])
def test_turns_shifts_scales_and_mirrors_keep_circles_round(place):
    assert place.keeps_circles
    assert not place.then(Transform(a=1.001)).keeps_circles


@pytest.mark.parametrize("said", ["89.9,100", "100,110.1", "99.2", "99.2;99.6", "nan,100", "a,b", "99,2,99,6", ""])
def test_other_lengths_are_a_usage_error_that_says_how_to_measure(said, tmp_path):
    done = CliRunner().invoke(print_, [str(SAMPLES / "one-volume.yaml"), "--out", str(tmp_path / "o"),
                                       "--bar-measures", said])
    assert done.exit_code == 2
    assert "measure the level and the upright bar" in done.output
    assert not (tmp_path / "o").exists()


def test_the_command_stretches_what_it_writes(tmp_path):
    done = CliRunner().invoke(print_, [str(SAMPLES / "one-volume.yaml"), "--out", str(tmp_path / "o"),
                                       "--sheet", "jig", "--bar-measures", "99.2, 99.6 mm", "-q"])
    assert done.exit_code == 0, done.output
    assert "99.2 across" in (tmp_path / "o" / "jig.svg").read_text(encoding="utf-8")
