"""How each meaning looks in print: one table from role, emphasis and colour to a style.

Line widths of drawing lines are from the ISO 128 series (0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm). Parts recede
(pale fill, thin line); leads lead. Every edge of a lead stands at 3:1 or more against white paper (WCAG 2.2
SC 1.4.11) and every text at 4.5:1 or more against its ground (SC 1.4.3), so that a grey print loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from diagramgen.drawing.lightness import contrast, lightness
from diagramgen.drawing.scene import Emphasis, Role
from diagramgen.kernel import tokens
from diagramgen.kernel.colours import BARE
from diagramgen.kernel.tokens import INK, PAPER
from diagramgen.layout.pads import LEAD_EDGE_WIDTH, LEG_WIDTH, STRONG_LEAD, STRONG_LEG

LEAD_WIDTH = 0.85
"""Width of a lead's coloured body in mm."""
LEAD_HALO_WIDTH = 1.9
"""Width of the white band that shows an upper lead passing over a lower one, in mm."""

APART_IN_GREY = 20.0
"""Stripe and base nearer in CIE L* than this get a line at each stripe's end (our own figure, tried by eye)."""


@dataclass(frozen=True)
class Style:
    """How a mark is painted; widths in mm, colours ``#rrggbb`` or empty for none."""

    stroke: str = ""
    width_mm: float = 0.0
    fill: str = ""
    dash: tuple[float, ...] = ()
    cap: Literal["butt", "round", "square"] = "round"
    join: Literal["miter", "round", "bevel"] = "round"
    text_colour: str = INK


@dataclass(frozen=True)
class Shade:
    """The print shades of one lead colour: its body and the edge drawn around it."""

    body: str
    edge: str


SHADES: dict[str, Shade] = {
    "BK": Shade("#33373d", "#000000"),
    "BN": Shade("#8a5a2f", "#462a12"),
    "RD": Shade("#dd2a2a", "#6f0f12"),
    "OG": Shade("#f58a1f", "#7d3f06"),
    "YE": Shade("#f7d628", "#6d5a04"),
    "GN": Shade("#2c9a45", "#0d4a1f"),
    "BU": Shade("#2b66cf", "#0f2c66"),
    "VT": Shade("#8a4fc0", "#3e1c60"),
    "GY": Shade("#868d95", "#42484f"),
    "WH": Shade("#ffffff", "#33373d"),
    "PK": Shade("#f7a3c3", "#8c2f58"),
    "GD": Shade("#cda434", "#5f4708"),
    "TQ": Shade("#35bdb6", "#0a5652"),
    "SR": Shade("#c3cad1", "#4d555c"),
    "GNYE": Shade("#2c9a45", "#0d4a1f"),
    BARE: Shade("#d9b48f", "#6b4423"),
}
"""Our own print shades of insulation, by IEC 60757 code; ``GNYE`` gets its yellow as a stripe."""

_NO_COLOUR = Shade("#b9bec4", "#42484f")


def _line(colour: str, width: float, *dash: float) -> Style:
    return Style(stroke=colour, width_mm=width, dash=dash, cap="butt" if dash else "round")


def _area(fill: str, stroke: str = "", width: float = 0.0) -> Style:
    return Style(stroke=stroke, width_mm=width, fill=fill)


def _text(colour: str = INK) -> Style:
    return Style(fill=colour, text_colour=colour)


_TABLE: dict[Role, Style] = {
    Role.PAGE: _area(PAPER),
    Role.FRAME: replace(_line(INK, 0.7), join="miter"),
    Role.PANEL: _area(tokens.PANEL, tokens.RULE, 0.18),
    Role.WOOD: _area(tokens.WOOD, tokens.WOOD_EDGE, 0.25),
    Role.CAVITY_FLOOR: _area(tokens.CAVITY_FLOOR),
    Role.CAVITY_WALL: _line(tokens.CAVITY_WALL, 0.5),
    Role.POST: _area(tokens.POST, tokens.CUT_EDGE, 0.25),
    Role.CHANNEL: _area(tokens.CHANNEL, tokens.CUT_EDGE, 0.25),
    Role.DOOR: _line(tokens.CAVITY_WALL, 0.25, 2.4, 1.0),
    Role.BODY: _area(tokens.METAL, tokens.EDGE, 0.25),
    Role.BODY_DETAIL: _line(tokens.METAL_DETAIL, 0.18),
    Role.SHIELD: replace(_area(tokens.SHIELD, tokens.SHIELD_EDGE, 0.25), dash=(1.2, 0.6)),
    Role.HIDDEN: _line(tokens.UNSEEN, 0.25, 1.6, 0.9),
    Role.BUSHING: _area(tokens.BUSHING, tokens.EDGE, 0.18),
    Role.SHAFT: _area(tokens.SHAFT, tokens.EDGE, 0.18),
    Role.HOLE: _area(PAPER, tokens.EDGE, 0.25),
    Role.CENTRE: _line(tokens.UNSEEN, 0.18, 4.0, 0.8, 0.5, 0.8),
    Role.LUG: _area(tokens.BRASS, tokens.BRASS_EDGE, 0.25),
    Role.LUG_HOT: _area(tokens.HOT_BRASS, tokens.HOT_BRASS_EDGE, 0.35),
    Role.LUG_HOLE: _area(PAPER, tokens.BRASS_EDGE, 0.18),
    Role.CASE_SPOT: _area(tokens.CASE_SPOT, tokens.CASE_SPOT_EDGE, 0.25),
    Role.GROUND: _line(INK, 0.35),
    Role.JOINT: _area(tokens.SOLDER, INK, 0.18),
    Role.JOINT_GROUND: _area(PAPER, INK, 0.35),
    Role.LEG: _line(tokens.LEG, LEG_WIDTH),
    Role.LEAD_HALO: replace(_line(PAPER, LEAD_HALO_WIDTH), cap="butt"),
    Role.LEAD_EDGE: _line("", LEAD_EDGE_WIDTH),
    Role.LEAD_BODY: _line("", LEAD_WIDTH),
    Role.LEAD_STRIPE_END: _line("", LEAD_WIDTH, 1.35, 2.05),
    Role.LEAD_STRIPE: _line("", LEAD_WIDTH, 1.1, 2.3),
    Role.LEAD_SHEEN: _line(tokens.SHEEN, 0.18),
    Role.LEAD_BARE_TWIST: _line(tokens.COPPER_TWIST, LEAD_WIDTH, 0.2, 0.5),
    Role.JACKET: _area(tokens.JACKET, tokens.JACKET_EDGE, 0.25),
    Role.BRAID: _line(tokens.RULE, 0.25),
    Role.CLOTH: _line(tokens.JACKET_EDGE, 0.5, 0.35, 0.9),
    Role.TWIST_HALO: _line(PAPER, 1.0),
    Role.TWIST: _line(INK, 0.35),
    Role.LEADER: _line(tokens.MUTED_INK, 0.18),
    Role.TAG: _area(PAPER, tokens.MUTED_INK, 0.18),
    Role.TAG_TEXT: _text(),
    Role.NAME_TEXT: _text(),
    Role.VALUE_TEXT: _text(),
    Role.LUG_TEXT: _text(),
    Role.NOTE_TEXT: _text(),
    Role.TITLE_TEXT: _text(),
    Role.STAMP: replace(_area(PAPER, INK, 0.35), join="miter"),
    Role.STAMP_TEXT: _text(),
    Role.CAUTION: _area(tokens.WARNING_GROUND, tokens.WARNING, 0.35),
    Role.CAUTION_TEXT: _text(tokens.WARNING_INK),
    Role.WARNING: _area(tokens.ERROR_GROUND, tokens.ERROR, 0.5),
    Role.WARNING_TEXT: _text(tokens.ERROR_INK),
    Role.ARROW: _area(tokens.MUTED_INK, tokens.MUTED_INK, 0.35),
    Role.ARROW_TEXT: _text(),
    Role.DIMENSION: _line(tokens.MUTED_INK, 0.18),
    Role.DIMENSION_TEXT: _text(),
    Role.SCALE_BAR: replace(_line(INK, 0.25), cap="butt", join="miter"),
    Role.SCALE_BAR_FILL: _area(INK),
    Role.SCALE_TEXT: _text(),
    Role.TABLE_RULE: replace(_line(tokens.RULE, 0.18), cap="butt"),
    Role.TABLE_HEAD: _area(tokens.HEAD),
    Role.TABLE_HEAD_TEXT: _text(),
    Role.TABLE_TEXT: _text(),
    Role.TABLE_BAND: _area(tokens.PANEL),
    Role.SWATCH: _area(""),
    Role.SWATCH_STRIPE: _area(""),
    Role.SWATCH_EDGE: _line("", 0.25),
    Role.TICK_BOX: replace(_area(PAPER, INK, 0.25), join="miter"),
    Role.AXIS: replace(_line(INK, 0.25), cap="butt"),
    Role.GRID: replace(_line(tokens.GRID, 0.13), cap="butt"),
    Role.CURVE: _line(tokens.ACCENT, 0.5),
    Role.CROP: replace(_line(tokens.BLACK, 0.13), cap="butt"),
    Role.TILE_TEXT: _text(),
    Role.CODE: _area(tokens.BLACK),
    Role.SOLID: _area(INK),
}

TEXT_BACKGROUND: dict[Role, Role] = {
    Role.TAG_TEXT: Role.TAG,
    Role.STAMP_TEXT: Role.STAMP,
    Role.CAUTION_TEXT: Role.CAUTION,
    Role.WARNING_TEXT: Role.WARNING,
    Role.TABLE_HEAD_TEXT: Role.TABLE_HEAD,
    Role.TABLE_TEXT: Role.TABLE_BAND,
    Role.NAME_TEXT: Role.BODY,
    Role.VALUE_TEXT: Role.BODY,
    Role.LUG_TEXT: Role.CAVITY_FLOOR,
    Role.ARROW_TEXT: Role.CAVITY_FLOOR,
    Role.DIMENSION_TEXT: Role.WOOD,
}
"""The darkest ground a text role is set on; roles not named stand on paper."""

_LEAD_ROLES = frozenset(
    {Role.LEAD_HALO, Role.LEAD_EDGE, Role.LEAD_BODY, Role.LEAD_STRIPE_END, Role.LEAD_STRIPE, Role.LEAD_SHEEN,
     Role.LEAD_BARE_TWIST}
)
_ISO_WIDTHS = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)


def shade(code: str) -> Shade:
    """The print shades of a lead colour's base; an empty code gives a neutral grey.

    Raises ``ValueError`` for a code outside IEC 60757 (and ``BARE``).
    """
    base = code.partition("/")[0]
    if base and base not in SHADES:
        raise ValueError(f"no print shade for colour code {base!r}")
    return SHADES[base] if base else _NO_COLOUR


def stripe_shade(code: str) -> str:
    """The shade of a striped colour's stripe, or empty where the colour has none."""
    base, _, stripe = code.partition("/")
    if base == "GNYE":
        return SHADES["YE"].body
    return shade(stripe).body if stripe else ""


def stripe_end(code: str) -> str:
    """The shade of the line that ends a stripe as dark as its base, or empty where they are told apart in grey."""
    base, stripe = shade(code).body, stripe_shade(code)
    if not stripe or abs(lightness(base) - lightness(stripe)) >= APART_IN_GREY:
        return ""
    return max((PAPER, INK), key=lambda ink: min(contrast(ink, base), contrast(ink, stripe)))


@lru_cache(maxsize=4096)
def style_of(role: Role, emphasis: Emphasis = Emphasis.NORMAL, colour: str = "") -> Style:
    """The style of a mark; ``colour`` is a lead colour's code or, for other roles, a shade ``#rrggbb``.

    Raises ``ValueError`` for an unknown code.
    """
    style = _coloured(role, _TABLE[role], colour)
    if emphasis == Emphasis.STRONG:
        return _stronger(role, style)
    if emphasis == Emphasis.FAINT:
        return _fainter(role, style)
    return style


def _coloured(role: Role, style: Style, colour: str) -> Style:
    if role == Role.LEAD_EDGE:
        return replace(style, stroke=shade(colour).edge)
    if role == Role.LEAD_BODY:
        return replace(style, stroke=shade(colour).body)
    if role == Role.LEAD_STRIPE:
        return replace(style, stroke=stripe_shade(colour))
    if role == Role.LEAD_STRIPE_END:
        return replace(style, stroke=stripe_end(colour))
    if role == Role.SWATCH:
        return replace(style, fill=colour if colour.startswith("#") else shade(colour).body)
    if role == Role.SWATCH_STRIPE:
        return replace(style, fill=stripe_shade(colour))
    if role == Role.SWATCH_EDGE:
        return replace(style, stroke=shade(colour).edge)
    if not colour:
        return style
    if role == Role.TAG and not colour.startswith("#"):
        return replace(style, stroke=shade(colour).edge, width_mm=0.25)
    if not colour.startswith("#"):
        raise ValueError(f"role {role.value!r} takes a shade #rrggbb, not {colour!r}")
    if style.stroke:
        return replace(style, stroke=colour)
    return replace(style, fill=colour, text_colour=colour)


def _stronger(role: Role, style: Style) -> Style:
    if role in _LEAD_ROLES:
        return replace(style, width_mm=round(style.width_mm * STRONG_LEAD, 4))
    if role == Role.LEG:
        return replace(style, stroke=INK, width_mm=STRONG_LEG)
    if style.width_mm:
        wider = next((w for w in _ISO_WIDTHS if w > style.width_mm), style.width_mm)
        return replace(style, width_mm=wider)
    return style


def _fainter(role: Role, style: Style) -> Style:
    """Paler, yet edges of leads keep 3:1 and texts 4.5:1 against paper."""
    if role in (Role.LEAD_EDGE, Role.SWATCH_EDGE):
        return replace(style, stroke=tokens.FAINT_EDGE)
    if role.value.endswith("-text"):
        return replace(style, fill=tokens.FAINT_INK, text_colour=tokens.FAINT_INK)
    return replace(
        style,
        stroke=mixed(style.stroke, PAPER, 0.62) if style.stroke else "",
        fill=mixed(style.fill, PAPER, 0.62) if style.fill else "",
    )


def mixed(a: str, b: str, share: float) -> str:
    """The shade ``share`` of the way from ``a`` to ``b``, both ``#rrggbb``."""
    pairs = zip(_channels(a), _channels(b), strict=True)
    return "#" + "".join(f"{int(x + (y - x) * share + 0.5):02x}" for x, y in pairs)


def _channels(shade_: str) -> tuple[int, int, int]:
    return int(shade_[1:3], 16), int(shade_[3:5], 16), int(shade_[5:7], 16)
