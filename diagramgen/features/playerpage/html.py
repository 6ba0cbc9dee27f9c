"""The player's page as one HTML file: nothing is fetched, and nothing runs but the script it was written with.

Style and script stand in the file and are let in by their SHA-256 alone (Content Security Policy, W3C). The words and
pictures are put together by ``body.html.j2``, the file around them by ``page.html.j2``. The same page gives the same
bytes.
"""

from __future__ import annotations

import base64
import math
from dataclasses import dataclass
from typing import Any

from diagramgen.drawing.plot import HIGHEST, LOWEST
from diagramgen.drawing.scene import Sheet
from diagramgen.features.playerpage.compute import FREQUENCIES, Choice
from diagramgen.features.playerpage.page import PlayerPage
from diagramgen.kernel.tokens import custom_properties
from diagramgen.lettering import FAMILY
from diagramgen.writers.markup import Markup
from diagramgen.writers.templates import capital, page_style, rendered, shipped, source_of
from diagramgen.writers.webfont import woff_subset

LARGEST = 5.5
"""Pixels of CSS for a mm of the diagram at most: beyond, a line shows no more."""
FACTS = (("phase", "Phase"), ("hum", "Hum"), ("reads", "Plug reads"), ("peak", "Resonance"), ("battery", "Battery"),
         ("others", "Other outputs"))
"""What is said of a position beside its coils: key in the data, heading."""


@dataclass(frozen=True)
class _Control:
    """A control as the page shows it: a group of radio buttons beside its picture."""

    key: str
    """``c0`` for the first control, ``k0`` for the first knob."""
    choice: Choice
    picture: Sheet
    fixed: bool
    """It only shows where it stands: positions are picked from a list."""


def html_bytes(page: PlayerPage) -> bytes:
    """Write the player's page as one HTML file in UTF-8.

    Raises: ValueError for a picture with a photograph, a link or a window, or a figure that is no finite number.
    """
    body = _body(page)
    script = shipped("playerpage/page.js")
    # A face holds what the page says in any position: the block of data is part of it.
    style = Markup(custom_properties() + _faces(body) + page_style()
                   + f"#diagram svg{{max-width:{round(page.diagram.width * LARGEST)}px}}\n")
    policy = (f"default-src 'none'; script-src '{source_of(script)}'; style-src '{source_of(style)}'; font-src data:; "
              "img-src data:; base-uri 'none'; form-action 'none'")
    title = " ".join(t for t in (page.job.job, page.job.title) if t) or "Wiring"
    return rendered("playerpage/page.html.j2", {
        "policy": policy, "version": page.version, "title": title, "style": style, "script": script, "body": body,
    }).encode()


def _body(page: PlayerPage) -> Markup:
    job, made = page.job, page.played
    under = " · ".join(t for t in (job.instrument, job.workshop, job.date, job.revision and f"revision {job.revision}")
                       if t)
    count = f"All {len(page.table)} positions" if len(page.table) > 1 else "The one position"
    return rendered("playerpage/body.html.j2", {
        "page": page, "made": made, "facts": FACTS, "under": under, "controls": _controls(page),
        "lit": len({tag for light in made.lights for tag in light.leads}), "known": _known(page),
        "all_words": f"{'Chosen positions' if made.chosen else count}, knobs at rest",
    })


def _controls(page: PlayerPage) -> list[_Control]:
    made = page.played
    shown = {"control": (made.controls, page.control_pictures), "knob": (made.knobs, page.knob_pictures)}
    return [_Control(f"{kind[0]}{i}", shown[kind][0][i], shown[kind][1][i], made.chosen and kind == "control")
            for kind, i in page.order]


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
        "outcomes": [{"says": capital(o.says), "phase": o.phase, "hum": o.hum, "reads": o.reads, "why": capital(o.why),
                      "peak": o.peak, "battery": o.battery, "others": o.elsewhere, "spoken": o.sentence,
                      "coils": dict(o.coils), "curve": list(o.curve)} for o in made.outcomes],
        "lights": [[list(one.leads), list(one.carrying), list(one.idle)] for one in made.lights],
        "plot": {"left": area.left, "bottom": area.bottom, "top": area.top, "step": round(step, 6), "low": scale.low,
                 "high": scale.high},
    }


def _faces(body: str) -> str:
    return "".join(_face(frozenset(body), bold) for bold in (False, True))


def _face(characters: frozenset[str], bold: bool) -> str:
    held = base64.b64encode(woff_subset(frozenset(c for c in characters if c.isprintable()), bold)).decode("ascii")
    return (f"@font-face{{font-family:'{FAMILY}';font-weight:{700 if bold else 400};"
            f"src:url(data:font/woff;base64,{held}) format('woff')}}\n")
