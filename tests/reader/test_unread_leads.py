"""Leads whose lines could not be read: the others keep the tags they will have once the lines are mended."""

from __future__ import annotations

import re

import pytest
from reading import ROOT, codes, good, read

from diagramgen.model.build import Build, UnreadLead

SAMPLES = sorted(p for p in (ROOT / "samples").glob("*.yaml")
                 if not p.stem.startswith("wrong") and "\nchanges to:" not in p.read_text(encoding="utf-8"))
LINE = re.compile(r"^  - .*->")
SLIPS = {
    "an end that does not exist": lambda line: re.sub(r"([\w-]+)\.([\w-]+)( ->)", r"\1.\2q\3", line, count=1),
    "a part that does not exist": lambda line: re.sub(r"-> ([\w-]+)\.", r"-> nobody-\1.", line, count=1),
    "another arrow": lambda line: line.replace("->", "=>"),
    "two arrows": lambda line: line.replace("->", "-> volume.case ->", 1),
    "a colon": lambda line: line.split(" #")[0] + ", note mind: hot",
    "no lug": lambda line: re.sub(r"- ([\w-]+)\.[\w ]+ ->", r"- \1 ->", line, count=1),
}
SMALL = """\
format: 1
title: Invented
parts:
  volume: pot-24, 250k log
  tone: pot-24, 250k log
  cap: {symbol: capacitor-film, value: 22n}
  output: jack-mono-open
leads:
  - volume.10 -> tone.10, white
  - volume.0 -> volume.case, bend
  - bus: [tone.case, volume.case, output.sleeve]
  - tone.wiper -> cap.one
  - cap.other -> tone.case
  - volume.wiper -> output.tip, red
  - tone.0 -> tone.case, bend
"""


def by_line(build: Build) -> dict[int, list[str]]:
    """Line of the file -> tags of the leads on it."""
    found: dict[int, list[str]] = {}
    for lead in build.leads:
        found.setdefault(lead.place.line, []).append(lead.tag)
    return found


@pytest.mark.parametrize("slip", SLIPS)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_slip_in_one_line_leaves_every_other_tag_as_it_will_be(path, slip) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    whole, _ = read("\n".join(lines), path.parent)
    assert whole is not None
    expected, tried = by_line(whole), 0
    leads = [i for i, line in enumerate(lines) if LINE.match(line)]
    for i in leads[::4]:
        broken = SLIPS[slip](lines[i])
        if broken == lines[i]:
            continue
        build, problems = read("\n".join([*lines[:i], broken, *lines[i + 1:]]), path.parent)
        assert build is not None
        assert any(p.place.line == i + 1 for p in problems)
        missing = [one for one in build.unread if one.place.line == i + 1]
        assert [one.tag for one in missing] == expected.get(i + 1, [m.tag for m in missing])
        rest = {n: tags for n, tags in expected.items() if n != i + 1}
        assert {n: tags for n, tags in by_line(build).items() if n in rest} == rest, broken
        tried += 1
    assert tried > 0 or not leads


def small(old: str, new: str) -> Build:
    assert old in SMALL
    build, problems = read(SMALL.replace(old, new))
    assert build is not None
    assert problems
    return build


def test_what_stands_in_the_small_build() -> None:
    assert [lead.tag for lead in good(SMALL).leads] == ["W01", "J01", "W02", "W03", "W04", "J02"]


def test_a_bent_lug_at_fault_keeps_its_own_kind_of_number() -> None:
    build = small("volume.0 -> volume.case, bend", "volume.o -> volume.case, bend")
    assert [one.tag for one in build.unread] == ["J01"]
    assert [lead.tag for lead in build.leads] == ["W01", "W02", "W03", "W04", "J02"]


def test_a_bus_with_an_unreadable_stop_is_not_drawn_past_it() -> None:
    build = small("volume.case, output.sleeve", "volume case, output.sleeve")
    assert [one.tag for one in build.unread] == ["W02", "W03"]
    assert [lead.tag for lead in build.leads] == ["W01", "J01", "W04", "J02"]


def test_a_bus_past_a_lug_that_does_not_exist_keeps_both_numbers() -> None:
    build = small("volume.case, output.sleeve", "volume.cse, output.sleeve")
    assert [one.tag for one in build.unread] == ["W02", "W03"]


def test_of_a_component_the_leg_that_can_be_read_is_named_after_it_and_takes_no_number() -> None:
    build = small("tone.wiper -> cap.one", "tone.wipper -> cap.one")
    assert [one.tag for one in build.unread] == ["cap leg 1"]
    assert [lead.tag for lead in build.leads] == ["W01", "J01", "W02", "W03", "cap leg 2", "W04", "J02"]


def test_a_tag_written_on_the_line_at_fault_is_kept_and_not_given_away() -> None:
    build = small("volume.10 -> tone.10, white", "volume.1O -> tone.10, white, tag W03")
    assert [one.tag for one in build.unread] == ["W03"]
    assert [lead.tag for lead in build.leads if lead.is_wire] == ["W01", "W02", "W04"]


def test_where_nobody_knows_how_many_leads_are_missing_no_number_is_promised() -> None:
    build = small("  output: jack-mono-open\n", "  output: jack-mono-open\n  more: {group: tone-brunch}\n")
    assert [(one.tag, one.counts) for one in build.unread] == [("", False)]
    assert "every lead of the group tone-brunch" in build.unread[0].says


def test_leads_that_are_no_list_are_missing_as_a_whole() -> None:
    build = small(SMALL[SMALL.index("leads:"):], "leads: volume.10 -> tone.10\n")
    at = build.unread[0].place
    assert build.unread == (UnreadLead("", False, True, "every line under 'leads'", at, None, False),)


def test_a_lug_entry_at_fault_is_missing_without_a_number() -> None:
    build = small(SMALL[SMALL.index("leads:"):], "lugs:\n  volume.10: [red, purpel to tone.10]\n")
    assert [(one.tag, one.says) for one in build.unread] == [("", "volume.10: purpel to tone.10")]


def test_a_sound_file_misses_nothing() -> None:
    assert good(SMALL).unread == ()
    assert codes(SMALL) == []
