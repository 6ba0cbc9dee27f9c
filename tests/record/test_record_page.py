"""docs/record.md: its commands run as they stand; the record says what was given, and nothing in it is executed."""

from __future__ import annotations

import io
import json
import re
import shutil
import xml.etree.ElementTree as ET

import pytest
from PIL import Image
from running import ROOT, SAMPLES, quick

pdfium = pytest.importorskip("pypdfium2")
pikepdf = pytest.importorskip("pikepdf")

PAGE = (ROOT / "docs" / "record.md").read_text(encoding="utf-8")
LINES = re.findall(r"(?m)^    diagramgen (.+)$", PAGE)
SNIPPETS = re.findall(r"(?s)```yaml\n(.*?)```", PAGE)


BAND = "7.51 kΩ to 8.18 kΩ"
"""Coils 3.92k and 4.05k metered (2 %, 5 K of copper at 0.393 %) across 500k with 20 %, worked by hand: 7657 across
400k and 8289 across 600k."""


def photograph(size=(640, 480), orientation=1) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    out = io.BytesIO()
    Image.new("RGB", size, (90, 120, 90)).save(out, "JPEG", exif=exif)
    return out.getvalue()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The samples of the page in a folder of their own, the record's words in the build, all commands run in order."""
    made = tmp_path_factory.mktemp("page")
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, made)
    build = made / "two-pickups-toggle.yaml"
    told = next(s for s in SNIPPETS if s.startswith("record:"))
    build.write_text(build.read_text(encoding="utf-8") + "\n" + told, encoding="utf-8")
    (made / "before.jpg").write_bytes(photograph(orientation=6))
    ended = {}
    with pytest.MonkeyPatch.context() as here:
        here.chdir(made)
        for line in LINES:
            ended[line] = quick(*line.split())
            if "--out readings.yaml" in line:
                (made / "readings.yaml").write_text(SNIPPETS[0], encoding="utf-8")
    return made, ended


def text_of(file) -> str:
    document = pdfium.PdfDocument(file)
    pages = [page.get_textpage().get_text_range() for page in document]
    return " ".join(" ".join(pages).split())


def test_the_commands_of_the_page_run(folder):
    made, ended = folder
    assert len(ended) == len(LINES) >= 7
    assert {line: e.exit_code for line, e in ended.items() if e.exit_code} == {}
    for file in ("record/record.pdf", "record-letter/record.pdf", "packet/packet.pdf", "packet/work.pdf",
                 "small/packet.pdf"):
        assert (made / file).is_file()
    assert not (made / "record" / "diagram.pdf").exists()


def test_the_readings_of_the_page_are_all_inside(folder):
    line = next(one for one in LINES if one.endswith("--json"))
    said = json.loads(folder[1][line].stdout)
    assert [r["verdict"] for r in said["readings"]] == ["inside"] * 5
    for key in (*said, *said["readings"][0]):
        assert f"`{key}`" in PAGE, key


@pytest.mark.parametrize(("name", "size"), [("record", (210.0, 297.0)), ("record-letter", (215.9, 279.4))])
def test_the_record_says_what_was_given_and_fits_its_paper(folder, name, size):
    file = folder[0] / name / "record.pdf"
    said = text_of(file)
    for words in ("What you asked for", "More treble with the volume turned down.", "Every ground joint made anew.",
                  "Black is HOT", "One year on every joint", "bridge tone: rotary pot, 24 mm, 250k log",
                  "Neck, both coils in series", "7.86 kΩ", BAND, "as it must be", "under 1 Ω",
                  "Metered 3 May by the bench at Lantern Lane", "as it came in", "never lift the earth",
                  "step by step on the sheet 'undo'"):
        assert words in said, words
    assert "%" not in said.partition("What you asked for")[2].partition("Handed over")[0]
    with pikepdf.open(file) as pdf:
        box = [float(v) / 72 * 25.4 for v in pdf.pages[0].MediaBox[2:]]
        assert box == pytest.approx(size, abs=0.01)
        pages = [page.get_textpage().get_text_range() for page in pdfium.PdfDocument(file)]
        records = sum("RECORD OF THE WORK" in page for page in pages)
        assert records in (2, 3)


def test_the_photograph_stands_upright_on_the_record(folder):
    """640 x 480 laid down by a camera held upright: 480 wide, 640 tall on paper."""
    with pikepdf.open(folder[0] / "record" / "record.pdf") as pdf:
        found = [o for page in pdf.pages for o in page.Resources.get("/XObject", {}).values() if o.Subtype == "/Image"]
        sizes = {(int(o.Width), int(o.Height)) for o in found}
    assert sizes == {(480, 640)}


def test_the_picture_of_each_position_fills_the_coils_that_sound(folder):
    """Neck up, both in the middle, bridge down: each coil is filled in two of three pictures."""
    fills: dict[str, list[bool]] = {}
    root = ET.parse(folder[0] / "record" / "record-1.svg").getroot()
    for element in root.iter():
        subject = element.get("data-subject", "")
        if subject.startswith("coil:"):
            fills.setdefault(subject.removeprefix("coil:"), []).append(element.get("fill") != "#ffffff")
    neck, bridge = [True, True, False], [False, True, True]
    assert fills == {"neck.a": neck, "neck.b": neck, "bridge.a": bridge, "bridge.b": bridge}


def record_of(tmp_path, told: str, *more: str):
    build = tmp_path / "job.yaml"
    text = (SAMPLES / "no-cavity.yaml").read_text(encoding="utf-8")
    build.write_text(text + told, encoding="utf-8")
    return quick("print", str(build), "--sheet", "record", "--out", str(tmp_path / "out"), *more)


def test_markup_and_formulas_are_words(tmp_path):
    ended = record_of(tmp_path, "customer: <script>alert(1)</script>\nrecord:\n  done: ['=cmd()', '<b>bold</b>']\n")
    assert ended.exit_code == 0
    said = text_of(tmp_path / "out" / "record.pdf")
    for words in ("<script>alert(1)</script>", "=cmd()", "<b>bold</b>"):
        assert words in said
    root = ET.parse(tmp_path / "out" / "record-1.svg").getroot()
    assert not [e for e in root.iter() if e.tag.endswith("}script")]


@pytest.mark.parametrize("words", ["修理済み", "שלום", "مرحبا"])
def test_letters_that_cannot_be_set_are_said_at_their_place(tmp_path, words):
    ended = record_of(tmp_path, f"record:\n  done: [fine, {words}]\n")
    assert ended.exit_code == 0
    assert "INP-347" in ended.stderr
    assert "'done' of the record" in ended.stderr


@pytest.mark.parametrize(("name", "code"),
                         [("../secret.jpg", "INP-021"), ("/etc/passwd", "INP-021"), ("gone.jpg", "INP-022")])
def test_a_photograph_is_taken_only_from_the_folder_of_the_build(tmp_path, name, code):
    (tmp_path.parent / "secret.jpg").write_bytes(photograph())
    ended = record_of(tmp_path, f"record:\n  photographs: [{{file: {name}}}]\n")
    assert ended.exit_code == 1
    assert code in ended.stderr
    assert not (tmp_path / "out").exists()


def test_a_broken_photograph_is_left_out_and_the_rest_is_printed(tmp_path):
    (tmp_path / "a.jpg").write_bytes(photograph()[:300])
    (tmp_path / "b.jpg").write_bytes(photograph())
    ended = record_of(tmp_path, "record:\n  photographs: [{file: a.jpg}, {file: b.jpg, says: the cavity}]\n")
    assert ended.exit_code == 0
    assert "REC-513" in ended.stderr
    assert "the cavity" in text_of(tmp_path / "out" / "record.pdf")


def test_a_reading_outside_its_band_is_never_printed_as_good(tmp_path):
    readings = tmp_path / "r.yaml"
    readings.write_text("plug: [{ohms: 9.9k}]\n", encoding="utf-8")
    ended = record_of(tmp_path, "", "--results", str(readings))
    assert ended.exit_code == 0
    said = text_of(tmp_path / "out" / "record.pdf")
    assert "OUTSIDE, to be settled" in said
    assert "as it must be" not in said


@pytest.mark.parametrize(("paper", "size"), [("a3", (210.0, 297.0)), ("tabloid", (215.9, 279.4))])
def test_on_large_paper_the_record_is_still_one_to_file(tmp_path, paper, size):
    assert record_of(tmp_path, "", "--paper", paper).exit_code == 0
    with pikepdf.open(tmp_path / "out" / "record.pdf") as pdf:
        assert [float(v) / 72 * 25.4 for v in pdf.pages[0].MediaBox[2:]] == pytest.approx(size, abs=0.01)


def test_an_empty_record_is_lines_to_write_on_and_says_what_is_not_known(tmp_path):
    ended = record_of(tmp_path, "")
    assert ended.exit_code == 0
    said = text_of(tmp_path / "out" / "record.pdf")
    assert "is not on file, so the way back is not printed" in said
    assert "What is in it" in said
    assert "Readings" not in said


def test_what_most_hum_goes_takes_is_said_once_on_the_record(folder):
    said = text_of(folder[0] / "record" / "record.pdf")
    assert said.count("the same wire is taken") == 1
    assert "quiet: its hum cancels" not in said
