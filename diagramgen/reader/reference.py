"""The format reference, ``docs/format.md``, written from the reader's own field tables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from diagramgen.kernel.colours import WORDS
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.units import LENGTH, number
from diagramgen.reader import tables
from diagramgen.reader.grammar import (
    AngleKind,
    ColourKind,
    EndKind,
    GaugeKind,
    LongLength,
    PerMetre,
    PlaceKind,
    Raw,
    TagKind,
    ViaKind,
)
from diagramgen.reader.groups import ready_files, ready_group
from diagramgen.reader.leads import KIND_WORDS, LEAD, LeadKind
from diagramgen.reader.metered_values import MeteredKind
from diagramgen.reader.parts import GROUP_PART, PART, BetweenKind, ColoursKind, PartKind, ValueKind
from diagramgen.reader.position_keys import BesideControls
from diagramgen.reader.results import PLUG, RESULTS, Blank, Ohms
from diagramgen.reader.schema import COMMENT
from diagramgen.reader.taper_table import ValueOrTable
from diagramgen.reader.values import VOCABULARY
from diagramgen.yamlfile.schema_fields import (
    Choice,
    Field,
    Flag,
    FreeText,
    ListOf,
    MapOf,
    Measured,
    Number,
    Pattern,
    Record,
)

EXAMPLE = f"""\
{COMMENT}
format: 1
title: One single coil, one volume
job: LL-1107
neck: left
cavity:
  shape: {{rounded: [92, 62], corner: 12}}
  depth: 38
  wood above: 5
channels:
  pickup: {{at: [0, 42], diameter: 8, length: 70}}
  jack: {{at: [92, 34], diameter: 8, length: 40}}
  bridge: {{at: [70, 62], diameter: 4, length: 90}}
parts:
  volume: pot-24, 250k log, at 46 26
  pickup: {{symbol: single-coil, through: pickup, colours: {{finish: white, start: black}}}}
  output: jack-mono-open, through jack
  strings: bridge-ground, through bridge
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.wiper -> output.tip, red
  - volume.zero -> volume.case, bend      # the lug itself, bent over and soldered
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, bare
wanted:
  - {{when: {{output: mono plug in}}, sounds: pickup, hum: full}}
"""

INTRO = """\
# The build file

Written from the program's own tables by `python tools/make_reference.py`; do not edit by hand.

A build file is YAML, saved as UTF-8. Everything may be left out except what is marked *needed*; what is left
out is said on the sheets. All faults of a file are reported in one run, each with its line and column.

- One key and one value a line, a blank after the colon. Keys that belong together start in the same column.
- Places are millimetres, x to the right and y down, seen on the solder side looking into the opened cavity;
  `seen from: player's side` and `plan made for` say otherwise. In a `rounded` cavity they count from the upper
  left of the box around the outline; a polygon, path or SVG file keeps its own coordinates.
- Lengths are millimetres; `1.5 in`, `3/8 in`, `2 cm` are taken too. Values are taken as `500k`, `4k7`, `22n`,
  `473` (capacitors), `4.5 H`. Decimal commas are refused, never guessed.
- Names are letters, digits and hyphens, starting with a letter: `neck-volume`. Capitals do not matter.
- Of YAML only the plain part is taken: no anchors, aliases, tags, `<<`, second documents or doubled keys. No word is
  turned into another (`on` stays the word `on`).
- Anything unknown is a problem with the nearest valid name; nothing is ignored.
"""

LEADS = """\
## Lead lines

    - volume.wiper -> output.tip, red
    - neck.a start -> selector.up
    - volume.zero -> volume.case, bend
    - unknown -> selector.common, white, note comes out of the neck rout

A lead is `END -> END`, then remarks parted by commas, in any order. An end is `part.lug`, split at its first dot;
`unknown` where it is not traced yet; `parked` where the conductor is capped and left in the air. Lug names may hold
blanks (`neck.a start`; `neck.a-start` and `neck.a.start` are the same). No colon and no hash may stand in a lead line;
a comment after it starts with a hash and a blank.

A colour is a word (`red`, `white/black`: base, then stripe) or an IEC 60757 code (`RD`, `WH/BK`, `RDBU`). The colour of
a conductor of a part's own cable comes from the part's `colours`. What else a line may say is in the table of *a lead*
above: each key, then what it takes (`via 40 12`, `gauge 22 AWG`, `shield cut`).

Where no kind is said, it follows from the lugs: two conductors of cables are `sleeved`, the leg of a component is a
`leg`, a bare colour is `bare`, all else is `wire`. A component whose two legs are said hangs between their lugs, as
with `between`.

Leads without a `tag` are numbered W01, W02, ... in the order of the file (J01, ... for what needs no wire), past the
tags that are given. A lead with a tag keeps it when lines are put in.
"""

LUGS = """\
## Lug by lug

    lugs:
      selector.common: red, capacitor
      selector.up: white to neck.a start, bent to frame

What is found on a lug, in the order it is seen: a colour (a lead whose other end is a question until it is traced),
`COLOUR to part.lug`, the name of a component (one of its legs), `bent to lug`. A lead said at both of its lugs counts
once.
"""

VALUES = """\
## Values of a part

`value:` (or the bare remark in a one-line part) gives a part's values in the order its symbol lists them, each with its
unit where it needs one: `500k log`, `250k linear`, `7.2k 3.1 H`, `22n`. A law may be followed by the per cent of the
track between zero and wiper at half turn: `500k log 10%`. Values by name stand under `values`:
`{a-kick: plus, loss: 1M}`. A law metered on the bench is a table of turns and fractions of the track counted from
the zero end, `law: [[0, 0], [5, 0.1], [10, 1]]`; a last point `[9.9, open]` says where the wiper lets go.
Of a pickup whose coils are joined in series inside (dual coils with two conductors, or braided) a meter sees both coils
only: one value of ohms or henries alone is their total (`value: 7k4`, or `values: {resistance: 7k4}`) and is shared out
between the coils as they usually share it; two values (`3k9 3k5`) are one for each coil, and so are values by name
(`a-resistance`).
`turns`, `wire` (AWG gauge of the winding wire) and `area` (mean area of a turn in square mm) of a coil, where somebody
knows them, tell how much hum is left: `{turns: 7800, area: 510}`, `{wire: 42}`. `wire` without the name of a coil holds
for all coils of the pickup. Without turns, wire or metered inductances hum is a range only, or `most` of it goes: see
`circuit.md`.

How sure a value is, hangs on where it comes from, and the expected readings get their bands from that:

| the build says | taken as | band of a coil's ohms |
| --- | --- | --- |
| nothing | typical of its kind | 23 % of a single coil, 33 % of a dual one |
| a value | from the maker's sheet or the marking | 10 % |
| a value, and `metered: 3 May` | metered loose on this very part | 2 % |
| (a results file with the coil) | metered loose | 2 % |

`metered` holds for all values its part gives; `metered: {resistance: 3 May}` for those named.
"""

GROUPS = """\
## Groups

    parts:
      volume: group volume, at 40 30
      tone: group tone-branch, hot volume.hot, ground volume.ground, at 70 30
      output: {group: output, hot: volume.out, ground: volume.ground}

A group is placed with its ends named. Its parts are called after the placing: `tone-pot`, `tone-cap`. Inside a group a
lead says `end.hot` for the lug given where it is placed. What a group `gives` may be used elsewhere by name.
A build may define its own under `groups`; these are ready:
"""


def reference_text() -> str:
    """The whole reference, ending with one line end."""
    blocks = [INTRO, _example(), *_sections(), LEADS, _kinds(), _colour_table(), LUGS, VALUES, _words(), _ranges(),
              GROUPS + "\n" + _ready()]
    return "\n".join(block.rstrip() + "\n" for block in blocks)


def _example() -> str:
    return "## An example\n\n" + "\n".join(f"    {line}".rstrip() for line in EXAMPLE.splitlines())


def _sections() -> Iterator[str]:
    records = (("The file", tables.TOP), ("A cavity", tables.CAVITY), ("A shape", tables.SHAPE),
               ("A post", tables.POST), ("A plate", tables.PLATE), ("A channel", tables.CHANNEL), ("A part", PART),
               ("A placed group", GROUP_PART), ("A lead", LEAD), ("A cable", tables.CABLE),
               ("A group", tables.GROUP), ("A wanted state", tables.WANTED.record), ("The load", tables.LOAD),
               ("The hook-up wire", tables.WIRE), ("The customer's record", tables.WORK_RECORD),
               ("A photograph", tables.PHOTOGRAPH), ("The results file", RESULTS),
               ("A reading at the plug, in the results file", PLUG.record))
    for title, record in records:
        yield f"## {title}\n\n" + "\n".join(_table(record))


def _table(record: Record) -> Iterator[str]:
    if record.short_doc:
        yield f"In one line: {record.short_doc}\n"
    yield "| key | takes | meaning | default |"
    yield "| --- | --- | --- | --- |"
    for f in record.fields:
        default = f.default or ("*needed*" if f.required else "")
        yield f"| `{f.key}` | {_cell(takes(f))} | {_cell(f.doc)} | {_cell(default)} |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def takes(f: Field) -> str:
    """What a key takes, in words."""
    text = _kind(f.kind)
    return f"{text}, {f.unit}" if f.unit and f.unit not in text else text


_PLAIN: dict[type, str] = {
    Flag: "yes or no",
    EndKind: "part.lug, unknown or parked",
    ColourKind: "colour",
    TagKind: "tag such as W07",
    GaugeKind: "number",
    AngleKind: "number from -360 to 360",
    PlaceKind: "[x, y]",
    ViaKind: "[x, y] or a channel",
    LongLength: "length with its unit",
    PerMetre: "capacitance per metre",
    Raw: "value",
    ValueKind: "value",
    ValueOrTable: "value, or for a law [[turn, fraction], ...]",
    BetweenKind: "[part.lug, part.lug]",
    ColoursKind: "lugs with colours",
    MeteredKind: "text, or names of values with a text each",
    PartKind: "a part or a placed group",
    LeadKind: "a lead",
    tables.LeadList: "list of leads",
    tables.ShapeKind: "keys of a shape",
    tables.CavityKind: "keys of a cavity",
    tables.PolygonKind: "[[x, y], ...]",
    tables.EndNames: "list of names, or names with their meaning",
    Ohms: "resistance, or open",
    tables.LugWords: "words",
}


def _kind(kind: Any) -> str:
    if isinstance(kind, Blank):
        return _kind(kind.kind)
    if isinstance(kind, BesideControls):
        return f"keys of {kind.record.name}"
    if isinstance(kind, Record):
        return f"keys of {kind.name}"
    if isinstance(kind, Choice):
        return ", ".join(kind.words)
    if isinstance(kind, ListOf):
        return f"list of {_kind(kind.kind)}".replace("list of list of", "list of lists of")
    if isinstance(kind, MapOf):
        return f"names with {_kind(kind.kind)}"
    if isinstance(kind, Measured):
        return "length" if kind.kind is LENGTH else kind.kind.name
    if isinstance(kind, Number):
        whole = "whole number" if kind.whole else "number"
        return f"{whole} from {number(kind.low, 4)} to {number(kind.high, 4)}"
    if isinstance(kind, Pattern):
        return kind.what.removeprefix("a ").removeprefix("an ")
    if isinstance(kind, FreeText):
        return f"text of at most {kind.limit} characters"
    return _PLAIN[type(kind)]


def _kinds() -> str:
    rows = [f"| `{kind}` | {_cell(doc)} |" for kind, doc in KIND_WORDS.items()]
    return "\n".join(["### Kinds of lead", "", "| kind | meaning |", "| --- | --- |", *rows])


def _colour_table() -> str:
    rows = [f"| `{code}` | {word} | {short} |" for code, (word, short) in WORDS.items()]
    return "\n".join(["### Colours", "", "| code | word | printed |", "| --- | --- | --- |", *rows])


def _words() -> str:
    rows = [f"| `{name}` | {', '.join(dict.fromkeys(words.values()))} |" for name, words in VOCABULARY.items()]
    return "\n".join(["| a value whose name ends in | is one of |", "| --- | --- |", *rows])


def _ranges() -> str:
    from diagramgen.kernel.units import number, quantity
    from diagramgen.library.model import ELEMENT_FORMS
    from diagramgen.library.reader import QUANTITIES

    rows = []
    limits = ((element, *one) for element, form in ELEMENT_FORMS.items() for one in form.limits.items())
    for element, parameter, of in limits:
        kind = QUANTITIES.get(of.quantity or parameter)
        least, most = (quantity(x, kind) if kind else number(x) for x in (of.low, of.high))
        rows.append(f"| {element}, {parameter}{' in mm²' if parameter == 'area' else ''} | {least} | {most} |")
    return "\n".join(["Values outside these limits are taken for a slip of the pen:", "",
                      "| value | from | to |", "| --- | --- | --- |", *rows])


def _ready() -> str:
    rows = ["| group | ends | gives | what it is |", "| --- | --- | --- | --- |"]
    for name in ready_files():
        values = ready_group(name, Diagnostics())
        if values is not None:
            ends = ", ".join(f"`{e}`" for e in values.get("ends", {}))
            gives = ", ".join(f"`{e}`" for e in values.get("gives", {}))
            rows.append(f"| `{name}` | {ends} | {gives} | {_cell(' '.join(values.get('about', '').split()))} |")
    return "\n".join(rows)
