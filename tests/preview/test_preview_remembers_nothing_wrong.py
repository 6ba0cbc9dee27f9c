"""What is kept from one drawing to the next changes no byte: after any chain of edits it is as drawn from nothing."""

from __future__ import annotations

import gc
import random
import re
import shutil
from functools import _lru_cache_wrapper
from pathlib import Path

import pytest

from diagramgen.circuit import knob_sweep as turning
from diagramgen.circuit import state_table as chart
from diagramgen.drawing import diagram
from diagramgen.drawing.labelling import candidates as naming
from diagramgen.drawing.labelling import place_labels as labels
from diagramgen.features.preview.redraw import Redraw

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
KEEPING = {
    chart: ("_solved", "_sounding", "_drawn"),
    turning: ("_curves_of",),
    labels: ("_obstacle_index", "_candidate_set", "_lead_ribbon", "_sliver_cost"),
    naming: ("_body", "_name_candidates", "_told_apart", "_tag_candidates"),
}
COLOURS = ("white", "black", "red", "green", "yellow", "blue", "grey", "brown", "orange", "violet", "pink")
LEAD = re.compile(r"(?m)^  - \S+\.[^\n]* -> [^\n]*\n")


@pytest.fixture(autouse=True)
def _labels_placed_each_time(monkeypatch):
    """The suite keeps whole drawings' labels; here they are placed as the program does."""
    monkeypatch.setattr(diagram, "place_labels", labels.place_labels)


def kept():
    return [getattr(module, name) for module, names in KEEPING.items() for name in names]


def edited(text, rng):
    """The text after one edit of a lead or of a value: another colour, turned round, gone, twice, another value."""
    lead = rng.choice(LEAD.findall(text))
    kind = rng.choice(["colour", "turn", "gone", "end", "value", "comment"])
    if kind == "colour":
        return text.replace(lead, re.sub(rf"\b({'|'.join(COLOURS)})\b", rng.choice(COLOURS), lead, count=1), 1)
    if kind == "turn":
        return text.replace(lead, re.sub(r"^  - ([^,]+?) -> ([^,#\n]+?)(?=,|  +#|\n)", r"  - \2 -> \1", lead), 1)
    if kind == "gone":
        return text.replace(lead, "", 1)
    if kind == "end":
        other = rng.choice(LEAD.findall(text))
        ends = [re.match(r"  - ([^,]+?) -> ([^,#\n]+?)(?=,|  +#|\n)", one) for one in (lead, other)]
        return text.replace(lead, lead.replace(ends[0][2], ends[1][2], 1), 1)
    if kind == "value":
        return re.sub(r"\b(250|500)k\b", lambda m: "250k" if m[1] == "500" else "500k", text, count=rng.randint(1, 3))
    return text.replace(lead, f"  # said anew\n{lead}", 1)


def shown(redraw):
    """All that the page shows of a drawing, the number of the drawing apart."""
    *_, last = redraw.steps()
    return last.problems, last.drawn, last.sounds, last.checksum


@pytest.mark.parametrize(("name", "seed"), [("three-singles-lever", 1), ("bass-active", 3)])
def test_after_a_chain_of_edits_all_is_shown_as_from_nothing(tmp_path, name, seed):
    rng = random.Random(seed)
    build = Path(shutil.copy(SAMPLES / f"{name}.yaml", tmp_path / "my.yaml"))
    start = text = build.read_text(encoding="utf-8")
    redraw, followed = Redraw(build), []
    texts = [start]
    for _ in range(5):
        text = edited(text, rng)
        texts.append(text)
    texts += [start, texts[3]]  # back to what was drawn before
    for text in texts:
        build.write_text(text, encoding="utf-8")
        followed.append(shown(redraw))
    assert any(one.cache_info().hits for one in kept())
    for text, found in zip(texts, followed, strict=True):
        for one in kept():
            one.cache_clear()
        build.write_text(text, encoding="utf-8")
        assert shown(Redraw(build)) == found


def test_every_cache_of_drawing_and_circuit_is_tried_here_and_bounded():
    for module, names in KEEPING.items():
        found = {name for name, value in vars(module).items()
                 if isinstance(value, _lru_cache_wrapper) and value.__module__ == module.__name__}
        assert found == set(names)
    assert all(one.cache_info().maxsize for one in kept())


def test_a_result_that_is_kept_cannot_be_changed_by_who_got_it(tmp_path):
    build = Path(shutil.copy(SAMPLES / "three-singles-lever.yaml", tmp_path / "my.yaml"))
    list(Redraw(build).steps())
    arrays = [o for o in gc.get_objects() if isinstance(o, chart.Solved | turning.Turned)]
    assert arrays
    for one in arrays:
        held = [one.of_state] if isinstance(one, chart.Solved) else list(one.curves.values())
        assert not any(array.flags.writeable for array in held)
