"""``trace``: docs/picture.md runs as it stands; picture to build to check to print; refusals and their exit status."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import sys
from pathlib import Path

import pytest
from running import ROOT, SAMPLES, quick, run

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

pytest.importorskip("cv2")
sys.path.insert(0, str(ROOT / "tests" / "picture"))
from making import Camera, as_file, card_photo, low_photo, scan, sheet_photo, sheet_scene
from scene import hausdorff, matrix, seen, waisted

PAGE = (ROOT / "docs" / "picture.md").read_text(encoding="utf-8")
LINES = re.findall(r"(?m)^    diagramgen (.+)$", PAGE)
BUILD = "two-pickups-toggle.yaml"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The photographs of the page, worked out from known measures, and all its commands run in order."""
    made = tmp_path_factory.mktemp("picture")
    shutil.copy(SAMPLES / BUILD, made)
    for name, picture in (("photo.jpg", card_photo), ("sheet.jpg", sheet_photo), ("low.jpg", low_photo)):
        (made / name).write_bytes(as_file(picture()))
    (made / "scan.png").write_bytes(as_file(scan(), "PNG"))
    scene = sheet_scene()
    points = seen(matrix(Camera(18, 40, 3, high=460), scene), scene.cavity.exterior.coords) + 0.5
    words = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    (made / "drawn.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1600 1200">'
        f'<image href="sheet.jpg" width="1600" height="1200"/><polygon points="{words}"/></svg>', encoding="utf-8")
    ended = {}
    with pytest.MonkeyPatch.context() as here:
        here.chdir(made)
        for line in LINES:
            ended[line] = quick(*shlex.split(line))
    return made, ended


def built(path: Path):
    return read_build(path.read_bytes(), str(path), Sources(path.parent), shipped(), Diagnostics())


def test_the_commands_of_the_page_run(folder):
    made, ended = folder
    assert len(ended) == len(LINES) >= 10
    failed = {line: e.output for line, e in ended.items() if e.exit_code and not line.startswith("check")}
    assert failed == {}
    for name in ("trace-card.pdf", "trace-card.svg", "trace-check.pdf", "trace-check.svg"):
        assert (made / "sheets" / name).is_file()


def test_a_picture_goes_into_the_build_and_the_sheets_print_from_it(folder, tmp_path):
    made, _ = folder
    old, new = (SAMPLES / BUILD).read_text().splitlines(), (made / BUILD).read_text().splitlines()
    changed = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(changed) == 1
    assert changed[0][1].endswith(", depth: 40, wood above: 5}")
    outline = built(made / BUILD).cavities["controls"].outline
    true = waisted()
    left, up, *_ = true.bounds
    assert hausdorff(outline.flat(0.01), [(x - left, y - up) for x, y in true.exterior.coords]) <= 0.5
    # A build of one pot in this cavity, checked and printed.
    small = tmp_path / "small.yaml"
    shape = re.search(r"\{path: .*?\}", changed[0][1])[0]
    text = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")
    small.write_text(re.sub(r"shape: \{rounded.*?\}", f"shape: {shape}", text), encoding="utf-8")
    assert shape in small.read_text(encoding="utf-8")
    checked = quick("check", str(small))
    assert checked.exit_code == 0, checked.output
    printed = quick("print", str(small), "--out", str(tmp_path / "out"))
    assert printed.exit_code == 0, printed.output
    assert list((tmp_path / "out").glob("*.pdf"))


def test_json_says_outline_and_error(folder):
    made, _ = folder
    answer = quick("trace", str(made / "sheet.jpg"), "--sheet", "105x148.5", "--json")
    said = json.loads(answer.stdout)
    assert said["width"] == pytest.approx(120, abs=0.5)
    assert 0.1 < said["expected_error"] <= 0.5
    assert set(said["parts"]) == {"scale", "edge", "fit", "lens", "plane"}


def test_the_same_picture_gives_the_same_bytes(folder, tmp_path):
    made, _ = folder
    for name in ("a", "b"):
        quick("trace", str(made / "sheet.jpg"), "--sheet", "105x148.5", "--out", str(tmp_path / name))
    for file in ("trace-check.pdf", "trace-check.svg"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_the_check_picture_is_full_size(folder):
    made, _ = folder
    text = (made / "sheets" / "trace-check.svg").read_text(encoding="utf-8")
    assert "FULL SIZE" in text.upper()
    assert "120" in text


@pytest.mark.parametrize(("arguments", "words"), [
    ("", "name a picture"),
    ("sheet.jpg", "exactly one of"),
    ("sheet.jpg --sheet a4 --dpi 300", "exactly one of"),
    ("sheet.jpg --points 1,2", "belong together"),
    ("sheet.jpg --points 1,2 --apart 100", "takes 2 points"),
    ("sheet.jpg --sheet a9", "is no sheet"),
    ("sheet.jpg --sheet 10x", "is no size"),
    ("sheet.jpg --sheet a4 --corners 'x,y'", "takes 4 points"),
    ("sheet.jpg --dpi nan", "absurd"),
    ("sheet.jpg --dpi 100 --scale-below nan", "up to 200"),
    ("sheet.jpg --dpi 100 --corners '1,2 3,4 5,6 7,8'", "needs the size"),
    ("sheet.jpg --card", "takes no picture"),
])
def test_wrong_usage_ends_with_status_2(folder, arguments, words, monkeypatch):
    monkeypatch.chdir(folder[0])
    answer = quick("trace", *shlex.split(arguments))
    assert answer.exit_code == 2
    assert words in " ".join(answer.output.split())


@pytest.mark.parametrize(("arguments", "code"), [
    ("nothing.jpg --dpi 100", "PHO-802"),
    (". --dpi 100", "PHO-802"),
    ("two-pickups-toggle.yaml --dpi 100", "PHO-802"),
    ("sheet.jpg --sheet card", "PHO-801"),
    ("sheet.jpg --sheet 105x148.5 --scale-below 38", "PHO-810"),
    ("sheet.jpg --sheet 105x148.5 --inside 20,20", "PHO-805"),
    ("sheet.jpg --sheet 105x148.5 --into two-pickups-toggle.yaml --cavity contrlos", "PHO-813"),
    ("sheet.jpg --sheet 105x148.5 --into two-pickups-toggle.yaml", "PHO-813"),
    ("sheet.jpg --sheet 105x148.5 --into nothing.yaml", "INP-020"),
    ("sheet.jpg --sheet 105x148.5 --drawn nothing.svg", "PHO-802"),
])
def test_what_cannot_be_done_ends_with_status_1_and_changes_nothing(folder, arguments, code, monkeypatch):
    monkeypatch.chdir(folder[0])
    before = Path(BUILD).read_bytes()
    answer = quick("trace", *shlex.split(arguments))
    assert (answer.exit_code, code in answer.output) == (1, True), answer.output
    assert Path(BUILD).read_bytes() == before


def test_without_the_library_it_says_how_to_get_it(folder, monkeypatch):
    monkeypatch.setitem(sys.modules, "cv2", None)
    monkeypatch.chdir(folder[0])
    answer = quick("trace", "sheet.jpg", "--sheet", "a4")
    assert answer.exit_code == 1
    assert "./run extras picture" in answer.output
    assert sys.executable not in answer.output
    assert quick("trace", "--card", "--out", "again").exit_code == 0


def test_the_real_command_answers():
    answer = run("trace", "--help")
    assert answer.returncode == 0
    assert "--scale-below" in answer.stdout


def test_the_printed_card_has_its_marks_where_it_says(folder):
    """Read back from the PDF by another library: the four largest black discs stand 160 x 100 mm apart."""
    plumber = pytest.importorskip("pdfplumber")
    with plumber.open(folder[0] / "sheets" / "trace-card.pdf") as document:
        page = document.pages[0]
        boxes = {(round((c["x0"] + c["x1"]) / 2 * 25.4 / 72, 2), round((c["top"] + c["bottom"]) / 2 * 25.4 / 72, 2))
                 for c in page.curves if abs((c["x1"] - c["x0"]) * 25.4 / 72 - 12.0) < 0.05}
    assert len(boxes) == 4
    xs, ys = sorted({x for x, _ in boxes}), sorted({y for _, y in boxes})
    assert xs[-1] - xs[0] == pytest.approx(160, abs=0.02)
    assert ys[-1] - ys[0] == pytest.approx(100, abs=0.02)


def test_the_printed_card_is_found_in_its_own_picture(folder, tmp_path):
    """The card as printed, rendered at 200 dpi, with a cavity painted beside it: 0.3 mm."""
    pdfium = pytest.importorskip("pypdfium2")
    from PIL import Image, ImageDraw

    page = pdfium.PdfDocument(folder[0] / "sheets" / "trace-card.pdf")[0]
    sheet = page.render(scale=200 / 72).to_pil().convert("RGB")
    k = 200 / 25.4
    card = sheet.crop((round(14 * k), round(29 * k), round(197 * k), round(152 * k)))
    bench = Image.new("RGB", (round(230 * k), round(260 * k)), "#b09070")
    bench.paste(card, (round(20 * k), round(125 * k)))
    ImageDraw.Draw(bench).rectangle((40 * k, 30 * k, 160 * k, 105 * k), fill="#201a18")
    bench.save(tmp_path / "bench.png")
    answer = quick("trace", str(tmp_path / "bench.png"), "--sheet", "card", "--json")
    said = json.loads(answer.stdout)
    assert (said["width"], said["height"]) == pytest.approx((120, 75), abs=0.3)
