import io

import pikepdf
import pypdfium2
import pytest
from sheets_for_tests import full_sheet, measuring_sheet, square

from diagramgen.drawing.scene import Anchor, Link, Role, Shape, Sheet, Text, Viewport
from diagramgen.kernel.geometry import Box, Point, Transform
from diagramgen.writers.pdf import pdf_bytes


@pytest.fixture(scope="module")
def full():
    data = pdf_bytes(
        [full_sheet(), measuring_sheet()],
        "Żółć, job 2041-B",
        author="Zoë",
        subject="wiring",
        keywords="leads, pots",
        language="pl",
    )
    return pikepdf.open(io.BytesIO(data)), data


def test_only_our_font_is_there_and_it_is_embedded(full):
    pdf, _ = full
    fonts = [f for page in pdf.pages for f in page.Resources.get("/Font", {}).values()]
    assert fonts
    for font in fonts:
        assert str(font.BaseFont).split("+")[1] in ("DGSans-Regular", "DGSans-Bold", "DGSans")
        assert "/FontFile2" in font.FontDescriptor


def test_a_checker_of_the_file_format_finds_no_fault(full):
    pdf, _ = full
    assert pdf.check_pdf_syntax() == []


def test_text_of_every_script_is_found_again(full):
    _, data = full
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    for wanted in (
        "Schaltplan für Łukasz Żółć",
        "10 µF",
        "250 kΩ",
        "Жуков & <Söhne>",
        "W02 wht/blk",
        "500 kΩ",
    ):
        assert wanted in text


def test_the_content_is_tagged_with_headings_figures_paragraphs_and_tables(full):
    pdf, _ = full
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "pl"
    elements = list(_elements(pdf.Root.StructTreeRoot.K))
    tags = [str(e.S) for e in elements]
    for tag in ("/Document", "/H1", "/Figure", "/P", "/Table", "/TR", "/TH", "/TD", "/Link"):
        assert tag in tags
    alts = {str(e.Alt) for e in elements if str(e.S) == "/Figure"}
    assert alts == {'Control cavity: one pot "Volume", three leads', "The opened cavity"}


def test_every_marked_stretch_has_its_element_and_all_else_is_an_artifact(full):
    pdf, _ = full
    numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
    parents = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
    for page in pdf.pages:
        depth, marks = 0, []
        for operands, operator in pikepdf.parse_content_stream(page):
            name = str(operator)
            if name in ("BDC", "BMC"):
                assert depth == 0, "marked stretches must not nest"
                depth += 1
                if name == "BDC":
                    marks.append(int(operands[1].MCID))
            elif name == "EMC":
                depth -= 1
            elif name in ("Tj", "f*", "B*", "S", "Do"):
                assert depth == 1, "something is painted outside the structure"
            elif name in ("q", "Q", "W"):
                assert depth == 0 or name != "W"
        assert depth == 0
        assert marks == list(range(len(parents[int(page.StructParents)])))


def _elements(node):
    if isinstance(node, pikepdf.Array):
        for kid in node:
            yield from _elements(kid)
    elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
        yield node
        yield from _elements(node.get("/K", pikepdf.Array()))


def test_links_bookmarks_and_properties(full):
    pdf, _ = full
    with pdf.open_outline() as outline:
        assert [(o.title, [c.title for c in o.children]) for o in outline.root] == [
            (full_sheet().title, ["Leads"]),
            ("Measure", []),
        ]
    inner, outer = pdf.pages[0].Annots
    in_mm = [float(v) / 72 * 25.4 for v in inner.Rect]
    assert in_mm == pytest.approx([20, 210 - 112, 60, 210 - 104], abs=1e-3)
    assert "/Dest" in inner
    assert str(outer.A.URI) == "https://example.org/?a=1&b=2"
    info = pdf.docinfo
    assert (str(info.Title), str(info.Author)) == ("Żółć, job 2041-B", "Zoë")
    assert (str(info.Subject), str(info.Keywords)) == ("wiring", "leads, pots")
    assert "/CreationDate" not in info
    assert "/ModDate" not in info


def test_a_viewer_is_asked_to_print_without_scaling_and_to_show_the_title(full):
    pdf, _ = full
    assert str(pdf.Root.ViewerPreferences.PrintScaling) == "/None"
    assert pdf.Root.ViewerPreferences.DisplayDocTitle


def test_faults_of_links_and_anchors_are_refused():
    with pytest.raises(ValueError, match="on no sheet"):
        pdf_bytes([Sheet(10, 10, "t", (Link(Box(0, 0, 1, 1), "nowhere"),))], "t")
    twice = Anchor("here", Point(0, 0))
    with pytest.raises(ValueError, match="two anchors"):
        pdf_bytes([Sheet(10, 10, "t", (twice,)), Sheet(10, 10, "t", (twice,))], "t")
    with pytest.raises(ValueError, match="at least one sheet"):
        pdf_bytes([], "t")


def test_a_link_may_lead_to_another_sheet():
    first = Sheet(50, 50, "one", (Link(Box(0, 0, 9, 9), "there"),))
    second = Sheet(50, 50, "two", (Anchor("there", Point(5, 5)),))
    pdf = pikepdf.open(io.BytesIO(pdf_bytes([first, second], "t")))
    (link,) = pdf.pages[0].Annots
    assert link.Dest[0].objgen == pdf.pages[1].obj.objgen


def test_more_than_256_different_characters_are_all_found_again():
    letters = [chr(c) for c in range(0x100, 0x250)] + [chr(c) for c in range(0x400, 0x460)]
    rows = ["".join(letters[i : i + 30]) for i in range(0, len(letters), 30)]
    marks = tuple(Text(row, Point(10, 10 + 6 * i), 2.5) for i, row in enumerate(rows))
    data = pdf_bytes([Sheet(297, 210, "t", marks)], "t")
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert all(letter in text for letter in letters)


def test_a_colour_set_inside_a_window_is_set_again_after_it():
    def block(left):
        return Shape((square(Box(left, 10, left + 10, 20)),), Role.SOLID)

    window = Viewport(Box(0, 0, 25, 25), Transform(), (block(10),))
    sheet = Sheet(60, 30, "t", (window, block(40)))
    picture = pypdfium2.PdfDocument(pdf_bytes([sheet], "t"))[0].render(scale=2).to_pil()
    seen = [picture.getpixel((x * picture.width // 60, picture.height // 2)) for x in (5, 15, 30, 45)]
    assert [min(colour) < 100 for colour in seen] == [False, True, False, True]
