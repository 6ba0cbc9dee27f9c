"""One part or lead more in a file: every other byte stays, whatever the style, line ends, mark or end of the file."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.edit.insert_entry import CannotAdd, added
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = [p.stem for p in sorted(SAMPLES.glob("*.yaml")) if p.stem != "wrong-on-purpose"]
PART, LEAD = "added: capacitor-film, 10n", "added.one -> added.other, note joined on purpose"

HEAD = "format: 1\ntitle: T   # a remark\n"
PARTS = ["parts:\n  pickup: single-coil\n  output: jack-mono-open   # last\n",
         "parts: {pickup: single-coil, output: jack-mono-open}   # braces\n",
         "parts: {\n  pickup: single-coil,  # one\n  output: jack-mono-open,  # two\n}\n",
         "parts:\n    pickup:\n        symbol: single-coil\n    output:\n        symbol: jack-mono-open  # deep\n\n\n"]
LEADS = ["leads:\n  - pickup.finish -> output.tip\n  - pickup.start -> output.sleeve, black   # last\n",
         "leads:\n- pickup.finish -> output.tip\n- from: pickup.start\n  to: output.sleeve   # last\n",
         "leads: ['pickup.finish -> output.tip', \"pickup.start -> output.sleeve\"]\n",
         "leads: [pickup.finish -> output.tip, {from: pickup.start, to: output.sleeve}, ]  # trailing\n",
         "leads: []\n", "leads:   # none yet\n", "leads:\n", ""]


def read(data, folder=SAMPLES, name="build.yaml"):
    say = Diagnostics()
    return read_build(data, name, Sources(folder), shipped(), say), say


def one_insertion(before: bytes, after: bytes) -> bytes:
    """What was put in, where the new bytes are the old ones with one piece put in."""
    at = 0
    while at < len(before) and before[at] == after[at]:
        at += 1
    rest = len(before) - at
    assert after[len(after) - rest:] == before[at:]
    return after[at : len(after) - rest]


def entry_count(data: bytes, key: str) -> int:
    return len(yaml.load(data.decode("utf-8-sig"), Loader=yaml.BaseLoader).get(key) or ())


@given(parts=st.sampled_from(PARTS), leads=st.sampled_from(LEADS), swapped=st.booleans(),
       end=st.sampled_from(["\n", "\r\n", "\r"]), mark=st.booleans(), last=st.booleans(),
       kind=st.sampled_from(["part", "lead"]), tail=st.sampled_from(["", "# the end\n", "\n\n  \n"]))
def test_every_other_byte_is_unchanged(parts, leads, swapped, end, mark, last, kind, tail):
    text = HEAD + (leads + parts if swapped else parts + leads) + tail
    text = text if last else text.rstrip("\n")
    data = (b"\xef\xbb\xbf" if mark else b"") + text.replace("\n", end).encode()
    done = added(data, kind, PART if kind == "part" else "pickup.start -> output.tip, red")
    put = one_insertion(data, done.data)
    assert put.replace(b"\r\n", b"").count(b"\n") == 0 or end == "\n"
    key, other = ("parts", "leads") if kind == "part" else ("leads", "parts")
    assert entry_count(done.data, key) == entry_count(data, key) + 1
    assert entry_count(done.data, other) == entry_count(data, other)
    said = done.data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n").split("\n")[done.line - 1]
    assert ("capacitor-film" if kind == "part" else "-> output.tip, red") in said
    if entry_count(data, "leads"):
        build, say = read(done.data)
        assert build is not None
        assert [p.text() for p in say if p.severity is Severity.ERROR] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_takes_a_part_and_a_lead_and_keeps_every_line(name):
    before = (SAMPLES / f"{name}.yaml").read_bytes()
    if b"changes to:" in before:
        pytest.skip("a file of changes has no parts of its own")
    old, _ = read(before)
    with_part = added(before, "part", PART).data
    after = added(with_part, "lead", LEAD).data
    kept = iter(after.split(b"\n"))
    assert all(line in kept for line in before.split(b"\n"))
    assert len(after.split(b"\n")) == len(before.split(b"\n")) + 2
    new, say = read(after)
    assert set(new.parts) == {*old.parts, "added"}
    assert len(new.leads) == len(old.leads) + 1
    assert [lead.remark for lead in new.leads].count("joined on purpose") == 1
    assert [p.text() for p in say if p.severity is Severity.ERROR] == []


def test_an_entry_of_keys_in_braces_stays_as_typed():
    data = (HEAD + PARTS[0] + LEADS[0]).encode()
    put = one_insertion(data, added(data, "part", "tone: {symbol: pot-24, value: 250k log}").data)
    assert put.strip() == b"tone: {symbol: pot-24, value: 250k log}"


@pytest.mark.parametrize(("kind", "text", "why"), [
    ("part", "pot-24", "is no part"), ("part", "a b: pot-24", "is no name"), ("part", "tone:", "is no part"),
    ("lead", "volume.wiper output.tip", "is no lead"), ("lead", "a.b -> c.d\nleads: []", "line break"),
    ("part", "x: pot-24\x1b[2J", "control character"),
])  # fmt: skip
def test_a_text_that_is_none_is_refused(kind, text, why):
    with pytest.raises(CannotAdd, match=why):
        added((HEAD + PARTS[0]).encode(), kind, text)


@pytest.mark.parametrize(("data", "why"), [
    ("{format: 1, title: T, leads: []}", "in braces"), ("- a\n", "no build file"), ("", "no build file"),
    ("title: T\nleads: here\n", "not what belongs"), ("title: T\n...\n", "ends with"),
])  # fmt: skip
def test_a_file_that_cannot_be_added_to_is_refused(data, why):
    with pytest.raises(CannotAdd, match=why):
        added(data.encode(), "lead", "a.b -> c.d")


@given(st.text(st.characters(exclude_categories=["C", "Z"], include_characters=" "), min_size=1, max_size=40))
def test_what_is_put_in_is_read_as_it_was_typed(remark):
    """Quotes, colons, hashes and brackets in a remark must not end the entry or begin another."""
    text = f"pickup.start -> output.tip, note {remark}".strip()
    for leads in (LEADS[0], LEADS[2]):
        data = (HEAD + PARTS[0] + leads).encode()
        found = yaml.load(added(data, "lead", text).data.decode(), Loader=yaml.BaseLoader)["leads"]
        assert found[-1] == text
