"""The preview in a real browser while its build file is edited on the disk, as an editor does it."""

from __future__ import annotations

import re
import time
from urllib.parse import urlsplit

import pytest
from edited_build import SAMPLE

STATUS = "document.getElementById('status').textContent"
TAGS = ("[...new Set([...document.querySelectorAll('#diagram [data-subject^=\"lead:\"]')]"
        ".map(e => e.dataset.subject))].length")
MARKED = "[...document.querySelectorAll('ol.lines li.marked')].map(e => [e.id, e.querySelector('code').textContent])"


def until(browser, expression, patience=90.0):
    """Wait until an expression is true in the page."""
    end = time.monotonic() + patience
    while not browser.value(expression):
        assert time.monotonic() < end, (expression, browser.value(STATUS))
        time.sleep(0.05)


def redrawn(browser, number):
    until(browser, rf"/^Drawing {number}: .*(file check|error)/.test({STATUS})")


def test_the_page_follows_every_save_by_itself_and_asks_nothing_of_any_other_machine(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    before = browser.value(TAGS)
    assert before > 10
    rows = browser.value("document.querySelectorAll('#sounds tbody tr').length")
    assert rows == 5
    text = SAMPLE.read_text(encoding="utf-8")
    lead = re.search(r"(?m)^  - middle\.\S+ -> lever\.a \d[^\n]*\n", text)
    reads = browser.value("document.querySelector('#sounds tbody').textContent")
    without = re.sub(r"(?ms)^wanted:.*", "", text)
    edited.save(without.replace(lead[0], lead[0].replace(lead[0].split("lever.")[1][:3], "a 1")))
    redrawn(browser, 2)
    assert browser.value(TAGS) == before
    assert browser.value("document.querySelector('#sounds tbody').textContent") != reads
    edited.save(text)
    redrawn(browser, 3)
    assert browser.value("document.querySelector('#sounds tbody').textContent") == reads
    addresses = {urlsplit(a).netloc for a in browser.requests() if not a.startswith("data:")}
    assert addresses == {urlsplit(edited.url).netloc}
    assert browser.complaints() == []


def test_a_problem_marks_its_line_and_stays_on_it_when_lines_move(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    edited.change("volume.", "volme.")
    redrawn(browser, 2)
    assert re.match(r"\d+ errors?: my\.yaml", browser.value("document.title"))
    link = "document.querySelector('a.jump[data-key*=volme]')"
    number = int(re.search(r"line (\d+)", browser.value(f"{link}.textContent"))[1])
    box = browser.value(f"""(() => {{ const a = {link}; a.scrollIntoView();
        const b = a.getBoundingClientRect(); return [b.left + 4, b.top + b.height / 2]; }})()""")
    browser.click(*box)
    ((own, said),) = browser.value(MARKED)
    assert own == f"f0-l{number}"
    assert said == edited.file.read_text(encoding="utf-8").split("\n")[number - 1]
    assert "volme" in said
    # It is in sight, inside its own box and in the window, and holds the focus of the keyboard.
    seen = browser.value("""(() => { const line = document.querySelector('li.marked').getBoundingClientRect();
        const box = document.querySelector('.text').getBoundingClientRect();
        return line.top >= box.top && line.bottom <= box.bottom && line.top >= 0 && line.bottom <= innerHeight; })()""")
    assert seen
    assert browser.value("document.activeElement.id") == own
    edited.change("format: 1", "# one more line\nformat: 1")
    redrawn(browser, 3)
    ((moved, again),) = browser.value(MARKED)
    assert (moved, again) == (f"f0-l{number + 1}", said)
    edited.change("volme.", "volume.")
    redrawn(browser, 4)
    assert browser.value(MARKED) == []
    assert browser.complaints() == []


def test_with_errors_the_last_good_diagram_stays_marked_as_old_and_a_file_that_goes_comes_back(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    good = browser.value("document.querySelector('#diagram svg').outerHTML")
    assert browser.value("document.querySelector('#wiring .stamp.old')") is None
    edited.save("parts: {volume: [")
    redrawn(browser, 2)
    edited.file.unlink()
    redrawn(browser, 3)
    assert browser.value("document.querySelector('#diagram svg').outerHTML") == good
    assert browser.value("document.querySelector('#wiring .stamp.old').textContent").startswith("OLD: ")
    assert "grayscale" in browser.value("getComputedStyle(document.querySelector('#diagram svg')).filter")
    assert "no such file" in browser.value("document.getElementById('problems').textContent")
    edited.save(SAMPLE.read_text(encoding="utf-8"))
    redrawn(browser, 4)
    assert browser.value("document.querySelector('#diagram svg').outerHTML") == good
    assert browser.value("document.querySelector('#wiring .stamp.old')") is None
    assert browser.complaints() == []


def test_a_click_on_a_lead_finds_its_line_and_lights_the_lead(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    subject = browser.value("""(() => { const lead = document.querySelector('#diagram g[data-subject^="lead:"] path');
        lead.dispatchEvent(new MouseEvent('click', {bubbles: true}));
        return lead.closest('g').dataset.subject; })()""")
    ((_, line),) = browser.value(MARKED)
    assert "->" in line or ":" in line
    lit = browser.value("[...document.querySelectorAll('#diagram .on')].map(e => e.dataset.subject)")
    assert subject in lit


def test_ctrl_c_ends_it_and_the_page_says_so(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    assert edited.end() == (0, "")
    until(browser, f"{STATUS}.startsWith('The preview has ended')")
    assert browser.complaints() == []


def test_names_that_are_markup_stay_names_in_diagram_problems_and_file(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    hostile = "<img src=x onerror=broken=1>"
    edited.save(re.sub(r"(?m)^(title|job|workshop|instrument):.*$", lambda m: f"{m[1]}: '{hostile}'",
                       SAMPLE.read_text(encoding="utf-8")))
    redrawn(browser, 2)
    assert browser.value("document.querySelector('h1').textContent") == hostile
    edited.save(f"'{hostile}': 1\nparts: {{'{hostile}': '{hostile}'}}\nleads: ['{hostile} -> {hostile}']\n")
    redrawn(browser, 3)
    assert hostile in browser.value("document.getElementById('problems').textContent")
    assert browser.value("window.broken") is None
    assert browser.value("document.images.length") == 0
    assert browser.complaints() == []


def test_a_screen_reader_hears_headings_regions_and_each_new_drawing(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    nodes = [n for n in browser.ask("Accessibility.getFullAXTree")["nodes"] if not n.get("ignored")]
    named = {(n["role"]["value"], n.get("name", {}).get("value", "")) for n in nodes}
    assert {("heading", "Wiring"), ("heading", "What was found"), ("heading", "The file"),
            ("heading", "What each position gives"), ("region", "Lines of my.yaml"), ("button", "Larger diagram"),
            ("columnheader", "Position")} <= named
    assert any(role == "image" and re.match(r"Wiring diagram, \d+ leads", name) for role, name in named)
    (status,) = (n for n in nodes if n["role"]["value"] == "status")
    assert {p["name"]: p["value"]["value"] for p in status["properties"]}["live"] == "polite"


@pytest.mark.parametrize("width", [320, 390, 768, 1280, 1920])
def test_at_any_width_nothing_runs_out_of_the_page(browser, edited, width):
    browser.open(edited.url)
    redrawn(browser, 1)
    edited.change("volume.", "volme.")
    redrawn(browser, 2)
    browser.width(width)
    try:
        assert browser.value("document.documentElement.scrollWidth") <= width
    finally:
        browser.ask("Emulation.clearDeviceMetricsOverride")


def test_without_script_the_page_is_whole_and_asks_again_by_itself(browser, edited):
    browser.open(edited.url)
    redrawn(browser, 1)
    browser.ask("Emulation.setScriptExecutionDisabled", value=True)
    try:
        browser.open(edited.url)
        document = browser.ask("DOM.getDocument", depth=0)["root"]["nodeId"]
        for selector in ("#diagram svg", "#sounds tbody tr", "ol.lines li", 'meta[http-equiv="refresh"]'):
            assert browser.ask("DOM.querySelectorAll", nodeId=document, selector=selector)["nodeIds"], selector
    finally:
        browser.ask("Emulation.setScriptExecutionDisabled", value=False)
        browser.open("about:blank")
