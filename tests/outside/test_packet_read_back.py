"""The packet read by other libraries: links, bookmarks, contents, fonts, order of text, syntax."""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

import pytest

pikepdf = pytest.importorskip("pikepdf")
pdfplumber = pytest.importorskip("pdfplumber")
pdfium = pytest.importorskip("pypdfium2")

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "cli"))
from running import quick  # noqa: E402

POINT = 72 / 25.4


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The packet of a build whose state as found is known, with every sheet alone too."""
    made = tmp_path_factory.mktemp("packet")
    for path in (ROOT / "samples").glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, made)
    ended = quick("print", str(made / "two-pickups-toggle.yaml"), "--sheet", "packet", "--out", str(made / "out"))
    assert ended.exit_code == 0, ended.output
    return made / "out"


@pytest.fixture(scope="module")
def pdf(folder):
    with pikepdf.open(folder / "packet.pdf") as opened:
        yield opened


@pytest.fixture(scope="module")
def texts(folder):
    document = pdfium.PdfDocument(folder / "packet.pdf")
    return [page.get_textpage().get_text_range() for page in document]


def page_number(pdf, target) -> int:
    return next(i for i, page in enumerate(pdf.pages, 1) if page.obj.objgen == target.objgen)


def resolved(pdf, dest):
    """A destination as (page number, left, top in points), however it is named."""
    if not isinstance(dest, pikepdf.Array):
        names = pdf.Root.get("/Dests")
        dest = names[str(dest) if str(dest).startswith("/") else "/" + str(dest)]
        dest = dest.get("/D") if isinstance(dest, pikepdf.Dictionary) else dest
    left, top = (float(dest[i]) for i in (2, 3)) if len(dest) > 3 else (0.0, 0.0)
    return page_number(pdf, dest[0]), left, top


def links(pdf):
    """(page, rectangle, where it leads)."""
    for number, page in enumerate(pdf.pages, 1):
        for one in page.get("/Annots", []):
            if one.get("/Subtype") == "/Link":
                yield number, [float(v) for v in one.Rect], resolved(pdf, one.Dest)


def words_in(folder, number, box):
    """The words whose middle lies in a rectangle of PDF points."""
    with pdfplumber.open(folder / "packet.pdf") as opened:
        page = opened.pages[number - 1]
        left, low, right, high = box
        top, bottom = float(page.height) - high, float(page.height) - low
        return [w["text"] for w in page.extract_words() if left <= (w["x0"] + w["x1"]) / 2 <= right
                and top <= (w["top"] + w["bottom"]) / 2 <= bottom]


def test_the_file_has_no_fault_of_syntax(folder):
    for file in folder.glob("*.pdf"):
        with pikepdf.open(file) as opened:
            found = opened.check_pdf_syntax() if hasattr(opened, "check_pdf_syntax") else opened.check()
            assert list(found or []) == [], file.name


def test_the_front_page_names_the_pages_that_bear_those_sheets(texts):
    listed = re.findall(r"(?m)^(.*?) (\d+)(?: to (\d+))?\s*$", texts[0][texts[0].index("Contents"):].replace("\r", ""))
    heads = {"Intake": "INTAKE", "Harness jig": "HARNESS JIG", "Work": "WORK: JOINTS", "Undo": "UNDO",
             "Lead list": "LEAD LIST", "Record of the work": "RECORD OF THE WORK", "Test page": "TEST PAGE"}
    seen = 0
    for line, first, last in listed:
        name = next((n for n in heads if line.startswith(n)), None)
        if name is None:
            continue
        seen += 1
        for number in range(int(first), int(last or first) + 1):
            assert heads[name] in texts[number - 1], (name, number)
    assert seen == len(heads)


def test_every_page_bears_its_number_of_all(texts):
    for number, text in enumerate(texts, 1):
        assert f"{number} of {len(texts)}" in text


def test_the_contents_lead_to_the_pages_they_name(pdf, folder):
    lines = [(box, goal) for page, box, goal in links(pdf) if page == 1]
    assert len(lines) >= 12
    for box, (goal, _, _) in lines:
        said = words_in(folder, 1, box)
        numbers = [int(w) for w in said if w.isdigit()]
        assert numbers[0] == goal, said


def tags_in(folder, number, box) -> set[str]:
    """Tags whose letters lie in a rectangle of PDF points, whichever way they are turned."""
    page = pdfium.PdfDocument(folder / "packet.pdf")[number - 1].get_textpage()
    return set(re.findall(r"[WJ]\d\d", page.get_text_bounded(*box)))


def test_tags_lead_to_their_rows_and_rows_back_to_the_drawing(pdf, folder, texts):
    ahead = {i for i, t in enumerate(texts, 1) if "LEAD LIST" in t}
    drawn = {i for i, t in enumerate(texts, 1) if "SOLDER SIDE" in t}
    there, back = 0, 0
    for page, box, (goal, left, top) in links(pdf):
        if page in drawn and goal in ahead:
            # The place of a row lies 6 mm above its text.
            row = tags_in(folder, goal, [30, top - 7 * POINT, 140, top - 4 * POINT])
            assert len(row) == 1
            assert row <= tags_in(folder, page, box), (page, row)
            there += 1
        if page in ahead and goal in drawn:
            tag = tags_in(folder, page, box)
            assert len(tag) == 1
            assert tag <= tags_in(folder, goal, [left, top - 60 * POINT, left + 90 * POINT, top]), tag
            back += 1
    assert there >= 20
    assert back >= 15


def test_every_sheet_leads_back_to_the_contents(pdf):
    home = {page for page, _, (goal, _, _) in links(pdf) if goal == 1}
    assert home == set(range(2, len(pdf.pages) + 1))


def test_bookmarks_name_their_pages_in_order(pdf, texts):
    with pdf.open_outline() as outline:
        chapters = [(one.title, resolved(pdf, one.destination)[0], [
            (sub.title, resolved(pdf, sub.destination)[0]) for sub in one.children]) for one in outline.root]
    assert [c[1] for c in chapters] == sorted(c[1] for c in chapters)
    assert chapters[0][:2] == ("Front page and contents", 1)
    sheets = [sub for _, _, subs in chapters for sub in subs]
    assert [page for _, page in sheets] == list(range(1, len(texts) + 1))
    for title, page in sheets:
        # A long stamp stands in two lines, and other words of the head may be read between them.
        words = re.sub(r" \d+$", "", title).upper().split()
        head = texts[page - 1].split()[:60]
        assert [w for w in words if w not in head] == [], title


def test_all_fonts_are_embedded(pdf):
    found = 0
    for page in pdf.pages:
        for font in page.Resources.get("/Font", {}).values():
            inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
            assert "/FontFile2" in inner.FontDescriptor
            found += 1
    assert found > len(pdf.pages)


def test_the_properties_name_the_job_and_the_check(pdf, texts):
    info = pdf.docinfo
    assert info["/Title"] == "LL-1131 Two dual coils, upright toggle"
    check = re.search(r"file check (\w{8})", texts[0].replace("\r\n", " ")) or re.search(r"(\w{8})\s*$", texts[0])
    assert check is not None
    assert check[1] in str(info["/Keywords"])


def test_the_record_reads_in_the_order_it_is_set(texts):
    page = next(t for t in texts if "RECORD OF THE WORK" in t and "What was done" in t)
    heads = ["What was done", "What each position gives", "Parts fitted", "Parts handed back"]
    places = [page.index(head) for head in heads]
    assert places == sorted(places)


def test_the_content_is_tagged_with_headings_paragraphs_and_links(pdf):
    kinds: dict[str, int] = {}

    def walk(element) -> None:
        kinds[str(element.S)] = kinds.get(str(element.S), 0) + 1
        for kid in element.get("/K", []):
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                walk(kid)

    for child in pdf.Root.StructTreeRoot.K.K:
        if isinstance(child, pikepdf.Dictionary) and "/S" in child:
            walk(child)
    assert kinds["/H1"] >= len(pdf.pages)
    assert kinds["/H2"] > 10
    assert kinds["/Link"] == sum(1 for _ in links(pdf))


def test_each_sheet_is_there_alone_without_dead_links(folder):
    manifest = {p.name for p in folder.glob("*.pdf")}
    assert {"diagram.pdf", "work.pdf", "undo.pdf", "leads.pdf", "record.pdf", "packet.pdf"} <= manifest
    for name in sorted(manifest - {"packet.pdf"}):
        with pikepdf.open(folder / name) as alone:
            for _, _, (goal, _, _) in links(alone):
                assert 1 <= goal <= len(alone.pages)


def test_only_the_sheets_asked_for_are_in_it(folder, tmp_path):
    build = str(folder.parent / "two-pickups-toggle.yaml")
    ended = quick("print", build, "--sheet", "packet", "--sheet", "leads", "--sheet", "diagram", "--out", str(tmp_path))
    assert ended.exit_code == 0
    document = pdfium.PdfDocument(tmp_path / "packet.pdf")
    said = [page.get_textpage().get_text_range() for page in document]
    assert "Harness jig" not in said[0]
    assert not any("HARNESS JIG" in t for t in said)
    assert any("LEAD LIST" in t for t in said)
    assert {p.name for p in tmp_path.glob("*.pdf")} == {"packet.pdf", "leads.pdf", "diagram.pdf"}


def test_the_same_build_gives_the_same_bytes(folder, tmp_path):
    build = str(folder.parent / "two-pickups-toggle.yaml")
    quick("print", build, "--sheet", "packet", "--out", str(tmp_path))
    assert (tmp_path / "packet.pdf").read_bytes() == (folder / "packet.pdf").read_bytes()
