"""Crowded builds for measuring what is drawn: lugs behind one another, small cavities, leads that pass many lugs.

``dense_builds.py NAME`` writes one; without a name the names of all. Every figure is invented; no instrument is meant.
"""

from __future__ import annotations

import sys

SMALL = "{rounded: [104, 66], corner: 14}"
WIDE = "{rounded: [128, 70], corner: 14}"
LONG = "{rounded: [172, 62], corner: 14}"
TALL = "{rounded: [118, 96], corner: 18}"
CHANNELS = {
    SMALL: ("0 40", "60 66", "104 33"), WIDE: ("0 40", "70 70", "128 35"),
    LONG: ("66 62", "140 62", "172 30"), TALL: ("0 60", "40 96", "118 48"),
}
"""Where leads of the pickups, of the bridge and of the jack come in, per outline."""
DUAL = ("{{symbol: dual-coil, value: 4k1 4k0, through: pickups, "
        "colours: {{a start: red, a finish: white, b finish: green, b start: black, bare: bare}}}}")
SINGLE = "{{symbol: single-coil, value: 6k2, through: pickups, colours: {{finish: {}, start: black}}}}"
POT_LEADS = ["volume.zero -> volume.case, bend", "volume.wiper -> output.tip, red",
             "volume.case -> output.sleeve, black", "strings.ground -> volume.case, black"]


def single(name: str, colour: str = "white") -> str:
    """A single coil outside the cavity."""
    return f"{name}: " + SINGLE.format(colour)


def dual(name: str) -> str:
    """A dual coil with four conductors, outside the cavity."""
    return f"{name}: " + DUAL.format()


def build(shape: str, parts: list[str], leads: list[str], head: str = "", depth: int = 45) -> str:
    """A build file with one cavity, a jack and strings outside it."""
    at = CHANNELS[shape]
    lines = ["format: 1", "title: Crowded", "job: DB-1", *([] if "neck:" in head else ["neck: left"]),
             *head.splitlines(), f"cavity: {{shape: {shape}, depth: {depth}, wood above: 3}}", "channels:",
             f"  pickups: {{at: [{at[0].replace(' ', ', ')}], diameter: 10, length: 60}}",
             f"  bridge: {{at: [{at[1].replace(' ', ', ')}], diameter: 4, length: 80}}",
             f"  jack: {{at: [{at[2].replace(' ', ', ')}], diameter: 8, length: 40}}", "parts:",
             *(f"  {part}" for part in parts), "  output: jack-mono-open, through jack",
             "  strings: bridge-ground, through bridge", "leads:", *(f"  - {lead}" for lead in leads)]
    return "\n".join(lines) + "\n"


def series(name: str, to: str, case: str = "volume.case") -> list[str]:
    """A dual coil with both coils in series, its link on a lug of its own where ``to`` names one as second word."""
    hot, _, link = to.partition(" | ")
    return [f"{name}.a start -> {hot}", *(f"{name}.{end} -> {link}" for end in ("a finish", "b finish")),
            f"{name}.b start -> {case}", f"{name}.bare -> {case}"]


def two_and_two(shape: str = SMALL, pot: str = "pot-16", places: str = "22 20, 52 20, 82 20, 38 48", head: str = "",
                more: tuple[str, ...] = (), third: str = "toggle-mini-dpdt-on-on-on-a") -> str:
    """Two volumes, two tones and a toggle."""
    at = [one.strip() for one in places.split(",")]
    names = ["neck-volume", "bridge-volume", "neck-tone", "bridge-tone"]
    parts = [f"{name}: {pot}, 500k log, at {spot}" for name, spot in zip(names, at, strict=False)]
    parts += [f"selector: {third}, at {at[4]}", single("neck"), single("bridge-pickup", "yellow")]
    parts += [f"{n}-cap: capacitor-film, 22n, between {n}-tone.zero and {n}-tone.case" for n in ("neck", "bridge")]
    leads = ["neck.finish -> neck-volume.ten", "neck.start -> neck-volume.case",
             "bridge-pickup.finish -> bridge-volume.ten", "bridge-pickup.start -> bridge-volume.case",
             "neck-volume.ten -> neck-tone.wiper, green", "bridge-volume.ten -> bridge-tone.wiper, blue",
             "neck-volume.wiper -> selector.a 1, white", "bridge-volume.wiper -> selector.b 2, yellow",
             "selector.a common -> selector.b common, bare", "selector.a common -> output.tip, red",
             "neck-volume.zero -> neck-volume.case, bend", "bridge-volume.zero -> bridge-volume.case, bend",
             "bus: [neck-volume.case, bridge-volume.case, bridge-tone.case, neck-tone.case]",
             "neck-tone.case -> output.sleeve, black", "strings.ground -> neck-volume.case, black", *more]
    return build(shape, parts, leads, head)


def blend(shape: str = SMALL, head: str = "", grounds: str = "black", kind: str = "pot-blend",
          places: tuple[str, str, str] = ("22 24", "52 24", "82 24"), marks: str = "") -> str:
    """Two pickups over a blend pot, with a volume and a tone."""
    parts = [f"volume: pot-24, 250k log, at {places[1]}", f"blend: {kind}, at {places[0]}",
             f"tone: pot-24, 250k log, at {places[2]}", single("neck"), single("other", "yellow"),
             "cap: capacitor-film, 47n, between tone.zero and tone.case"]
    leads = ["neck.finish -> blend.front wiper", "other.finish -> blend.rear wiper", "neck.start -> blend.case",
             "other.start -> blend.case", f"blend.front zero -> volume.ten, white{marks}",
             f"blend.rear ten -> volume.ten, green{marks}", f"blend.front ten -> blend.case, {grounds}",
             f"blend.rear zero -> blend.case, {grounds}", "volume.ten -> tone.wiper, blue",
             "bus: [blend.case, volume.case, tone.case]", *POT_LEADS]
    return build(shape, parts, leads, head)


def concentric(shape: str = SMALL, head: str = "", places: tuple[str, str, str] = ("22 24", "52 24", "84 24")) -> str:
    """Volume and tone of each pickup on one shaft, and a toggle between them."""
    parts = [f"neck-pot: pot-concentric, at {places[0]}", f"bridge-pot: pot-concentric, at {places[1]}",
             f"selector: toggle-mini-dpdt-on-on-on-a, at {places[2]}", single("neck"), single("other", "yellow")]
    leads = []
    for coil, pot in (("neck", "neck-pot"), ("other", "bridge-pot")):
        parts.append(f"{coil}-cap: capacitor-film, 22n, between {pot}.rear zero and {pot}.case")
        leads += [f"{coil}.finish -> {pot}.front ten", f"{coil}.start -> {pot}.case",
                  f"{pot}.front ten -> {pot}.rear wiper, green", f"{pot}.front zero -> {pot}.case, black"]
    leads += ["neck-pot.front wiper -> selector.a 1, white", "bridge-pot.front wiper -> selector.b 2, yellow",
              "selector.a common -> selector.b common, bare", "selector.b common -> output.tip, red",
              "neck-pot.case -> bridge-pot.case, bare", "bridge-pot.case -> output.sleeve, black",
              "strings.ground -> neck-pot.case, black"]
    return build(shape, parts, leads, head)


def push_pulls(shape: str = WIDE, head: str = "", kind: str = "pot-24-push-pull", marks: str = "",
               places: tuple[str, str] = ("30 26", "70 26"), third: str = "102 34", common: str = "near") -> str:
    """Two dual coils, each split by the switch under a knob."""
    parts = [f"volume: {kind}, 500k log, at {places[0]}", f"tone: {kind}, 500k log, at {places[1]}",
             f"selector: toggle-mini-dpdt-on-on-on-a, at {third}", dual("neck"), dual("other"),
             "cap: capacitor-film, 22n, between tone.zero and tone.case"]
    leads = [*series("neck", "selector.a 1 | volume.a common"), *series("other", "selector.b 2 | tone.a common"),
             f"volume.a {common} -> volume.case, black{marks}", f"tone.a {common} -> tone.case, black{marks}",
             "selector.a common -> selector.b common, bare", "selector.b common -> volume.ten, blue",
             "volume.ten -> tone.wiper, green", "volume.case -> tone.case, bare", *POT_LEADS]
    return build(shape, parts, leads, head)


def four_pole(kind: str = "lever-5-four-pole", head: str = "", shape: str = LONG, at: str = "40 31") -> str:
    """Four poles of a lever: two select coils, one a tone, one grounds the rest."""
    parts = [f"lever: {kind}, at {at}", "volume: pot-24, 250k log, at 100 22", "tone: pot-24, 250k log, at 140 22",
             "cap: capacitor-film, 47n, between tone.zero and tone.case", dual("neck"), dual("other"),
             single("middle")]
    leads = ["neck.a start -> lever.a 5", "neck.a finish -> lever.b 5", "neck.b finish -> lever.b 5",
             "neck.b start -> volume.case", "neck.bare -> volume.case", "other.a start -> lever.a 1",
             "other.a finish -> lever.b 1", "other.b finish -> lever.b 1", "other.b start -> volume.case",
             "other.bare -> volume.case", "middle.finish -> lever.c 3", "middle.start -> volume.case",
             "lever.b common -> volume.case, black", "lever.a 1 -> lever.a 2, bare", "lever.a 4 -> lever.a 5, bare",
             "lever.c 2 -> lever.c 3, bare", "lever.c 3 -> lever.c 4, bare", "lever.a common -> lever.c common, bare",
             "lever.c common -> volume.ten, white", "lever.d 3 -> tone.wiper, green",
             "lever.d common -> volume.ten, blue", "bus: [volume.case, tone.case]", *POT_LEADS]
    return build(shape, parts, leads, head)


def rotary(kind: str = "rotary-4x5-two-decks", head: str = "", shape: str = TALL, at: str = "30 34") -> str:
    """A two-deck rotary that takes the coils of two dual coils apart."""
    parts = [f"turn: {kind}, at {at}", "volume: pot-24, 250k log, at 84 26", "tone: pot-24, 250k log, at 84 66",
             "cap: capacitor-film, 47n, between tone.zero and tone.case", dual("neck"), dual("other")]
    leads = ["neck.a start -> turn.a 1", "turn.a 1 -> turn.a 2, white", "neck.a finish -> turn.b 1",
             "neck.b finish -> turn.b 1", "neck.b start -> volume.case", "neck.bare -> volume.case",
             "other.a start -> turn.c 4", "turn.c 4 -> turn.c 5, yellow", "other.a finish -> turn.d 2",
             "other.b finish -> turn.d 2", "other.b start -> volume.case", "other.bare -> volume.case",
             "turn.b common -> volume.case, black", "turn.d common -> volume.case, black",
             "turn.a common -> turn.c common, bare", "turn.a common -> volume.ten, blue",
             "volume.ten -> tone.wiper, green", "bus: [volume.case, tone.case]", *POT_LEADS]
    return build(shape, parts, leads, head, depth=50)


def three_minis(head: str = "", shape: str = LONG, kind: str = "toggle-mini-dpdt-on-off-on", marks: str = "",
                places: tuple[str, str, str] = ("22 24", "46 24", "70 24")) -> str:
    """A mini toggle for each of three coils: on, off, reversed."""
    coils = (("neck", "white"), ("middle", "yellow"), ("last", "red"))
    parts = ["volume: pot-24, 250k log, at 104 24", "tone: pot-24, 250k log, at 140 24",
             "cap: capacitor-film, 47n, between tone.zero and tone.case"]
    leads = []
    for i, (coil, colour) in enumerate(coils):
        parts += [single(coil, colour), f"{coil}-switch: {kind}, at {places[i]}"]
        leads += [f"{coil}.finish -> {coil}-switch.a common", f"{coil}.start -> {coil}-switch.b common",
                  f"{coil}-switch.a 1 -> {coil}-switch.b 2, blue{marks}",
                  f"{coil}-switch.b 1 -> {coil}-switch.a 2, black{marks}",
                  f"{coil}-switch.a 1 -> volume.ten, {colour}", f"{coil}-switch.b 1 -> volume.case, black"]
    leads += ["volume.ten -> tone.wiper, green", "volume.case -> tone.case, bare", *POT_LEADS]
    return build(shape, parts, leads, head)


def rings(head: str = "", shape: str = WIDE) -> str:
    """Two mode rings outside, a push-pull inside with the ground of both braids on it."""
    parts = ["volume: pot-24-push-pull, 500k log, at 30 26", "tone: pot-24, 500k log, at 70 26",
             "selector: toggle-mini-dpdt-on-on-on-a, at 104 34", "neck-mode: pickup-ring-two-slides, through pickups",
             "other-mode: pickup-ring-two-slides, through pickups", dual("neck"), dual("other"),
             "cap: capacitor-film, 22n, between tone.zero and tone.case"]
    leads = []
    for coil in ("neck", "other"):
        leads += [f"{coil}.{end} -> {coil}-mode.{end}" for end in ("a start", "a finish", "b start", "b finish")]
        leads.append(f"{coil}.bare -> {coil}-mode.ground")
    leads += ["neck-mode.out -> selector.a 1, white, shielded, shield to neck-mode.ground, shield to volume.case",
              "other-mode.out -> selector.b 2, red, shielded, shield to other-mode.ground, shield to volume.a far",
              "volume.a far -> volume.case, black", "selector.a common -> selector.b common, bare",
              "selector.b common -> volume.ten, blue", "volume.ten -> tone.wiper, green",
              "volume.a common -> volume.wiper, green", "volume.b common -> volume.ten, violet",
              "volume.case -> tone.case, bare", *POT_LEADS]
    return build(shape, parts, leads, head)


def holes_in_top(kind: str = "pot-concentric") -> str:
    """Holes in the top, lugs behind one another."""
    return f"""format: 1
title: Crowded
job: DB-1
neck: left
cavities:
  top: {{opened from: none, wood above: 5, opening: 26}}
channels:
  pickups: {{in: top, at: [10, 0], diameter: 20, length: 60}}
  tail: {{in: top, at: [10, 70], diameter: 6, length: 110}}
parts:
  selector: toggle-short, in top, at 20 34
  one: {kind}, in top, at 58 20
  two: {kind}, in top, at 92 20
  output: jack-barrel, in top, at 62 70
  neck: {{symbol: single-coil, value: 6k2, through: pickups, colours: {{finish: white, start: black}}}}
  other: {{symbol: single-coil, value: 6k2, through: pickups, colours: {{finish: yellow, start: black}}}}
  cap: capacitor-film, 22n, between one.rear zero and one.case
  strings: bridge-ground, through tail
leads:
  - neck.finish -> one.front ten
  - other.finish -> two.front ten
  - neck.start -> one.case
  - other.start -> two.case
  - one.front ten -> one.rear wiper, green
  - one.front zero -> one.case, black
  - two.front zero -> two.case, black
  - two.rear zero -> two.case, black
  - one.front wiper -> selector.up, white
  - two.front wiper -> selector.down, yellow
  - selector.common -> output.tip, red
  - selector.frame -> one.case, black
  - one.case -> two.case, bare
  - two.case -> output.sleeve, black
  - strings.ground -> output.sleeve, black
"""


def no_cavity() -> str:
    """Nothing measured, a blend pot and a push-pull."""
    return """format: 1
title: Crowded
job: DB-1
parts:
  neck: {symbol: single-coil, value: 6k2, colours: {finish: white, start: black}}
  other: {symbol: single-coil, value: 6k2, colours: {finish: yellow, start: black}}
  blend: pot-blend
  volume: pot-24-push-pull, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  bleed: {symbol: bleed-parallel, value: 150k 680p, between: [volume.ten, volume.a far]}
  output: jack-mono-open
leads:
  - neck.finish -> blend.front wiper
  - other.finish -> blend.rear wiper
  - neck.start -> blend.case
  - other.start -> blend.case
  - blend.front zero -> volume.ten, white
  - blend.rear ten -> volume.ten, green
  - blend.front ten -> blend.case, black
  - blend.rear zero -> blend.case, black
  - volume.a common -> volume.wiper, blue
  - volume.b far -> volume.case, black
  - volume.ten -> tone.wiper, yellow
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - bus: [blend.case, volume.case, tone.case]
  - tone.case -> output.sleeve, black
"""


PLACES = "20 18, 48 18, 76 18, 34 48, 64 46"
LEFT = "hand: left\nplan made for: right\nneck: right"
PLAYER = "seen from: player's side"

BUILDS: dict[str, str] = {
    "two-and-two-small": two_and_two(places=PLACES),
    "two-and-two-left": two_and_two(places=PLACES, head=LEFT),
    "two-and-two-player": two_and_two(places=PLACES, head=PLAYER),
    "two-and-two-24": two_and_two(TALL, "pot-24", "22 24, 22 70, 60 24, 60 70, 96 52"),
    "two-and-two-via": two_and_two(places=PLACES, more=("neck-tone.case -> bridge-volume.case, black, via 48 40",)),
    "two-and-two-over": two_and_two(
        places=PLACES, more=("neck-volume.wiper -> neck-tone.zero, violet, over bridge-volume",)),
    "two-and-two-wall": two_and_two(places=PLACES, more=("bridge-tone.case -> neck-tone.case, black, along wall",)),
    "two-and-two-slide": two_and_two(places=PLACES, third="slide-dpdt"),
    "blend": blend(),
    "blend-bare": blend(grounds="bare"),
    "blend-left": blend(head=LEFT),
    "blend-player": blend(head=PLAYER),
    "blend-twisted": blend(marks=", via 40 50"),
    "blend-turned": blend(places=("22 36, turned 180", "52 24", "82 24")),
    "concentric": concentric(),
    "concentric-left": concentric(head=LEFT),
    "concentric-turned": concentric(places=("22 40, turned 180", "52 24", "84 24")),
    "push-pulls": push_pulls(),
    "push-pulls-left": push_pulls(head=LEFT),
    "push-pulls-far": push_pulls(common="far", marks=", via 50 58"),
    "push-push": push_pulls(kind="pot-24-push-push"),
    "push-pulls-near": push_pulls(places=("26 24", "56 24"), third="94 30"),
    "four-pole-lever": four_pole(),
    "four-pole-inline": four_pole("lever-inline-5-four-pole"),
    "four-pole-left": four_pole(head=LEFT),
    "two-decks": rotary(),
    "two-decks-player": rotary(head=PLAYER),
    "two-decks-shorting": rotary("rotary-4x5-two-decks-shorting", head=LEFT),
    "three-minis": three_minis(),
    "three-minis-near": three_minis(places=("18 20", "36 20", "54 20")),
    "three-minis-bare": three_minis(marks=", note sleeved", kind="toggle-mini-dpdt-on-on"),
    "rings": rings(),
    "rings-left": rings(head=LEFT),
    "holes-in-top": holes_in_top(),
    "holes-in-top-blend": holes_in_top("pot-blend"),
    "no-cavity": no_cavity(),
}
"""Name -> text of the build file."""

if __name__ == "__main__":
    sys.stdout.write(BUILDS[sys.argv[1]] if len(sys.argv) > 1 else "\n".join(BUILDS) + "\n")
