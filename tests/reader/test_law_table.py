"""A law given as a table of points: what it gives, and where a bad one is told."""

from __future__ import annotations

from pathlib import Path

import pytest
from circuits import KNOWN, built

from diagramgen.circuit.values import elements_of, law_of
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.reader.reader import read_build

TEXT = """format: 1
parts:
  volume: {{symbol: pot-24, values: {{{name}: {law}}}}}
  output: jack-mono-open
leads:
  - volume.wiper -> output.tip
  - volume.zero -> output.sleeve
"""


def fraction(law: str, turn: float) -> float | None:
    part, element = next(iter(elements_of(built(TEXT.format(name="law", law=law)), "track")))
    return law_of(part, element).fraction(turn)


def test_between_two_points_the_wiper_moves_evenly() -> None:
    assert fraction("[[0, 0], [5, 0.1], [10, 1]]", 2.5) == pytest.approx(0.05)
    assert fraction("[[0, 0], [5, 0.1], [10, 1]]", 7.5) == pytest.approx(0.55)


def test_an_open_last_point_lets_go_of_the_wiper() -> None:
    assert fraction("[[0, 0], [9, 1], [9.9, open]]", 9.5) == 1.0
    assert fraction("[[0, 0], [9, 1], [9.9, open]]", 9.9) is None


@pytest.mark.parametrize(("name", "law", "said"), [
    ("law", "[[0, 0]]", "at least two points"),
    ("law", "[[0, 0], [11, 1]]", "between 0 and 10, not '11'"),
    ("law", "[[0, 0], [10, 1.5]]", "between 0 and 1, not '1.5'"),
    ("law", "[[0, 0], [5, 0.5], [5, 0.6], [10, 1]]", "turns of a law rise"),
    ("law", "[[0, 0], [5, 0.5], [10, 0.4]]", "the fraction falls"),
    ("law", "[[0, 0], [5, open], [10, 1]]", "only the last point"),
    ("law", "[[1, 0], [10, 1]]", "begin at turn 0"),
    ("law", "[[0, 0], [9, 1]]", "end at 10"),
    ("law", "[0, 1]", "a turn and a fraction"),
    ("track", "[[0, 0], [10, 1]]", "no resistance"),
])
def test_a_bad_table_is_told_with_its_place(name: str, law: str, said: str) -> None:
    say = Diagnostics()
    KNOWN.say = say
    read_build(TEXT.format(name=name, law=law).encode(), "hand.yaml", Sources(Path()), KNOWN, say)
    found = [p for p in say.sorted() if p.code == "INP-116"]
    assert any(said in p.message for p in found), [p.text() for p in say.sorted()]
    assert all(p.place.line == 3 and p.place.column > 1 for p in found)
