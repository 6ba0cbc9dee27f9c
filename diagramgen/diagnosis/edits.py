"""Elements as numbered slots with an admittance each: what a fault's edit changes is one row of a table."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagramgen.circuit.elements.element import Branch, Element
from diagramgen.circuit.elements.two_terminal import POT
from diagramgen.circuit.netlist import Elements
from diagramgen.circuit.tolerances import tolerances
from diagramgen.circuit.values import elements_of, number_of
from diagramgen.diagnosis.batch import Complexes, Floats
from diagramgen.diagnosis.fault_model import FaultModel, ends_of
from diagramgen.diagnosis.model import NetlistEdit

HERTZ = np.array([50.0, 150.0, 400.0, 1000.0, 2500.0, 4000.0])
"""What is listened to: hum, then the band in which levels are compared."""


def is_block(element: Element) -> bool:
    """Whether an element is more than one piece between two points, and writes its own stamp (``active``)."""
    return element.active or len(element.paths()) > 1


@dataclass(frozen=True)
class Slot:
    """One piece of an element between two points, or the load at the plug."""

    piece: Branch
    share: float = 0.0
    """Tolerance."""
    source: bool = False
    """Whether its element makes a signal."""
    spare: bool = False
    """There only under an edit: the whole track behind a wiper that does not touch it."""
    load: bool = False
    """Cable and amplifier."""
    part: bool = False
    """A piece of a block: for direct current alone, the block's stamp says what it does else."""

    @property
    def name(self) -> str:
        """What its element is called."""
        return self.piece.name

    @property
    def conducts(self) -> bool:
        """Whether an ohmmeter's current passes it."""
        return self.piece.metered and self.piece.ohm > 0

    @property
    def passes(self) -> bool:
        """Whether it passes a signal though no direct current, or none that a meter sees."""
        return (self.piece.farad > 0 or self.piece.what == "loss") and not self.load

    @property
    def coiled(self) -> bool:
        """Whether it is a winding, whose admittance is worked out at each frequency."""
        return self.piece.copper

    @property
    def still(self) -> float:
        """S for direct current, as a meter sees it."""
        return 1 / self.piece.ohm if self.conducts and not self.spare else 0.0

    def admittance(self) -> Complexes:
        """S over ``HERTZ``."""
        s = 2j * math.pi * HERTZ
        if self.spare or self.part:
            return np.zeros(len(HERTZ), dtype=complex)
        piece = self.piece
        if self.coiled:
            return np.asarray(1 / (piece.ohm + s * piece.henry), dtype=complex)
        return np.asarray((1 / piece.ohm if piece.ohm else 0.0) + s * piece.farad, dtype=complex)


def slots_of(wiring: FaultModel, elements: Elements) -> tuple[Slot, ...]:
    """Every piece between two points of a setting, with cable and amplifier at the tip."""
    shares = tolerances(wiring.build)
    found = [Slot(piece, shares.get(piece.name, piece.tolerance), e.sounds, part=is_block(e))
             for e in elements for piece in e.branches() if not is_block(e) or (piece.metered and piece.ohm)]
    load = wiring.build.load
    piece = Branch("load", wiring.sleeve, wiring.tip, "load", load.amplifier, metered=False,
                   farad=load.cable_length / 1000 * load.cable_capacitance)
    return (*found, Slot(piece, load=True), *_spares(wiring))


def _spares(wiring: FaultModel) -> list[Slot]:
    """The whole of every track, for a wiper that does not touch it."""
    found = []
    for part, element in elements_of(wiring.build, "track"):
        ohm = number_of(part, element, "resistance").number
        if ohm > 0:
            name = f"{part.name}.{element.name}"
            ends = ends_of(wiring.build, name)
            piece = Branch(wiring.names[name], wiring.at[ends["zero"]], wiring.at[ends["ten"]], "track", ohm)
            found.append(Slot(piece, POT, spare=True))
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


def table(wiring: FaultModel, slots: Sequence[Slot], edits: Sequence[NetlistEdit | None]) -> Table:
    """Tabulate the admittances of slots under each edit: edits x slots, S."""
    still, siemens, farad = (np.zeros((len(edits), len(slots))) for _ in range(3))
    moving = np.zeros((len(edits), len(slots), len(HERTZ)), dtype=complex)
    shares = np.array([s.share for s in slots])
    for row, edit in enumerate(edits):
        for column, slot in enumerate(slots):
            as_is = _edited(wiring, slot, edit)
            if as_is is not None:
                still[row, column], moving[row, column] = as_is.still, as_is.admittance()
                if not (as_is.coiled or as_is.spare or as_is.part):
                    piece = as_is.piece
                    siemens[row, column], farad[row, column] = 1 / piece.ohm if piece.ohm else 0.0, piece.farad
    return Table(tuple(slots), still, still / (1 - shares), still / (1 + shares), siemens, farad, moving)


def _edited(wiring: FaultModel, slot: Slot, edit: NetlistEdit | None) -> Slot | None:
    """A slot as the edit leaves it; None where it passes nothing."""
    if edit is None or slot.load or wiring.names[edit.element] != slot.name:
        return slot
    if edit.what in ("zero", "ten", "wiper") and slot.piece.what == "track":
        end = wiring.at[ends_of(wiring.build, edit.element)[edit.what]]
        if slot.spare:
            return replace(slot, spare=False) if edit.what == "wiper" else slot
        return None if edit.what == "wiper" or end in (slot.piece.a, slot.piece.b) else slot
    piece = slot.piece.under(edit.what, edit.factor)
    return None if piece is None else replace(slot, piece=piece)


def skipped(wiring: FaultModel, pair: tuple[int, int], edit: NetlistEdit | None) -> bool:
    """Tell whether an edit parts two points that a wiper at the end of its track joins."""
    if edit is None or edit.what not in ("zero", "ten", "wiper"):
        return False
    ends = {end: wiring.at[lug] for end, lug in ends_of(wiring.build, edit.element).items()}
    return set(pair) <= set(ends.values()) and ends[edit.what] in pair


def coil_columns(slots: Sequence[Slot]) -> Mapping[str, int]:
    """Coil or transducer -> its slot."""
    return {s.name: i for i, s in enumerate(slots) if s.source}
