"""An outline written into a build: only the bytes of that cavity's shape change, however the entry is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagramgen.edit.set_outline import cavity_names, outlined_bytes
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
SHAPE = '{path: "M 0 12 A 12 12 0 0 1 12 0 L 130 0 L 130 110 L 0 110 Z"}'
FORMS = {
    "braces": ("cavities:\n  hole: {shape: {rounded: [124, 74], corner: 12}, depth: 40}   # kept\n",
               f"cavities:\n  hole: {{shape: {SHAPE}, depth: 40}}   # kept\n"),
    "none yet": ("cavities:\n  hole: {depth: 40}  # kept\n",
                 f"cavities:\n  hole: {{shape: {SHAPE}, depth: 40}}  # kept\n"),
    "empty": ("cavities:\n  hole: {}\n", f"cavities:\n  hole: {{shape: {SHAPE}}}\n"),
    "lines": ("cavities:\n  hole:\n    # first\n    depth: 40\n    shape:  # old\n      rounded: [124, 74]\n"
              "      corner: 12\n"
              "    # last\n    wood above: 5\n",
              f"cavities:\n  hole:\n    # first\n    depth: 40\n    shape: {SHAPE}\n    # last\n    wood above: 5\n"),
    "a list": ("cavities:\n  hole:\n    shape:\n      polygon:\n        - [0, 0]\n        - [90, 0]\n"
               "        - [90, 50]\n"
               "    depth: 40\n", f"cavities:\n  hole:\n    shape: {SHAPE}\n    depth: 40\n"),
    "lines, none yet": ("cavities:\n  hole:\n    depth: 40  # kept\n",
                        f"cavities:\n  hole:\n    shape: {SHAPE}\n    depth: 40  # kept\n"),
    "blank": ("cavities:\n  hole:\n    shape:\n    depth: 40\n",
              f"cavities:\n  hole:\n    shape: {SHAPE}\n    depth: 40\n"),
    "single": ("cavity:\n  shape: {rounded: [124, 74]}\n", f"cavity:\n  shape: {SHAPE}\n"),
}


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_only_the_shape_changes(form, ends, mark):
    before, after = (f"format: 1\ntitle: Größe\n{text}parts:\n  a: pot-24, 250k log\n".replace("\n", ends)
                     for text in FORMS[form])
    data = mark + before.encode()
    name = "cavity" if form == "single" else "hole"
    assert cavity_names(data) == [name]
    assert outlined_bytes(data, name, SHAPE) == mark + after.encode()


@pytest.mark.parametrize("sample", ["two-pickups-toggle", "bass-active", "one-volume", "baritone", "left-handed"])
def test_samples_take_an_outline_and_everything_else_stays(sample):
    path = SAMPLES / f"{sample}.yaml"
    data = path.read_bytes()
    name = cavity_names(data)[0]
    changed = outlined_bytes(data, name, SHAPE)

    def read(these):
        return read_build(these, str(path), Sources(SAMPLES), shipped(), Diagnostics())

    old, new = read(data), read(changed)
    assert new.cavities[name].outline.box().width == pytest.approx(130)
    assert old.parts.keys() == new.parts.keys()
    assert [x.tag for x in old.leads] == [x.tag for x in new.leads]
    gone = set(data.decode().splitlines()) - set(changed.decode().splitlines())
    assert len(gone) <= 2


@pytest.mark.parametrize("text", ["title: none\n", "cavities: {a: {depth: 4}}\n", "cavities:\n  b: what\n",
                                  "cavities: [1]\n"])
def test_a_cavity_that_is_not_there_is_no_key(text):
    with pytest.raises(KeyError):
        outlined_bytes(text.encode(), "b", SHAPE)


@given(st.sampled_from(list(FORMS)), st.text(alphabet="äé ✂#:'x", max_size=12))
@settings(max_examples=60)
def test_remarks_before_it_do_not_shift_the_place(form, words):
    before, after = (f"# {words}\n{text}" for text in FORMS[form])
    name = "cavity" if form == "single" else "hole"
    assert outlined_bytes(before.encode(), name, SHAPE) == after.encode()
