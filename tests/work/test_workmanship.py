"""The figures of good joints on the work sheet against the published ones, each with its source."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.features.work.work_sheet import ALWAYS, BRAIDED, IN_THE_AIR, figures_for
from diagramgen.layout.model import Layout

SAMPLES = Path(__file__).parents[2] / "samples"
WORDS = {"quarter": 0.25, "one in ten": 0.1, "twice": 2.0, "two diameters": 2.0, "none": 0.0}
PUBLISHED = {
    "gap to the covering": ([1, 2], ["STP 11-25R13", "A-9", "NASA-STD-8739.3", "9.1"]),
    "strands": ([0.25, 0], ["NASA-STD-8739.4", "10"]),
    "round an eyelet": ([90, 0.25], ["IPC-A-610F", "6-3"]),
    "tin-lead solder": ([183, 190], ["solder alloys"]),
    "spare at a wire's end": ([2], ["FAA AC 43.13-1B", "11-96"]),
    "strands of a braid": ([0.1, 0], ["NASA-STD-8739.4", "10"]),
    "lapped joint in the air": ([3, 6], ["NASA-STD-8739.4", "19.6"]),
    "sleeve over a joint": ([5, 2], ["NASA-STD-8739.3", "9.8"]),
}
"""Figure -> numbers the source gives, and how it is called there (wire diameters, mm, degrees, degrees C)."""


@cache
def plan(name: str) -> Layout:
    found = proof_of(name).layout
    assert found is not None
    return found


@pytest.mark.parametrize("figure", [*ALWAYS, *BRAIDED, *IN_THE_AIR], ids=lambda f: f.what)
def test_a_figure_is_the_published_one_and_names_where_it_is_printed(figure) -> None:
    numbers, source = PUBLISHED[figure.what]
    said = [float(n) for n in re.findall(r"\d+(?:\.\d+)?", figure.says)]
    said += [value for word, value in WORDS.items() if word in figure.says]
    assert [n for n in numbers if n not in said] == []
    assert all(part in figure.source for part in source)


def test_figures_of_braids_and_joints_in_the_air_stand_only_where_there_are_any() -> None:
    assert figures_for(plan("one-volume")) == ALWAYS
    assert set(BRAIDED) <= set(figures_for(plan("baritone")))
    assert set(IN_THE_AIR) <= set(figures_for(plan("two-pickups-toggle")))
    assert not set(BRAIDED) & set(figures_for(plan("two-pickups-toggle")))
