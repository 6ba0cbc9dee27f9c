"""What a technician wants to know at a glance, in words from the proof: what sounds where, what has no ground."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from diagramgen.circuit.coil_words import heard_words
from diagramgen.circuit.grounding import Grounded, apart, grounded
from diagramgen.circuit.rules.connections import is_strings
from diagramgen.circuit.state_table import AtOutput, StateTable
from diagramgen.circuit.states import Switch
from diagramgen.circuit.switch_effects import Effects, effect_words
from diagramgen.drawing.glance_labels import Ends
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Text
from diagramgen.job.output_words import mono_jacks, output_words
from diagramgen.kernel.geometry import Box, Point
from diagramgen.lettering import wrap

TALL = 2.5
"""Capital height on a bench page, mm."""
SMALL = 1.8
PITCH = 1.55
"""Line to line, in capital heights."""


@dataclass(frozen=True)
class Block:
    """A control: its name, where the others stand meanwhile, and for each position what sounds."""

    name: str
    meanwhile: str
    rows: tuple[tuple[str, str], ...]
    says: str = ""
    """What it changes, where all its positions sound the same coils; in place of the rows."""


@dataclass(frozen=True)
class Glance:
    """Data of the bench page in words."""

    blocks: tuple[Block, ...] = ()
    no_ground: tuple[str, ...] = ()
    """Metal that a hand can touch and that nothing surely grounds."""
    ends: tuple[Ends, ...] = ()
    """Selectors of which the file says which end of the travel lies toward neck and bridge."""
    network: tuple[str, ...] = ()
    """Touchable metal that resistors or capacitors, no wire, join to ground."""
    apart: tuple[str, ...] = ()
    """Touchable metal that is grounded only while the plug of its own jack is in."""
    strings: bool = True
    """Whether the strings are among the metal of the file, so that their ground was judged."""


NOTHING = Glance()


def glance(chart: StateTable) -> Glance:
    """The words for a build that was solved."""
    found = [(i, d) for i, d in enumerate(chart.space.switches) if d.kind != "plug"]
    effects = Effects(chart)
    heard: Heard = {}
    blocks = tuple(_block(effects, heard, i, digit) for i, digit in reversed(found))
    metal = tuple(grounded(chart.build))
    touched = [one for one in metal if one.metal.touchable]
    bare = [_metal(one) for one in touched if not one.sure and not one.network]
    ends = tuple(e for (_, digit), block in zip(reversed(found), blocks, strict=True) for e in _ends(digit, block))
    return Glance((*blocks, *_steady(chart)), tuple(bare), ends, tuple(_metal(one) for one in touched if one.network),
                  tuple(_metal(one) for one in touched if apart(one)),
                  any(is_strings(one.part, one.metal) for one in metal))


def _metal(one: Grounded) -> str:
    return f"{one.part.says or one.part.name} ({one.metal.name})"


def _block(effects: Effects, heard: Heard, at: int, digit: Switch) -> Block:
    """A control stepped through while the others stand where it makes the most difference."""
    chart = effects.chart

    def sounds(numbers: tuple[int, ...], k: int) -> str:
        return "; ".join(_told(effects, heard, _with(numbers, at, k)))

    numbers = _meanwhile(chart, at, sounds)
    others = [f"{' and '.join(d.keys)} {d.words[numbers[i]]}" for i, d in enumerate(chart.space.switches)
              if i != at and d.kind != "plug"]
    told = [_told(effects, heard, _with(numbers, at, k)) for k in range(len(digit.positions))]
    # Of several outputs those are told which the control changes.
    shown = [i for i in range(len(chart.outputs)) if len({row[i] for row in told}) > 1] or range(len(chart.outputs))
    rows = tuple((_position(digit, k), "; ".join(_at(chart, i) + row[i] for i in shown)) for k, row in enumerate(told))
    says = ""
    if len({one for _, one in rows}) == 1 and len(rows) > 1:
        says = effect_words(effects.of(at), chart.build, measured=False) or "The same coils sound."
    return Block(" and ".join(digit.keys), "" if says else ", ".join(others), rows, says)


def _position(digit: Switch, k: int) -> str:
    """A position as the player says it, with the file's word where it is another."""
    named, said = digit.positions[k][0], digit.words[k]
    if said in ("neck", "bridge"):
        return f"{named}, toward {said}"
    return said if named == said or named in said.split() else f"{named}, {said}"


Heard = dict[AtOutput, str]
"""What was put into words already."""


def _told(effects: Effects, heard: Heard, numbers: tuple[int, ...]) -> list[str]:
    """What sounds at every output with the controls at these positions."""
    chart, said = effects.chart, []
    for output in chart.outputs:
        one = chart.result(chart.space.index(chart.space.for_output(numbers, output))).at(output)
        if one not in heard:
            heard[one] = heard_words(one, chart.build)
        said.append(heard[one])
    return said


def _at(chart: StateTable, number: int) -> str:
    """``piezo out ``; nothing where there is one output."""
    return f"{output_words(chart.build, chart.outputs[number], chart.outputs)} " if chart.several else ""


def _steady(chart: StateTable) -> Iterator[Block]:
    """Of several outputs those that give one sound in every position."""
    mono = mono_jacks(chart.build) if chart.several else ()
    for number, output in enumerate(chart.outputs if chart.several else ()):
        where = "in every position"
        if output.jack in mono or output.contact == "ring":
            where += f", with a {output.plug} plug"
        sounds = {heard_words(one, chart.build) for _, one in chart.played(output)}
        if len(sounds) == 1:
            yield Block(_at(chart, number).strip(), "", ((where, sounds.pop()),))


def _meanwhile(chart: StateTable, at: int, sounds: Callable[[tuple[int, ...], int], str]) -> tuple[int, ...]:
    """Positions of the other controls at which this one gives the most different sounds, the first that do."""
    digits = chart.space.switches
    zero = tuple(0 for _ in digits)
    tried = [zero, *(_with(zero, i, k) for i, d in enumerate(digits) if i != at and d.kind == "switch"
                     for k in range(1, len(d.positions)))]

    def worth(numbers: tuple[int, ...]) -> tuple[int, int]:
        told = [sounds(numbers, k) for k in range(len(digits[at].positions))]
        return len(set(told)), -sum(len(t) for t in told)

    return max(tried, key=worth)


def _with(numbers: tuple[int, ...], at: int, k: int) -> tuple[int, ...]:
    return (*numbers[:at], k, *numbers[at + 1:])


def _ends(digit: Switch, block: Block) -> Iterator[Ends]:
    if len(digit.keys) == 1 and (digit.words[0], digit.words[-1]) == ("bridge", "neck"):
        neck, bridge = ((f"toward {word}", f"{digit.positions[k][0]}: {block.rows[k][1]}")
                        for word, k in (("neck", -1), ("bridge", 0)))
        yield Ends(digit.keys[0].partition(".")[0], neck, bridge)


def glance_marks(said: Glance, at: Point, width: float, room: float) -> tuple[list[Mark], float]:
    """The block with its upper left corner at ``at``, at most ``room`` mm high; its marks and its height."""
    lines = list(_lines(said, width))
    kept: list[Mark] = []
    y = at.y
    for i, (text, height, bold, gap) in enumerate(lines):
        if y + gap + height * PITCH + (SMALL * PITCH if i + 1 < len(lines) else 0.0) > at.y + room:
            y += SMALL * PITCH
            kept.append(Text("more: see the proof sheet", Point(at.x, y), SMALL, bold=True, role=Role.NOTE_TEXT))
            break
        y += gap + height * PITCH
        kept.append(Text(text, Point(at.x, y), height, bold=bold, role=Role.NOTE_TEXT))
    return [Group(tuple(kept), "glance", "what sounds in each position", Kind.NOTE)], y - at.y + 1.0


def _lines(said: Glance, width: float) -> Iterator[tuple[str, float, bool, float]]:
    """Text, capital height, bold, and the gap above, mm."""
    for i, block in enumerate(said.blocks):
        yield block.name + " gives", TALL, True, 2.0 if i else 0.0
        for line in wrap(f"with {block.meanwhile}", SMALL, width) if block.meanwhile else ():
            yield line, SMALL, False, 0.0
        told = [block.says] if block.says else [f"{position}: {sounds}" for position, sounds in block.rows]
        for one in told:
            yield from ((line, TALL, False, 0.4 if not j else 0.0) for j, line in enumerate(wrap(one, TALL, width)))
    for j, line in enumerate(wrap(_ground_words(said), TALL, width, True)):
        yield line, TALL, True, 2.0 if not j else 0.0


def _ground_words(said: Glance) -> str:
    told = [f"{head}: {', '.join(names)}." for head, names in (
        ("No ground on", said.no_ground), ("To ground through a network, no wire", said.network),
        ("Grounded by the plug of one jack alone", said.apart)) if names]
    if not said.strings:
        told = told or ["All other metal a hand touches is grounded."]
        return " ".join(["The strings are not in the file: their ground was not judged.", *told])
    return " ".join(told) or "All metal a hand touches is grounded."


def glance_box(said: Glance, width: float, room: float) -> Box:
    """The size the block takes."""
    return Box(0.0, 0.0, width, glance_marks(said, Point(0, 0), width, room)[1])
