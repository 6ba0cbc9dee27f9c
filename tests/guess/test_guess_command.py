"""The command ``guess``, and readings that ``fault`` takes from a results file."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from diagramgen.app.main import group

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
TOGGLE = str(SAMPLES / "two-pickups-toggle.yaml")


def run(*args: str, typed: str | None = None) -> tuple[int, str]:
    result = CliRunner().invoke(group, list(args), input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def test_the_usual_wiring_of_a_sample_is_first() -> None:
    code, said = run("guess", TOGGLE, "--seen", "selector=up: 7.78k", "--seen", "selector=middle: 4.07k",
                     "--seen", "selector=middle, neck-volume=0: 0", "--json")
    found = json.loads(said)
    assert code == 0
    first = found["guesses"][0]["wirings"][0]
    assert first["neck"] == "series"
    assert first["volume"] == "a volume each, either at 0 silences both"


def test_a_position_that_does_not_exist_is_wrong_usage() -> None:
    code, said = run("guess", TOGGLE, "--seen", "selector=left: 7k")
    assert code == 2
    assert "has no position" in said


def test_fault_reads_a_results_file(tmp_path: Path) -> None:
    results = tmp_path / "r.yaml"
    results.write_text("format: 1\nplug:\n  - selector: up\n    ohms: 500k\n    heard: silent\n"
                       "  - selector: middle\n    ohms: 8.4k\n    at zero: 0\nstrings to sleeve: 0.4\n")
    code, said = run("fault", TOGGLE, "--results", str(results))
    assert code == 0
    assert "5 things seen" in said
    assert "W01 blk" in said


def test_a_results_file_with_a_fault_in_it_is_said_and_not_used(tmp_path: Path) -> None:
    results = tmp_path / "r.yaml"
    results.write_text("format: 1\nplug:\n  - selector: up\n    ohms: banana\n")
    code, said = run("fault", TOGGLE, "--results", str(results))
    assert code == 1
    assert "banana" in said


def test_asked_one_reading_at_a_time_until_one_wiring_is_left() -> None:
    code, said = run("guess", TOGGLE, "--ask", typed="banana\n7.78k\n\n")
    assert code == 0
    assert "'banana' is neither a reading" in said
    assert said.count("next: ") >= 2
    assert "usual wirings of these parts" in said


def test_guess_reads_a_results_file_and_a_file_of_lines_alike(tmp_path: Path) -> None:
    results, lines = tmp_path / "r.yaml", tmp_path / "seen.txt"
    results.write_text("format: 1\nplug:\n  - selector: up\n    ohms: 7.78k\n")
    lines.write_text("selector=up: 7.78k  # before opening\n")
    assert run("guess", TOGGLE, "--results", str(results)) == run("guess", TOGGLE, "--seen-in", str(lines))
