"""Elements as numbered branches with an admittance each: what a fault's edit changes is one row of a table."""

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
class EditableBranch:
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


def branches_of(wiring: FaultModel, elements: Elements) -> tuple[EditableBranch, ...]:
    """Every piece between two points of a setting, with cable and amplifier at the tip."""
    shares = tolerances(wiring.build)
    found = [EditableBranch(piece, shares.get(piece.name, piece.tolerance), e.sounds, part=is_block(e))
             for e in elements for piece in e.branches() if not is_block(e) or (piece.metered and piece.ohm)]
    load = wiring.build.load
    piece = Branch("load", wiring.sleeve, wiring.tip, "load", load.amplifier, metered=False,
                   farad=load.cable_length / 1000 * load.cable_capacitance)
    return (*found, EditableBranch(piece, load=True), *_spares(wiring))


def _spares(wiring: FaultModel) -> list[EditableBranch]:
    """The whole of every track, for a wiper that does not touch it."""
    found = []
    for part, element in elements_of(wiring.build, "track"):
        ohm = number_of(part, element, "resistance").number
        if ohm > 0:
            name = f"{part.name}.{element.name}"
            ends = ends_of(wiring.build, name)
            piece = Branch(wiring.names[name], wiring.at[ends["zero"]], wiring.at[ends["ten"]], "track", ohm)
            found.append(EditableBranch(piece, POT, spare=True))
    return found


@dataclass(frozen=True, eq=False)
class AdmittanceTable:
    """Admittances for each edit: rows edits, columns branches."""

    branches: tuple[EditableBranch, ...]
    still: Floats
    low: Floats
    high: Floats
    """The same with every resistance at the low and at the high end of its tolerance."""
    siemens: Floats
    farad: Floats
    """Edits x branches: what passes at every frequency but the coils."""
    moving: Complexes
    """Edits x branches x ``HERTZ``: everything."""


def admittance_table(
    wiring: FaultModel, branches: Sequence[EditableBranch], edits: Sequence[NetlistEdit | None]
) -> AdmittanceTable:
    """Tabulate the admittances of branches under each edit: edits x branches, S."""
    still, siemens, farad = (np.zeros((len(edits), len(branches))) for _ in range(3))
    moving = np.zeros((len(edits), len(branches), len(HERTZ)), dtype=complex)
    shares = np.array([s.share for s in branches])
    for row, edit in enumerate(edits):
        for column, branch in enumerate(branches):
            as_is = _edited(wiring, branch, edit)
            if as_is is not None:
                still[row, column], moving[row, column] = as_is.still, as_is.admittance()
                if not (as_is.coiled or as_is.spare or as_is.part):
                    piece = as_is.piece
                    siemens[row, column], farad[row, column] = 1 / piece.ohm if piece.ohm else 0.0, piece.farad
    return AdmittanceTable(tuple(branches), still, still / (1 - shares), still / (1 + shares), siemens, farad, moving)


def _edited(wiring: FaultModel, branch: EditableBranch, edit: NetlistEdit | None) -> EditableBranch | None:
    """A branch as the edit leaves it; None where it passes nothing."""
    if edit is None or branch.load or wiring.names[edit.element] != branch.name:
        return branch
    if edit.what in ("zero", "ten", "wiper") and branch.piece.what == "track":
        end = wiring.at[ends_of(wiring.build, edit.element)[edit.what]]
        if branch.spare:
            return replace(branch, spare=False) if edit.what == "wiper" else branch
        return None if edit.what == "wiper" or end in (branch.piece.a, branch.piece.b) else branch
    piece = branch.piece.under(edit.what, edit.factor)
    return None if piece is None else replace(branch, piece=piece)


def skipped(wiring: FaultModel, pair: tuple[int, int], edit: NetlistEdit | None) -> bool:
    """Tell whether an edit parts two points that a wiper at the end of its track joins."""
    if edit is None or edit.what not in ("zero", "ten", "wiper"):
        return False
    ends = {end: wiring.at[lug] for end, lug in ends_of(wiring.build, edit.element).items()}
    return set(pair) <= set(ends.values()) and ends[edit.what] in pair


def coil_columns(branches: Sequence[EditableBranch]) -> Mapping[str, int]:
    """Coil or transducer -> its branch."""
    return {s.name: i for i, s in enumerate(branches) if s.source}
