"""Response curves: each distinct sound of a build or the states and knobs asked for, what its knobs do in the first
of them, and what a treble bleed does; numbers as CSV.

A curve is the power sum over all coils of what 1 V of EMF in each gives at the amplifier (phase is said apart).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from diagramgen.circuit.bleeds import Bleed, bleeds, without
from diagramgen.circuit.check_wanted import chosen_states, words
from diagramgen.circuit.coil_words import assumed_words, sound_words
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.sounds import GRID
from diagramgen.circuit.state_table import StateTable, response_of
from diagramgen.circuit.values import knobs_of
from diagramgen.drawing.plot import Curve, plot
from diagramgen.drawing.scene import Mark, Role, Sheet, Text
from diagramgen.job.output_words import output_words
from diagramgen.kernel.columns import Column, cells, csv_table
from diagramgen.kernel.geometry import Box, Point
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import RESISTANCE, number, quantity
from diagramgen.lettering import fit, line_pitch, wrap
from diagramgen.sheets.context import SheetMaker
from diagramgen.sheets.frame import JobLine, framed
from diagramgen.sheets.sheet_kind import Request

MOST_SOUNDS, MOST_KNOBS, MOST_BLEEDS = 8, 4, 4
TURNS = (10.0, 7.0, 4.0, 0.0)
BLEED_TURNS = (7.0, 4.0, 2.0)
FREQUENCIES = GRID[::2]
"""Hz, 80 to 20,000."""
NOTHING_DB = 0.1
"""A knob that changes the curve by less has no chart."""
FLOOR_DB = -120.0
"""What is quieter is silence."""
STAMP = "response curves"
LETTERING = 2.0


@dataclass(frozen=True)
class Picture:
    """One chart: what it shows and its curves."""

    title: str
    where: str
    """The state, where all curves are of one."""
    curves: tuple[Curve, ...]


@dataclass(frozen=True)
class Chosen:
    """What was asked for: numbers of states (none: every different sound) and settings of knobs (none: at rest)."""

    states: tuple[int, ...] = ()
    knobs: tuple[Mapping[str, float], ...] = ()


def curves_asked(chart: StateTable, request: Request) -> Chosen:
    """What a print asks for of the curves."""
    states = chosen_states(chart, [dict(pairs) for pairs in request.states]) if request.states else ()
    return Chosen(states, tuple(dict(pairs) for pairs in request.knobs))


def pictures(
    chart: StateTable, chosen: Chosen = Chosen(), notation: bool = False
) -> tuple[list[Picture], list[Picture], list[Picture]]:
    """The charts of the sounds, of the knobs and of the bleeds; all empty where nothing is heard.

    ``notation``: what sounds as files have it (``neck.a + neck.b``), else in words.
    """
    says = _Says(chart, notation)
    firsts = [r.first for i, r in enumerate(chart.results) if r.like == i and not r.silent and any(
        output.own(dict(chart.space.plugs(r.first))) for output in chart.outputs)]
    states = list(chosen.states) or firsts
    if not states:
        return [], [], []
    base = chosen.knobs[0] if chosen.knobs else {}
    sounds = _chosen_sounds(says, chosen, states) if chosen != Chosen() else [_all_sounds(says, states)]
    return sounds, _knob_study(says, states[0], base), list(_bleed_study(says, states, base))[:MOST_BLEEDS]


@dataclass(frozen=True)
class _Says:
    """A chart, and how its sounds are said."""

    chart: StateTable
    notation: bool

    def sound(self, index: int, output: Output) -> str:
        """What sounds at an output in a state."""
        chart = self.chart
        sound = chart.result(index).at(output).sound
        at = f" at {output_words(chart.build, output, chart.outputs)}" if chart.several else ""
        return (sound.network if self.notation else sound_words(sound, chart.build)) + at

    def state(self, index: int, output: Output) -> str:
        """A state and what sounds at an output in it."""
        return f"{words(self.chart.space.state(index), self.chart.space)}: {self.sound(index, output)}"


def _all_sounds(says: _Says, states: Sequence[int]) -> Picture:
    """One chart of the sounds that differ, as many as it holds."""
    chart = says.chart
    every = [(i, output) for i in states for output in _heard(chart, i)]
    if chart.several:  # one output sounds on as before while the other changes
        every = list({(chart.result(i).at(output)): (i, output) for i, output in reversed(every)}.values())[::-1]
    shown = every[:MOST_SOUNDS]
    curves = tuple(_curve(says, i, {}, output) for i, output in shown)
    left = len(every) - len(shown)
    more = f"; {left} more are not shown" if left else ""
    count = f"{len(shown)} different sounds" if len(shown) > 1 else "One sound"
    return Picture(f"{count}, knobs at 10, blends and trimmers at 5{more}{_marked(chart)}", "", curves)


def _chosen_sounds(says: _Says, chosen: Chosen, states: Sequence[int]) -> list[Picture]:
    """Every chosen state with every setting of the knobs, at every output where it is heard; charts of eight."""
    chart = says.chart
    curves: list[Curve] = []
    for index in states:
        for knobs in chosen.knobs or ({},):
            curves += [_curve(says, index, knobs, output) for output in _heard(chart, index) or chart.outputs[:1]]
    rest = "other knobs" if chosen.knobs else "knobs"
    return [Picture(f"As asked; {rest} at 10, blends and trimmers at 5{_marked(chart)}", "",
                    tuple(curves[i:i + MOST_SOUNDS])) for i in range(0, len(curves), MOST_SOUNDS)]


def _heard(chart: StateTable, index: int) -> list[Output]:
    """The outputs at which a state is heard."""
    return [one.output for one in chart.result(index).heard if not one.sound.silent]


def _curve(says: _Says, index: int, knobs: Mapping[str, float], output: Output) -> Curve:
    """One state with its knobs as given, called by what it sounds."""
    chart = says.chart
    where = words(chart.space.state(index), chart.space)
    turned = ", ".join(f"{name.removesuffix('.turn')} at {turn:g}" for name, turn in knobs.items())
    remark = f"{where}, {turned}" if turned else where
    return Curve(says.sound(index, output), _levels(chart, index, knobs, output), remark)


def _bleed_study(says: _Says, states: Sequence[int], base: Mapping[str, float]) -> Iterator[Picture]:
    """For each bleed a state of few coils in which it is heard: its volume part way down, with it and without it."""
    chart = says.chart
    done: set[Bleed] = set()
    for index in sorted(states, key=lambda i: len(chart.result(i).coils)):
        state = chart.space.state(index)
        for bleed in (one for one in bleeds(chart.build, state) if one not in done):
            for output in _heard(chart, index):
                curves = _with_and_without(chart, index, bleed, base, output)
                gap = np.array(curves[1].points)[:, 1] - np.array(curves[2].points)[:, 1]
                if float(np.abs(gap).max()) < NOTHING_DB:
                    continue
                done.add(bleed)
                called = bleed.knob.removesuffix(".turn")
                yield Picture(f"{called} with and without {' and '.join(bleed.parts)}", says.state(index, output),
                              tuple(curves))
                break


def _with_and_without(
    chart: StateTable, index: int, bleed: Bleed, base: Mapping[str, float], output: Output
) -> list[Curve]:
    """A volume part way down, with its bleed and without it."""
    plain = replace(chart, build=without(chart.build, bleed))
    curves = [Curve("at 10", _levels(chart, index, {**base, bleed.knob: 10.0}, output))]
    for turn in BLEED_TURNS:
        knobs = {**base, bleed.knob: turn}
        curves += [Curve(f"at {turn:g}, with", _levels(chart, index, knobs, output)),
                   Curve(f"at {turn:g}, without", _levels(plain, index, knobs, output))]
    return curves


def _knob_study(says: _Says, state: int, base: Mapping[str, float]) -> list[Picture]:
    """One chart a knob that changes something in a state, alone at 10, 7, 4 and 0."""
    chart = says.chart
    found = []
    for knob, rest in knobs_of(chart.build).items():
        part, _, control = knob.partition(".")
        known = chart.build.parts[part].symbol.control(control)
        if known is None or known.kind != "knob":
            continue
        called = knob.removesuffix(".turn")
        for output in _heard(chart, state) or chart.outputs[:1]:
            curves = tuple(Curve(f"at {turn:.0f}", _levels(chart, state, {**base, knob: turn}, output))
                           for turn in TURNS)
            levels = np.array([[db for _, db in c.points] for c in curves])
            if float(np.ptp(np.maximum(levels, FLOOR_DB), axis=0).max()) >= NOTHING_DB:
                rested = "" if rest == 10.0 else f" (at rest at {rest:.0f})"
                found.append(Picture(f"{called} turned alone{rested}", says.state(state, output), curves))
    return found[:MOST_KNOBS]


def _levels(chart: StateTable, state: int, knobs: Mapping[str, float], output: Output | None = None
            ) -> tuple[tuple[float, float], ...]:
    """(Hz, dB) of a state at an output (the main one): power sum of all coils over 1 V; silence with its plug out."""
    if all(one.output != (output or chart.outputs[0]) for one in chart.result(state).heard):
        return tuple((float(f), FLOOR_DB) for f in FREQUENCIES)
    _, response = response_of(chart.build, chart.space.state(state), {**chart.knobs, **knobs}, FREQUENCIES, output)
    power = (np.abs(response.transfers) ** 2).sum(axis=1)
    levels = 10 * np.log10(np.maximum(power, 10 ** (FLOOR_DB / 10)))
    return tuple((float(f), float(db)) for f, db in zip(FREQUENCIES, levels, strict=True))


def curve_sheets(
    chart: StateTable, job: JobLine, paper: Paper, warning: str = "", chosen: Chosen = Chosen()
) -> list[SheetMaker]:
    """Pages of sounds, of knobs and of bleeds; none where nothing is heard."""
    sounds, knobs, studies = pictures(chart, chosen)
    groups = [*([one] for one in sounds), knobs, studies]
    return [partial(_sheet, group, chart, job, paper.landscape(), warning) for group in groups if group]


def _sheet(
    group: Sequence[Picture], chart: StateTable, job: JobLine, paper: Paper, warning: str, n: int, of: int
) -> Sheet:
    page = framed(paper, job, STAMP, None, n, of, warning)
    room = Box(page.room.left + 4, page.room.top + 4, page.room.right - 4, page.room.bottom - 2)
    pitch = line_pitch(LETTERING)
    lines = [line for text in _rests_on(chart) for line in wrap(text, LETTERING, room.width)]
    foot = room.bottom - pitch * len(lines)
    marks: list[Mark] = [*page.marks]
    top, wide = room.top, 62.0
    if group[0].where:
        head = fit(f"Knobs in {group[0].where}{_marked(chart)}", 2.5, room.width, True)
        marks.append(Text(head, Point(room.left, top + 3.0), 2.5, bold=True, role=Role.NAME_TEXT))
        top, wide = top + 6.0, 24.0
    for picture, box in zip(group, _boxes(len(group), Box(room.left, top, room.right, foot - 2)), strict=True):
        own = "" if picture.where == group[0].where else f" in {picture.where}"
        marks.append(plot(picture.curves, box, picture.title + own, wide, "curves"))
    marks += [Text(line, Point(room.left, foot + LETTERING + i * pitch), LETTERING, role=Role.NOTE_TEXT)
              for i, line in enumerate(lines)]
    return Sheet(paper.width, paper.height, STAMP, tuple(marks), "curves")


def _boxes(count: int, room: Box) -> list[Box]:
    """Places for one chart, two above each other, or up to four in two columns."""
    if count == 1:
        return [room]
    columns, gap = (1 if count == 2 else 2), 6.0
    rows = (count + columns - 1) // columns
    wide = (room.width - gap * (columns - 1)) / columns
    tall = (room.bottom - room.top - gap * (rows - 1)) / rows
    corners = [(room.left + (i % columns) * (wide + gap), room.top + (i // columns) * (tall + gap))
               for i in range(count)]
    return [Box(x, y, x + wide, y + tall) for x, y in corners]


def _marked(chart: StateTable) -> str:
    return " · rests on assumed values, see foot" if chart.assumed or chart.build.load.assumed else ""


def _rests_on(chart: StateTable) -> list[str]:
    """Everything assumed, in words."""
    load = chart.build.load
    cable = number(load.cable_length / 1000 * load.cable_capacitance * 1e12, 0)
    lines = [
        f"Load: cable {cable} pF, amplifier {quantity(load.amplifier, RESISTANCE)}"
        f"{' (ASSUMED)' if load.assumed else ''}. 0 dB is 1 V at the amplifier for 1 V of EMF in each coil; the powers "
        "of coils are added, phase is said on the proof sheet. Levels compare only curves of the same coils: the place "
        "on the string is not counted. Coils are taken as not coupled.",
    ]
    if chart.assumed:
        lines.append(f"ASSUMED, typical values because nobody gave them: {assumed_words(chart.assumed, chart.build)}.")
    else:
        lines.append("All values of parts were given in the build.")
    return lines


def curves_csv(chart: StateTable, check: str = "", chosen: Chosen = Chosen()) -> str:
    """Write the numbers of all curves as CSV with a header and CR LF line ends (RFC 4180): a row a frequency."""
    curves = [(p, c) for group in pictures(chart, chosen, notation=True) for p in group for c in p.curves]
    columns: list[Column[int]] = [
        Column("frequency_hz", "Hz", "where the levels of this row are", lambda i: f"{FREQUENCIES[i]:.3f}"),
        *(_level_column(p, c) for p, c in curves),
        Column("assumed", "", "what values the curves rest on that nobody gave"),
        Column("file_check", "", "the first 8 digits of the checksum, as on the sheets"),
    ]
    assumed = " ".join((*chart.assumed, *(["load"] if chart.build.load.assumed else [])))
    rows = (cells(columns, i) for i in range(len(FREQUENCIES)))
    return csv_table(columns, rows, assumed=assumed, file_check=check)


def _level_column(picture: Picture, curve: Curve) -> Column[int]:
    where = f"{picture.where}, {picture.title}" if picture.where else curve.remark
    return Column(f"{where}: {curve.label} (dB)", "dB", "level of this curve", lambda i: f"{curve.points[i][1]:.3f}")
