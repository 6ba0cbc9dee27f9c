"""``print``: what it writes, what it says, and the status it ends with."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from running import BROKEN, LOOSE, SAMPLES, quick, run


@pytest.fixture(scope="module")
def real(tmp_path_factory):
    """The smallest sample with a cavity, printed by the real command."""
    folder = tmp_path_factory.mktemp("real") / "sheets"
    return run("print", str(SAMPLES / "one-volume.yaml"), "--out", str(folder)), folder


@pytest.fixture
def broken(tmp_path):
    file = tmp_path / "broken.yaml"
    file.write_text(BROKEN, encoding="utf-8")
    return file


def test_print_writes_diagram_list_and_jig_and_names_them(real):
    done, folder = real
    assert done.returncode == 0
    names = {p.name for p in folder.iterdir()} - {"sheets.json"}
    assert {"diagram.svg", "diagram.pdf", "leads.csv", "leads.json", "leads.pdf", "bench.svg", "jig.svg"} <= names
    assert {line for line in done.stdout.splitlines() if line.startswith(str(folder))} == {
        str(folder / name) for name in names
    }
    assert f"{len(names)} files written; no problems" in done.stdout
    assert done.stderr == ""


def test_the_files_are_what_their_endings_say(real):
    _, folder = real
    assert (folder / "diagram.pdf").read_bytes().startswith(b"%PDF-")
    assert (folder / "leads.pdf").read_bytes().rstrip().endswith(b"%%EOF")
    assert (folder / "diagram.svg").read_bytes().startswith(b"<?xml")
    assert (folder / "leads.csv").read_text(encoding="utf-8").startswith("tag,from,to,")
    assert json.loads((folder / "leads.json").read_text(encoding="utf-8"))["format"] == 1


def test_json_says_files_checksum_and_problems(tmp_path):
    result = quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "leads", "--json")
    said = json.loads(result.stdout)
    assert result.exit_code == 0
    assert set(said) >= {"files", "checksum", "problems"}
    assert sorted(said["files"]) == sorted(str(p) for p in (tmp_path / "o").iterdir() if p.name != "sheets.json")
    assert len(said["checksum"]) == 8
    assert said["problems"]
    for note in said["problems"]:
        assert set(note) >= {"code", "severity", "file", "line", "column", "message", "remedy"}
        assert note["severity"] == "note"


def test_quiet_says_nothing_of_notes_and_files(tmp_path):
    result = quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "leads", "-q")
    assert (result.exit_code, result.output) == (0, "")
    assert list((tmp_path / "o").iterdir())


def test_quiet_still_says_errors(broken, tmp_path):
    result = quick("print", str(broken), "--out", str(tmp_path / "o"), "--quiet")
    assert result.exit_code == 1
    assert "error INP-" in result.stderr
    assert "note" not in result.stderr
    assert result.stdout == ""


def test_a_build_with_errors_writes_nothing_and_ends_with_1(broken, tmp_path):
    done = run("print", str(broken), "--out", str(tmp_path / "o"))
    assert done.returncode == 1
    assert not (tmp_path / "o").exists()
    assert "nothing written" in done.stdout
    assert f"{broken}:7:5: error INP-" in done.stderr
    assert "Did you mean 'finish'" in done.stderr
    assert "--anyway" in done.stderr
    assert "Traceback" not in done.stderr


def test_sheets_of_an_earlier_run_stay_when_the_build_now_has_errors(broken, tmp_path):
    (tmp_path / "o").mkdir()
    (tmp_path / "o" / "diagram.svg").write_text("earlier")
    assert quick("print", str(broken), "--out", str(tmp_path / "o")).exit_code == 1
    assert (tmp_path / "o" / "diagram.svg").read_text() == "earlier"


def test_anyway_prints_it_stamped_not_proved_and_still_ends_with_1(broken, tmp_path):
    import pypdfium2

    result = quick("print", str(broken), "--out", str(tmp_path / "o"), "--anyway")
    assert result.exit_code == 1
    pages = pypdfium2.PdfDocument(tmp_path / "o" / "diagram.pdf")
    for page in pages:
        assert "NOT PROVED" in page.get_textpage().get_text_bounded()
    assert "NOT PROVED" in (tmp_path / "o" / "diagram.svg").read_text(encoding="utf-8")


def test_only_the_sheets_that_were_asked_for_are_written(tmp_path):
    quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "leads")
    assert {p.name for p in (tmp_path / "o").iterdir()} == {"leads.csv", "leads.json", "leads.pdf", "sheets.json"}


def test_png_comes_beside_the_svg_at_the_dots_asked_for(tmp_path):
    image = pytest.importorskip("PIL.Image")
    pytest.importorskip("cairosvg", reason="missing: cairosvg")
    quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "bench", "--png", "--dpi", "50", "--paper", "a4")
    picture = image.open(tmp_path / "o" / "diagram.png")
    assert picture.size == (round(297 / 25.4 * 50), round(210 / 25.4 * 50))  # not to scale: on the paper asked for


def test_png_without_cairo_is_a_sentence_and_nothing_is_written(tmp_path, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "cairosvg", None)
    result = quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "leads", "--png")
    assert result.exit_code == 2
    assert "cairo" in result.stderr
    assert not (tmp_path / "o").exists()


@pytest.mark.parametrize(("given", "folder"), [("loose.yaml", "loose"), ("loose", "loose-sheets")])
def test_without_out_the_sheets_go_beside_the_build_under_its_name(given, folder, tmp_path):
    (tmp_path / given).write_bytes(Path(LOOSE).read_bytes())
    assert quick("print", str(tmp_path / given), "--sheet", "leads").exit_code == 0
    assert (tmp_path / folder / "leads.csv").is_file()


def test_a_jig_of_a_build_that_was_not_measured_is_refused_with_the_reason(tmp_path):
    result = quick("print", LOOSE, "--out", str(tmp_path / "o"), "--sheet", "jig")
    assert result.exit_code == 2
    assert "no sheet 'jig'" in result.stderr
    assert not (tmp_path / "o").exists()


def test_the_same_file_checksum_stands_on_every_page(real):
    import pypdfium2

    _, folder = real
    texts = [p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(folder / "diagram.pdf")]
    found = {text.split("file check")[1].split()[0] for text in texts}
    assert len(texts) >= 3
    assert len(found) == 1
    assert len(found.pop()) == 8


def test_states_and_knobs_of_the_curves_are_chosen_like_those_of_the_other_commands(tmp_path: Path) -> None:
    sample = str(SAMPLES / "two-pickups-toggle.yaml")
    words = ("print", sample, "--sheet", "curves", "--state", "selector=up", "--knob", "neck-volume=7", "--out")
    assert quick(*words, str(tmp_path)).exit_code == 0
    head = (tmp_path / "curves.csv").read_text(encoding="utf-8").splitlines()[0]
    assert "selector up, neck-volume at 7: neck.a + neck.b (dB)" in head
    assert "selector down" not in head.split("turned alone")[0]
    for wrong, near in (("nek-volume=7", "neck-volume"), ("neck-volume=11", "0 to 10")):
        result = quick("print", sample, "--sheet", "curves", "--knob", wrong, "--out", str(tmp_path))
        assert result.exit_code == 2
        assert near in " ".join(result.stderr.split())
