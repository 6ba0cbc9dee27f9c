"""Instruments that ``repairs.py`` breaks: each gives the sounds it promises. Invented, of many kinds."""

from __future__ import annotations

BUILDS: dict[str, str] = {
    "one volume": """
parts:
  pickup: dual-coil, 4k1 4k2
  volume: pot-24, 500k log
  output: jack-mono-open
  strings: bridge-ground
leads:
  - pickup.a start -> volume.ten
  - pickup.a finish -> pickup.b finish
  - pickup.b start -> volume.case
  - pickup.bare -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, white
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, black
wanted:
  - {when: {output: mono}, sounds: pickup.a + pickup.b, phase: in, hum: cancels}
""",
    "single coil with a tone": """
parts:
  pickup: single-coil-cover-tag, 6k2
  volume: pot-24, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 33n, between tone.wiper and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - pickup.cover -> volume.case
  - volume.zero -> volume.case, bend
  - volume.ten -> tone.zero, yellow
  - volume.case -> tone.case, bare
  - volume.wiper -> output.tip, white
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {output: mono}, sounds: pickup, phase: single, hum: full}
""",
    "two volumes, two tones, toggle": """
parts:
  neck: {symbol: dual-coil, value: 3k8 3k9, values: {a-kick: plus}}
  bridge: {symbol: dual-coil, value: 4k2 4k2, values: {a-kick: plus}}
  neck-volume: pot-24, 500k log
  neck-tone: pot-24, 500k log
  bridge-volume: pot-24, 500k log
  bridge-tone: pot-24, 500k log
  neck-cap: capacitor-film, 15n, between neck-tone.zero and neck-tone.case
  bridge-cap: capacitor-film, 22n, between bridge-tone.zero and bridge-tone.case
  selector: toggle-short
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.a start -> neck-volume.ten
  - neck.a finish -> neck.b finish
  - neck.b start -> neck-volume.case
  - neck.bare -> neck-volume.case
  - bridge.a start -> bridge-volume.ten
  - bridge.a finish -> bridge.b finish
  - bridge.b start -> bridge-volume.case
  - bridge.bare -> bridge-volume.case
  - neck-volume.zero -> neck-volume.case, bend
  - bridge-volume.zero -> bridge-volume.case, bend
  - neck-volume.ten -> neck-tone.wiper, green
  - bridge-volume.ten -> bridge-tone.wiper, blue
  - neck-volume.wiper -> selector.up, white
  - bridge-volume.wiper -> selector.down, yellow
  - selector.common -> output.tip, red
  - selector.frame -> neck-volume.case, black
  - bus: [neck-volume.case, neck-tone.case, bridge-tone.case, bridge-volume.case]
  - bridge-volume.case -> output.sleeve, black
  - strings.ground -> bridge-volume.case, black
wanted:
  - {when: {selector: up}, sounds: neck.a + neck.b, phase: in, hum: cancels}
  - {when: {selector: middle}, sounds: (neck.a + neck.b) || (bridge.a + bridge.b), phase: in, hum: cancels}
  - {when: {selector: down}, sounds: bridge.a + bridge.b, phase: in, hum: cancels}
""",
    "three singles, five-way lever": """
parts:
  neck: single-coil, 5k7 clockwise south
  middle: single-coil, 5k9 anticlockwise north
  bridge: single-coil, 6k4 clockwise south
  lever: lever-inline-5
  volume: pot-24, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 47n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - bridge.finish -> lever.a 1
  - middle.finish -> lever.a 2
  - neck.finish -> lever.a 3
  - lever.a common -> volume.ten, white
  - bridge.start -> volume.case
  - middle.start -> volume.case
  - neck.start -> volume.case
  - volume.ten -> tone.wiper, green
  - volume.zero -> volume.case, bend
  - volume.case -> tone.case, bare
  - lever.frame -> volume.case, black
  - volume.wiper -> output.tip, red
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {lever: 1}, sounds: bridge, phase: single, hum: full}
  - {when: {lever: 2}, sounds: bridge || middle, phase: in, hum: cancels}
  - {when: {lever: 3}, sounds: middle, phase: single, hum: full}
  - {when: {lever: 4}, sounds: middle || neck, phase: in, hum: cancels}
  - {when: {lever: 5}, sounds: neck, phase: single, hum: full}
""",
    "dual and single, split on a push-pull": """
parts:
  neck: single-coil, 6k1 anticlockwise south
  bridge: {symbol: dual-coil, value: 4k0 4k1, values: {a-kick: minus, a-magnet: south}}
  selector: toggle-short
  volume: pot-24, 500k log
  tone: pot-24-push-pull, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> selector.up
  - neck.start -> volume.case
  - bridge.a start -> selector.down
  - bridge.a finish -> tone.a common
  - bridge.b finish -> tone.a common
  - tone.a near -> tone.case, black
  - bridge.b start -> volume.case
  - bridge.bare -> volume.case
  - selector.common -> volume.ten, white
  - selector.frame -> volume.case, black
  - volume.ten -> tone.wiper, green
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {selector: up}, sounds: neck, phase: single, hum: full}
  - {when: {selector: down, tone: pushed}, sounds: bridge.a + bridge.b, phase: in, hum: cancels}
  - {when: {selector: down, tone: pulled}, sounds: bridge.a, phase: single, hum: full}
  - {when: {selector: middle, tone: pushed}, sounds: neck || (bridge.a + bridge.b)}
""",
    "series and parallel on a mini toggle": """
parts:
  pickup: dual-coil, 5k1 5k1
  mode: toggle-mini-dpdt-on-on
  volume: pot-16, 500k log
  output: jack-mono-open
  strings: bridge-ground
leads:
  - pickup.a start -> volume.ten
  - pickup.a start -> mode.b 1
  - pickup.a finish -> mode.a common
  - pickup.b finish -> mode.b common
  - pickup.b start -> volume.case
  - pickup.bare -> volume.case
  - mode.a 2 -> mode.b 2, bare
  - mode.a 1 -> volume.case, black
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, white
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, black
wanted:
  - {when: {mode: 2}, sounds: pickup.a + pickup.b, phase: in, hum: cancels}
  - {when: {mode: 1}, sounds: pickup.a || pickup.b, phase: in, hum: cancels}
""",
    "phase switch": """
parts:
  neck: single-coil, 5k8 clockwise south
  bridge: single-coil, 6k2 clockwise south
  flip: toggle-mini-dpdt-on-on
  selector: toggle-short
  volume: pot-24, 250k log
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> flip.a common
  - neck.start -> flip.b common
  - flip.a 1 -> flip.b 2, blue
  - flip.a 2 -> flip.b 1, yellow
  - flip.b 2 -> selector.up, white
  - flip.a 2 -> volume.case, black
  - bridge.finish -> selector.down
  - bridge.start -> volume.case
  - selector.common -> volume.ten, red
  - selector.frame -> volume.case, black
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, white
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, black
wanted:
  - {when: {selector: up}, sounds: neck, phase: single}
  - {when: {selector: down}, sounds: bridge, phase: single}
  - {when: {selector: middle, flip: 1}, sounds: neck || bridge, phase: in}
  - {when: {selector: middle, flip: 2}, sounds: neck || bridge, phase: out}
""",
    "blend of two bass singles": """
parts:
  neck: bass-single, 7k clockwise south
  bridge: bass-single, 7k2 anticlockwise north
  blend: pot-blend
  volume: pot-24, 250k log
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> blend.front wiper
  - bridge.finish -> blend.rear wiper
  - blend.front zero -> blend.rear ten, bare
  - blend.front zero -> volume.ten, white
  - blend.front ten -> blend.case, black
  - blend.rear zero -> blend.case, black
  - neck.start -> volume.case
  - bridge.start -> volume.case
  - blend.case -> volume.case, bare
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, black
wanted:
  - {when: {output: mono}, sounds: neck || bridge, phase: in, hum: cancels}
""",
    "two independent volumes, bass": """
parts:
  neck: bass-single, 7k clockwise south
  bridge: bass-single, 7k4 anticlockwise north
  neck-volume: pot-24, 250k log
  bridge-volume: pot-24, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 47n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> neck-volume.wiper
  - bridge.finish -> bridge-volume.wiper
  - neck.start -> neck-volume.case
  - bridge.start -> bridge-volume.case
  - neck-volume.ten -> bridge-volume.ten, white
  - bridge-volume.ten -> tone.wiper, yellow
  - tone.wiper -> output.tip, red
  - neck-volume.zero -> neck-volume.case, bend
  - bridge-volume.zero -> bridge-volume.case, bend
  - neck-volume.case -> bridge-volume.case, bare
  - bridge-volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {output: mono}, sounds: neck || bridge, phase: in, hum: cancels}
""",
    "mode ring": """
parts:
  pickup: dual-coil, 4k4 4k5
  ring: pickup-ring-two-slides
  volume: pot-24, 500k log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - pickup.a start -> ring.a start
  - pickup.a finish -> ring.a finish
  - pickup.b start -> ring.b start
  - pickup.b finish -> ring.b finish
  - pickup.bare -> ring.ground
  - ring.out -> volume.ten, white
  - ring.ground -> volume.case, black
  - volume.ten -> tone.wiper, green
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {ring: series}, sounds: pickup.a + pickup.b, phase: in, hum: cancels}
  - {when: {ring: parallel}, sounds: pickup.a || pickup.b, phase: in, hum: cancels}
  - {when: {ring: a}, sounds: pickup.a, phase: single, hum: full}
  - {when: {ring: b}, sounds: pickup.b, phase: single, hum: full}
""",
    "rotary, two duals": """
parts:
  neck: {symbol: dual-coil, value: 3k9 4k0, values: {a-kick: plus}}
  bridge: {symbol: dual-coil, value: 4k1 4k2, values: {a-kick: plus}}
  rotary: rotary-3x4
  volume: pot-24, 500k log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.wiper and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.a start -> rotary.a common
  - neck.a finish -> neck.b finish
  - neck.b start -> volume.case
  - neck.bare -> volume.case
  - bridge.a start -> rotary.b common
  - bridge.a finish -> bridge.b finish
  - bridge.b start -> volume.case
  - bridge.bare -> volume.case
  - rotary.a 1 -> volume.ten, white
  - rotary.a 1 -> rotary.a 2, bare
  - rotary.a 2 -> rotary.b 2, bare
  - rotary.b 2 -> rotary.b 3, bare
  - volume.ten -> tone.zero, yellow
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {rotary: 1}, sounds: neck.a + neck.b, phase: in, hum: cancels}
  - {when: {rotary: 2}, sounds: (neck.a + neck.b) || (bridge.a + bridge.b), phase: in, hum: cancels}
  - {when: {rotary: 3}, sounds: bridge.a + bridge.b, phase: in, hum: cancels}
  - {when: {rotary: 4}, sounds: silent}
""",
    "two braided duals, one volume": """
parts:
  neck: {symbol: dual-coil-braided, value: 4k0 4k0, values: {a-kick: plus}}
  bridge: {symbol: dual-coil-braided, value: 4k3 4k3, values: {a-kick: plus}}
  selector: toggle-upright
  volume: pot-24, 500k log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-barrel
  strings: bridge-ground
leads:
  - neck.hot -> selector.up
  - neck.braid -> volume.case
  - bridge.hot -> selector.down
  - bridge.braid -> volume.case
  - selector.up centre -> selector.down centre, bridge
  - selector.up centre -> volume.ten, white, shielded, shield to selector.frame, shield to volume.case
  - volume.zero -> volume.case, bend
  - volume.ten -> tone.wiper, green
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> volume.case, black
wanted:
  - {when: {selector: up}, sounds: neck.a + neck.b, phase: in, hum: cancels}
  - {when: {selector: middle}, sounds: (neck.a + neck.b) || (bridge.a + bridge.b), phase: in, hum: cancels}
  - {when: {selector: down}, sounds: bridge.a + bridge.b, phase: in, hum: cancels}
""",
    "bass, two singles, series on a push-pull": """
parts:
  neck: bass-single, 7k clockwise south
  bridge: bass-single, 7k3 anticlockwise north
  volume: pot-24-push-pull, 250k log
  tone: pot-24, 250k log
  cap: capacitor-film, 47n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.a common
  - bridge.finish -> volume.b common
  - volume.a far -> tone.case, black
  - volume.b far -> volume.ten, white
  - volume.a near -> volume.b near, bare
  - bridge.start -> volume.case
  - volume.ten -> tone.wiper, yellow
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {volume: pushed}, sounds: neck || bridge, phase: in, hum: cancels}
  - {when: {volume: pulled}, sounds: neck + bridge, phase: in, hum: cancels}
""",
    "three singles, lever with two tones": """
parts:
  neck: single-coil, 5k6 clockwise south
  middle: single-coil, 5k8 anticlockwise north
  bridge: single-coil, 6k1 clockwise south
  lever: lever-open-5
  volume: pot-24, 250k log
  neck-tone: pot-24, 250k log
  middle-tone: pot-24, 250k log
  cap: capacitor-film, 22n, between neck-tone.zero and neck-tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - bridge.finish -> lever.a 1
  - middle.finish -> lever.a 2
  - neck.finish -> lever.a 3
  - lever.a common -> lever.b common, bare
  - lever.b common -> volume.ten, white
  - lever.b 2 -> middle-tone.wiper, yellow
  - lever.b 3 -> neck-tone.wiper, green
  - neck-tone.zero -> middle-tone.zero, blue
  - bridge.start -> volume.case
  - middle.start -> volume.case
  - neck.start -> volume.case
  - volume.zero -> volume.case, bend
  - bus: [volume.case, neck-tone.case, middle-tone.case]
  - lever.frame -> volume.case, black
  - volume.wiper -> output.tip, red
  - middle-tone.case -> output.sleeve, black
  - strings.ground -> middle-tone.case, black
wanted:
  - {when: {lever: 1}, sounds: bridge, phase: single, hum: full}
  - {when: {lever: 2}, sounds: bridge || middle, phase: in, hum: cancels}
  - {when: {lever: 3}, sounds: middle, phase: single, hum: full}
  - {when: {lever: 4}, sounds: middle || neck, phase: in, hum: cancels}
  - {when: {lever: 5}, sounds: neck, phase: single, hum: full}
""",
}
