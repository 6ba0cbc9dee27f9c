"""The shipped samples: sound builds, each showing what it is there to show; the wrong one says what it must.

``DIAGRAMGEN_UPDATE_EXPECTED=1 pytest tests/samples`` writes wrong-on-purpose.txt anew; read the difference before it
is kept.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.analysis import examine
from diagramgen.kernel.codes import Severity
from diagramgen.model.build import Build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
WRONG = "wrong-on-purpose"
GOOD = sorted(p.stem for p in SAMPLES.glob("*.yaml") if p.stem != WRONG)
WITH_SELECTOR = ("two-pickups-toggle", "three-singles-lever", "left-handed", "baritone", "holes-in-top")


def build(name: str) -> Build:
    """A sample as read."""
    found = proof(name).build
    assert found is not None
    return found


def test_there_is_a_sample_of_every_kind() -> None:
    assert set(GOOD) >= {"one-volume", "no-cavity", "bass-active", *WITH_SELECTOR}


@pytest.mark.parametrize("name", GOOD)
def test_a_good_sample_has_no_error_and_no_warning(name: str) -> None:
    assert [p.text() for p in proof(name).problems if p.severity is not Severity.NOTE] == []


@pytest.mark.parametrize("name", GOOD)
def test_every_lead_of_a_good_sample_ends_on_lugs_that_exist(name: str) -> None:
    parts = build(name).parts
    ends = [e for lead in build(name).leads for e in (lead.start, lead.end, *lead.shield_to) if e.known]
    ends += [e for part in parts.values() for e in part.between or ()]
    assert ends
    assert [str(e) for e in ends if e.part not in parts or e.lug not in parts[e.part].symbol.lug_names()] == []


@pytest.mark.parametrize("name", GOOD)
def test_every_wire_of_a_good_sample_has_a_colour(name: str) -> None:
    assert [lead.tag for lead in build(name).leads if lead.is_wire and lead.colour is None] == []


@pytest.mark.parametrize("name", GOOD)
def test_every_lead_of_a_good_sample_is_laid_from_end_to_end(name: str) -> None:
    layout = proof(name).layout
    assert layout is not None
    assert {one.lead.tag for one in layout.leads} >= {lead.tag for lead in build(name).leads}
    assert [one.lead.tag for one in layout.leads if one.faults] == []


@pytest.mark.parametrize("name", WITH_SELECTOR)
def test_every_position_of_the_selector_has_its_promise(name: str) -> None:
    parts = build(name).parts
    selector = next(n for n in ("selector", "lever") if n in parts)
    positions = {p for c in parts[selector].symbol.controls for p in c.positions}
    assert {w.when[selector] for w in build(name).wanted if selector in w.when} == positions


@pytest.mark.parametrize("name", GOOD)
def test_a_good_sample_is_short_enough_to_read(name: str) -> None:
    lines = (SAMPLES / f"{name}.yaml").read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 150
    assert max(map(len, lines)) <= 120


def test_no_cavity_is_a_file_of_twenty_lines_and_not_to_scale() -> None:
    lines = (SAMPLES / "no-cavity.yaml").read_text(encoding="utf-8").splitlines()
    assert len([line for line in lines if not line.startswith("#")]) <= 20
    assert build("no-cavity").cavities == {}
    assert not build("no-cavity").to_scale


def test_the_toggle_sample_has_a_cable_series_links_and_a_bleed() -> None:
    found = build("two-pickups-toggle")
    assert len(found.cavities) == 3
    assert {lead.kind for lead in found.leads} >= {"wire", "bare", "bend", "sleeved"}
    assert sum(lead.cable == "toggle-cable" for lead in found.leads) == 4
    assert found.parts["bleed"].between is not None


def test_the_lever_sample_hinges_on_a_metal_plate_and_has_a_middle_wound_the_other_way() -> None:
    found = build("three-singles-lever")
    plate = found.cavities["cavity"].plate
    assert plate is not None
    assert (plate.hinge, plate.metal) == ("bottom", True)
    winding = {n: found.parts[n].values["winding"] for n in ("neck", "middle", "bridge")}
    assert winding == {"neck": "clockwise", "middle": "anticlockwise", "bridge": "clockwise"}


def test_the_bass_has_pickups_on_the_wipers_of_its_blend_and_the_battery_on_the_ring() -> None:
    found = build("bass-active")
    pairs = {(str(lead.start), str(lead.end)) for lead in found.leads}
    assert {("neck.finish", "blend.front wiper"), ("bridge.finish", "blend.rear wiper")} <= pairs
    assert ("battery.minus", "output.ring") in pairs
    assert not any("preamp.minus" in pair for pair in pairs)
    assert sum(p.symbol.name == "foil-patch" for p in found.parts.values()) == 2
    assert found.parts["battery"].cavity == "battery-box"


def test_the_left_handed_sample_mirrors_places_but_no_part() -> None:
    found, layout = build("left-handed"), proof("left-handed").layout
    assert layout is not None
    assert (found.hand, found.flipped) == ("left", True)
    lugs = layout.parts["volume"].lugs
    # Back of a pot, lugs down: the 10 end is LEFT, in a left-handed build too (common practice, no source).
    assert lugs["ten"].at.x < lugs["wiper"].at.x < lugs["zero"].at.x
    # The plan has the selector left of the tone; seen in this instrument it is right of it.
    assert layout.parts["selector"].box.left > layout.parts["tone"].box.right


def test_the_semi_hollow_has_holes_in_the_top_and_an_opening() -> None:
    top = build("holes-in-top").cavities["top"]
    assert top.outline is None
    assert top.opening is not None


def test_the_baritone_is_the_largest_and_keeps_what_was_found() -> None:
    found = build("baritone")
    assert 25 <= len(found.leads) <= 40
    assert len(found.leads) == max(len(build(name).leads) for name in GOOD)
    assert len(found.cavities) == 4
    symbols = [p.symbol.name for p in found.parts.values()]
    assert [symbols.count(s) for s in ("dual-coil-unlike", "pickup-ring-two-slides", "contact-transducer")] == [2, 2, 1]
    kept = {lead.colour.word for lead in found.leads if lead.reused and lead.colour}
    assert kept == {"yellow", "black"}
    modes = {(w.when["selector"], w.when.get("neck-mode"), w.when.get("bridge-mode")) for w in found.wanted}
    for mode in ("series", "parallel", "a", "b"):
        assert ("up", mode, None) in modes
        assert ("down", None, mode) in modes


def test_the_wrong_sample_says_exactly_what_its_text_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(SAMPLES)
    expectation = SAMPLES / f"{WRONG}.txt"
    found = "\n".join(p.text() for p in examine(Path(f"{WRONG}.yaml")).problems) + "\n"
    if os.environ.get("DIAGRAMGEN_UPDATE_EXPECTED"):
        expectation.write_text(found, encoding="utf-8", newline="\n")
    assert found == expectation.read_text(encoding="utf-8")


def test_the_wrong_sample_shows_problems_of_every_kind_a_build_can_have() -> None:
    text = (SAMPLES / f"{WRONG}.txt").read_text(encoding="utf-8")
    codes = set(re.findall(r"(?:error|warning|note) ([A-Z]{3}-\d{3}):", text))
    assert codes >= {"INP-301", "INP-302", "INP-321", "INP-322", "INP-328", "INP-335", "INP-336"}  # names and grammar
    assert codes >= {"FIT-301", "FIT-302", "FIT-310", "FIT-312", "FIT-314", "FIT-320"}  # fit
    assert codes >= {"CIR-104", "CIR-107", "CIR-110", "CIR-111"}  # hot metal, an unjoined case, foil, strings
    assert "2 mm short" in text
