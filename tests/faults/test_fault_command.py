"""The command ``fault`` and the fault sheet, as a technician calls them."""

from __future__ import annotations

import json
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from diagramgen.app.main import group

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
TOGGLE = str(SAMPLES / "two-pickups-toggle.yaml")


def run(*args: str, typed: str | None = None) -> tuple[int, str]:
    result = CliRunner().invoke(group, ["fault", *args], input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def test_the_likeliest_joints_and_the_next_measurement_are_said() -> None:
    code, said = run(TOGGLE, "--seen", "selector=up: 500k", "--seen", "selector=middle: 8.4k")
    assert code == 0
    assert "W01 blk" in said
    assert "told apart by:" in said
    assert "\nnext: " in said


def test_json_gives_groups_with_probabilities_that_add_up() -> None:
    code, said = run(TOGGLE, "--seen", "selector=up: 0", "--json")
    found = json.loads(said)
    assert code == 0
    total = sum(g["probability"] for g in found["groups"]) + found["outside"]
    assert total == pytest.approx(1.0, abs=0.05)
    assert found["next"]["answers"]
    assert all(f["lugs"] for g in found["groups"] for f in g["faults"] if f["kind"] != "no fault")


def test_lines_may_stand_in_a_text_file(tmp_path: Path) -> None:
    listed = tmp_path / "seen.txt"
    listed.write_text("# before opening\nselector=up: 500k   # reads the pot\n\nselector=middle: 8.4k\n")
    assert run(TOGGLE, "--seen-in", str(listed)) == run(TOGGLE, "--seen", "selector=up: 500k", "--seen",
                                                        "selector=middle: 8.4k")


def test_asked_one_at_a_time_until_nothing_more_is_typed() -> None:
    code, said = run(TOGGLE, "--ask", typed="banana\n0\n\n")
    assert code == 0
    assert "'banana' is neither a reading" in said
    assert said.count("next: ") >= 2


@pytest.mark.parametrize(("line", "words"), [
    ("selektor=up: 7k", "Did you mean 'selector'"), ("selector=sidewise: 7k", "has no position"),
    ("selector=up: 7,9k", "is no reading"), ("selector=up", "does not say where"),
])
def test_a_line_that_cannot_be_read_ends_with_wrong_usage(line: str, words: str) -> None:
    code, said = run(TOGGLE, "--seen", line)
    assert code == 2
    assert words in " ".join(said.replace("│", " ").split())


def test_a_build_with_errors_is_not_searched() -> None:
    code, said = run(str(SAMPLES / "wrong-on-purpose.yaml"))
    assert code == 1
    assert "error" in said


def test_a_build_without_a_jack_says_so(tmp_path: Path) -> None:
    build = tmp_path / "b.yaml"
    build.write_text("format: 1\ntitle: t\nparts:\n  pickup: single-coil\n  volume: pot-24\nleads:\n"
                     "  - pickup.finish -> volume.ten\n  - pickup.start -> volume.zero\n")
    code, said = run(str(build))
    assert code == 1
    assert "no output jack" in said


@pytest.mark.parametrize("name", ["two-pickups-toggle", "baritone", "one-volume", "no-cavity"])
def test_the_fault_sheet_is_one_page_with_the_sound_instrument_on_top(name: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(group, ["print", str(SAMPLES / f"{name}.yaml"), "--sheet", "faults", "--out",
                                        str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    with pdfplumber.open(tmp_path / "out" / "faults.pdf") as pdf:
        assert len(pdf.pages) == 1
        text = pdf.pages[0].extract_text()
    assert "nothing is wrong" in text
    assert "look here" in text
    assert "open" in text or "silent" in text
