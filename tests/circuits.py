"""Builds for the circuit tests, written as a technician writes them and read through the real reader."""

from __future__ import annotations

from pathlib import Path

from diagramgen.circuit.dc_readings import MeterConditions, Reading, read
from diagramgen.circuit.netlist import Netlist, NetlistTemplate, netlist_of, template_of
from diagramgen.circuit.states import classes_of, state_space
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

KNOWN = catalogue.shipped()
STILL = MeterConditions(20.0, 0.0)


def built(text: str, folder: Path | None = None) -> Build:
    """The build of a text; every error of it fails the test."""
    say = Diagnostics()
    KNOWN.say = say
    made = read_build(text.encode(), "hand.yaml", Sources(folder or Path()), KNOWN, say)
    assert made is not None, [p.text() for p in say.sorted()]
    assert not say.has_errors, [p.text() for p in say.sorted()]
    return made


def sample(path: Path) -> Build:
    """A shipped sample."""
    return built(path.read_text(encoding="utf-8"), path.parent)


def at(made: Build, state: dict[str, str] | None = None, knobs: dict[str, float] | None = None
       ) -> tuple[NetlistTemplate, list[int]]:
    """The frame of a build and the classes of its nets in a state; a control not named stands at its first position."""
    here = template_of(made, knobs)
    digits = state_space(made, all_plugs=True).switches
    numbers = []
    for digit in digits:
        words = {k: v for k, v in (state or {}).items() if k in digit.keys}
        match = [i for i, p in enumerate(digit.positions) if all(p[digit.keys.index(k)] == v for k, v in words.items())]
        numbers.append(match[0])
    return here, classes_of(here, digits, numbers)


def plug(made: Build, state: dict[str, str] | None = None, knobs: dict[str, float] | None = None) -> Reading:
    """The reading between tip and sleeve of the build's jack, mono plug in."""
    here, classes = at(made, state, knobs)
    assert here.jack is not None
    return read(here, classes, f"{here.jack.name}.tip", f"{here.jack.name}.sleeve", STILL)


def heard(made: Build, state: dict[str, str] | None = None, knobs: dict[str, float] | None = None) -> Netlist:
    """The network of a state."""
    return netlist_of(*at(made, state, knobs))


def readable(path: Path) -> bool:
    """Whether a sample has no error of its own (one shows what errors look like)."""
    say = Diagnostics()
    known = catalogue.shipped()
    known.say = say
    read_build(path.read_bytes(), str(path), Sources(path.parent), known, say)
    return not say.has_errors
