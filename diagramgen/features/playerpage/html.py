"""The player's page as one HTML file: nothing is fetched, and nothing runs but the script it was written with.

Style and script stand in the file and are let in by their SHA-256 alone (Content Security Policy, W3C); texts of
the build pass ``markup.escaped`` or, in the block of data, ``markup.data``. The same page gives the same bytes.
"""

from __future__ import annotations

import base64
import hashlib
import math
from typing import Any

from diagramgen.drawing.plot import HIGHEST, LOWEST
from diagramgen.drawing.scene import Sheet
from diagramgen.features.playerpage.compute import FREQUENCIES, Choice, Played
from diagramgen.features.playerpage.page import Pickup, PlayerPage
from diagramgen.kernel.resources import folder
from diagramgen.lettering import FAMILY
from diagramgen.writers.inline_svg import inline_svg
from diagramgen.writers.markup import Markup, Plain, data, element, joined
from diagramgen.writers.webfont import woff_subset

LARGEST = 5.5
"""Pixels of CSS for a mm of the diagram at most: beyond, a line shows no more."""
FACTS = (("phase", "Phase"), ("hum", "Hum"), ("reads", "Plug reads"), ("peak", "Resonance"), ("battery", "Battery"),
         ("others", "Other outputs"))
"""What is said of a position beside its coils: key in the data, heading."""


def html_bytes(page: PlayerPage) -> bytes:
    """The file in UTF-8."""
    body = _body(page)
    script = _shipped("page.js")
    # A face holds what the page says in any position: the block of data is part of it.
    style = _faces(body) + _shipped("page.css") + (
        f"#diagram svg{{max-width:{round(page.diagram.width * LARGEST)}px}}\n")
    policy = (f"default-src 'none'; script-src '{_digest(script)}'; style-src '{_digest(style)}'; font-src data:; "
              "img-src data:; base-uri 'none'; form-action 'none'")
    title = " ".join(t for t in (page.job.job, page.job.title) if t) or "Wiring"
    head = element(
        "head", element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="generator", content=f"diagramgen {page.version}"),
        element("title", Plain(title)), element("link", rel="icon", href="data:,"),
        element("style", Markup(style)),
    )
    body = element("body", body, element("script", Markup(script)))
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n".encode()


def _body(page: PlayerPage) -> Markup:
    made = page.played
    return joined(
        _header(page),
        element("main", _controls(page), element("div", _heard(page), _wiring(page), class_="stage"), _all(page)),
        _footer(page),
        element("script", data(_known(page)), type="application/json", id="data"),
        element("p", role="status", aria_live="polite", id="spoken", class_="unseen"),
        element("noscript", element("p", Plain(f"Without script this page shows all {len(made.titles)} positions as a "
                                               "table, and the diagram with every lead."), class_="hint")),
    )


def _header(page: PlayerPage) -> Markup:
    job = page.job
    under = " · ".join(t for t in (job.instrument, job.workshop, job.date, job.revision and f"revision {job.revision}")
                       if t)
    return element(
        "header", element("p", Plain(job.job), class_="job") if job.job else Markup(""),
        element("div", element("h1", Plain(job.title or job.instrument or "Wiring")),
                element("p", Plain(under)) if under else Markup(""), class_="names"),
        element("p", Plain(page.warning), class_="stamp") if page.warning else Markup(""),
    )


def _controls(page: PlayerPage) -> Markup:
    """Hidden until the script shows it: without script nothing could be picked."""
    made = page.played
    groups = [_group(f"{kind[0]}{i}", made.controls[i] if kind == "control" else made.knobs[i],
                     (page.control_pictures if kind == "control" else page.knob_pictures)[i],
                     fixed=made.chosen and kind == "control") for kind, i in page.order]
    picker = [_positions(made)] if made.chosen else []
    hints = [element("p", Plain(h), class_="hint") for h in page.hints]
    rest = [element("button", Plain("All knobs to rest"), type="button", id="rest")] if made.knobs else []
    heading = element("h2", Plain("Set the controls" if groups or picker else "No controls"), id="h-controls")
    return element("section", heading, *picker, element("div", *groups, class_="panel"),
                   element("div", *rest, *hints, class_="below"), id="controls", aria_labelledby="h-controls",
                   hidden=True)


def _group(key: str, choice: Choice, picture: Sheet, fixed: bool) -> Markup:
    """A control as a group of radio buttons beside its picture; a fixed one only shows where it stands."""
    drawn = element("div", inline_svg(picture), class_="picture", data_key=key)
    if fixed:
        shown = element("p", id=f"{key}-word", class_="word")
        return element("div", element("p", Plain(_upper(choice.says)), class_="legend"),
                       element("div", drawn, shown, class_="set"), class_="control", data_kind=choice.kind)
    unit = "Knob at " if choice.kind == "knob" else ""
    options = [_option(f"{key}-{i}", key, i, word, i == choice.rest, unit) for i, word in enumerate(choice.words)]
    return element("fieldset", element("legend", Plain(_upper(choice.says))),
                   element("div", drawn, element("div", *options, class_="options"), class_="set"),
                   class_="control", data_kind=choice.kind)


def _option(own: str, name: str, value: int, word: str, checked: bool, unit: str = "") -> Markup:
    said = element("span", Plain(unit), class_="unseen") if unit else Markup("")
    return element("span", element("input", type="radio", id=own, name=name, value=str(value), checked=checked),
                   element("label", said, Plain(word), for_=own), class_="option")


def _positions(made: Played) -> Markup:
    options = [_option(f"p-{i}", "p", i, title, i == 0) for i, title in enumerate(made.titles)]
    return element("fieldset", element("legend", Plain("Position")), element("div", *options, class_="options list"),
                   class_="control wide")


def _heard(page: PlayerPage) -> Markup:
    facts = [element("div", element("dt", Plain(word)), element("dd", id=f"f-{key}"), id=f"d-{key}")
             for key, word in FACTS]
    shown = element("ul", *(_pickup(one) for one in page.pickups), class_="pickups")
    key = element("figcaption", element("span", Plain("as set"), class_="k-picked"),
                  element("span", Plain("knobs at rest"), class_="k-rest", id="k-rest"))
    figure = element("figure", element("div", inline_svg(page.chart), role="img", id="chart", aria_label="Response"),
                     key)
    return element("section", element("h2", Plain("What you hear"), id="h-heard"),
                   element("p", id="set", class_="set-words"), element("p", id="says", class_="says"), shown,
                   element("dl", *facts), element("p", id="f-why", class_="hint"), figure, id="heard",
                   aria_labelledby="h-heard", hidden=True)


def _pickup(one: Pickup) -> Markup:
    coils = [element("span", Plain(f"{words}: "), element("b", data_coil=name), class_="coil")
             for name, words in one.coils]
    head = [element("span", Plain(_upper(one.says)), class_="name")] if len(one.coils) > 1 else []
    return element("li", element("div", inline_svg(one.picture), class_="pickup"), *head, *coils)


def _wiring(page: PlayerPage) -> Markup:
    count = len({tag for light in page.played.lights for tag in light.leads})
    picture = element("div", inline_svg(page.diagram), role="img", id="diagram",
                      aria_label=f"Wiring diagram; {count} leads carry signal in some position")
    scroll = element("div", picture, class_="scroll", tabindex="0", role="region", aria_label="Wiring diagram")
    key = element("p", element("span", Plain("carries the signal, to the plug or back on ground"), class_="k-lit"),
                  element("span", Plain("contact closed, carrying"), class_="k-contact"),
                  element("span", Plain("contact closed, idle"), class_="k-idle"),
                  element("span", Plain("pickup sounds"), class_="k-sounds"), class_="key")
    view = element("p", Plain("Seen from the back, cover off: the technician's side."), class_="hint")
    return element("section", element("h2", Plain("Live path"), id="h-wiring"), view, scroll, key, id="wiring",
                   aria_labelledby="h-wiring")


def _all(page: PlayerPage) -> Markup:
    head = element("tr", *(element("th", Plain(h), scope="col") for h in page.heads))
    rows = [element("tr", element("th", Plain(_upper(row[0])), scope="row"),
                    *(element("td", Plain(cell or "–")) for cell in row[1:])) for row in page.table]
    table = element("table", element("thead", head), element("tbody", *rows))
    count = f"All {len(rows)} positions" if len(rows) > 1 else "The one position"
    said = f"{'Chosen positions' if page.played.chosen else count}, knobs at rest"
    head = element("summary", element("h2", Plain(said), id="h-all"))
    scroll = element("div", table, class_="scroll", tabindex="0", role="region", aria_label="Table of positions")
    return element("section", element("details", head, scroll, open=True), id="all", aria_labelledby="h-all")


def _footer(page: PlayerPage) -> Markup:
    check = f"File check {page.job.checksum}. Made by diagramgen {page.version}."
    return element("footer", *(element("p", Plain(note)) for note in page.notes), element("p", Plain(check)))


def _known(page: PlayerPage) -> dict[str, Any]:
    """What the script shows: state to row, row and setting to outcome and light. It works out nothing."""
    made, scale = page.played, page.scale
    area = scale.area
    # The grid runs from the lowest frequency in even steps of its logarithm.
    step = (area.right - area.left) * math.log(FREQUENCIES[1] / FREQUENCIES[0]) / math.log(HIGHEST / LOWEST)
    return {
        "chosen": made.chosen, "alone": made.alone, "rest": list(made.settings[0]),
        "settings": [list(s) for s in made.settings], "positions": [list(n) for n in made.numbers],
        "row": list(made.of_state), "rows": [[n for pair in row for n in pair] for row in made.rows],
        "words": [list(c.words) for c in made.controls],
        "outcomes": [{"says": _upper(o.says), "phase": o.phase, "hum": o.hum, "reads": o.reads, "why": _upper(o.why),
                      "peak": o.peak, "battery": o.battery, "others": o.elsewhere, "spoken": o.sentence,
                      "coils": dict(o.coils), "curve": list(o.curve)} for o in made.outcomes],
        "lights": [[list(one.leads), list(one.carrying), list(one.idle)] for one in made.lights],
        "plot": {"left": area.left, "bottom": area.bottom, "top": area.top, "step": round(step, 6), "low": scale.low,
                 "high": scale.high},
    }


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _shipped(name: str) -> str:
    return (folder("page") / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")


def _faces(body: str) -> str:
    return "".join(_face(frozenset(body), bold) for bold in (False, True))


def _face(characters: frozenset[str], bold: bool) -> str:
    held = base64.b64encode(woff_subset(frozenset(c for c in characters if c.isprintable()), bold)).decode("ascii")
    return (f"@font-face{{font-family:'{FAMILY}';font-weight:{700 if bold else 400};"
            f"src:url(data:font/woff;base64,{held}) format('woff')}}\n")
