"""Every colour that is ours, by what it means: sheets, pages and the terminal take their colours from here.

Greys lean to the green of machine enamel, what can be picked or is heard is petrol, what is wrong is brick, what
wants care is ochre. The colours of insulation are the trade's and stand in ``drawing.style``.
Values are sRGB, ``#rrggbb``. What is read keeps 4.5:1 against its ground, what is only seen 3:1 (WCAG 2.2 SC 1.4.3
and 1.4.11).
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

# Ground and ink
PAPER: Final = "#ffffff"
BLACK: Final = "#000000"
"""Lines to cut along, and codes that a machine reads."""
INK: Final = "#17201c"
MUTED_INK: Final = "#3f4d46"
"""Words that stand back: units, dates, hints."""
FAINT_INK: Final = "#58665e"
"""Words of what is drawn faint: 4.5:1 on every ground."""

# Lines and plain areas
EDGE: Final = "#6c7b73"
"""Outline of what can be picked, and of parts."""
FAINT_EDGE: Final = "#80918a"
RULE: Final = "#86978e"
"""Lines of tables and panels on sheets."""
PALE_RULE: Final = "#c5d0ca"
"""Lines of tables and panels on pages."""
GRID: Final = "#d2dbd6"
PANEL: Final = "#f3f7f5"
"""Ground of a panel, and of every other row of a table."""
HEAD: Final = "#dfe8e3"
"""Head of a table."""

# What can be picked, what is heard
ACCENT: Final = "#1f6380"
DEEP_ACCENT: Final = "#12394b"
"""Words and outlines in the accent."""
HEARD: Final = "#8fbccd"
"""Edge around a coil that is heard, over the diagram."""
FAINTLY_HEARD: Final = "#bcd6df"
PALE_ACCENT: Final = "#e4eff3"
"""Ground of what the pointer is on."""
LIT: Final = "#f0cb55"
"""Band along a lead that is live."""
PICKED: Final = "#f8ebbd"
"""Ground of the line of a file that is followed."""

# What is wrong, what wants care
ERROR: Final = "#9e3d1f"
ERROR_INK: Final = "#702510"
ERROR_GROUND: Final = "#fae6dd"
WARNING: Final = "#876a10"
WARNING_INK: Final = "#4a3903"
WARNING_GROUND: Final = "#fbf1d0"

# Curves of one chart: 4.5:1 on paper each, and no two alike to a colour-blind eye
SERIES: Final = ("#1f6380", "#782a00", "#5f7a15", "#a8595e", "#282c74", "#6a563e", "#004333", "#3c1030")

# What parts are made of, as drawn
WOOD: Final = "#f4ede3"
WOOD_EDGE: Final = "#a08a6c"
CAVITY_FLOOR: Final = "#fbf9f5"
CAVITY_WALL: Final = "#7a6a53"
POST: Final = "#efe6d8"
CHANNEL: Final = "#ece6dc"
CUT_EDGE: Final = "#8f7a5c"
"""Outline of posts and channels."""
METAL: Final = "#eaf0ed"
METAL_DETAIL: Final = "#91a198"
BUSHING: Final = "#dce5e0"
SHAFT: Final = "#cdd7d2"
CASE_SPOT: Final = "#d3dcd7"
CASE_SPOT_EDGE: Final = "#4a5951"
UNSEEN: Final = "#77877f"
"""Edges behind something, and centre lines."""
SHIELD: Final = "#faf3ea"
SHIELD_EDGE: Final = "#a5825c"
BRASS: Final = "#f2e3b3"
BRASS_EDGE: Final = "#6b5a2a"
HOT_BRASS: Final = "#f2c66b"
"""A lug that carries the signal."""
HOT_BRASS_EDGE: Final = "#6b4a10"
SOLDER: Final = "#56655d"
LEG: Final = "#67776e"
"""Bare leg of a component."""
JACKET: Final = "#dee7e2"
JACKET_EDGE: Final = "#57665e"
SHEEN: Final = "#94a49b"
"""Light along black insulation."""
COPPER_TWIST: Final = "#9a6b43"

ON_PAGES = MappingProxyType({
    "paper": PAPER, "ink": INK, "muted": MUTED_INK, "edge": EDGE, "rule": PALE_RULE, "panel": PANEL, "head": HEAD,
    "accent": ACCENT, "deep-accent": DEEP_ACCENT, "pale-accent": PALE_ACCENT, "heard": HEARD,
    "faintly-heard": FAINTLY_HEARD, "lit": LIT, "picked": PICKED, "error": ERROR, "error-ink": ERROR_INK,
    "error-ground": ERROR_GROUND, "warning": WARNING, "warning-ink": WARNING_INK, "warning-ground": WARNING_GROUND,
})
"""Name of a custom property of the pages' styles -> its colour."""

TERMINAL = MappingProxyType({"error": "red", "warning": "yellow", "note": None})
"""Word of severity -> colour by the terminal's own name (its owner chose the shade); None leaves it as it is."""


def custom_properties() -> str:
    """Return the rule that gives a page its colours: ``:root{--paper:#ffffff;...}`` and a line end."""
    return ":root{" + ";".join(f"--{name}:{shade}" for name, shade in ON_PAGES.items()) + "}\n"
