"""``readings``: an empty file that is never written over, verdicts in words and JSON, lines to keep in the build."""

from __future__ import annotations

import json
import re
import shutil

import pytest
from running import SAMPLES, quick, run

TOGGLE = str(SAMPLES / "two-pickups-toggle.yaml")
FILLED = "coils: {neck.a: 3.95k, neck.b: 4.05k}\nplug:\n  - {selector: up, ohms: 7.87k, at zero: 0}\n" \
         "  - {selector: down, ohms: 8.6M, heard: as it should}\nstrings to sleeve: 0.3\n"


@pytest.fixture
def filled(tmp_path):
    file = tmp_path / "readings.yaml"
    file.write_text(FILLED, encoding="utf-8")
    return file


def test_the_empty_file_is_written_once_and_never_over(tmp_path):
    out = tmp_path / "new.yaml"
    assert quick("readings", TOGGLE, "--out", str(out)).exit_code == 0
    out.write_text("mine", encoding="utf-8")
    again = quick("readings", TOGGLE, "--out", str(out))
    assert again.exit_code == 3
    assert "not written over" in again.output
    assert out.read_text(encoding="utf-8") == "mine"


def test_without_readings_the_empty_file_is_said():
    made = quick("readings", TOGGLE)
    assert made.exit_code == 0
    assert "- selector: middle" in made.output


def test_verdicts_in_words_with_the_lines_to_keep(filled):
    said = run("readings", TOGGLE, "--results", str(filled))
    assert said.returncode == 0
    assert "inside          selector up: 7.87 kΩ" in said.stdout
    assert "neck: values: {a-resistance: 3.95k, b-resistance: 4.05k}" in said.stdout
    assert "warning REC-510" in said.stderr
    assert re.search(r"warning REC-510: .*\n    .*selector: down", said.stderr), "the line it speaks of is quoted"


def test_the_lines_to_keep_can_be_pasted(tmp_path, filled):
    said = json.loads(quick("readings", TOGGLE, "--results", str(filled), "--json").stdout)
    assert said["to_paste"] == ["neck: values: {a-resistance: 3.95k, b-resistance: 4.05k}",
                                "neck: metered: {a-resistance: yes, b-resistance: yes}"]
    text = (SAMPLES / "two-pickups-toggle.yaml").read_text(encoding="utf-8")
    kept = text.replace("value: 3k9 4k0\n    values: {a-kick: plus}",
                        "values: {a-kick: plus, a-resistance: 3.95k, b-resistance: 4.05k}\n"
                        "    metered: {a-resistance: yes, b-resistance: yes}")
    assert kept != text
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, tmp_path)
    (tmp_path / "kept.yaml").write_text(kept, encoding="utf-8")
    filled.write_text(FILLED.partition("\n")[2], encoding="utf-8")
    again = json.loads(quick("readings", str(tmp_path / "kept.yaml"), "--results", str(filled), "--json").stdout)
    assert again["readings"] == said["readings"]
    assert [r["verdict"] for r in said["readings"]] == ["inside", "inside", "outside", "inside"]


def test_a_results_file_that_is_not_there_is_no_traceback(tmp_path):
    said = run("readings", TOGGLE, "--results", str(tmp_path / "gone.yaml"))
    assert said.returncode == 1
    assert "INP-020" in said.stderr
    assert "Traceback" not in said.stderr
