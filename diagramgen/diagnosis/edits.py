"""Elements as numbered slots with an admittance each: what a fault's edit changes is one row of a table."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.elements.two_terminal import POT
from diagramgen.circuit.netlist import Elements
from diagramgen.circuit.tolerances import tolerances
from diagramgen.diagnosis.model import Edit
from diagramgen.diagnosis.wiring import Wiring, ends_of

HERTZ = np.array([50.0, 150.0, 400.0, 1000.0, 2500.0, 4000.0])
"""What is listened to: hum, then the band in which levels are compared."""

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Slot:
    """One two-terminal element on points; ``still`` is its conductance in S for direct current, 0 for none."""

    name: str
    a: int
    b: int
    kind: str
    """track | resistor | loss | lamp | capacitor | coil | transducer | load."""
    ohm: float = 0.0
    henry: float = 0.0
    farad: float = 0.0
    share: float = 0.0
    """Tolerance."""
    spare: bool = False
    """There only under an edit: the whole track behind a wiper that does not touch it."""

    @property
    def still(self) -> float:
        """S for direct current, as a meter sees it."""
        return 1 / self.ohm if self.kind in ("track", "resistor", "coil") and not self.spare else 0.0

    def admittance(self) -> Complexes:
        """S over ``HERTZ``."""
        s = 2j * math.pi * HERTZ
        if self.spare:
            return np.zeros(len(HERTZ), dtype=complex)
        if self.kind == "coil":
            return np.asarray(1 / (self.ohm + s * self.henry), dtype=complex)
        return np.asarray((1 / self.ohm if self.ohm else 0.0) + s * self.farad, dtype=complex)


def slots_of(wiring: Wiring, elements: Elements) -> tuple[Slot, ...]:
    """Every two-terminal element of a setting, with cable and amplifier at the tip."""
    shares = tolerances(wiring.build)
    found = [Slot(piece.name, piece.a, piece.b, piece.what, piece.ohm, piece.henry, piece.farad,
                  shares.get(piece.name, piece.tolerance)) for e in elements if not e.active for piece in e.branches()]
    load = wiring.build.load
    found.append(Slot("load", wiring.sleeve, wiring.tip, "load", load.amplifier,
                      farad=load.cable_length / 1000 * load.cable_capacitance))
    return (*found, *_spares(wiring))


def _spares(wiring: Wiring) -> list[Slot]:
    """The whole of every track, for a wiper that does not touch it."""
    from diagramgen.circuit.values import elements_of, number_of

    found = []
    for part, element in elements_of(wiring.build, "track"):
        ohm = number_of(part, element, "resistance").number
        if ohm > 0:
            name = f"{part.name}.{element.name}"
            ends = ends_of(wiring.build, name)
            found.append(Slot(wiring.names[name], wiring.at[ends["zero"]], wiring.at[ends["ten"]], "track", ohm,
                              share=POT, spare=True))
    return found


@dataclass(frozen=True, eq=False)
class Table:
    """Admittances for each edit: rows edits, columns slots."""

    slots: tuple[Slot, ...]
    still: Floats
    low: Floats
    high: Floats
    """The same with every resistance at the low and at the high end of its tolerance."""
    siemens: Floats
    farad: Floats
    """Edits x slots: what passes at every frequency but the coils."""
    moving: Complexes
    """Edits x slots x ``HERTZ``: everything."""


def table(wiring: Wiring, slots: Sequence[Slot], edits: Sequence[Edit | None]) -> Table:
    """The admittances of slots under each edit."""
    still, siemens, farad = (np.zeros((len(edits), len(slots))) for _ in range(3))
    moving = np.zeros((len(edits), len(slots), len(HERTZ)), dtype=complex)
    shares = np.array([s.share for s in slots])
    for row, edit in enumerate(edits):
        for column, slot in enumerate(slots):
            as_is = _edited(wiring, slot, edit)
            if as_is is not None:
                still[row, column], moving[row, column] = as_is.still, as_is.admittance()
                if as_is.kind != "coil" and not as_is.spare:
                    siemens[row, column], farad[row, column] = 1 / as_is.ohm if as_is.ohm else 0.0, as_is.farad
    return Table(tuple(slots), still, still / (1 - shares), still / (1 + shares), siemens, farad, moving)


def _edited(wiring: Wiring, slot: Slot, edit: Edit | None) -> Slot | None:
    """A slot as the edit leaves it; None where it passes nothing."""
    if edit is None or slot.kind == "load" or wiring.names[edit.element] != slot.name:
        return slot
    if edit.what in ("zero", "ten", "wiper") and slot.kind == "track":
        end = wiring.at[ends_of(wiring.build, edit.element)[edit.what]]
        if slot.spare:
            return _plain(slot) if edit.what == "wiper" else slot
        return None if edit.what == "wiper" or end in (slot.a, slot.b) else slot
    if edit.what == "open":
        return slot if slot.kind == "winding" else None
    if edit.what == "half" and slot.kind == "coil":
        return Slot(slot.name, slot.a, slot.b, "coil", slot.ohm / 2, slot.henry / 4, share=slot.share)
    if edit.what == "scale":
        return Slot(slot.name, slot.a, slot.b, slot.kind, slot.ohm * edit.factor, slot.henry,
                    slot.farad * edit.factor, slot.share, slot.spare)
    return slot


def _plain(slot: Slot) -> Slot:
    return Slot(slot.name, slot.a, slot.b, slot.kind, slot.ohm, slot.henry, slot.farad, slot.share)


def skipped(wiring: Wiring, pair: tuple[int, int], edit: Edit | None) -> bool:
    """Whether an edit parts what a wiper at the end of its track joins."""
    if edit is None or edit.what not in ("zero", "ten", "wiper"):
        return False
    ends = {end: wiring.at[lug] for end, lug in ends_of(wiring.build, edit.element).items()}
    return set(pair) <= set(ends.values()) and ends[edit.what] in pair


def coil_columns(slots: Sequence[Slot]) -> Mapping[str, int]:
    """Coil or transducer -> its slot."""
    return {s.name: i for i, s in enumerate(slots) if s.kind in ("coil", "transducer")}
