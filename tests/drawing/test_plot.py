"""Charts: where a curve falls, labels that never overlap, curves told apart without colour."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from diagramgen.drawing.plot import Curve, plot, spread
from diagramgen.drawing.scene import Role, Shape, Sheet, Text, walk
from diagramgen.kernel.geometry import Box
from diagramgen.kernel.tokens import SERIES

BOX = Box(10, 10, 260, 150)
FREQUENCIES = [80 * 250 ** (i / 100) for i in range(101)]


def flat(label: str, decibel: float) -> Curve:
    return Curve(label, tuple((f, decibel) for f in FREQUENCIES))


def drawn(*curves: Curve) -> Sheet:
    return Sheet(297, 210, "chart", (plot(curves, BOX, "title", 60.0),))


def texts(sheet: Sheet) -> list[Text]:
    return [m for m in walk(sheet) if isinstance(m, Text)]


def test_a_curve_lies_where_the_axis_words_say() -> None:
    sheet = drawn(flat("low", -10.0), flat("high", 0.0))
    words = {t.text: t for t in texts(sheet)}
    for curve, word in zip([m for m in walk(sheet) if isinstance(m, Shape) and m.role is Role.CURVE], ("−10", "0"),
                           strict=True):
        line = words[word].at.y - words[word].height / 2
        assert curve.path[0].start.y == pytest.approx(line, abs=0.01)
    # 100 Hz to 1 kHz is as wide as 1 kHz to 10 kHz.
    assert words["1 k"].at.x - words["100"].at.x == pytest.approx(words["10 k"].at.x - words["1 k"].at.x)


def test_labels_of_equal_curves_do_not_overlap_and_stand_in_the_order_of_the_ends() -> None:
    names = [f"name-{i}" for i in range(8)]
    found = [t for t in texts(drawn(*(flat(n, -i / 100) for i, n in enumerate(names)))) if "name-" in t.text]
    assert [t.text.split()[1] for t in sorted(found, key=lambda t: t.at.y)] == names
    for above, below in itertools.pairwise(sorted((t.box() for t in found), key=lambda b: b.top)):
        assert above.bottom <= below.top


def test_every_curve_bears_its_number_so_that_no_colour_is_needed() -> None:
    found = [t.text for t in texts(drawn(flat("one", 0.0), flat("two", -5.0))) if t.role is Role.TAG_TEXT]
    assert found == ["1", "2"]


def test_a_curve_that_falls_out_of_the_chart_ends_at_its_foot_and_says_where() -> None:
    slope = Curve("slope", tuple((f, -60 * math.log(f / 80) / math.log(250)) for f in FREQUENCIES))
    sheet = drawn(flat("flat", 5.0), slope)
    # 50 dB are shown below the top of +10: the slope leaves them at -40 dB, 80 Hz x 250^(40/60) = 3.2 kHz.
    assert any(t.text == "leaves the chart at 3.2 kHz" for t in texts(sheet))
    bottom = max(m.path[0].end.y for m in walk(sheet) if isinstance(m, Shape) and m.role is Role.CURVE)
    axis = next(t for t in texts(sheet) if t.text == "−40")
    assert bottom == pytest.approx(axis.at.y - axis.height / 2, abs=0.01)


def test_a_curve_that_is_nowhere_is_still_named() -> None:
    found = [t.text for t in texts(drawn(flat("here", 0.0), flat("silent", -120.0)))]
    assert "2: silent" in found
    assert "below the chart" in found


def test_more_curves_than_shades_are_refused() -> None:
    with pytest.raises(ValueError, match="holds 8 curves"):
        drawn(*(flat(str(i), 0.0) for i in range(len(SERIES) + 1)))


def test_labels_move_no_further_than_they_must() -> None:
    assert spread([10, 50, 90], [4, 4, 4], 0, 100) == [10, 50, 90]
    assert spread([50, 50], [4, 4], 0, 100) == [48, 52]
    assert spread([99, 99], [4, 4], 0, 100) == [94, 98]


def test_labels_that_fit_never_overlap_and_never_leave_their_column() -> None:
    chance = random.Random(7)
    for _ in range(300):
        tall = [chance.uniform(2, 10) for _ in range(chance.randint(1, 8))]
        wanted = sorted(chance.uniform(-20, 120) for _ in tall)
        found = spread(wanted, tall, 0, 100)
        assert found[0] - tall[0] / 2 >= -1e-9
        assert found[-1] + tall[-1] / 2 <= 100 + 1e-9
        for (a, b), (x, y) in zip(itertools.pairwise(found), itertools.pairwise(tall), strict=True):
            assert b - a >= (x + y) / 2 - 1e-9
