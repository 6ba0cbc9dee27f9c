"""Automatic tags written into a file: only the lines of those leads change, and only by the tag."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagramgen.edit.set_tags import pinned_bytes, same_but_pinned
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = [p.stem for p in sorted(SAMPLES.glob("*.yaml")) if p.stem != "wrong-on-purpose"]

HEAD = """format: 1
title: Pins   # a remark
parts:
  pickup: {symbol: single-coil, colours: {finish: white, start: black}}
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
"""
FORMS = HEAD + """\
  - pickup.finish -> volume.ten          # hot
  - "pickup.start -> volume.zero"
  - {from: volume.wiper, to: output.tip, colour: red }   # in brackets
  - from: volume.zero        # lines
    to: output.sleeve        # last line

  - volume.zero   ->   volume.case,bend
  - bus: [volume.case, output.sleeve]
  - 'volume.case -> output.sleeve, green, tag W09, note kept as it was'
"""


def read(data, folder=SAMPLES, name="build.yaml"):
    say = Diagnostics()
    build = read_build(data, name, Sources(folder), shipped(), say)
    return build, say


def pin(data):
    build, _ = read(data)
    say = Diagnostics()
    new, tags = pinned_bytes(data, build, say)
    return new, tags, build, list(say)


@pytest.mark.parametrize("name", NAMES)
def test_an_edit_changes_only_the_bytes_of_its_lines_and_only_adds_the_tag(name):
    data = (SAMPLES / f"{name}.yaml").read_bytes()
    new, tags, build, _ = pin(data)
    lines = {lead.place.line: lead.tag for lead in build.leads if lead.tag in tags}
    assert len(lines) == len(tags) > 0
    before, after = data.split(b"\n"), new.split(b"\n")
    assert len(before) == len(after)
    for number, (old, now) in enumerate(zip(before, after, strict=True), 1):
        if number in lines:
            assert now.replace(f", tag {lines[number]}".encode(), b"").replace(
                f", tag: {lines[number]}".encode(), b"") == old != now
        else:
            assert now == old


@pytest.mark.parametrize("name", NAMES)
def test_the_pinned_file_reads_as_the_same_build_with_the_same_tags(name):
    new, tags, build, said = pin((SAMPLES / f"{name}.yaml").read_bytes())
    again, say = read(new)
    assert same_but_pinned(build, again)
    assert {lead.tag for lead in again.leads if lead.pinned} >= set(tags)
    assert {lead.tag for lead in again.leads if not lead.pinned} == {p.message.split()[2] for p in said}
    assert not say.has_errors
    assert pinned_bytes(new, again, Diagnostics()) == (new, ())


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_every_form_of_a_lead_takes_its_tag_with_comments_line_ends_and_byte_order_mark_kept(ends, mark):
    data = mark + FORMS.replace("\n", ends).encode()
    new, tags, build, said = pin(data)
    text = new.removeprefix(mark).decode()
    assert new.startswith(mark)
    assert "\n" not in text.replace(ends, "")
    for line in (
        "  - pickup.finish -> volume.ten, tag W01          # hot",
        '  - "pickup.start -> volume.zero, tag W02"',
        "  - {from: volume.wiper, to: output.tip, colour: red, tag: W03 }   # in brackets",
        "    to: output.sleeve        # last line",
        "    tag: W04",
        "  - volume.zero   ->   volume.case,bend, tag J01",
        "  - bus: [volume.case, output.sleeve]",
        "  - 'volume.case -> output.sleeve, green, tag W09, note kept as it was'",
    ):
        assert line in text.split(ends)
    assert tags == ("W01", "W02", "W03", "W04", "J01")
    assert [(p.code, p.place.line) for p in said] == [("LAB-402", 15)]
    again, say = read(new)
    assert same_but_pinned(build, again)
    assert not say.has_errors


def test_a_last_line_without_its_line_end_and_letters_beyond_latin_are_no_trouble():
    data = (HEAD.replace("Pins", "Гитара 吉他 é") + "  - pickup.finish -> output.tip, note “ñ”").encode()
    new, tags, *_ = pin(data)
    assert tags == ("W01",)
    assert new == data + b", tag W01"


def test_leads_in_brackets_are_not_touched():
    data = (HEAD.replace("leads:\n", "") + 'leads: ["pickup.finish -> output.tip"]\n').encode()
    new, tags, _, said = pin(data)
    assert (new, tags) == (data, ())
    assert [p.code for p in said] == ["LAB-402"]


ENDS = st.permutations(["pickup.finish", "pickup.start", "volume.ten", "volume.wiper", "volume.zero", "volume.case",
                        "output.tip", "output.sleeve"])
FORM = st.sampled_from(["{a} -> {b}", "{a}->{b}", "{a}  ->  {b} , {c}", "'{a} -> {b}, {c}'", '"{a} -> {b}"',
                        "{{from: {a}, to: {b}}}", "{{from: {a} , to: {b}, colour: {c} }}",
                        "from: {a}\n    to: {b}", "from: {a}   # x\n    colour: {c}\n    to: '{b}'"])
AFTER = st.sampled_from(["", "  ", "   # note: -> , tag W01", "\n", "\n  # - volume.ten -> volume.wiper"])


@settings(max_examples=80, deadline=None)
@given(ENDS, st.lists(st.tuples(FORM, AFTER, st.sampled_from(["red", "blue", "white/black"])), min_size=1, max_size=4),
       st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_whatever_the_lines_look_like_the_pinned_file_reads_the_same_and_only_grew(ends, lines, end, last):
    leads = [f"  - {form.format(a=ends[2 * i], b=ends[2 * i + 1], c=colour)}{after}"
             for i, (form, after, colour) in enumerate(lines)]  # fmt: skip
    plain = HEAD.replace(", colours: {finish: white, start: black}", "")
    text = (plain + "\n".join(leads) + ("\n" if last else "")).replace("\n", end)
    data = text.encode()
    assert not read(data)[1].has_errors
    new, tags, build, _ = pin(data)
    again, say = read(new)
    assert not say.has_errors
    assert same_but_pinned(build, again)
    assert len(tags) == len(build.leads)
    assert len(new) > len(data)
    left = iter(new)
    assert all(byte in left for byte in data)  # what was there is all there, in its order
