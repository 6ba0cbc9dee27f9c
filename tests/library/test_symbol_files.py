"""Every shipped symbol file, held against the rules of the format."""

from __future__ import annotations

import re

import pytest

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.catalogue import load, shipped_files
from diagramgen.library.model import Drawing, LugPattern, Symbol
from diagramgen.library.outline_size import shape_of

NAMES = sorted(shipped_files())
LAWS = {"linear", "log", "reverse log", "blend", "reverse blend", "no-load"}


def read(name: str) -> Symbol:
    path = shipped_files()[name]
    say = Diagnostics()
    symbol = load(path.read_bytes(), path.name, say)
    assert [p.text() for p in say] == []
    assert symbol is not None
    return symbol


def drawings(symbol: Symbol) -> list[Drawing]:
    return [symbol.drawing] + ([symbol.outside] if symbol.outside else [])


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_file_loads_with_no_problem(name: str) -> None:
    assert read(name).name == name


@pytest.mark.parametrize("name", NAMES)
def test_every_dimension_and_value_says_what_it_is_and_where_it_comes_from(name: str) -> None:
    symbol = read(name)
    said = [(d.name, d.says, d.source) for d in symbol.dimensions.values()]
    said += [(v.name, v.says, v.source) for v in symbol.values.values()]
    for entry, says, source in said:
        assert len(says) >= 3, entry
        assert len(source) >= 8, entry


@pytest.mark.parametrize("name", NAMES)
def test_every_dimension_is_used_by_the_drawing_or_the_mounting(name: str) -> None:
    symbol = read(name)
    text = shipped_files()[name].read_text(encoding="utf-8")
    body = text[text.index("\nbody:"):] if "\nbody:" in text else text[text.index("\nlugs:"):]
    for dimension in symbol.dimensions:
        assert re.search(rf"(?<![\w-]){re.escape(dimension)}(?![\w-])", body), dimension


@pytest.mark.parametrize("name", NAMES)
def test_every_track_takes_its_resistance_and_law_from_values_of_the_symbol(name: str) -> None:
    symbol = read(name)
    for element in symbol.elements:
        if element.kind != "track":
            continue
        assert set(element.values) == {"resistance", "law"}
        assert symbol.values[element.values["law"]].value in LAWS
        assert isinstance(symbol.values[element.values["resistance"]].value, float)
        moved_by = symbol.control(element.by)
        assert moved_by is not None
        assert moved_by.kind in ("knob", "trimmer")


@pytest.mark.parametrize("name", NAMES)
def test_no_two_lugs_lie_on_the_same_spot_at_the_same_depth(name: str) -> None:
    symbol = read(name)
    lugs = list(shape_of(symbol).lugs.values())
    for i, a in enumerate(lugs):
        for b in lugs[i + 1:]:
            apart = max(a.at.distance(b.at), abs(a.depth - b.depth))
            assert apart > 0.9, f"{a.name} and {b.name} lie {apart:.2f} mm apart"


def _typed_in(pattern: LugPattern) -> list[str]:
    sums = [*pattern.at, *pattern.pitch, pattern.radius, pattern.depth, pattern.depth_pitch]
    return [s.text for s in sums if not s.names and s.value({}) != 0]


@pytest.mark.parametrize("name", NAMES)
def test_places_of_lugs_are_sums_of_dimensions_never_typed_in(name: str) -> None:
    for pattern in read(name).drawing.lugs:
        assert _typed_in(pattern) == [], pattern.names


@pytest.mark.parametrize("name", NAMES)
def test_the_deepest_body_or_lug_sets_the_depth_that_is_checked_against_the_cavity(name: str) -> None:
    symbol = read(name)
    shape = shape_of(symbol)
    assert shape.depth >= max(lug.depth for lug in shape.lugs.values())
    for zone in shape.body:
        assert 0 <= zone.low <= zone.high <= shape.depth


@pytest.mark.parametrize("name", NAMES)
def test_a_bushing_passes_its_hole_and_lets_its_shaft_through(name: str) -> None:
    shape = shape_of(read(name))
    if shape.bushing:
        assert shape.bushing < shape.hole < shape.bushing + 1
        assert shape.shaft < shape.bushing


@pytest.mark.parametrize("name", NAMES)
def test_lug_words_stay_different_from_each_other(name: str) -> None:
    symbol = read(name)
    words = [symbol.lug_words.get(lug, lug) for lug in symbol.lug_names()]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("name", [n for n in NAMES if read(n).contacts or n.startswith("pot-")])
def test_a_part_that_must_be_metered_says_how(name: str) -> None:
    symbol = read(name)
    assert len(symbol.check) > 40
    for table in symbol.contacts:
        control = symbol.control(table.control)
        assert control is not None
        assert control.kind == "plug" or len(table.check) > 20


@pytest.mark.parametrize("name", NAMES)
def test_element_and_metal_lugs_exist_in_every_drawing(name: str) -> None:
    symbol = read(name)
    wanted = {n for e in symbol.elements for n in e.ends.values()} | {n for m in symbol.metal for n in m.lugs}
    for drawing in drawings(symbol):
        assert wanted <= {n for p in drawing.lugs for row in p.names for n in row}
