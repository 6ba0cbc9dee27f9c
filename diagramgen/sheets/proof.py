"""The proof sheet: what was asked, what every position gives, what the meter must read, what is assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagramgen.circuit.chart import AtOutput, Chart, Result
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.sounds import Sound, hum_basis
from diagramgen.circuit.wanted import coil_parts, judged, matching, sound_of, words
from diagramgen.problems import Problem, Severity
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.lists import list_sheets
from diagramgen.sheets.panel import SheetMaker
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.table import Column, Row, Table, Tick
from diagramgen.units import FREQUENCY, RESISTANCE, number, quantity
from diagramgen.work.outputwords import at_words, output_words

LETTERING = 2.0
MOST = 120
"""States listed one by one; beyond, each network is listed once with its first state."""
STAMP = "proof: what each position gives"
PHASES = {"in": "in phase", "out": "OUT OF PHASE", "mixed": "mixed", "single": "one coil", "silent": "–",
          "unknown": "unknown"}


def proof_sheets(
    chart: Chart, problems: Sequence[Problem], job: JobLine, paper: Paper, warning: str = ""
) -> list[SheetMaker]:
    """The proof on as many sheets as it takes."""
    tables = [_asked(chart), _states(chart), _findings(problems), _assumed(chart)]
    return list_sheets(tables, job, paper, STAMP, "proof", warning)


def _asked(chart: Chart) -> Table:
    """Every promise of the file with what the wiring gives in all states it speaks of."""
    names = coil_parts(chart.build)
    rows = [Row(("What was asked, and whether the wiring gives it",), heading=True)]
    for wanted in chart.build.wanted:
        when = ", ".join(f"{k} {v}" for k, v in wanted.when.items()) or "always"
        when += f", {at}" if (at := at_words(chart.build, wanted.at)) else ""
        asked = "; ".join(t for t in (wanted.sounds, wanted.phase and f"phase {wanted.phase}",
                                      wanted.hum and f"hum {wanted.hum}") if t)
        found = [m for state, r in matching(chart, wanted) for m in judged(wanted, state, sound_of(wanted, r), names)]
        if not found:
            answer = "yes, in every state it speaks of"
        elif all(m.kind == "unknown" for m in found):
            answer = "cannot be proved: the signs of the coils were not metered"
        else:
            answer = f"NO: gives {found[0].given}"
        rows.append(Row((when, asked, answer), bold=2))
    columns = (Column("when", 60), Column("asked", 90), Column("given", 90))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _states(chart: Chart) -> Table:
    states = f"{chart.count} state{'' if chart.count == 1 else 's'}"
    networks = f"{chart.networks} network{'' if chart.networks == 1 else 's'}"
    rows = [Row((f"{states}, {networks}; knobs at 10, blends and trimmers at 5",), heading=True)]
    indices = list(range(chart.count)) if chart.count <= MOST else [r.first for r in chart.results]
    for index in indices:
        result = chart.result(index)
        held = " (held)" if chart.space.momentary(index) else ""
        outs = _at_outputs(chart, result)
        for i, one in enumerate(outs):
            where = words(chart.space.state(index), chart.space) + held if not i else ""
            at = (output_words(chart.build, one.output, chart.outputs),) if chart.several else ()
            cells = _cells(one)
            like = _like(chart, index, result) if not i else ""
            rows.append(Row((where, *at, *cells, like), bold=1 + len(at)))
    at_column = (Column("at", 26),) if chart.several else ()
    columns = (Column("position", 52), *at_column, Column("sounds", 64), Column("phase", 30), Column("hum", 22),
               Column("plug reads", 22), Column("between", 34), Column("metered", 20),
               Column("resonance", 28), Column("sounds like", 30))
    return Table(*_filled(columns, rows), LETTERING)


def _at_outputs(chart: Chart, result: Result) -> Sequence[AtOutput]:
    """What is said of a state: its main output, or every one whose plug is in where there are several."""
    main = AtOutput(chart.outputs[0], result.sound, result.reading)
    return result.heard or (main,) if chart.several else (main,)


def _filled(columns: Sequence[Column], rows: Sequence[Row]) -> tuple[tuple[Column, ...], tuple[Row, ...]]:
    """The table without the columns in which nothing stands."""
    kept = [i for i in range(len(columns)) if any(row.cells[i] for row in rows if not row.heading)]
    return (tuple(columns[i] for i in kept),
            tuple(row if row.heading else replace(row, cells=tuple(row.cells[i] for i in kept)) for row in rows))


def _like(chart: Chart, index: int, result: Result) -> str:
    """The state that sounds the same, if any came before."""
    if result.like == int(chart.of_state[index]):
        return ""
    return words(chart.space.state(chart.results[result.like].first), chart.space)


def _cells(one: AtOutput) -> tuple[str, ...]:
    reading = one.reading
    if reading.kind == "open":
        ohms, band = "open", ""
    elif reading.ohms is None or reading.low is None or reading.high is None:
        ohms, band = "no ohm test", ""
    else:
        ohms = quantity(reading.ohms, RESISTANCE)
        band = f"{quantity(reading.low, RESISTANCE)} to {quantity(reading.high, RESISTANCE)}" if reading.ohms else ""
    blank = "" if ohms == "no ohm test" else "________"
    return (*_sound_cells(one.sound), ohms, band, blank, _peak(one.sound))


def _sound_cells(sound: Sound) -> tuple[str, str, str]:
    """Network, phase and hum."""
    marked = " (assumed)" if sound.assumed and sound.phase not in ("single", "silent") else ""
    hum = {"silent": "–", "partly": f"{number(sound.hum_percent or 0, 0)} % left"}.get(sound.hum, sound.hum)
    return sound.network, PHASES[sound.phase] + marked, hum


def _peak(sound: Sound) -> str:
    if sound.peak_hz is None or sound.peak_db is None:
        return ""
    sign = "+" if sound.peak_db >= 0 else ""
    return f"{quantity(sound.peak_hz, FREQUENCY, 2)} {sign}{number(sound.peak_db)} dB"


def said(chart: Chart, index: int) -> str:
    """What a state gives, in one line, or one for each output: network, phase, hum, reading at the plug."""
    told = []
    for one in _at_outputs(chart, chart.result(index)):
        network, phase, hum, ohms, band, *_ = _cells(one)
        reads = f"plug reads {ohms}" + (f" ({band})" if band else "")
        at = f"At {output_words(chart.build, one.output, chart.outputs)}: " if chart.several else ""
        told.append(at + "; ".join([network, *(f"hum {hum}" if text is hum else text for text in (phase, hum)
                                               if text != "–"), reads]))
    return ". ".join(told)


def _plug(chart: Chart, output: Output) -> str:
    return f"the plug of {output_words(chart.build, output, chart.outputs)}" if chart.several else "the plug"


def _findings(problems: Sequence[Problem]) -> Table:
    said = [p for p in problems if p.code.startswith("C")]
    rows = [Row((Tick(), p.severity.word, f"{p.code}{_line(p)}: {p.message}", p.remedy), bold=1)
            for p in sorted(said, key=lambda p: (-p.severity, p.place)) if p.severity >= Severity.NOTE]
    if rows:
        rows.insert(0, Row(("Findings",), heading=True))
    columns = (Column("", 7), Column("", 18), Column("", 130), Column("", 100))
    return Table(columns, tuple(rows), LETTERING, len(rows) < 9)


def _line(problem: Problem) -> str:
    """Where in the file; nothing for what concerns the whole of it."""
    return f", line {problem.place.line}" if problem.place.line else ""


def _assumed(chart: Chart) -> Table:
    load = chart.build.load
    cable = number(load.cable_length / 1000 * load.cable_capacitance * 1e12, 0)
    told = " (assumed)" if load.assumed else ""
    lines = [
        f"Load: cable {cable} pF, amplifier {quantity(load.amplifier, RESISTANCE)}{told}.",
        "Levels compare only states of the same coils: the place on the string is not counted. Coils are taken as not "
        f"coupled. {hum_basis(one.sound for r in chart.results for one in r.heard)}",
        "Bands: coils metered loose 2 %, else 10 %; pot tracks 20 %, resistors 5 %; bench 20 °C ± 5 K, copper 0.39 % a "
        "kelvin (IEC 60028).",
    ]
    lines += dict.fromkeys(f"No ohm test at {_plug(chart, output)}: {one.reading.why}." for output in chart.outputs
                           for _, one in chart.played(output) if one.reading.kind == "not meaningful")
    if chart.assumed:
        lines.append("Typical values, because nobody gave them: " + ", ".join(chart.assumed) + ".")
    rows = [Row((line,)) for line in lines]
    rows.insert(0, Row(("What this rests on",), heading=True))
    return Table((Column("", 240),), tuple(rows), LETTERING, True)
