"""The player's page in a real browser: picked like a player does, read like a player or a screen reader does."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pypdfium2
import pytest

from diagramgen.analysis import examine
from diagramgen.circuit.coil_words import sound_words
from diagramgen.circuit.hum_words import hum_words
from diagramgen.circuit.signal_path import active_path
from diagramgen.circuit.state_table import state_table
from diagramgen.features.playerpage.file import player_file
from diagramgen.job.sound_words import phase_words, reading_words

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
MARKS = "[...document.querySelectorAll('#diagram {}')].map(e => e.dataset.subject.replace(/^[a-z]+:/, ''))"
LIT = MARKS.format('g[data-subject^="lead:"].on')
CONTACTS = MARKS.format('[data-subject^="contact:"]')
CLOSED = MARKS.format('[data-subject^="contact:"].on')
RINGED = MARKS.format('[data-subject^="sounds:"].on')
SAYS = "document.getElementById('says').textContent"
FACTS = ("Object.fromEntries(['phase', 'hum', 'reads', 'peak']"
         ".map(k => [k, document.getElementById('f-' + k).textContent]))")
SPOKEN = "document.getElementById('spoken').textContent"


@pytest.fixture(scope="module")
def lever(tmp_path_factory):
    return made(SAMPLES / "three-singles-lever.yaml", tmp_path_factory.mktemp("lever"))


@pytest.fixture(scope="module")
def toggle(tmp_path_factory):
    return made(SAMPLES / "left-handed.yaml", tmp_path_factory.mktemp("toggle"))


def made(build, folder, states=()):
    """The proof of a build and its page on the disk."""
    proof = examine(build)
    page = folder / "page.html"
    page.write_bytes(player_file(proof, states))
    return proof, page


def choose(browser, name, at):
    browser.value(f"document.getElementById('{name}-{at}').click()")


def names_of(browser):
    """Legend of each group of radio buttons -> its name and labels, as the page shows them."""
    return browser.value("""Object.fromEntries([...document.querySelectorAll('fieldset')].map(f => [
        f.querySelector('legend').textContent.toLowerCase(),
        [f.querySelector('input').name, [...f.querySelectorAll('label')].map(l => l.lastChild.textContent)]]))""")


def expected(proof, state, knobs):
    """What the solver gives for a state, asked anew without the page's own data."""
    result = state_table(proof.build, knobs, state).result(0)
    heard = {h.coil for h in result.sound.sounding}
    live = active_path(proof.build, state, knobs, heard)
    joins = frozenset() if result.sound.silent else live.joins
    lit = {one.lead.tag for one in proof.layout.leads
           if frozenset((str(one.lead.start), str(one.lead.end))) in joins}
    closed = set() if result.sound.silent else {frozenset(pair) for pair in live.contacts}
    return result, lit, closed


def holds(browser, proof, state, knobs):
    result, lit, closed = expected(proof, state, knobs)
    where = f"{state} {knobs}"
    assert set(browser.value(LIT)) == lit, where
    drawn = {frozenset(name.split("|")) for name in browser.value(CONTACTS)}
    assert {frozenset(name.split("|")) for name in browser.value(CLOSED)} == closed & drawn, where
    assert drawn or not closed, where
    says = sound_words(result.sound, proof.build)
    assert browser.value(SAYS).lower() == says.lower(), where
    facts = browser.value(FACTS)
    assert facts["reads"] == reading_words(result.reading), where
    assert (facts["phase"], facts["hum"]) == (phase_words(result.sound), hum_words(result.sound)), where
    sounding = browser.value("[...document.querySelectorAll('.pickup .sounds, .pickup .weak')]"
                             ".map(e => e.dataset.subject.slice(5))")
    assert set(sounding) == {h.coil for h in result.sound.sounding}, where
    assert set(browser.value(RINGED)) == {h.coil.partition(".")[0] for h in result.sound.sounding}, where
    assert says.lower() in browser.value(SPOKEN).lower()
    drawn = browser.value("""document.querySelector('#chart [data-subject="curve:picked"]').getAttribute('d')""")
    assert bool(drawn) == (not result.sound.silent), where


def test_every_position_of_a_lever_lights_what_the_solver_gives_with_knobs_at_rest_and_turned(browser, lever):
    proof, page = lever
    browser.open(page.as_uri())
    names = names_of(browser)
    assert names["lever"][1] == ["bridge", "2", "3", "4", "neck"]
    for at, position in enumerate(("1", "2", "3", "4", "5")):
        choose(browser, names["lever"][0], at)
        holds(browser, proof, {"lever": position}, {})
    for volume, tone in ((7.0, 10.0), (4.0, 0.0), (0.0, 7.0), (10.0, 4.0)):
        choose(browser, names["volume"][0], (10.0, 7.0, 4.0, 0.0).index(volume))
        choose(browser, names["neck tone"][0], (10.0, 7.0, 4.0, 0.0).index(tone))
        holds(browser, proof, {"lever": "5"}, {"volume.turn": volume, "neck-tone.turn": tone})
    assert browser.complaints() == []


def test_a_push_pull_and_a_toggle_light_what_the_solver_gives(browser, toggle):
    proof, page = toggle
    browser.open(page.as_uri())
    names = names_of(browser)
    space = proof.chart.space
    for index in range(space.count):
        for digit, at in zip(space.switches, space.numbers(index), strict=True):
            (name,) = (n for legend, (n, words) in names.items() if words == list(digit.words))
            choose(browser, name, at)
        holds(browser, proof, space.state(index), {})


def test_arrow_keys_alone_step_through_a_control_and_focus_is_seen(browser, lever):
    proof, page = lever
    browser.open(page.as_uri())
    browser.value("document.querySelector('fieldset input').focus()")
    for position in ("2", "3", "4"):
        browser.press("ArrowDown")
        holds(browser, proof, {"lever": position}, {})
    browser.press("ArrowUp")
    holds(browser, proof, {"lever": "3"}, {})
    shown = browser.value("getComputedStyle(document.querySelector('input:focus + label')).outlineStyle")
    wide = browser.value("parseFloat(getComputedStyle(document.querySelector('input:focus + label')).outlineWidth)")
    assert (shown, wide >= 2) == ("solid", True)


def test_the_tab_key_reaches_every_control_once_then_the_button_and_the_diagram(browser, lever):
    browser.open(lever[1].as_uri())
    reached = []
    for _ in range(8):
        browser.press("Tab")
        reached.append(browser.value("document.activeElement.name || document.activeElement.id || "
                                     "document.activeElement.className || document.activeElement.localName"))
    groups = browser.value("[...document.querySelectorAll('fieldset')].map(f => f.querySelector('input').name)")
    assert reached[: len(groups)] == groups
    assert reached[len(groups) : len(groups) + 3] == ["rest", "scroll", "summary"]


def test_the_button_puts_every_knob_to_rest(browser, lever):
    proof, page = lever
    browser.open(page.as_uri() + "#3-1.2.0")
    holds(browser, proof, {"lever": "4"}, {"volume.turn": 7.0, "neck-tone.turn": 4.0})
    browser.value("document.getElementById('rest').focus()")
    browser.press("Enter")
    holds(browser, proof, {"lever": "4"}, {})


def test_a_click_on_the_drawn_control_moves_it_on(browser, lever):
    proof, page = lever
    browser.open(page.as_uri())
    x, y = browser.value("(() => { const b = document.querySelector('fieldset .picture').getBoundingClientRect(); "
                         "return [b.left + b.width / 2, b.top + b.height / 2]; })()")
    browser.click(x, y)
    holds(browser, proof, {"lever": "2"}, {})
    tips = browser.value("""[...document.querySelectorAll('fieldset .picture [data-subject^="at:"]')].slice(0, 5)
        .map(e => getComputedStyle(e).display !== 'none')""")
    assert tips == [False, True, False, False, False]


def test_the_address_keeps_what_is_set_and_nonsense_in_it_does_no_harm(browser, lever):
    proof, page = lever
    browser.open(page.as_uri() + "#2-0.0.3")
    holds(browser, proof, {"lever": "3"}, {"middle-tone.turn": 0.0})
    for wrong in ("#9-9.9.9", "#<script>alert(1)</script>", "#", "#..-", "#constructor-__proto__"):
        browser.open(page.as_uri() + wrong)
        holds(browser, proof, {"lever": "1"}, {})
        assert browser.complaints() == []


def test_knobs_solved_one_at_a_time_put_the_others_back(browser, tmp_path):
    proof, page = made(SAMPLES / "baritone.yaml", tmp_path)
    browser.open(page.as_uri())
    names = names_of(browser)
    choose(browser, names["volume"][0], 2)
    choose(browser, names["tone"][0], 1)
    state = {"selector": "up", "neck-mode": "series", "bridge-mode": "series", "volume": "down"}
    holds(browser, proof, state, {"tone.turn": 7.0})
    assert browser.value(f"document.getElementById('{names['volume'][0]}-0').checked")
    assert "one at a time" in browser.value("document.getElementById('controls').innerText")


def test_nothing_is_asked_of_the_network_and_nothing_is_said_on_the_console(browser, lever):
    browser.open(lever[1].as_uri())
    for at in range(5):
        choose(browser, "c0", at)
    asked = [a for a in browser.requests() if not a.startswith("data:")]
    assert asked == [lever[1].as_uri()]
    assert browser.complaints() == []


def test_the_policy_of_the_page_stops_what_is_not_its_own(browser, lever):
    """A mutant of the check above: the same page does complain once something foreign is put into it."""
    browser.open(lever[1].as_uri())
    browser.value("""(() => { const s = document.createElement('script'); s.textContent = 'window.broken = 1';
        document.body.append(s); const i = new Image(); i.src = 'http://127.0.0.1:9/x.png'; document.body.append(i);
        document.body.insertAdjacentHTML('beforeend', '<p onclick="window.broken = 1" id=bad></p>');
        document.getElementById('bad').click(); })()""")
    assert browser.value("window.broken") is None
    assert any("Content Security Policy" in json.dumps(c) for c in browser.complaints())


def test_a_screen_reader_hears_groups_what_is_set_and_what_sounds(browser, lever):
    browser.open(lever[1].as_uri())
    nodes = browser.ask("Accessibility.getFullAXTree")["nodes"]
    named = {(n["role"]["value"], n.get("name", {}).get("value", "")) for n in nodes if not n.get("ignored")}
    assert {("group", "Lever"), ("group", "Volume"), ("radio", "bridge"), ("radio", "Knob at 7"),
            ("heading", "What you hear"), ("button", "All knobs to rest")} <= named
    (status,) = (n for n in nodes if n["role"]["value"] == "status")
    assert {p["name"]: p["value"]["value"] for p in status["properties"]}["live"] == "polite"
    pictures = {name for role, name in named if role == "image"}
    assert any(p.startswith("Wiring diagram. Carrying the signal: leads W01") for p in pictures)
    assert any(p.startswith("Response from 80 Hz") for p in pictures)
    spoken = browser.value(SPOKEN)
    assert re.match(r"Lever bridge · Volume 10 · .*\. Bridge\. One coil\. Hum full\. Plug reads 6\.15 kΩ", spoken)


def test_without_script_the_page_is_a_table_of_every_position_and_a_diagram_with_every_lead(browser, lever):
    proof, page = lever
    browser.ask("Emulation.setScriptExecutionDisabled", value=True)
    try:
        browser.open(page.as_uri())
        document = browser.ask("DOM.getDocument", depth=0)["root"]["nodeId"]
        ids = browser.ask("DOM.querySelectorAll", nodeId=document, selector="#all tbody tr")["nodeIds"]
        rows = [re.sub(r"<[^>]+>", "|", browser.ask("DOM.getOuterHTML", nodeId=i)["outerHTML"]) for i in ids]
        assert len(rows) == proof.chart.count
        for row, (_, result) in zip(rows, proof.chart.each(), strict=True):
            assert reading_words(result.reading) in row
        text = _text(browser.pdf())
        assert "Lever 5" in text
        assert "Set the controls" not in text
    finally:
        browser.ask("Emulation.setScriptExecutionDisabled", value=False)


@pytest.mark.parametrize("paper", [(8.27, 11.69), (8.5, 11.0)])
def test_the_print_shows_the_position_that_is_set_and_no_other(browser, lever, paper):
    proof, page = lever
    browser.open(page.as_uri())
    choose(browser, "c0", 3)
    printed = browser.pdf(paperWidth=paper[0], paperHeight=paper[1], preferCSSPageSize=False)
    document = pypdfium2.PdfDocument(printed)
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx((paper[0] * 72, paper[1] * 72), abs=1)
    text = _text(printed)
    result, lit, _ = expected(proof, {"lever": "4"}, {})
    for words in ("Lever 4 · Volume 10", "Neck and middle in parallel", reading_words(result.reading)):
        assert words in text
    assert "All 5 positions" not in text
    assert "bridge: sounds" not in text
    assert lit


def _text(printed):
    pages = [p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(printed)]
    return " ".join(" ".join(pages).split())


@pytest.mark.parametrize("width", [320, 390, 768, 1280, 1920])
def test_at_any_width_nothing_runs_out_of_the_page_and_targets_are_large(browser, toggle, width):
    browser.open(toggle[1].as_uri())
    browser.width(width)
    try:
        assert browser.value("document.documentElement.scrollWidth") <= width
        boxes = browser.value("[...document.querySelectorAll('.option')].map(e => e.getBoundingClientRect())"
                              ".map(b => [b.left, b.right, b.width, b.height])")
        assert boxes
        # WCAG 2.2, SC 2.5.8: targets of 24 by 24 CSS pixels at least.
        assert all(left >= 0 and right <= width and w >= 24 and h >= 24 for left, right, w, h in boxes)
    finally:
        browser.ask("Emulation.clearDeviceMetricsOverride")


def test_motion_is_left_out_where_it_is_not_wanted(browser, lever):
    browser.open(lever[1].as_uri())
    moving = "getComputedStyle(document.querySelector('#diagram [data-subject^=\"lead:\"]')).transitionDuration"
    browser.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-reduced-motion", "value": "no-preference"}])
    assert browser.value(moving) != "0s"
    browser.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-reduced-motion", "value": "reduce"}])
    assert browser.value(moving) == "0s"
    browser.ask("Emulation.setEmulatedMedia", features=[])


def test_one_lead_moved_in_the_build_changes_lit_path_and_reading_in_the_page(browser, tmp_path):
    """Nothing but the build file is edited: the middle pickup's hot lead goes to the throw of the bridge."""
    text = (SAMPLES / "three-singles-lever.yaml").read_text(encoding="utf-8")
    found = re.search(r"(?m)^  - middle\.\S+ -> lever\.(a \d)", text)
    changed = text.replace(found[0], found[0].replace(found[1], "a 1"))
    assert changed != text
    changed = re.sub(r"(?ms)^wanted:.*", "", changed)
    seen = []
    for name, words in (("before", re.sub(r"(?ms)^wanted:.*", "", text)), ("after", changed)):
        folder = tmp_path / name
        folder.mkdir()
        build = folder / "my.yaml"
        build.write_text(words, encoding="utf-8")
        proof, page = made(build, folder)
        browser.open(page.as_uri())
        holds(browser, proof, {"lever": "1"}, {})
        seen.append((set(browser.value(LIT)), browser.value(FACTS)["reads"], browser.value(SAYS)))
    (lit, reads, says), (lit_after, reads_after, says_after) = seen
    assert says == "Bridge"
    assert says_after.lower() == "middle and bridge in parallel"
    assert lit < lit_after
    assert reads != reads_after


HOSTILE = ("</script><script>broken=1</script>", "\"'><img src=x onerror=broken=1>", "]]><!--<script>`${broken=1}`",
           "' onclick=broken=1 style=x:url(//h/) \"", "\\u003cimg src=x onerror=broken=1\\u003e")
"""At most 40 characters each: so many a name may have."""


@pytest.mark.parametrize("hostile", HOSTILE)
def test_names_that_are_markup_stay_names(browser, tmp_path, hostile):
    text = (SAMPLES / "three-singles-lever.yaml").read_text(encoding="utf-8")
    quoted = "'" + hostile.replace("'", "''") + "'"
    text = re.sub(r"(?m)^(title|job|workshop|instrument):.*$", lambda m: f"{m[1]}: {quoted}", text)
    head, parts, rest = text.partition("parts:")
    rest, count = re.subn(r"(?m)^  bridge:\n", lambda _: f"  bridge:\n    says: {quoted}\n", rest)
    assert count == 1
    text = head + parts + rest
    build = tmp_path / "my.yaml"
    build.write_text(text, encoding="utf-8")
    _proof, page = made(build, tmp_path)
    browser.open(page.as_uri())
    for at in range(5):
        choose(browser, "c0", at)
    assert browser.value("window.broken") is None
    assert browser.complaints() == []
    assert [a for a in browser.requests() if not a.startswith("data:")] == [page.as_uri()]
    assert browser.value("document.querySelector('h1').textContent") == hostile
    choose(browser, "c0", 0)
    assert browser.value(SAYS) == hostile
    assert browser.value("document.images.length + document.querySelectorAll('script').length") == 2


def test_chosen_positions_are_picked_from_a_list_and_the_controls_follow(browser, tmp_path):
    states = [{"selector": "up", "neck-mode": "a"}, {"selector": "middle", "bridge-mode": "parallel"}]
    proof, page = made(SAMPLES / "baritone.yaml", tmp_path, states)
    browser.open(page.as_uri())
    assert "shows 2 chosen ones" in browser.value("document.getElementById('controls').innerText")
    full = {"output": "mono", "volume": "down", "bridge-mode": "series", "neck-mode": "series"}
    holds(browser, proof, {**full, **states[0]}, {})
    browser.value("document.querySelector('input[name=p]').focus()")
    browser.press("ArrowRight")
    holds(browser, proof, {**full, **states[1]}, {})
    words = browser.value("[...document.querySelectorAll('.word')].map(e => e.textContent)")
    assert {"middle", "parallel", "series", "pushed"} <= set(words)


def test_the_copy_of_a_page_in_another_folder_is_the_same_page(browser, lever, tmp_path):
    """Nothing beside the file is needed."""
    copy = tmp_path / "elsewhere" / "sent by post.html"
    copy.parent.mkdir()
    shutil.copy(lever[1], copy)
    browser.open(copy.as_uri())
    holds(browser, lever[0], {"lever": "1"}, {})
