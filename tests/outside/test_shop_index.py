"""The index read by others: its PDF by another library, its page by a plain HTML parser and in a real browser."""

from __future__ import annotations

import io
import json
import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from urllib.parse import unquote

import html5lib
import pdfplumber
import pytest
from hostile_names import HOSTILE, as_shown

from diagramgen.features.shop.index_page import index_page
from diagramgen.features.shop.index_sheet import by_number, index_sheets
from diagramgen.features.shop.jobs import Job, natural
from diagramgen.kernel.paper import PAPERS
from diagramgen.writers.pdf import pdf_bytes

PLAIN = Job("a.yaml", "LL-2", "Two singles", "Flat top", "A. Quill", "PO-7", "2024-05-01", "B", "Lantern Lane",
            ("pot-24, 500k log", "single-coil, 6.1k"), ("volume", "neck"), (), "0123abcd", 3, 0, 0, (),
            {"diagram.pdf": 10, "leads.csv": 5}, {"build": "00"}, "diagramgen")
EVIL = "<script>document.title='taken'</script><img src=x onerror=alert(1)>\"'&amp;"
JOBS = [PLAIN,
        replace(PLAIN, file="b c/é#?.yaml", job="LL-10", title=EVIL, instrument=EVIL, customer=EVIL, reference=EVIL,
                parts=(EVIL,), names=(EVIL,), history=(EVIL,), date=EVIL, revision=EVIL),
        replace(PLAIN, file="d.yaml", job="LL-9", sheets={}, errors=2,
                problems=("d.yaml:1:1: error INP-302: <b>bad</b>",))]
FOLDERS = ["a", "b c/é#?", "d"]


class Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.links, self.texts, self.open = [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag == "a":
            self.links.append(dict(attrs)["href"])

    def handle_data(self, data):
        self.texts.append(data)


@pytest.fixture(scope="module")
def page():
    return index_page(JOBS, FOLDERS, "89abcdef").decode("utf-8")


def test_no_text_of_a_job_becomes_markup(page):
    read = Reader()
    read.feed(page)
    names = [tag for tag, _ in read.tags]
    assert names.count("script") == 1
    assert not {"img", "iframe", "object", "link", "b"} & set(names)
    assert not [a for _, attrs in read.tags for a in attrs if a.startswith("on")]
    assert "".join(read.texts).count(EVIL) == 9


@pytest.mark.parametrize("bad", HOSTILE)
def test_no_name_of_a_job_or_of_its_file_adds_an_element_or_an_attribute(bad):
    def elements(name):
        # A file's name holds no NUL.
        held = name.replace("\0", "")
        job = replace(PLAIN, file=f"{held}.yaml", job=f"1 {name}", title=name, instrument=name, customer=name,
                      reference=name, date=name, revision=name, history=(name, name), parts=(name, name),
                      names=(name, name), sheets={f"{held}.pdf": 1, "page.html": 2}, warnings=1)
        failed = replace(job, file=f"x{held}.yaml", job=f"2 {name}", sheets={}, errors=1, problems=(name,))
        tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(
            index_page([job, failed], [held, held], name).decode())
        return tree, [(node.tag, sorted(node.attrib)) for node in tree.iter() if isinstance(node.tag, str)]

    tree, found = elements(bad)
    assert found == elements("plain")[1]
    assert ["".join(node.itertext()) for node in tree.iter("th")][-2:] == [f"{n} {as_shown(bad)}" for n in (1, 2)]
    assert not [a for node in tree.iter("a") for a in node.get("href").split(":")[1:]]


def test_the_page_needs_nothing_from_outside(page):
    read = Reader()
    read.feed(page)
    assert not [a for _, attrs in read.tags for a in attrs if a in ("src", "srcset", "data", "action")]
    assert not re.search(r"//|@import|url\(", page.partition("<style>")[2].partition("</style>")[0])
    assert "http:" not in page
    assert "https:" not in page
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)[1]
    assert "default-src 'none'" in policy
    assert re.search(r"script-src 'sha256-[A-Za-z0-9+/]+=*'", policy)


def test_links_lead_to_the_sheets_from_the_page(page):
    read = Reader()
    read.feed(page)
    assert [unquote(link) for link in read.links] == ["a/diagram.pdf", "b c/é#?/diagram.pdf"]
    assert not [link for link in read.links if set(link) & set(' #?é<>"')]


def test_figures_in_numbers_count_as_figures():
    assert [job.job for job in by_number([*JOBS, replace(PLAIN, job="")])] == ["LL-2", "LL-9", "LL-10", ""]
    assert natural("LL-9b") < natural("LL-10a") < natural("LM-1")


def test_the_printed_index_read_back_names_jobs_instruments_and_parts():
    jobs = [replace(PLAIN, job=f"LL-{n}", file=f"{n}.yaml", customer=f"Customer {n}",
                    parts=("pot-24, 500k log", f"single-coil, {n % 3 + 5}k")) for n in range(1, 90)]
    for paper, size in (("a4", (841.89, 595.28)), ("letter", (792.0, 612.0))):
        makers = index_sheets(jobs, "89abcdef", PAPERS[paper])
        pdf = pdf_bytes([make(i, len(makers)) for i, make in enumerate(makers, 1)], "Index of jobs")
        with pdfplumber.open(io.BytesIO(pdf)) as file:
            assert (float(file.pages[0].width), float(file.pages[0].height)) == pytest.approx(size, abs=0.1)
            text = "\n".join(p.extract_text() for p in file.pages)
        rows = re.findall(r"(?m)^LL-(\d+) .*Customer (\d+)", text)
        assert [int(a) for a, _ in rows] == list(range(1, 90))
        assert all(a == b for a, b in rows)
        assert "By instrument" in text
        assert "By part" in text
        for n in (5, 6, 7):
            assert re.search(rf"single-coil, {n}k {sum(job.parts[1].endswith(f' {n}k') for job in jobs)} LL-", text)


@pytest.mark.skipif(shutil.which("chromium") is None, reason="needs chromium")
def test_a_real_browser_runs_the_pages_own_script_and_no_other(page, tmp_path):
    file = tmp_path / "index.html"
    file.write_text(page, encoding="utf-8")
    done = subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=2000",
                           f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", file.as_uri()],
                          capture_output=True, encoding="utf-8", timeout=120, check=True)
    # The script counts the rows and shows the field it serves; nothing of a job ran.
    assert re.search(r'id="count"[^>]*>3 of 3 jobs<', done.stdout)
    assert '<p><label for="search">' in done.stdout
    assert "<title>Index of jobs</title>" in done.stdout


def test_every_word_of_the_search_is_in_the_page(page):
    # What is looked for stands in the row's text: number, instrument, part, customer, reference.
    row = re.search(r"<tr><th scope=\"row\">LL-2</th>.*?</tr>", page)[0]
    words = re.sub(r"<[^>]+>", " ", row)
    for word in ("LL-2", "Flat top", "pot-24, 500k log", "A. Quill", "PO-7", "Two singles"):
        assert word in words
    assert json.dumps(words)
