"""docs/circuit.md and docs/problems.md state the figures the program works with; the worked examples come out."""

from __future__ import annotations

import ast
import math
import re
import runpy
from pathlib import Path

import pytest
from circuits import built, plug

from diagramgen.circuit import dc_readings as readings
from diagramgen.circuit import hum, sounds, states
from diagramgen.circuit import knob_sweep as turning
from diagramgen.circuit import state_table as chart
from diagramgen.circuit import tolerances as bands
from diagramgen.circuit import values as laws
from diagramgen.circuit.repair import search as repair
from diagramgen.circuit.rules import batteries as batteryrules
from diagramgen.circuit.rules import contacts as contactrules
from diagramgen.circuit.rules import knobs as knobrules
from diagramgen.circuit.rules import states as staterules

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE, PROBLEMS = (" ".join((DOCS / name).read_text(encoding="utf-8").split()) for name in ("circuit.md", "problems.md"))
BAND = f"from {turning.GRID[0]:g} Hz to {turning.GRID[-1] / 1000:g} kHz"
TREBLE = turning.GRID[turning.TREBLE]


@pytest.mark.parametrize("words", [
    f"`log` has {laws.LOG_PERCENT:g} % at half turn",
    f"from {sounds.LOWEST:g} Hz to {sounds.BAND_TOP / 1000:g} kHz",
    f"within {sounds.SOUNDS_DB:g} dB of the loudest, as weak beyond {sounds.WEAK_DB:g} dB",
    f"no coil's curve differs by {chart.SAME_DB:g} dB",
    f"{hum.CANCELS:g} % or less is called *cancels*, {hum.FULL:g} % or more *full*",
    f"metered loose counts {100 * bands.METERED:g} %",
    f"only its sheet's figure is given {100 * bands.SHEET:g} %",
    f"a single coil known by its kind {100 * bands.KIND['single']:g} % (5 to 8 kΩ), "
    f"a dual one {100 * bands.KIND['dual']:g} %",
    f"wire and ohms give turns within {100 * hum.SPREAD:g} %",
    f"whose ohms lie within {100 * (hum.ALIKE - 1):.0f} %",
    f"{hum.PER_TURN['single']:g} Ω a turn in single coils, {hum.PER_TURN['dual']:.2f} Ω in dual ones",
    f"{hum.FINER:g} times as much a gauge finer",
    f"a pot's track {100 * bands.POT:g} %, a resistor {100 * bands.RESISTOR:g} %",
    f"copper gains {100 * readings.COPPER:g} % per kelvin at {readings.REFERENCE:g} °C (IEC 60028)",
    f"the band takes {readings.MeterConditions().spread:g} kelvin more and less",
])
def test_the_page_states_the_figures_of_the_program(words: str) -> None:
    assert words in PAGE


@pytest.mark.parametrize(("code", "words"), [
    ("CIR-205", f"more than {states.LIMIT:,} states"),
    ("CIR-224", f"more than {batteryrules.SHORTED:g} A flows"),
    ("CIR-243", f"({knobrules.CLEAR_DB:g} dB or more from {TREBLE[0] / 1000:.0f} to {TREBLE[-1] / 1000:.0f} kHz)"),
    ("CIR-244", f"A volume loses less than {knobrules.HALF_DB:g} dB from 10 to 5"),
    ("CIR-244", f"less than {100 * knobrules.TONE_SHARE:g} % of the decibels of treble ({TREBLE[0] / 1000:.0f} to "
             f"{TREBLE[-1] / 1000:.0f} kHz)"),
    ("CIR-245", f"less than {knobrules.NOTHING_DB:g} dB {BAND}"),
    ("CIR-247", f"less than {({10.0: 'ten'}).get(staterules.LOW_LOAD, '?')} times its own resistance"),
    ("CIR-248", f"above {staterules.BASS_LOST:.0f} Hz, an octave over the lowest string of a guitar "
             f"({staterules.LOWEST_NOTE:g} Hz)"),
    ("CIR-252", f"builds of more than {contactrules.MANY} states are not judged"),
    ("CIR-301", f"At most {repair.EFFORT:,} changes are tried, then {repair.EFFORT_OF_TWO} second changes"),
    ("CIR-303", f"A hum is cancelled with {hum.CANCELS:g} % left or less"),
])
def test_the_words_of_a_problem_state_the_figures_of_its_rule(code: str, words: str) -> None:
    paragraph = PROBLEMS.split(f"**{code}**")[1].split("**")[0]
    assert words in paragraph


def test_the_lowest_note_is_two_octaves_and_a_fourth_below_440_hz() -> None:
    """Equal temperament: E2 is 29 semitones below A4."""
    assert pytest.approx(440 / 2 ** (29 / 12), abs=0.05) == staterules.LOWEST_NOTE


def test_the_load_where_nothing_is_said_is_the_one_on_the_page() -> None:
    load = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n").load
    assert load.cable_length == 5000
    assert load.cable_length / 1000 * load.cable_capacitance == pytest.approx(500e-12)
    assert load.amplifier == 1e6
    assert "5 m of 100 pF/m and 1 MΩ" in PAGE


def test_the_worked_examples_come_out() -> None:
    # 1 / (2 pi sqrt(L C)) ("The Secrets of Electric Guitar Pickups", article, 2003); 4.4 H and 7715 Hz: an example
    # file for the library lcapy, found in a public repository, licence not told.
    assert 1 / (2 * math.pi * math.sqrt(2.5 * 600e-12)) == pytest.approx(4100, rel=0.01)
    assert 1 / ((2 * math.pi * 7715) ** 2 * 4.4) == pytest.approx(96.7e-12, rel=1e-3)
    made = built("parts:\n  one: single-coil, 7k\n  volume: pot-24, 250k log\n  output: jack-mono-open\nleads:\n"
                 "  - one.finish -> volume.ten\n  - one.start -> volume.zero\n  - volume.zero -> output.sleeve\n"
                 "  - volume.wiper -> output.tip\n")
    assert plug(made).ohms == pytest.approx(6810, abs=1)


RAW = (DOCS / "circuit.md").read_text(encoding="utf-8")
PACKAGE = DOCS.parent / "diagramgen"


def names_of(path: Path) -> set[str]:
    """What a file of the package defines at its top."""
    return {node.name for node in ast.parse(path.read_text(encoding="utf-8")).body
            if isinstance(node, ast.FunctionDef | ast.ClassDef)}


def test_every_file_the_page_names_is_there() -> None:
    named = {name for name in re.findall(r"`([\w./]+\.(?:py|md))`", RAW) if "/" in name}
    named |= {f"circuit/elements/{name}" for name in re.findall(r"\| `(\w+\.py)` \|", RAW)}
    roots = (PACKAGE, DOCS.parent)
    assert len(named) > 15
    assert [name for name in sorted(named) if not any((root / name).is_file() for root in roots)] == []


def test_every_name_of_the_code_on_the_page_is_defined_in_circuit_or_diagnosis() -> None:
    known = {name for folder in ("circuit", "diagnosis") for path in (PACKAGE / folder).rglob("*.py")
             for name in names_of(path)}
    table = RAW[RAW.index("| step |") : RAW.index("### The netlist of one state")]
    named = set(re.findall(r"`([A-Za-z_]+)`", table)) | {"FaultHypothesis", "NetlistEdit"}
    assert {"Equations", "state_table"} - known == set()
    assert {name for name in named if name[0].isupper() or "_" in name} - known == set()


def test_every_element_has_its_stamp_on_the_page() -> None:
    table = RAW[RAW.index("| element | stamp |") : RAW.index("`circuit/elements/element.py` says")]
    shared = {"__init__", "element", "registry"}
    files = {p.stem for p in (PACKAGE / "circuit" / "elements").glob("*.py")} - shared
    assert files == set(re.findall(r"`(\w+)\.py`", table))


def test_the_picture_of_the_netlist_is_what_the_program_draws_now() -> None:
    drawn = runpy.run_path(str(DOCS.parent / "tools" / "draw_circuit.py"))
    assert drawn["PICTURE"].read_text(encoding="utf-8") == drawn["picture"]()
