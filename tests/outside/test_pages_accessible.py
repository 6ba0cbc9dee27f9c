"""Every page the program makes, gone through by a general checker of accessibility (axe-core, its rules for WCAG 2.1
level AA and its best practices) in a real browser. Not one finding is let through, grave or not.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from accessibility import GRAVE, findings
from test_preview_in_chromium import redrawn, until
from test_shop_index import FOLDERS, JOBS

from diagramgen.analysis import examine
from diagramgen.features.playerpage.file import player_file
from diagramgen.features.shop.index_page import index_page

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
WIDE, NARROW = 1280, 400


@pytest.fixture(scope="module")
def browser(browser):
    # Colours are judged where they have come to rest, not on the way.
    browser.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-reduced-motion", "value": "reduce"}])
    return browser


@pytest.fixture(scope="module")
def player_page(tmp_path_factory):
    page = tmp_path_factory.mktemp("player") / "page.html"
    page.write_bytes(player_file(examine(SAMPLES / "three-singles-lever.yaml"), ()))
    return page


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_the_players_page_has_no_finding_at_rest_and_as_set(browser, player_page, width):
    browser.width(width)
    browser.open(player_page.as_uri())
    assert findings(browser) == []
    browser.value("document.querySelectorAll('fieldset').forEach(f => [...f.querySelectorAll('input')].at(-1).click())")
    assert findings(browser) == []


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_the_index_of_the_shop_has_no_finding_with_every_row_and_with_none(browser, tmp_path, width):
    page = tmp_path / "index.html"
    page.write_bytes(index_page(JOBS, FOLDERS, "89abcdef"))
    browser.width(width)
    browser.open(page.as_uri())
    browser.value("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    assert findings(browser) == []
    browser.value("""(() => { const box = document.getElementById('search'); box.value = 'no job says this';
                  box.dispatchEvent(new Event('input')); })()""")
    assert browser.value("document.getElementById('count').textContent").startswith("0 of")
    assert findings(browser) == []


def test_the_preview_has_no_finding_while_it_draws_stands_errs_and_ends(browser, edited):
    browser.width(WIDE)
    browser.open(edited.url)
    redrawn(browser, 1)
    assert findings(browser) == []
    edited.change("volume.", "volme.")
    redrawn(browser, 2)
    browser.value("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    assert findings(browser) == []
    browser.width(NARROW)
    assert findings(browser) == []
    edited.end()
    until(browser, "document.getElementById('status').className === 'ended'")
    assert findings(browser) == []


FAULTS = {
    "html-has-lang": ('<html lang="en">', "<html>"),
    "document-title": ("<title>Index of jobs</title>", "<title></title>"),
    "label": ('<label for="search">Search</label>', "Search "),
    "color-contrast": ("td small { color: var(--muted); }", "td small { color: #b8bdc2; }"),
    "landmark-one-main": ("main>", "div>"),
}
"""Rule of the checker -> what is spoilt in the index for it to speak."""


@pytest.mark.parametrize("rule", FAULTS)
def test_the_checker_speaks_where_a_page_is_spoilt(browser, tmp_path, rule):
    whole, spoilt = FAULTS[rule]
    text = index_page(JOBS, FOLDERS, "89abcdef").decode()
    assert whole in text
    text = text.replace(whole, spoilt)
    if rule == "label":  # a placeholder passes for a name
        text = text.replace('placeholder="number, instrument, part, customer, reference"', "")
    page = tmp_path / "spoilt.html"
    page.write_text(text, encoding="utf-8")
    browser.width(WIDE)
    browser.open(page.as_uri())
    found = {one["id"]: one["impact"] for one in findings(browser)}
    assert rule in found
    assert found[rule] in GRAVE or rule == "landmark-one-main"
