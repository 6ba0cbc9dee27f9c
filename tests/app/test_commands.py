"""Help, wrong usage, check, symbols, schema and start."""

from __future__ import annotations

import json
import re

import pytest
from running import BROKEN, SAMPLES, quick, run

from diagramgen.console.command import commands


def test_help_names_every_command_and_shows_how_to_begin():
    done = run("--help")
    assert done.returncode == 0
    for name in commands():
        assert re.search(rf"(?m)^  {name}  +\S", done.stdout), name
    assert "diagramgen start" in done.stdout
    assert "diagramgen print my.yaml" in done.stdout
    assert "0 fine, 1 the build has errors, 2 wrong usage, 3 could not write" in done.stdout


@pytest.mark.parametrize("name", commands())
def test_help_of_a_command_teaches_by_an_example(name):
    said = quick(name, "--help").output
    assert re.search(r"Examples?:\n", said)
    assert f"diagramgen {name}" in said.split("Example", 1)[1]


ON_A_JOB = ("print", "check", "compare", "sounds", "netlist", "labels", "price", "readings", "shop",
            "page", "fault", "identify", "guess", "add", "preview", "trace")
"""Commands whose examples name a job of one's own."""


@pytest.mark.parametrize("name", [n for n in commands() if n not in ON_A_JOB])
def test_examples_in_the_help_run(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = quick(name, "--help").output.split("Example", 1)[1]
    for line in re.findall(r"(?m)^ +diagramgen (.*)$", said):
        assert quick(*line.split()).exit_code == 0, line
        (tmp_path / "my.yaml").unlink(missing_ok=True)


def test_version_is_said():
    from diagramgen.kernel.version import __version__

    assert quick("--version").output == f"diagramgen, version {__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["prnt", "a.yaml"], "there is no command 'prnt'. Did you mean 'print'?"),
        (["print"], "Missing argument 'BUILD'"),
        (["print", "a.yaml", "--papr", "a4"], "--paper"),
        (["print", "a.yaml", "--paper", "a9"], "'a9' is not one of 'a4', 'a3', 'letter'"),
        (["print", "a.yaml", "--sheet", "poster"], "'poster' is not one of 'diagram', 'bench'"),
        (["print", "a.yaml", "--dpi", "0"], "30<=x<=1200"),
        (["symbols", "pot-24-push-pul"], "Did you mean 'pot-24-push-pull'?"),
        (["start", "one-volum"], "Did you mean 'one-volume'?"),
        (["start"], "nothing to start from was named"),
    ],
)
def test_wrong_usage_ends_with_2_and_says_what_is_right(arguments, words):
    result = quick(*arguments)
    assert result.exit_code == 2
    assert words in result.stderr
    assert result.stdout == ""


def test_check_says_fine_with_0_and_errors_with_1(tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text(BROKEN)
    fine = quick("check", str(SAMPLES / "one-volume.yaml"))
    assert (fine.exit_code, fine.stderr) == (0, "")
    assert "no problems" in fine.stdout
    wrong = quick("check", str(broken))
    assert wrong.exit_code == 1
    assert ":7:5: error INP-" in wrong.stderr
    assert "\n      - pickup.finsh -> output.tip\n  What to do: " in wrong.stderr
    assert list(tmp_path.iterdir()) == [broken]


def test_the_sample_that_is_wrong_on_purpose_ends_with_1():
    wrong = list(SAMPLES.glob("wrong*.yaml"))
    assert wrong
    for build in wrong:
        assert quick("check", str(build)).exit_code == 1


def test_check_json_is_json_alone(tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text(BROKEN)
    result = quick("check", str(broken), "--json")
    said = json.loads(result.stdout)
    assert result.exit_code == 1
    assert result.stderr == ""
    found = {(p["severity"], p["line"], p["column"], p["file"]) for p in said["problems"]}
    assert ("error", 7, 5, str(broken)) in found


def test_colours_of_a_terminal_are_left_out_where_they_are_not_wanted(tmp_path):
    """no-color.org: any value of NO_COLOR that is not empty."""
    pty = pytest.importorskip("pty")
    import os
    import subprocess
    import sys

    from running import ROOT

    missing = tmp_path / "missing.yaml"

    def shown(**surroundings):
        inner, outer = pty.openpty()
        surroundings = {**{k: v for k, v in os.environ.items() if k != "NO_COLOR"}, **surroundings}
        subprocess.run([sys.executable, "-m", "diagramgen", "check", str(missing)], stdout=outer, stderr=outer,
                       env={**surroundings, "PYTHONPATH": str(ROOT)}, check=False)
        os.close(outer)
        return os.read(inner, 100_000).decode()

    assert "\x1b[" in shown()
    assert "\x1b[" not in shown(NO_COLOR="1")
    assert "\x1b[" not in run("check", str(missing)).stderr


def test_output_is_utf_8_where_the_surroundings_say_otherwise():
    done = run("symbols", "--json", PYTHONIOENCODING="ascii", LC_ALL="C")
    assert done.returncode == 0
    assert done.stderr == ""
    assert json.loads(done.stdout)["symbols"]


def test_symbols_lists_every_symbol_file_by_family():
    files = {p.stem for p in (SAMPLES.parent / "symbols").glob("*.yaml")}
    said = quick("symbols")
    listed = set(re.findall(r"(?m)^  (\S+)  +\S", said.stdout))
    assert said.exit_code == 0
    assert listed == files
    assert quick("symbols", "mode-ring").stdout.startswith("pickup-ring-two-slides: "), "its name in an earlier version"
    found = json.loads(quick("symbols", "--json").stdout)["symbols"]
    assert {s["name"] for s in found} == files
    pot = next(s for s in found if s["name"] == "pot-24")
    assert {"zero", "wiper", "ten", "case"} <= set(pot["lugs"])
    assert pot["dimensions"]["lug-pitch"] > 0


def test_a_card_is_written_as_pdf_and_svg_at_full_size(tmp_path):
    import pypdfium2

    result = quick("symbols", "pot-24", "--out", str(tmp_path), "--paper", "A3")
    assert result.exit_code == 0
    assert {p.name for p in tmp_path.iterdir()} == {"card-pot-24.pdf", "card-pot-24.svg", "cards.json"}
    width, height = pypdfium2.PdfDocument(tmp_path / "card-pot-24.pdf")[0].get_size()
    assert sorted(round(v * 25.4 / 72, 2) for v in (width, height)) == [297, 420]


def test_cards_that_cannot_be_written_end_with_3(tmp_path):
    (tmp_path / "there").write_text("mine")
    assert quick("symbols", "pot-24", "--out", str(tmp_path / "there")).exit_code == 3


def test_schema_is_the_one_shipped_with_the_samples(tmp_path):
    import jsonschema

    said = quick("schema")
    assert json.loads(said.stdout) == json.loads((SAMPLES / "build.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(json.loads(said.stdout))
    assert quick("schema", "--out", str(tmp_path / "s" / "my.json")).exit_code == 0
    assert (tmp_path / "s" / "my.json").read_bytes() == (SAMPLES / "build.schema.json").read_bytes()
    assert quick("schema", "--out", str(tmp_path)).exit_code == 3


def test_start_lists_samples_and_groups_with_a_sentence_each():
    said = json.loads(quick("start", "--list", "--json").stdout)
    assert set(said["samples"]) == {p.stem for p in SAMPLES.glob("*.yaml") if not p.stem.startswith("wrong")}
    assert set(said["groups"]) == {p.stem for p in (SAMPLES / "groups").glob("*.yaml")}
    assert all(len(about) > 20 for about in (*said["samples"].values(), *said["groups"].values()))
    text = quick("start", "--list").stdout
    assert all(name in text for name in (*said["samples"], *said["groups"]))


def test_start_gives_a_sample_byte_for_byte():
    assert quick("start", "one-volume").stdout == (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")


GROUPS = ["single-coil", "volume", "tone-branch", "output", "string-ground"]


def test_ten_lines_from_ready_groups_print_a_first_page(tmp_path):
    build = tmp_path / "my.yaml"
    assert quick("start", *GROUPS, "--title", "Mine: a first #1", "--out", str(build)).exit_code == 0
    done = quick("print", str(build), "--out", str(tmp_path / "o"), "--sheet", "diagram", "--sheet", "leads")
    assert done.exit_code == 0
    assert {"diagram.svg", "diagram.pdf", "leads.csv"} <= {p.name for p in (tmp_path / "o").iterdir()}
    said = (tmp_path / "o" / "diagram.svg").read_text(encoding="utf-8")
    assert "NOT TO SCALE" in said
    assert "Mine: a first #1" in said


def test_start_never_writes_over_a_file_that_is_there(tmp_path):
    build = tmp_path / "my.yaml"
    build.write_text("mine")
    result = quick("start", "one-volume", "--out", str(build))
    assert result.exit_code == 3
    assert build.read_text() == "mine"
    assert str(build) in result.stderr
