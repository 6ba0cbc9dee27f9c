"""The JSON Schema agrees with the reader, the reference is up to date, and both are the shipped files."""

from __future__ import annotations

import datetime
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from reading import ROOT, read

from diagramgen.kernel.codes import Severity
from diagramgen.reader.reference import EXAMPLE, reference_text, takes
from diagramgen.reader.schema import COMMENT, NAME, build_schema, schema_text
from diagramgen.reader.tables import TOP

SAMPLES = sorted(p for p in (ROOT / "samples").glob("*.yaml") if not p.with_suffix(".txt").exists())


@cache
def validator() -> Draft202012Validator:
    schema = build_schema()
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


def as_editors_see(text: str) -> Any:
    """The file as JSON, dates as the texts they are."""
    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {str(k): plain(v) for k, v in value.items()}
        if isinstance(value, list):
            return [plain(v) for v in value]
        return str(value) if isinstance(value, datetime.date) else value
    return plain(yaml.safe_load(text))


def schema_faults(text: str) -> list[str]:
    return [e.message for e in validator().iter_errors(as_editors_see(text))]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_sample_passes_the_schema_and_the_reader(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert schema_faults(text) == []
    problems = [p for p in read(text, path.parent)[1] if p.severity is Severity.ERROR]
    assert problems == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_sample_names_the_schema_in_its_first_line(path: Path) -> None:
    assert path.read_text(encoding="utf-8").splitlines()[0] == COMMENT


GOOD = [
    "title: Only a title\n",
    "hand: left-handed\nplan made for: right\nseen from: player's side\nneck: up\npaper: letter\n",
    "cavity: {shape: {rounded: [124, 74], corner: 12}, opened from: rear, depth: 38, wood above: 3/8 in}\n",
    "cavity: {shape: {polygon: [[0, 0], [80, 0], [80, 40]]}, plate: {hinge: top, metal: yes}}\n",
    "cavity: {shape: {path: M 0 0 H 80 V 40 Z}, posts: [{at: [5, 5], diameter: 8}], cover: 0}\n",
    "cavities:\n  a: {depth: 40}\n  b: {depth: 40}\n"
    "channels:\n  c: {in: a, to: b, at: [0, 1], far: [2, 3], diameter: 6}\n",
    "parts:\n  volume: pot-24, 500k log, turned -90\nleads:\n  - volume.zero -> volume.case, bend\n",
    "parts:\n  v: {symbol: pot-24, values: {track: 500000}, dimensions: {body: 24.2}}\n"
    "leads:\n  - v.zero -> v.case, bend\n",
    "parts:\n  v: pot-24\nleads:\n  - {from: v.zero, to: v.case, kind: bare, gauge: 22, tag: W3}\n",
    "parts:\n  v: pot-24\nleads:\n  - {bus: [v.zero, v.wiper, v.case]}\n",
    "parts:\n  v: group volume\n  t: {group: tone-branch, hot: v.hot, ground: v.ground, values: {cap: 47n}}\n",
    "parts:\n  v: pot-24\nlugs:\n  v.zero: red\n  v.ten: [white to v.case, black]\n",
    "date: 2024-05-17\nrevision: 2\njob: 1107\nload: {cable: 6 m, amplifier: 1M}\nwire: {gauge: 22, slack: 0}\n",
    "parts:\n  v: pot-24\n  j: jack-mono-open\n"
    "leads:\n  - v.zero -> j.tip, WH/BK, shielded, shield to v.case, note a b\n"
    "wanted:\n  - {j: mono, hum: silent}\n  - {when: {j: out}, sounds: silent}\n",
    "parts:\n  v: pot-24\nleads:\ncables:\n  c: {diameter: 4, colours: [red, white], shielded: yes}\n",
]


@pytest.mark.parametrize("text", GOOD)
def test_what_the_reader_takes_the_schema_takes(text: str) -> None:
    assert [p.code for p in read("format: 1\n" + text)[1] if p.severity is Severity.ERROR] == []
    assert schema_faults("format: 1\n" + text) == []


STRUCTURAL = [
    "tilte: Unknown key\n",
    "title: [a, list]\n",
    "hand: both\n",
    "paper: a5\n",
    "neck: leftwards\n",
    "parts: [volume]\n",
    "parts:\n  volume: {value: 500k}\n",
    "parts:\n  volume: {symbol: pot-24, vlaue: 500k}\n",
    "parts:\n  volume: {symbol: pot-24, at: [34, 5, 24]}\n",
    "parts:\n  neck volume: pot-24\n",
    "parts:\n  volume: {symbol: pot-24, turned: 400}\n",
    "cavity: {shape: {rounded: [124, 74], path: M 0 0}}\n",
    "cavity: {shape: {corner: 12}}\n",
    "cavity: {shape: rounded 124 x 74}\n",
    "cavity: {posts: [{at: [5, 5]}]}\n",
    "channels:\n  c: {diameter: 8}\n",
    "leads:\n  a.b: c.d\n",
    "leads: a.b -> c.d\n",
    "leads:\n  - a.b c.d\n",
    "leads:\n  - a.b -> c.d -> e.f\n",
    "leads:\n  - a.b ->\n",
    "leads:\n  - [a.b, c.d]\n",
    "leads:\n  - {from: a.b, to: c.d, culour: red}\n",
    "leads:\n  - {from: ab, to: c.d}\n",
    "leads:\n  - {bus: [a.b]}\n",
    "leads:\n  - a.b -> c.d, note: keep\n",
    "leads:\n  - {from: a.b, to: c.d, gauge: 4}\n",
    "leads:\n  - {from: a.b, to: c.d, colour: blakc}\n",
    "cables:\n  c: {colours: [red]}\n",
    "groups:\n  g: {ends: [hot]}\n",
    "lugs:\n  volume: red\n",
    "load: {cable: 6}\n",
    "wire: {kind: silk}\n",
    "wanted:\n  - {hum: loud}\n",
    "moves together: [[volume.pull]]\n",
]


@pytest.mark.parametrize("text", STRUCTURAL)
def test_a_structural_mistake_fails_both(text: str) -> None:
    assert any(p.severity is Severity.ERROR for p in read("format: 1\n" + text)[1])
    assert schema_faults("format: 1\n" + text) != []


def test_the_shipped_schema_is_up_to_date() -> None:
    assert (ROOT / "samples" / NAME).read_text(encoding="utf-8") == schema_text()
    assert json.loads(schema_text())["$schema"].endswith("2020-12/schema")


def test_every_object_of_the_schema_refuses_unknown_keys() -> None:
    schema = build_schema()
    for name, inner in [("build", schema), *schema["$defs"].items()]:
        for part in inner.get("anyOf", [inner]):
            if "properties" in part:
                assert "additionalProperties" in part, name


def test_the_format_reference_is_up_to_date() -> None:
    assert (ROOT / "docs" / "format.md").read_text(encoding="utf-8") == reference_text(), (
        "run: python tools/make_reference.py")


def test_the_example_of_the_reference_reads_without_a_problem() -> None:
    assert [p.text() for p in read(EXAMPLE)[1]] == []
    assert schema_faults(EXAMPLE) == []


def test_every_key_has_a_meaning_and_says_what_it_takes() -> None:
    for f in TOP.fields:
        assert f.doc.endswith((".", "]")), f.key
        assert takes(f)
