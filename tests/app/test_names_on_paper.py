"""Names a spreadsheet would work out, a browser would run, or the letters cannot set: nothing runs, nothing is lost."""

from __future__ import annotations

import csv
import io
import xml.etree.ElementTree as ET

import pytest
from running import quick

from diagramgen.analysis import examine
from diagramgen.kernel.csvtext import csv_text, plain

BUILD = """format: 1
title: Loose harness
job: {job}
note: {note}
parts:
  volume: {{symbol: pot-24, value: 250k log, says: "{volume}"}}
  pickup: {{symbol: single-coil, value: 6k2, colours: {{finish: white, start: black}}}}
  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.wiper -> output.tip, red, note {remark}
  - volume.zero -> volume.case, bend
  - volume.case -> output.sleeve, black
"""
FOUND = BUILD.replace("250k", "500k")


def written(folder, name="build", text=BUILD, **words):
    told = {"job": "LL-1", "note": "none", "volume": "volume", "remark": "as it was"} | words
    file = folder / f"{name}.yaml"
    file.write_text(text.format(**told), encoding="utf-8")
    return file


def test_no_cell_of_any_list_is_a_formula_and_every_word_is_still_there(tmp_path):
    words = {"volume": "=HYPERLINK(1)", "remark": "@SUM(1)", "job": "=1+2"}
    file = written(tmp_path, **words)
    found = written(tmp_path, "found", FOUND, **words)
    for command in (["print", file, "--sheet", "leads", "--sheet", "curves"],
                    ["labels", file, "--automatic-tags", "--kind", "parts"], ["compare", found, file]):
        done = quick(*map(str, command), "--out", str(tmp_path / str(command[0])))
        assert done.exit_code == 0, done.output
    lists = sorted(tmp_path.glob("*/*.csv"), key=lambda f: f.stem)
    assert [f.stem for f in lists] == ["changes", "curves", "labels", "leads"]
    cells = {f.stem: [c for row in csv.reader(io.StringIO(f.read_text(encoding="utf-8"))) for c in row] for f in lists}
    for name, all_cells in cells.items():
        for cell in all_cells:
            if cell.startswith(("=", "+", "-", "@", "\t")):
                float(cell)  # raises for what is no plain number
        assert name == "curves" or any("=HYPERLINK(1)" in cell for cell in all_cells), name
    assert any(cell.startswith("'@SUM(1)") for cell in cells["leads"])


def test_numbers_stay_numbers():
    assert csv_text(["a"], [[-3.5], ["-12"], ["+1"], ["-a"], ["W01"]]).split("\r\n") == [
        "a", "-3.5", "-12", "+1", "'-a", "W01", ""]
    assert plain("") == ""


def test_markup_in_a_name_is_words_on_every_sheet(tmp_path):
    file = written(tmp_path, volume="<script>x()</script> & <b>", remark="<img src=x onerror=y>")
    result = quick("print", str(file), "--out", str(tmp_path / "o"), "--sheet", "work", "--sheet", "leads",
                   "--sheet", "test", "--sheet", "intake", "--sheet", "closing", "--sheet", "bench")
    assert result.exit_code == 0, result.output
    texts = []
    for svg in (tmp_path / "o").glob("*.svg"):
        root = ET.parse(svg).getroot()
        names = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert not names & {"script", "img", "b", "foreignObject"}, svg
        texts += ["".join(e.itertext()) for e in root.iter() if e.tag.endswith("}text")]
    assert any("<script>x()</script>" in text for text in texts)


@pytest.mark.parametrize("name", ["音量", "ווליום", "صوت"])
def test_a_name_the_letters_cannot_set_is_an_error_at_its_place_and_nothing_is_printed(tmp_path, name):
    result = quick("print", str(written(tmp_path, volume=name)), "--out", str(tmp_path / "o"))
    assert result.exit_code == 1
    assert "build.yaml:6:" in result.stderr
    assert "error INP-346: the name of volume cannot be lettered on paper" in result.stderr
    assert f"U+{ord(name[0]):04X}" in result.stderr
    assert not (tmp_path / "o").exists()


def test_such_a_name_in_the_state_as_found_is_an_error_in_that_file(tmp_path):
    written(tmp_path, "found", FOUND, volume="音量")
    file = written(tmp_path, text="as found: found.yaml\n" + BUILD)
    found = [p for p in examine(file).problems if p.code == "INP-346"]
    assert [(p.place.file.endswith("found.yaml"), p.place.line) for p in found] == [(True, 6)]


def test_such_letters_in_title_line_or_remark_are_a_warning_and_the_sheets_are_printed(tmp_path):
    result = quick("print", str(written(tmp_path, job="工-7", note="שלום", remark="修")), "--out", str(tmp_path / "o"),
                   "--sheet", "leads")
    assert result.exit_code == 0
    for what in ("the job's number", "note", "the remark of W03"):
        assert f"warning INP-347: {what} cannot be lettered" in result.stderr
    assert (tmp_path / "o" / "leads.csv").exists()


def test_latin_with_accents_greek_and_cyrillic_are_fine(tmp_path):
    proof = examine(written(tmp_path, volume="Lautstärke, звук, ήχος", job="Ünder-9", remark="ж"))
    assert not [p for p in proof.problems if p.code in ("INP-346", "INP-347")]
