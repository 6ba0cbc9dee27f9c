"""Papers of builds with more than one output: each is told, metered and drawn at its own plug."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

import diagramgen
from diagramgen.analysis import Analysis, examine
from diagramgen.app.main import group
from diagramgen.drawing.scene import Text, walk
from diagramgen.features.sounds.proof_sheet import proof_sheets
from diagramgen.features.testpage.sheet import test_sheets as sheets_of
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

TWO = """\
format: 1
title: Lantern Lane, two jacks
hand: {hand}
parts:
  neck: single-coil, 6k5
  bridge: single-coil, 7k
  saddle: contact-transducer
  selector: toggle-upright
  volume: pot-24, 250k log
  piezo-volume: pot-24, 1M log
  output: jack-mono-open
  piezo-out: jack-mono-open
leads:
  - neck.finish -> selector.up, white
  - neck.start -> volume.case, black
  - bridge.finish -> selector.down, yellow
  - bridge.start -> volume.case, green
  - selector.up centre -> selector.down centre, bare
  - selector.up centre -> volume.ten, violet
  - selector.frame -> volume.case, black
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
  - saddle.hot -> piezo-volume.ten
  - saddle.shield -> piezo-volume.case
  - piezo-volume.zero -> piezo-volume.case, bend
  - piezo-volume.wiper -> piezo-out.tip, blue
  - piezo-volume.case -> piezo-out.sleeve, black
  - volume.case -> piezo-volume.case, black
"""
RING = """\
format: 1
title: Lantern Lane, tip and ring
parts:
  neck: single-coil, 6k5
  saddle: contact-transducer
  board: buffer-board
  battery: battery-9v
  volume: pot-24, 250k log
  output: jack-switched
leads:
  - neck.finish -> volume.ten, white
  - neck.start -> volume.case, black
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
  - saddle.hot -> board.in
  - saddle.shield -> board.ground
  - board.out -> output.ring, blue
  - board.ground -> volume.case, black
  - battery.plus -> board.plus
  - battery.minus -> output.switch one
  - output.switch other -> volume.case, black
"""
ACTIVE = """\
format: 1
title: Lantern Lane, a board of its own
parts:
  neck: single-coil, 6k5
  saddle: contact-transducer
  board: buffer-board
  battery: battery-9v
  output: jack-mono-open
  piezo-out: jack-stereo-open
leads:
  - neck.finish -> output.tip
  - neck.start -> output.sleeve
  - saddle.hot -> board.in
  - saddle.shield -> board.ground
  - board.out -> piezo-out.tip
  - board.ground -> output.sleeve
  - output.sleeve -> piezo-out.sleeve
  - battery.plus -> board.plus
  - battery.minus -> piezo-out.ring
"""


def solved(text: str, tmp_path: Path) -> Analysis:
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    proof = examine(path)
    assert not proof.has_errors, [p.text() for p in proof.problems]
    return proof


def words(text: str, kind: str, tmp_path: Path) -> str:
    """Everything written on the sheets of a kind, in one line."""
    proof = solved(text, tmp_path)
    assert proof.chart is not None
    if kind in ("proof", "test"):  # these are written to PDF alone
        subject, paper = context_of(proof), PAPERS["a4"]
        makers = (proof_sheets(proof.chart, proof.problems, subject.job, paper) if kind == "proof" else
                  sheets_of(proof.chart, subject, paper))
        marks = (mark for i, maker in enumerate(makers) for mark in walk(maker(i + 1, len(makers))))
        return " ".join(mark.text for mark in marks if isinstance(mark, Text))
    files = diagramgen.print_sheets(proof, [kind])
    told = " ".join(data.decode() for name, data in files.items() if name.endswith(".svg"))
    return " ".join(re.sub(r"<[^>]*>", " ", told).split())


def test_the_proof_has_a_row_for_each_output_in_each_state(tmp_path: Path) -> None:
    told = words(TWO.format(hand="right"), "proof", tmp_path)
    assert told.count(" piezo out saddle ") == 3
    assert "selector up output neck one coil full" in told


def test_the_test_page_meters_each_output_at_its_own_plug(tmp_path: Path) -> None:
    told = words(TWO.format(hand="left"), "test", tmp_path)
    assert "At the plug in output, tip to sleeve, by position" in told
    assert "At the plug in piezo out, tip to sleeve: no ohm test here in any position" in told
    assert "hot tip of the plug in piezo-out = piezo-volume wiper" in told
    assert "amplifier low, on the plug in piezo out" in told


def test_the_test_page_meters_a_ring_at_a_stereo_plug(tmp_path: Path) -> None:
    told = words(RING, "test", tmp_path)
    assert "At a stereo plug in output, ring to sleeve: no ohm test here in any position" in told
    assert "on a stereo plug in output (its ring)" in told
    assert "hot output ring = board out" in told


def test_the_test_page_tells_the_battery_with_every_plug_out_and_with_the_one_that_switches_it(tmp_path: Path) -> None:
    told = words(ACTIVE, "test", tmp_path)
    assert "piezo-out: plug out 0 mA" in told
    assert "piezo-out: mono plug in about 0.4 mA" in told
    assert "piezo-out: stereo plug in 0 mA" in told


def test_the_record_shows_what_each_output_gives_and_which_plug_switches_the_battery(tmp_path: Path) -> None:
    told = words(ACTIVE, "record", tmp_path)
    assert "What each position gives at output, knobs at 10" in told
    assert "What each position gives at piezo out, knobs at 10" in told
    assert "The battery is on while a plug is in piezo out" in told
    assert "the plug switches the battery on" not in told


def test_the_record_says_that_a_ring_wants_a_stereo_cable(tmp_path: Path) -> None:
    assert "Output, ring: heard only with a stereo cable to two inputs" in words(RING, "record", tmp_path)


def test_the_states_show_every_output_though_a_wish_speaks_of_one(tmp_path: Path) -> None:
    told = words(RING + "wanted:\n  - {sounds: neck}\n", "states", tmp_path)
    assert "At output, ring: saddle" in told


def test_the_intake_sheet_has_a_line_for_each_plug(tmp_path: Path) -> None:
    told = words(TWO.format(hand="right"), "intake", tmp_path)
    assert "selector up, at output" in told
    assert "selector up, at piezo out" in told
    assert "at output, ring (stereo plug)" in words(RING, "intake", tmp_path)


def test_the_fault_sheet_has_a_page_for_each_output(tmp_path: Path) -> None:
    told = words(TWO.format(hand="right"), "faults", tmp_path)
    assert "At the plug in output, tip to sleeve" in told
    assert "By ear at the plug in piezo out" in told


def test_the_curves_name_the_output_and_show_each_sound_once(tmp_path: Path) -> None:
    told = words(TWO.format(hand="right"), "curves", tmp_path)
    assert "4 different sounds" in told
    assert told.count("saddle at piezo out") >= 1


def test_the_bench_page_tells_what_an_output_gives_in_every_position(tmp_path: Path) -> None:
    told = words(TWO.format(hand="right"), "bench", tmp_path)
    assert "up: output neck" in told
    assert "piezo out gives in every position: saddle" in told


def test_the_page_tells_the_other_outputs(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(ACTIVE, encoding="utf-8")
    done = CliRunner().invoke(group, ["page", str(path), "--out", str(tmp_path / "page")])
    assert done.exit_code == 0, done.output
    text = (tmp_path / "page" / "page.html").read_text(encoding="utf-8")
    found = re.search(r'<script[^>]*id="data"[^>]*>(.*?)</script>', text)
    assert found is not None
    outcomes = json.loads(found[1].replace("\\u003c", "<"))["outcomes"]
    assert any("Piezo out: saddle" in one["others"] for one in outcomes)
    assert {coil for one in outcomes for coil in one["coils"]} == {"neck", "saddle"}
    assert any(one["battery"] for one in outcomes)


def test_the_readings_file_names_the_output_and_holds_each_against_its_own(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(TWO.format(hand="right"), encoding="utf-8")
    empty = CliRunner().invoke(group, ["readings", str(path)]).stdout
    assert "- at: piezo-out" in empty
    filled = tmp_path / "r.yaml"
    filled.write_text("format: 1\nplug:\n  - {at: output, selector: up, ohms: 6.3k}\n"
                      "  - {at: piezo-out, selector: up, heard: as it should}\n", encoding="utf-8")
    told = json.loads(CliRunner().invoke(group, ["readings", str(path), "--results", str(filled), "--json"]).stdout)
    rows = {row["what"]: row["verdict"] for row in told["readings"]}
    assert rows["selector up, at output"] == "inside"
    assert rows["selector up, at piezo out"] is None


@pytest.mark.parametrize(("name", "code"), [("piezo", "INP-353"), ("output.ring", "INP-353")])
def test_a_reading_at_no_output_is_named(name: str, code: str, tmp_path: Path) -> None:
    path, filled = tmp_path / "job.yaml", tmp_path / "r.yaml"
    path.write_text(TWO.format(hand="right"), encoding="utf-8")
    filled.write_text(f"format: 1\nplug:\n  - {{at: {name}, selector: up, ohms: 6.3k}}\n", encoding="utf-8")
    told = json.loads(CliRunner().invoke(group, ["readings", str(path), "--results", str(filled), "--json"]).stdout)
    assert code in {p["code"] for p in told["problems"]}


@pytest.mark.parametrize(("output", "says"), [("piezo-out", "seen at piezo-out"), ("", "seen at output")])
def test_faults_are_ranked_at_the_output_that_is_named(output: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(TWO.format(hand="right"), encoding="utf-8")
    asked = ["--output", output] if output else []
    told = CliRunner().invoke(group, ["fault", str(path), *asked, "--seen", "selector=up: silent"]).output
    assert says in told
    first = told.partition("1. ")[2].partition("2. ")[0]
    assert ("piezo-out tip" in first) is (output == "piezo-out")
    assert ("neck finish" in first) is (output == "")


def test_the_states_of_the_api_hold_every_output(tmp_path: Path) -> None:
    state = diagramgen.states(solved(TWO.format(hand="right"), tmp_path))[0]
    assert (state.output, state.sounds) == ("output.tip", "neck")
    assert state.others["piezo-out.tip"].sounds == "saddle"
    assert state.others["piezo-out.tip"].ohms is None


def test_what_only_one_plug_lets_sound_is_not_said_of_every_position_without_that_plug(tmp_path: Path) -> None:
    assert "piezo out gives in every position, with a mono plug: saddle" in words(ACTIVE, "bench", tmp_path)
    assert "in every position, with a stereo plug: saddle" in words(RING, "bench", tmp_path)


def test_the_record_tells_the_player_to_use_a_mono_plug_where_a_stereo_plug_leaves_the_battery_off(
    tmp_path: Path
) -> None:
    assert "Use a mono plug in piezo out: a stereo plug leaves the battery off" in words(ACTIVE, "record", tmp_path)
    assert "Use a mono plug" not in words(RING, "record", tmp_path)


def test_a_piezo_alone_is_no_coil_and_has_no_resonance(tmp_path: Path) -> None:
    """Its capacitance with a buffer is a high-pass: the curve has no peak of its own (first principles)."""
    proof = solved(ACTIVE, tmp_path)
    assert proof.chart is not None
    saddle = [one.sound for r in proof.chart.results for one in r.heard
              if [h.coil for h in one.sound.sounding] == ["saddle"]]
    assert saddle
    assert {(s.together, s.peak_hz, s.peak_db) for s in saddle} == {("piezo", None, None)}
    told = words(ACTIVE, "proof", tmp_path)
    assert "saddle one piezo" in told
    assert "neck one coil full" in told


def test_the_idle_coil_of_a_split_is_spoken_of_only_where_something_splits(tmp_path: Path) -> None:
    whole = """\
format: 1
parts:
  neck: dual-coil
  cut: pot-24-push-pull
  output: jack-mono-open
leads:
  - neck.a start -> cut.ten
  - neck.a finish -> neck.b finish
  - neck.b start -> cut.case
  - neck.bare -> cut.case
  - cut.zero -> cut.case, bend
  - cut.wiper -> output.tip
  - cut.case -> output.sleeve
"""
    split = whole + "  - neck.a finish -> cut.a common\n  - cut.a near -> cut.case\n"
    assert "idle coil" not in words(whole, "test", tmp_path)
    assert "idle coil" in words(split, "test", tmp_path)
