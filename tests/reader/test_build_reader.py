"""What a build file means: positions, colours, kinds, tags, legs, groups, the two flips."""

from __future__ import annotations

import math
from itertools import product

import pytest
from reading import codes, good, read

from diagramgen.kernel.geometry import Point
from diagramgen.model.build import Build, Lead
from diagramgen.reader.reader import typical_diameter

HEAD = "format: 1\ntitle: A test\n"
PARTS = """
parts:
  volume: pot-24, 500k log
  pickup: {symbol: single-coil, colours: {start: black, finish: white}}
  output: jack-mono-open
"""
LEADS = """
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.wiper -> output.tip, red
  - volume.zero -> volume.case, bend
  - volume.case -> output.sleeve, black
"""


def lead(line: str, more: str = "") -> Lead:
    """The last lead of a plain build with this line added."""
    build = good(HEAD + PARTS + more + LEADS + f"  - {line}\n")
    return build.leads[-1]


def ends(build: Build) -> set[tuple[str, str]]:
    return {(str(x.start), str(x.end)) for x in build.leads}


def test_a_part_in_one_line_is_the_same_as_by_its_keys() -> None:
    cavity = "cavity: {shape: {rounded: [92, 62]}}\n"
    line = "volume: pot-24, 250k log 12%, at 34 24, turned 15, wood above 6, says Master, in cavity"
    keys = ("volume: {symbol: pot-24, value: 250k log 12%, at: [34, 24], turned: 15, wood above: 6 mm, says: Master, "
            "in: cavity}")
    one = good(HEAD + cavity + PARTS.replace("volume: pot-24, 500k log", line) + LEADS).parts["volume"]
    other = good(HEAD + cavity + PARTS.replace("volume: pot-24, 500k log", keys) + LEADS).parts["volume"]
    assert one == other
    assert one.at == Point(34, 24)
    assert one.turned == pytest.approx(math.radians(15))
    assert one.values == {"track": 250e3, "law": "log", "law-percent": 12.0}
    assert (one.cavity, one.says, one.wood) == ("cavity", "Master", 6.0)


def test_a_lead_in_one_line_is_the_same_as_by_its_keys() -> None:
    line = lead("volume.ten -> output.sleeve, white/black, tag W31, gauge 22 AWG, od 1.8, length 120, via 40 12, "
                "along wall, over volume, cloth, reused, note keep it")
    keys = lead("{from: volume.ten, to: output.sleeve, colour: WH/BK, tag: w31, gauge: 22, od: 1.8 mm, length: 12 cm, "
                "via: [[40, 12]], along wall: yes, over: volume, cloth: yes, reused: yes, note: keep it}")
    assert line == keys
    assert (line.tag, line.gauge, line.length, line.via, line.cloth) == ("W31", 22, 120.0, (Point(40, 12),), True)


def test_tags_follow_the_order_of_the_file_past_the_pinned_ones() -> None:
    build = good(HEAD + PARTS + LEADS.replace("tip, red", "tip, red, tag W2") + "  - unknown -> volume.ten, green\n")
    assert [x.tag for x in build.leads] == ["W01", "W03", "W2", "J01", "W04", "W05"]


def test_a_conductor_takes_the_colour_its_part_says() -> None:
    build = good(HEAD + PARTS + LEADS)
    assert [x.colour.code if x.colour else "" for x in build.leads] == ["WH", "BK", "RD", "", "BK"]
    assert [x.cable for x in build.leads] == ["pickup", "pickup", "", "", ""]


def test_the_kind_follows_from_the_lugs_where_none_is_said() -> None:
    dual = "  neck: dual-coil\n  cap: capacitor-film, 22n\n"
    assert lead("neck.a finish -> neck.b finish", dual.replace("  cap: capacitor-film, 22n\n", "")).kind == "sleeved"
    assert lead("neck.bare -> volume.case, bare", dual.replace("  cap: capacitor-film, 22n\n", "")).kind == "bare"
    assert lead("neck.a start -> volume.ten", dual.replace("  cap: capacitor-film, 22n\n", "")).kind == "wire"


@pytest.mark.parametrize("way", ["between: [volume.ten, volume.wiper]", "one by one"])
def test_a_component_hangs_between_two_lugs_however_it_is_said(way: str) -> None:
    cap = "  cap: {symbol: capacitor-film, value: 22n" + (f", {way}" if way != "one by one" else "") + "}\n"
    legs = "" if way != "one by one" else "  - cap.one -> volume.ten\n  - volume.wiper -> cap.other, leg\n"
    build = good(HEAD + PARTS + cap + LEADS + legs)
    between = build.parts["cap"].between
    assert between is not None
    assert [str(e) for e in between] == ["volume.ten", "volume.wiper"]
    assert "leg" not in [x.kind for x in build.leads]


def test_a_bus_is_bare_stretches_from_lug_to_lug() -> None:
    build = good(HEAD + PARTS + LEADS + "  - {bus: [volume.ten, volume.wiper, output.sleeve]}\n")
    stretches = [x for x in build.leads if x.bus]
    assert [(str(x.start), str(x.end), x.kind) for x in stretches] == [
        ("volume.ten", "volume.wiper", "bare"), ("volume.wiper", "output.sleeve", "bare")]
    assert len({x.bus for x in stretches}) == 1


def test_lug_by_lug_entry_gives_leads_legs_bends_and_questions() -> None:
    build = good(HEAD + """
parts:
  volume: pot-24
  capacitor: capacitor-film
  output: jack-mono-open
lugs:
  volume.ten: red, capacitor
  volume.wiper: white to output.tip
  output.tip: white to volume.wiper
  volume.case: capacitor, black to output.sleeve
  volume.zero: bent to case
""")
    assert [(str(x.start), str(x.end), x.kind) for x in build.leads] == [
        ("volume.ten", "unknown", "wire"), ("volume.wiper", "output.tip", "wire"),
        ("volume.case", "output.sleeve", "wire"), ("volume.zero", "volume.case", "bend")]
    assert [str(e) for e in build.parts["capacitor"].between or ()] == ["volume.ten", "volume.case"]
    assert build.questions == ("Where does the other end of the red lead W01 on volume.ten go?",)


def test_lug_names_may_be_written_with_blanks_hyphens_or_dots() -> None:
    dual = "  neck: dual-coil\n"
    for typed in ("neck.a start", "neck.a-start", "neck.a.start", "NECK.A  Start"):
        assert str(lead(f"{typed} -> volume.ten", dual).start) == "neck.a start"


@pytest.mark.parametrize(("hand", "plan", "side"), list(product(["right", "left"], ["right", "left", ""],
                                                                ["solder side", "player's side", ""])))
def test_the_plan_is_flipped_by_the_other_hand_or_the_players_side_but_not_by_both(
    hand: str, plan: str, side: str
) -> None:
    text = HEAD + f"hand: {hand}\n" + (f"plan made for: {plan}\n" if plan else "") + (
        f"seen from: {side}\n" if side else "")
    build = good(text + PARTS + LEADS)
    assert build.flipped == ((plan or hand) != hand) ^ (side == "player's side")


def test_a_part_with_a_place_is_in_the_only_cavity_and_one_through_a_channel_is_in_none() -> None:
    build = good(HEAD + """
cavity: {shape: {rounded: [92, 62]}, depth: 40}
channels: {jack: {at: [92, 30]}}
parts:
  volume: pot-24, at 40 30
  tone: pot-24
  output: jack-mono-open, through jack
leads:
  - volume.wiper -> output.tip
  - tone.ten -> volume.ten
""")
    assert [build.parts[n].cavity for n in ("volume", "tone", "output")] == ["cavity", "cavity", ""]
    assert build.channels["jack"].cavity == "cavity"
    assert build.to_scale


def test_a_build_without_a_cavity_is_not_to_scale() -> None:
    assert not good(HEAD + PARTS + LEADS).to_scale


def test_the_load_is_assumed_until_all_of_it_is_said() -> None:
    assert good(HEAD + PARTS + LEADS).load.assumed
    part = good(HEAD + PARTS + LEADS + "load: {cable: 6 m}\n").load
    assert (part.cable_length, part.assumed) == (6000.0, True)
    whole = good(HEAD + PARTS + LEADS + "load: {cable: 20 ft, cable capacitance: 120 pF/m, amplifier: 500k}\n").load
    assert (whole.cable_length, whole.cable_capacitance, whole.amplifier, whole.assumed) == (
        pytest.approx(6096.0), pytest.approx(120e-12), 500e3, False)


def test_hook_up_wire_has_a_typical_diameter_for_its_gauge() -> None:
    """Seven strands lie three across (plain geometry); 22 AWG: 0.76 mm over the strands, PVC about 1.6 mm.

    Common practice, no source for the covering.
    """
    assert typical_diameter(22, "pvc") == pytest.approx(1.6, abs=0.1)
    assert typical_diameter(24, "ptfe") == pytest.approx(1.1, abs=0.15)
    assert good(HEAD + PARTS + LEADS + "wire: {gauge: 22 AWG, kind: cloth}\n").leads[2].cloth


def test_wanted_states_stand_with_or_without_when() -> None:
    build = good(HEAD + PARTS + LEADS + "wanted:\n  - {output: mono plug in, sounds: pickup, hum: full}\n"
                 "  - {when: {output: out}, sounds: silent}\n")
    assert [dict(w.when) for w in build.wanted] == [{"output": "mono"}, {"output": "out"}]


def test_a_key_in_when_is_part_and_control_where_a_part_has_several_switches() -> None:
    build = good(HEAD + """
parts: {ring: pickup-ring-two-slides}
leads:
  - ring.a start -> ring.out
wanted:
  - {when: {ring: series}, hum: full}
""")
    assert dict(build.wanted[0].when) == {"ring": "series"}


def test_controls_that_move_together_are_named_in_full() -> None:
    build = good(HEAD + PARTS.replace("pot-24", "pot-24-push-pull") + "  tone: pot-24-push-pull\n" + LEADS
                 + "  - tone.ten -> volume.ten\nmoves together: [[volume.pull, tone.pull]]\n")
    assert build.together == (("volume.pull", "tone.pull"),)


def test_a_build_with_faults_is_still_sound_in_itself() -> None:
    build, problems = read(HEAD + PARTS.replace("pot-24", "pot-99") + LEADS)
    assert [p.code for p in problems] == ["INP-303"]
    assert build is not None
    assert all(e.part in build.parts for x in build.leads for e in (x.start, x.end) if e.known)
    assert build.leads == ()


def test_reading_twice_gives_the_same() -> None:
    assert good(HEAD + PARTS + LEADS) == good(HEAD + PARTS + LEADS)


def test_parked_and_unknown_ends_are_no_lugs() -> None:
    parked = lead("neck.a finish -> parked", "  neck: dual-coil\n")
    assert (parked.end.known, parked.end.part) == (False, "parked")


def test_a_shielded_lead_says_where_its_braid_goes() -> None:
    shielded = lead("volume.ten -> output.sleeve, grey, shielded, shield to volume.case, shield cut")
    assert ([str(e) for e in shielded.shield_to], shielded.shield_cut) == (["volume.case"], True)


@pytest.mark.parametrize("kept", ["cavity", "channel", "part"])
def test_a_name_whose_own_entry_is_faulty_is_not_said_to_be_missing(kept: str) -> None:
    cavity = "cavities: {controls: {depth: deep}}\n" if kept == "cavity" else "cavities: {controls: {depth: 40}}\n"
    channel = "channels: {jack: {at: [1]}}\n" if kept == "channel" else "channels: {jack: {at: [1, 2]}}\n"
    part = "{symbol: [pot-24]}" if kept == "part" else "pot-24"
    text = HEAD + cavity + channel + f"""
parts:
  volume: {part}
  output: jack-mono-open, through jack
leads:
  - volume.wiper -> output.tip
"""
    assert not {"INP-301", "INP-306", "INP-308"} & set(codes(text))
