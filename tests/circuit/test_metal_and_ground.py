"""Rules on the graph. Each is triggered by moving or leaving out one lead of a good build, and alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import build, cable, cavity, codes, end, hinged, lead, only, part

from diagramgen.circuit.rules.connections import check_connections
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import Metal
from diagramgen.model.build import Build, Lead, Part

PARTS = [part("neck", "coil", cavity=""), part("mode", "slider", (30, 30)), part("volume", "pot", (60, 30)),
         part("output", "jack", (100, 40)), part("bridge", "bridge", cavity="")]
LEADS = [lead("W01", "neck.finish -> mode.a"), lead("W02", "mode.common -> volume.ten"),
         lead("W03", "volume.wiper -> output.tip"), lead("W04", "volume.zero -> volume.case", "bend"),
         lead("W05", "volume.case -> output.sleeve", "bare"), lead("W06", "neck.start -> volume.case"),
         lead("W07", "neck.shield -> volume.case"), lead("W08", "bridge.strings -> volume.case")]


def said(made: Build) -> Diagnostics:
    say = Diagnostics()
    check_connections(made, say)
    return say


def good(without: str = "", instead: tuple[Lead, ...] = (), parts: tuple[Part, ...] = ()) -> Build:
    leads = [x for x in LEADS if x.tag != without]
    return build([*PARTS, *parts], [*leads, *instead])


def test_a_good_build_raises_nothing() -> None:
    assert codes(said(good())) == []


def test_a_build_without_a_jack_says_so_and_judges_no_ground() -> None:
    made = good()
    parts = {n: p for n, p in made.parts.items() if n != "output"}
    kept = tuple(x for x in made.leads if "output" not in str(x.end))
    # The volume's wiper lost its lead with the jack: that is said too, and nothing about ground.
    assert codes(said(replace(made, parts=parts, leads=kept))) == ["CIR-100", "CIR-116"]


def test_a_jack_without_its_tip_lead_is_an_error() -> None:
    found = only(said(good("W03")), "CIR-101")
    assert found.severity is Severity.ERROR
    assert "output.tip" in found.message


def test_what_is_missing_is_only_a_note_while_ends_are_not_traced() -> None:
    found = only(said(good("W03", (lead("W03", "volume.wiper -> unknown"),))), "CIR-101")
    assert found.severity is Severity.NOTE


def test_tip_joined_to_sleeve_is_an_error_that_names_the_way() -> None:
    found = only(said(good("", (lead("W09", "volume.wiper -> volume.case"),))), "CIR-102")
    assert "output.tip, W03, volume.wiper, W09, volume.case, W05, output.sleeve" in found.remedy


def test_metal_on_the_net_of_the_tip_is_hot() -> None:
    found = only(said(good("W07", (lead("W07", "neck.shield -> volume.wiper"),))), "CIR-104")
    assert found.severity is Severity.ERROR
    assert "the cover of neck is hot" in found.message


def test_a_case_nobody_joined_is_warned_of() -> None:
    tone = part("tone", "pot", (90, 20))
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> volume.case"))
    found = only(said(good("", wires, (tone,))), "CIR-108")
    assert "the case of tone is not on ground" in found.message


def test_a_ground_that_relies_on_a_case_nobody_joined_names_who_relies_on_it() -> None:
    say = said(good("W05", (lead("W05", "bridge.strings -> output.sleeve"),)))
    assert "CIR-107" not in codes(say)
    tone = part("tone", "pot", (90, 20))
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"),
             lead("W06", "neck.start -> tone.case"))
    found = only(said(good("W06", wires, (tone,))), "CIR-107")
    assert "neck.start relies on the case of tone" in found.message


def test_a_metal_plate_grounds_the_cases_with_a_note_about_loose_nuts() -> None:
    tone = part("tone", "pot", (90, 20))
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"))
    made = replace(good("", wires, (tone,)), cavities={"main": cavity(plate=hinged(metal=True))})
    found = only(said(made), "CIR-105")
    assert found.severity is Severity.NOTE
    assert "tone" in found.message
    assert codes(said(made)) == ["CIR-105"]


def test_foil_under_a_nut_is_no_sure_ground() -> None:
    foil = part("foil", "shield-foil", (60, 37))
    tone = part("tone", "pot", (90, 20), mounted_on="foil")
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"),
             lead("W11", "foil.foil -> volume.case"))
    assert codes(said(good("", wires, (foil, tone)))) == ["CIR-106"]


def test_an_unjoined_foil_patch_is_an_error() -> None:
    found = only(said(good("", (), (part("foil", "shield-foil", (60, 37)),))), "CIR-110")
    assert found.severity is Severity.ERROR


def test_strings_without_a_way_to_ground_are_warned_of() -> None:
    assert "CIR-111" in codes(said(good("W08")))


def test_a_capacitor_in_the_string_ground_is_a_way() -> None:
    cap = part("c1", "cap", between=("bridge.strings", "volume.case"))
    assert "CIR-111" not in codes(said(good("W08", (), (cap,))))


def test_a_build_without_strings_says_that_they_were_not_judged() -> None:
    made = good("W08")
    assert codes(said(replace(made, parts={n: p for n, p in made.parts.items() if n != "bridge"}))) == ["CIR-112"]


@pytest.mark.parametrize(("changes", "code"), [
    ({}, "CIR-113"),
    ({"shield_to": ("volume.wiper",)}, "CIR-114"),
    ({"shield_to": ("mode.b",)}, "CIR-115"),
    ({"shield_cut": True}, None),
    ({"shield_to": ("volume.case",), "shield_cut": True}, None),
    ({"shield_to": ("volume.case", "output.sleeve")}, None),
])
def test_a_braid_goes_to_ground_at_one_end_or_is_cut_on_purpose(changes: dict[str, object], code: str | None) -> None:
    shielded = lead("W03", "volume.wiper -> output.tip", "shielded", **changes)
    assert codes(said(good("W03", (shielded,)))) == ([code] if code else [])


def test_the_braid_of_a_pickups_own_cable_is_its_own_lug_and_raises_nothing() -> None:
    own = replace(LEADS[0], kind="shielded")
    assert codes(said(good("W01", (own,)))) == []


def test_a_coil_end_that_is_not_wired_is_a_note_and_a_parked_one_is_not() -> None:
    found = only(said(good("W06")), "CIR-116")
    assert "neck.start" in found.message
    assert codes(said(good("W06", (lead("W06", "neck.start -> parked"),)))) == []


def test_a_tone_pot_uses_two_of_its_three_lugs_without_a_word() -> None:
    tone = part("tone", "pot", (90, 20))
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.case -> volume.case"))
    cap = part("c1", "cap", between=("tone.wiper", "tone.case"))
    assert codes(said(good("", wires, (tone, cap)))) == []


def test_a_part_without_any_lead_is_one_note() -> None:
    assert codes(said(good("", (), (part("spare", "slider", (90, 20)),)))) == ["CIR-117"]


def test_joints_that_are_no_lead_raise_no_alarm() -> None:
    # A series link in a sleeve, a lug bent to its case, a bridge of solder and a parked end.
    second = part("middle", "coil", cavity="")
    wires = (lead("W06", "neck.start -> middle.finish", "sleeved"), lead("W09", "middle.start -> volume.case"),
             lead("W10", "middle.shield -> volume.case"), lead("W11", "mode.b -> mode.common", "bridge"))
    assert codes(said(good("W06", wires, (second,)))) == []


def test_a_short_that_needs_an_unsure_nut_is_a_warning() -> None:
    # The foil is on the tip by a lead, and a grounded case sits on it by its nut alone.
    foil = part("foil", "shield-foil", (60, 37))
    tone = part("tone", "pot", (90, 20), mounted_on="foil")
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"),
             lead("W11", "tone.case -> volume.case"), lead("W12", "foil.foil -> volume.wiper"))
    found = only(said(good("", wires, (foil, tone))), "CIR-103")
    assert found.severity is Severity.WARNING
    assert "nut of tone" in found.remedy


def test_metal_that_an_unsure_nut_would_make_hot_is_a_warning() -> None:
    foil = part("foil", "shield-foil", (60, 37))
    tone = part("tone", "pot", (90, 20), mounted_on="foil")
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"),
             lead("W12", "foil.foil -> volume.wiper"))
    severities = {p.message.split(" is ")[0]: p.severity for p in said(good("", wires, (foil, tone))).sorted()
                  if p.code == "CIR-104"}
    assert severities == {"the foil of foil": Severity.ERROR, "the case of tone": Severity.WARNING}


def test_touchable_metal_without_a_lug_is_a_note() -> None:
    bat = part("kill", "slider", (90, 20))
    metal = Metal("bushing", (), True, True)
    mounting = replace(bat.symbol.mounting, side="wood")
    touchable = replace(bat, symbol=replace(bat.symbol, metal=(metal,), mounting=mounting))
    wires = (lead("W09", "kill.common -> mode.b"),)
    assert only(said(good("", wires, (touchable,))), "CIR-109").severity is Severity.NOTE
    on_plate = replace(good("", wires, (touchable,)), cavities={"main": cavity(plate=hinged(metal=True))})
    assert "CIR-109" not in codes(said(on_plate))


def test_a_lead_straight_from_tip_to_sleeve_is_named_though_nothing_else_is_on_the_tip() -> None:
    found = only(said(good("W03", (lead("W09", "output.tip -> output.sleeve"),))), "CIR-102")
    assert "by lead W09 on line 1 (output.tip -> output.sleeve)" in found.message


def test_a_tip_lead_that_went_to_the_sleeve_is_named_at_the_tip_and_not_at_the_sleeve() -> None:
    found = only(said(good("W03", (lead("W03", "volume.wiper -> output.sleeve"),))), "CIR-101")
    assert found.message == ("nothing is joined to output.tip: hot is shorted to ground by lead W03 on line 1 "
                             "(volume.wiper -> output.sleeve)")
    bare = said(good("W05", (lead("W05", "volume.wiper -> volume.case"),)))
    assert [p.message for p in bare.sorted() if p.code == "CIR-101"] == ["nothing is joined to output.sleeve"]


def test_cases_joined_to_each_other_and_to_no_ground_are_one_finding() -> None:
    pots = (part("tone", "pot", (90, 20)), part("blend", "pot", (90, 50)))
    wires = (lead("W09", "tone.ten -> volume.ten"), lead("W10", "tone.wiper -> mode.b"),
             lead("W11", "blend.ten -> volume.ten"), lead("W12", "blend.wiper -> mode.b"),
             lead("W13", "tone.case -> blend.case"))
    assert len([c for c in codes(said(good("", wires, pots))) if c in ("CIR-107", "CIR-108")]) == 1


@pytest.mark.parametrize(("shielded", "inside", "cut", "told"), [
    (True, True, False, ["CIR-113"]), (True, True, True, []), (True, False, False, []), (False, True, False, []),
])
def test_a_shielded_cable_in_use_wants_its_braid_joined_or_cut(
    shielded: bool, inside: bool, cut: bool, told: list[str]
) -> None:
    wire = lead("W03", "volume.wiper -> output.tip", cable="loom" if inside else "", shield_cut=cut)
    say = said(replace(good("W03", (wire,)), cables={"loom": cable("loom", 3, shielded=shielded)}))
    assert codes(say) == told
    assert not told or "the braid of cable loom is joined to nothing" in only(say, "CIR-113").message


@pytest.mark.parametrize("wire", [
    # A throw of a switch on a grounded case mutes on purpose; a lug bent to its case was meant so.
    lead("W09", "mode.b -> volume.case"), lead("W09", "volume.wiper -> volume.case", "bend"),
])
def test_only_a_lead_on_the_sleeve_or_one_that_grounds_a_wiper_is_blamed_for_a_bare_tip(wire: Lead) -> None:
    assert only(said(good("W03", (wire,))), "CIR-101").message == "nothing is joined to output.tip"


def test_a_lead_that_grounds_a_wiper_at_a_case_is_blamed_for_a_bare_tip() -> None:
    found = only(said(good("W03", (lead("W09", "volume.wiper -> volume.case"),))), "CIR-101")
    assert "hot is shorted to ground by lead W09 on line 1 (volume.wiper -> volume.case)" in found.message


@pytest.mark.parametrize(("to", "told"), [("volume.case", []), ("mode.b", ["CIR-115"]), ("volume.wiper", ["CIR-114"])])
def test_the_braid_of_a_cable_is_judged_by_where_the_cable_says_and_not_for_each_conductor(
    to: str, told: list[str]
) -> None:
    wire = lead("W03", "volume.wiper -> output.tip", "shielded", cable="loom")
    loom = cable("loom", 3, shielded=True, shield_to=(end(to),))
    assert codes(said(replace(good("W03", (wire,)), cables={"loom": loom}))) == told


def test_of_two_leads_that_ground_a_wiper_none_is_blamed() -> None:
    tone = part("tone", "pot", (90, 20))
    leads = (lead("W03", "volume.wiper -> output.sleeve"), lead("W09", "tone.wiper -> output.sleeve"),
             lead("W10", "tone.ten -> volume.ten"), lead("W11", "tone.case -> volume.case"))
    assert only(said(good("W03", leads, (tone,))), "CIR-101").message == "nothing is joined to output.tip"
