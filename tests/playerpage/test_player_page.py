"""The player's page as a file: well-formed, closed, the same bytes, and no name more than a name."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hostile_names import HOSTILE, as_shown
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.analysis import examine
from diagramgen.drawing.scene import Anchor, Group, Image, Link, Role, Shape, Sheet, Text, Viewport
from diagramgen.features.playerpage.file import player_file
from diagramgen.features.playerpage.html import html_bytes
from diagramgen.features.playerpage.page import player_page
from diagramgen.kernel.geometry import Box, Point, Transform, polyline
from diagramgen.sheets.context import context_of
from diagramgen.writers.inline_svg import inline_svg

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = sorted(p for p in (ROOT / "samples").glob("*.yaml") if not p.stem.startswith("wrong"))


@pytest.fixture(scope="module")
def pages():
    found = {}
    for path in SAMPLES:
        proof = examine(path)
        assert proof.chart is not None
        found[path.stem] = player_page(context_of(proof), proof.chart)
    return found


@pytest.mark.parametrize("name", [p.stem for p in SAMPLES])
def test_every_page_is_well_formed_html_to_a_strict_parser(pages, name):
    html5lib = pytest.importorskip("html5lib", reason="missing: html5lib")
    text = html_bytes(pages[name]).decode()
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    assert len(tree.findall(".//fieldset")) == len(pages[name].order)
    assert len(tree.findall(".//tbody/tr")) == len(pages[name].table)
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    labels = {e.get("for") for e in tree.iter("label")}
    assert {e.get("id") for e in tree.iter("input")} == labels


@pytest.mark.parametrize("name", [p.stem for p in SAMPLES])
def test_the_policy_lets_in_its_own_style_and_script_and_nothing_else(pages, name):
    """Content Security Policy Level 3 (W3C), hash sources: SHA-256 of the text of the element."""
    text = html_bytes(pages[name]).decode()
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)[1].replace("&#39;", "'")
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    for key, tag in (("style-src", "style"), ("script-src", "script")):
        (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.S)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert rules[key] == f"'sha256-{digest}'"
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert "unsafe" not in policy
    assert " style=" not in text.partition("<body>")[2]
    assert not re.search(r"<[^>]+\son\w+=", text)
    # Nothing is fetched: addresses stand only in data: and in the names of formats.
    assert set(re.findall(r'(?:src|href)=(?:")?([a-z]+:)', text)) <= {"data:"}
    assert re.findall(r"url\((?!data:)", text) == []


def test_the_same_page_gives_the_same_bytes(pages):
    path = ROOT / "samples" / "left-handed.yaml"
    first, second = (player_file(examine(path)) for _ in range(2))
    assert first == second == html_bytes(pages["left-handed"])


def test_a_page_is_of_a_size_that_can_be_sent(pages):
    sizes = {name: len(html_bytes(page)) for name, page in pages.items()}
    assert max(sizes.values()) < 1_500_000, sizes


def known(text):
    return json.loads(re.search(r'<script type="application/json" id="data">(.*?)</script>', text, re.S)[1])


def test_the_data_of_the_page_is_what_was_found_out(pages):
    page = pages["baritone"]
    found = known(html_bytes(page).decode())
    made = page.played
    assert len(found["positions"]) == len(made.titles) == 96
    assert [found["outcomes"][n]["spoken"] for n in found["rows"][0][::2]] == [
        made.outcomes[o].sentence for o, _ in made.rows[0]]
    assert all(len(row) == 2 * len(made.settings) for row in found["rows"])


class Seen(HTMLParser):
    """What a browser takes the markup for."""

    def __init__(self):
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data


names = st.text(st.characters(blacklist_categories=("Cs", "Cc", "Cn")), max_size=40) | st.sampled_from(
    ["</script>", "<script", '"><b onload=x>', "' onclick='x", "]]>", "<!--", "&lt;", "&#60;", "\u2028</script\u2029>"])


@given(names, names)
def test_any_text_and_any_subject_of_a_picture_add_no_element(text, subject):
    seen = Seen()
    seen.feed(inline_svg(Sheet(10, 10, "t", (Text(f"x{text}", Point(1, 1), 2.0, subject=subject),))))
    seen.close()
    (drawn,) = (attributes for tag, attributes in seen.tags if tag == "text")
    assert drawn.get("data-subject", "") == subject
    assert [tag for tag, _ in seen.tags if tag != "g"] == ["svg", "path", "text"]
    assert seen.text[0] == "x"


@pytest.mark.parametrize("bad", HOSTILE)
def test_hostile_words_everywhere_add_no_element(pages, bad):
    """Every text of the page replaced: the elements stay as many and of the same kind."""
    page = pages["left-handed"]

    def swapped(mark):
        if isinstance(mark, Text):
            return replace(mark, text=bad, subject=bad)
        if isinstance(mark, Group):
            return replace(mark, subject=bad, children=tuple(swapped(c) for c in mark.children))
        return replace(mark, subject=bad) if isinstance(mark, Shape) else mark

    def sheet(one):
        return replace(one, title=bad, subject=bad, marks=tuple(swapped(m) for m in one.marks))

    made = page.played
    outcomes = tuple(replace(o, says=bad, phase=bad, hum=bad, reads=bad, why=bad, peak=bad, battery=bad,
                             others=(bad,) * len(o.others), coils=((bad, "sounds"),)) for o in made.outcomes)
    controls = tuple(replace(c, says=bad, words=tuple(bad for _ in c.words)) for c in made.controls)
    worse = replace(
        page, warning=bad, version=bad, notes=(bad,) * len(page.notes), hints=(bad,) * len(page.hints),
        job=replace(page.job, job=bad, title=bad, instrument=bad, workshop=bad, checksum=bad),
        table=tuple(tuple(bad for _ in row) for row in page.table), diagram=sheet(page.diagram),
        pickups=tuple(replace(p, says=bad, coils=tuple((bad, bad) for _ in p.coils)) for p in page.pickups),
        played=replace(made, outcomes=outcomes, controls=controls, titles=(bad,) * len(made.titles)),
    )
    before, after = Seen(), Seen()
    before.feed(html_bytes(replace(page, warning="stamp")).decode())
    after.feed(html_bytes(worse).decode())
    assert [t for t, _ in after.tags] == [t for t, _ in before.tags]
    assert [sorted(a) for t, a in after.tags if t not in ("path", "g", "text")] == [
        sorted(a) for t, a in before.tags if t not in ("path", "g", "text")]
    html5lib = pytest.importorskip("html5lib", reason="missing: html5lib")
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html_bytes(worse).decode())
    for tag in ("h1", "title", "footer"):
        assert as_shown(bad) in "".join(tree.find(f".//{tag}").itertext())


def test_marks_of_a_picture_bear_their_subjects_once():
    line = polyline([Point(0, 0), Point(5, 5)])
    sheet = Sheet(10, 10, "t", (Group((Shape((line,), Role.FRAME, "lead:W1"), Text("x", Point(1, 1), 2.0)), "lead:W1"),
                                Shape((line,), Role.FRAME, "part:a")))
    text = inline_svg(sheet)
    assert re.findall(r'data-subject="([^"]+)"', text) == ["lead:W1", "part:a"]
    assert 'viewBox="0 0 10 10"' in text
    assert 'aria-hidden="true"' in text


@pytest.mark.parametrize("mark", [
    Image(b"\x89PNG", Box(0, 0, 1, 1)), Link(Box(0, 0, 1, 1), "https://example.org"), Anchor("a", Point(0, 0)),
    Viewport(Box(0, 0, 1, 1), Transform(), ()),
])  # fmt: skip
def test_a_picture_in_a_page_refuses_what_would_need_an_address_or_an_id(mark):
    with pytest.raises(ValueError, match="a picture inside a page"):
        inline_svg(Sheet(10, 10, "t", (mark,)))
