"""The proof sheet: what was asked, what every position gives, what the meter must read, what is assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagramgen.circuit.check_wanted import coil_parts, judged, matching, sound_of, words
from diagramgen.circuit.coil_words import NO_PLUG, assumed_words, heard_words, network_words
from diagramgen.circuit.hum_words import hum_basis, hum_said, hum_words
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import AtOutput, StateResult, StateTable
from diagramgen.circuit.tolerances import band_words
from diagramgen.circuit.values import SECTIONS_APART, tapped
from diagramgen.job.output_words import at_words, output_words
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import FREQUENCY, RESISTANCE, number, quantity
from diagramgen.model.build import Build
from diagramgen.sheets.context import SheetMaker
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.paper_words import on_paper
from diagramgen.sheets.table import Column, Row, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0
MOST = 120
"""States listed one by one; beyond, each connection is listed once with its first state."""
STAMP = "proof: what each position gives"
PHASES = {"in": "in phase", "out": "OUT OF PHASE", "mixed": "mixed", "single": "one coil", "piezo": "one piezo",
          "silent": "–", "unknown": "unknown"}

ASKED = {"in": "in phase", "out": "out of phase", "mixed": "partly out of phase", "single": "one coil"}


def proof_sheets(
    chart: StateTable, problems: Sequence[Problem], job: JobLine, paper: Paper, warning: str = ""
) -> list[SheetMaker]:
    """The proof on as many sheets as it takes."""
    tables = [_asked(chart), _states(chart), _findings(problems, chart.build), _assumed(chart)]
    return list_sheets(tables, job, paper, STAMP, "proof", warning)


def _asked(chart: StateTable) -> Table:
    """Every promise of the file with what the wiring gives in all states it speaks of."""
    names = coil_parts(chart.build)
    rows = [Row(("What was asked, and whether the wiring gives it",), heading=True)]
    for wanted in chart.build.wanted:
        when = ", ".join(f"{k} {v}" for k, v in wanted.when.items()) or "always"
        when += f", {at}" if (at := at_words(chart.build, wanted.at)) else ""
        sounds = network_words(wanted.sounds, chart.build) if wanted.sounds else ""
        asked = "; ".join(t for t in (sounds, wanted.phase and ASKED.get(wanted.phase, f"phase {wanted.phase}"),
                                      wanted.hum and f"hum {wanted.hum}") if t)
        found = [m for state, r in matching(chart, wanted) for m in judged(wanted, state, sound_of(wanted, r), names)]
        if not found:
            answer = "yes"
        elif all(m.kind == "unknown" for m in found):
            signs = next((m for m in found if not m.of_turns), None)
            answer = ("cannot be proved: the signs of the coils were not metered" if signs is not None
                      else f"cannot be proved: {found[0].given}")
        else:
            answer = f"NO: gives {on_paper(found[0].given, chart.build)}"
        rows.append(Row((when, asked, answer), bold=2))
    columns = (Column("when", 60), Column("asked", 90), Column("given", 90))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _states(chart: StateTable) -> Table:
    states = f"{chart.count} position{'' if chart.count == 1 else 's'}"
    networks = f"{chart.networks} different connection{'' if chart.networks == 1 else 's'}"
    rows = [Row((f"{states}, {networks}; knobs at 10, blends and trimmers at 5",), heading=True)]
    indices = list(range(chart.count)) if chart.count <= MOST else [r.first for r in chart.results]
    for index in indices:
        result = chart.result(index)
        held = " (held)" if chart.space.momentary(index) else ""
        outs = _at_outputs(chart, result)
        for i, one in enumerate(outs):
            where = words(chart.space.state(index), chart.space) + held if not i else ""
            at = (output_words(chart.build, one.output, chart.outputs),) if chart.several else ()
            cells = _cells(one, chart.build) if result.heard else (NO_PLUG, "–", "–", "", "", "", "")
            like = _like(chart, index, result) if not i else ""
            rows.append(Row((where, *at, *cells, like), bold=1 + len(at)))
    at_column = (Column("at", 26),) if chart.several else ()
    columns = (Column("position", 52), *at_column, Column("sounds", 64), Column("phase", 30), Column("hum", 38),
               Column("plug reads", 22), Column("between", 34), Column("metered", 20),
               Column("resonance", 28), Column("sounds like", 30))
    return Table(*_filled(columns, rows), LETTERING)


def _at_outputs(chart: StateTable, result: StateResult) -> Sequence[AtOutput]:
    """What is said of a state: its main output, or every one whose plug is in where there are several."""
    main = AtOutput(chart.outputs[0], result.sound, result.reading)
    return result.heard or (main,) if chart.several else (main,)


def _filled(columns: Sequence[Column], rows: Sequence[Row]) -> tuple[tuple[Column, ...], tuple[Row, ...]]:
    """The table without the columns in which nothing stands."""
    kept = [i for i in range(len(columns)) if any(row.cells[i] for row in rows if not row.heading)]
    return (tuple(columns[i] for i in kept),
            tuple(row if row.heading else replace(row, cells=tuple(row.cells[i] for i in kept)) for row in rows))


def _like(chart: StateTable, index: int, result: StateResult) -> str:
    """The state that sounds the same, if any came before."""
    if result.like == int(chart.of_state[index]):
        return ""
    return words(chart.space.state(chart.results[result.like].first), chart.space)


def _cells(one: AtOutput, build: Build) -> tuple[str, ...]:
    reading = one.reading
    if reading.kind == "open":
        ohms, band = "open", ""
    elif reading.ohms is None or reading.low is None or reading.high is None:
        ohms, band = "no ohm test", ""
    else:
        ohms = quantity(reading.ohms, RESISTANCE)
        band = f"{quantity(reading.low, RESISTANCE)} to {quantity(reading.high, RESISTANCE)}" if reading.ohms else ""
    blank = "" if ohms == "no ohm test" else "________"
    return (heard_words(one, build), *_sound_cells(one.sound), ohms, band, blank, _peak(one.sound))


def _sound_cells(sound: Sound) -> tuple[str, str]:
    """Phase and hum."""
    marked = " (assumed)" if sound.assumed and sound.phase not in ("single", "silent") else ""
    return PHASES[sound.together] + marked, hum_words(sound) or "–"


def _peak(sound: Sound) -> str:
    if sound.peak_hz is None or sound.peak_db is None:
        return ""
    sign = "+" if sound.peak_db >= 0 else ""
    return f"{quantity(sound.peak_hz, FREQUENCY, 2)} {sign}{number(sound.peak_db)} dB"


def said(chart: StateTable, index: int) -> str:
    """What a state gives, in one line, or one for each output: what sounds, phase, hum, reading at the plug."""
    told = []
    for one in _at_outputs(chart, chart.result(index)):
        sounds, phase, _, ohms, band, *_ = _cells(one, chart.build)
        reads = f"plug reads {ohms}" + (f" ({band})" if band else "")
        at = f"At {output_words(chart.build, one.output, chart.outputs)}: " if chart.several else ""
        told.append(at + "; ".join(t for t in (sounds, phase, hum_said(one.sound), reads) if t and t != "–"))
    return ". ".join(told)


def _plug(chart: StateTable, output: Output) -> str:
    return f"the plug of {output_words(chart.build, output, chart.outputs)}" if chart.several else "the plug"


def _findings(problems: Sequence[Problem], build: Build) -> Table:
    said = [p for p in problems if p.code.startswith("CIR-")]
    rows = [Row((Tick(), p.severity.word, on_paper(p.message, build), on_paper(p.remedy, build)), bold=1)
            for p in sorted(said, key=lambda p: (-p.severity, p.place)) if p.severity >= Severity.NOTE]
    if rows:
        rows.insert(0, Row(("Findings",), heading=True))
    columns = (Column("", 7), Column("", 18), Column("", 130), Column("", 100))
    return Table(columns, tuple(rows), LETTERING, len(rows) < 9)


def _assumed(chart: StateTable) -> Table:
    load = chart.build.load
    cable = number(load.cable_length / 1000 * load.cable_capacitance * 1e12, 0)
    told = " (assumed)" if load.assumed else ""
    lines = [
        f"Load: cable {cable} pF, amplifier {quantity(load.amplifier, RESISTANCE)}{told}.",
        "Levels compare only positions of the same coils: the place on the string is not counted. Coils are taken as "
        f"not coupled. {hum_basis(one.sound for r in chart.results for one in r.heard)}".rstrip(),
        band_words(chart.build),
    ]
    lines += [SECTIONS_APART] if tapped(chart.build) else []
    lines += dict.fromkeys(f"No ohm test at {_plug(chart, output)}: {one.reading.why}." for output in chart.outputs
                           for _, one in chart.played(output) if one.reading.kind == "not meaningful")
    if chart.assumed:
        lines.append(f"Typical values, because nobody gave them: {assumed_words(chart.assumed, chart.build)}.")
    rows = [Row((line,)) for line in lines]
    rows.insert(0, Row(("What this rests on",), heading=True))
    return Table((Column("", 240),), tuple(rows), LETTERING, True)
