"""Every fault in every state at once: labels of joined points as arrays, equal networks solved once, in batches.

For each fault the points its joints leave together have one label; contacts of each state join labels further.
Rows (fault, state) whose elements stand on the same pattern of labels with the same values are one network. All
distinct ones are solved together: nodal analysis with coils as admittances, for direct current (with every
resistance at the low and high end as well) and at a few frequencies by one transposed solve each.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.nets import metal_node
from diagramgen.circuit.state_table import coils_of
from diagramgen.diagnosis.active import Block, block_ends, blocks_of, meaningless_rows, stamp_blocks, working
from diagramgen.diagnosis.batch import Complexes, Floats, Ints, add_admittances, driving_point, reached, tie
from diagramgen.diagnosis.edits import HERTZ, AdmittanceTable, admittance_table, branches_of, coil_columns, skipped
from diagramgen.diagnosis.fault_model import FaultModel
from diagramgen.diagnosis.model import HEALTHY, FaultHypothesis, NetlistEdit

CHUNK = 512
"""Networks solved at a time: bounds the memory."""
QUIET = -160.0
"""dB of what is not heard at all."""


@dataclass(frozen=True, eq=False)
class FaultRun:
    """What every fault gives; axis 0 counts faults (0 is ``HEALTHY``), then settings of the knobs, then states."""

    wiring: FaultModel
    faults: tuple[FaultHypothesis, ...]
    ohms: Floats
    """At the plug; inf open, nan not meaningful."""
    spread: Floats
    """Standard deviation of ln(ohms) that tolerances give (a quarter of the band)."""
    level: Floats
    """dB, power sum over the coils."""
    near: Floats
    """dB, power sum over the pickups: the coils of one, over nearly the same bit of string, add with their signs."""
    bass: Floats
    treble: Floats
    """dB of the signed sum, 100 to 400 Hz and 1.5 to 4 kHz."""
    hum: Floats
    """Share of the hum of all coils that is left, 0 to 1."""
    source: Floats
    """ohm at 50 Hz, as seen at the plug with cable and amplifier."""
    agree: Floats
    """How far the coils' string voltages agree at low notes: 1 where all add, 0 where they cancel."""
    coils: Floats
    """dB of each coil with the knobs at rest: faults x states x coils."""
    coil_names: tuple[str, ...]
    grounded: NDArray[np.bool_]
    """Faults x pieces of metal: joined to the sleeve by leads and sure metal."""
    metals: tuple[str, ...]
    """Nodes of the metal."""
    base: Ints
    """Faults x points: points of one label are joined without resistance, contacts open."""
    networks: int
    """Distinct networks solved."""


def simulate(wiring: FaultModel, faults: Sequence[FaultHypothesis]) -> FaultRun:
    """Simulate a build without and with each fault, in every state and setting of the knobs.

    Returns: figures with ``HEALTHY`` first on the axis of faults, then ``faults`` in their order.
    """
    every = (HEALTHY, *faults)
    base = _bases(wiring, every)
    edits = list(dict.fromkeys(f.edit for f in every))
    of_edit = np.array([edits.index(f.edit) for f in every])
    rows = _contacts(wiring, every, base)
    found = [_setting(wiring, k, every, rows, edits, of_edit) for k in range(len(wiring.settings))]
    count, states = len(every), len(wiring.states)

    ohms, spread, level, near, bass, treble, hum, source, agree = (
        np.stack([f.per_row[:, i].reshape(count, states) for f in found], axis=1) for i in range(9))

    names = found[0].coil_names
    metals = tuple(m for m in (metal_node(p.name, x.name) for p in wiring.build.parts.values() for x in p.symbol.metal)
                   if m in wiring.at)
    at = [wiring.at[m] for m in metals]
    grounded = base[:, at] == base[:, [wiring.sleeve]]
    return FaultRun(wiring, every, ohms, spread, level, near, bass, treble, hum, source, agree,
               found[0].per_row[:, 9:].reshape(count, states, len(names)), names, grounded, metals, base,
               sum(f.networks for f in found))


def _bases(wiring: FaultModel, faults: Sequence[FaultHypothesis]) -> Ints:
    """Label of every point under each fault, contacts open."""
    pairs = [(wiring.at[e.a], wiring.at[e.b]) for e in wiring.edges]
    found = np.empty((len(faults), len(wiring.points)), dtype=np.int64)
    for row, fault in enumerate(faults):
        kept = [p for i, p in enumerate(pairs) if i not in fault.cut] if fault.cut else pairs
        found[row] = merged(len(wiring.points), [*kept, *((wiring.at[a], wiring.at[b]) for a, b in fault.join)])
    return found


def _contacts(wiring: FaultModel, faults: Sequence[FaultHypothesis], base: Ints) -> Ints:
    """(faults * states) x points: labels with the contacts of each state joined."""
    states = len(wiring.states)
    rows: Ints = np.repeat(base.astype(np.int16), states, axis=0)
    opened = np.zeros((len(faults), len(wiring.contacts)), dtype=bool)
    stuck = np.zeros_like(opened)
    for i, fault in enumerate(faults):
        opened[i, list(fault.open_contacts)] = True
        stuck[i, list(fault.stuck_contacts)] = True
    for c, (a, b) in enumerate(wiring.contacts):
        active = (wiring.closed[None, :, c] & ~opened[:, None, c]) | stuck[:, None, c]
        _join(rows, np.flatnonzero(active.ravel()), wiring.at[a], wiring.at[b])
    return rows


def _join(rows: Ints, which: Ints, a: int, b: int) -> None:
    """Join points ``a`` and ``b`` in these rows."""
    one, other = rows[which, a], rows[which, b]
    apart = one != other
    which, one, other = which[apart], one[apart], other[apart]
    if len(which):
        low, high = np.minimum(one, other)[:, None], np.maximum(one, other)[:, None]
        part = rows[which]
        rows[which] = np.where(part == high, low, part)


@dataclass(frozen=True, eq=False)
class _Found:
    per_row: Floats
    """(faults * states) x (ohms, spread, level, near, bass, treble, hum, source, agree, then coils)."""
    coil_names: tuple[str, ...]
    networks: int


def _setting(
    wiring: FaultModel, k: int, faults: Sequence[FaultHypothesis], rows: Ints, edits: Sequence[NetlistEdit | None],
    of_edit: Ints,
) -> _Found:
    """All rows with the knobs at one setting."""
    elements = wiring.elements[k]
    values = admittance_table(wiring, branches_of(wiring, elements), edits)
    joined = rows
    if wiring.wipers[k]:
        joined = rows.copy()
        for pair in wiring.wipers[k]:
            kept = np.array([not skipped(wiring, pair, f.edit) for f in faults])
            _join(joined, np.flatnonzero(np.repeat(kept, len(wiring.states))), *pair)
    ends = [wiring.sleeve, wiring.tip, *(s.piece.a for s in values.branches), *(s.piece.b for s in values.branches),
            *block_ends(elements.all)]
    edit = np.repeat(of_edit, len(wiring.states))
    labels, first, inverse = _distinct(joined[:, ends], edit)
    edit = edit[first]
    # What hangs on by one point changes nothing: without it far fewer networks differ.
    concerns = np.array([[_concerns(wiring, e, s.name) for s in values.branches] for e in edits])
    _prune(labels, edit, len(values.branches), concerns)
    labels, first, again = _distinct(labels, edit)
    edit, inverse = edit[first], again[inverse]
    solved = [_solve(wiring, k, values, labels[i : i + CHUNK], edit[i : i + CHUNK], edits)
              for i in range(0, len(labels), CHUNK)]
    names = tuple(coil_columns(values.branches))
    return _Found(np.concatenate(solved)[inverse], names, len(labels))


def _concerns(wiring: FaultModel, edit: NetlistEdit | None, name: str) -> bool:
    """Whether an edit changes what the element of this name does."""
    if edit is None:
        return False
    if edit.what == "turned":
        return name.partition(".")[0] == edit.element.partition(".")[0]
    return wiring.names[edit.element] == name


def _prune(labels: Ints, edit: Ints, branches: int, concerns: NDArray[np.bool_]) -> None:
    """Take out elements that hang on one point, or on nothing that is tied to the sleeve: both their ends become 0.

    ``concerns``: edits x branches; an edit whose elements are all out is none (row 0). Works in place.
    """
    size = int(labels.max()) + 1
    for first in range(0, len(labels), 4 * CHUNK):
        part = labels[first : first + 4 * CHUNK]
        ends = part[:, 2 : 2 + 2 * branches].reshape(len(part), 2, branches)
        row = np.broadcast_to(np.arange(len(part))[:, None], (len(part), branches))
        kept = np.zeros((len(part), size), dtype=bool)
        np.put_along_axis(kept, part[:, :2], True, axis=1)
        np.put_along_axis(kept, part[:, 2 + 2 * branches :], True, axis=1)
        while True:
            near = np.zeros((len(part), size, size), dtype=bool)
            a, b = ends[:, 0], ends[:, 1]
            near[row, a, b] = near[row, b, a] = True
            near[:, np.arange(size), np.arange(size)] = False
            alone = (near.sum(axis=2) == 1) & ~kept
            out = (alone[row, a] | alone[row, b]) & (a != b)
            if not out.any():
                break
            ends[np.broadcast_to(out[:, None, :], ends.shape)] = 0
        part[:, 2 : 2 + 2 * branches] = ends.reshape(len(part), 2 * branches)
        gone = ends[:, 0] == ends[:, 1]
        own = edit[first : first + 4 * CHUNK]
        own[(own > 0) & concerns[own].any(axis=1) & ~(concerns[own] & ~gone).any(axis=1)] = 0


def _distinct(rows: Ints, edit: Ints) -> tuple[Ints, Ints, Ints]:
    """Each pattern of labels with its edit once: labels from 0 (the sleeve) up, a row that has it, row -> pattern."""
    count, width = rows.shape
    label = np.full((count, int(rows.max()) + 1), width, dtype=np.int16)
    every = np.arange(count)
    for column in range(width - 1, -1, -1):
        label[every, rows[:, column]] = column
    canon = np.take_along_axis(label, rows.astype(np.int64), axis=1)
    # 64 bits of a fixed linear hash stand for a row; two rows that differ meet with a chance of about 1e-11.
    keys = np.random.default_rng(20).integers(1, 2**62, size=width + 1, dtype=np.int64)
    with np.errstate(over="ignore"):
        hashed = canon.astype(np.int64) @ keys[:width] + (edit + 1) * keys[width]
    _, first, inverse = np.unique(hashed, return_index=True, return_inverse=True)
    kept = canon[first].astype(np.int64)
    rank = np.cumsum(kept == np.arange(width)[None, :], axis=1) - 1
    return np.take_along_axis(rank, kept, axis=1), first, inverse


def _solve(
    wiring: FaultModel, k: int, values: AdmittanceTable, labels: Ints, edit: Ints, edits: Sequence[NetlistEdit | None]
) -> Floats:
    """The figures of distinct networks."""
    branches = len(values.branches)
    a, b = labels[:, 2 : 2 + branches], labels[:, 2 + branches : 2 + 2 * branches]
    size, tip = int(labels.max()) + 1, labels[:, 1]
    elements = wiring.elements[k]
    blocks = blocks_of(elements.all, labels[:, 2 + 2 * branches :])
    works = working(wiring, blocks, (a, b, values.still[edit]), [edits[e] for e in edit], size) if blocks else \
        np.zeros((len(labels), 0), dtype=bool)
    clear = np.ones(len(labels), dtype=bool)
    if elements.unmetered:
        clear = ~meaningless_rows(blocks, values.branches, a, b, values.still[edit] > 0, tip, size)
    ohms, spread = np.full(len(labels), np.nan), np.zeros(len(labels))
    if clear.any():
        ohms[clear], spread[clear] = _metered(values, a[clear], b[clear], edit[clear], tip[clear], size)
    if not wiring.settings[k].heard:
        nothing = np.full((len(labels), 7 + len(coil_columns(values.branches))), np.nan)
        return np.column_stack([ohms, spread, nothing])
    heard = _heard(values, (a, b), edit, tip, size, (blocks, works))
    names = tuple(coil_columns(values.branches))
    return np.column_stack([ohms, spread, _figures(wiring, names, *heard, _signs(wiring, names, edits)[edit])])


def _metered(values: AdmittanceTable, a: Ints, b: Ints, edit: Ints, tip: Ints, size: int) -> tuple[Floats, Floats]:
    """(ohm at the plug, deviation of its logarithm: a quarter of the band from all low to all high)."""
    ohms, low, high = (_resistance(a, b, y[edit], tip, size) for y in (values.still, values.low, values.high))
    with np.errstate(invalid="ignore", divide="ignore"):
        band = np.log(np.maximum(high, 1e-9) / np.maximum(low, 1e-9)) / 4
    return ohms, np.where(np.isfinite(ohms) & (ohms > 0), band, 0.0)


def _resistance(a: Ints, b: Ints, y: Floats, tip: Ints, size: int) -> Floats:
    """ohm between the sleeve (label 0) and the tip of each network; inf where no direct current passes."""
    count = len(a)
    g = np.zeros((count, size, size))
    add_admittances(g, a, b, y)
    reach = reached(g)
    every = np.arange(count)
    # Points that nothing ties to the sleeve take no part.
    tie(g, ~reach)
    return np.where(reach[every, tip], driving_point(g, tip)[every, tip], np.inf)


def _heard(
    values: AdmittanceTable, ends: tuple[Ints, Ints], edit: Ints, tip: Ints, size: int,
    active: tuple[Sequence[Block], NDArray[np.bool_]],
) -> tuple[Complexes, Floats]:
    """What each coil brings to the plug (networks x ``HERTZ`` x coils), and the source impedance."""
    a, b = ends
    count = len(a)
    every = np.arange(count)
    columns = coil_columns(values.branches)
    at = list(columns.values())
    transfers = np.zeros((count, len(HERTZ), len(at)), dtype=complex)
    source = np.zeros(count)
    fixed, farads = (np.zeros((count, size, size)) for _ in range(2))
    for to, siemens in ((fixed, values.siemens), (farads, values.farad)):
        used = np.flatnonzero(siemens.any(axis=0))
        add_admittances(to, a[:, used], b[:, used], siemens[edit][:, used])
    coils = [i for i, s in enumerate(values.branches) if s.coiled and not s.part]
    free = np.zeros((count, size), dtype=bool)
    for f, hertz in enumerate(HERTZ):
        s = 2j * math.pi * hertz
        own = np.zeros((count, size, size), dtype=complex)
        stamp_blocks(*active, own, s)
        g = fixed + own + s * farads
        y = values.moving[edit, :, f]
        add_admittances(g, a[:, coils], b[:, coils], y[:, coils])
        if f == 0:
            free = ~reached(np.abs(g))
        tie(g, free)
        unit = np.zeros((count, size, 1), dtype=complex)
        unit[every, tip, 0] = 1.0
        adjoint = np.zeros((count, size), dtype=complex)
        adjoint[:, 1:] = np.linalg.solve(g[:, 1:, 1:].transpose(0, 2, 1), unit[:, 1:])[:, :, 0]
        across = adjoint[every[:, None], b[:, at]] - adjoint[every[:, None], a[:, at]]
        transfers[:, f] = np.where(free[every, tip][:, None], 0.0, across * y[:, at])
        if f == 0:
            source = np.abs(adjoint[every, tip])
    return transfers, source


def _signs(wiring: FaultModel, names: Sequence[str], edits: Sequence[NetlistEdit | None]) -> Floats:
    """Which way the coils' string voltages point under each edit: edits x coils, +1 or -1."""
    found = np.array([[wiring.strings[n] for n in names] for _ in edits], dtype=float)
    for row, edit in enumerate(edits):
        if edit is not None and edit.what == "turned":
            part = edit.element.partition(".")[0]
            found[row, [n.partition(".")[0] == part for n in names]] *= -1
    return found


def _figures(wiring: FaultModel, names: Sequence[str], transfers: Complexes, source: Floats, string: Floats) -> Floats:
    """Level, near, bass, treble, hum left, source impedance, agreement, then each coil's level, of each network."""
    coils = coils_of(wiring.build)
    hum = np.array([(coils.signs[n].hum or 1) if n in coils.hums else 0 for n in names], dtype=float)
    power = np.abs(transfers) ** 2
    pointed = transfers * string[:, None, :]
    signed = np.abs(pointed.sum(axis=2)) ** 2
    low = (HERTZ >= 100) & (HERTZ <= 400)
    wound = pointed[:, low][:, :, [n in coils.hums for n in names]]
    every = np.abs(wound).sum(axis=2).mean(axis=1)
    agree = np.where(every > 1e-6, np.abs(wound.sum(axis=2)).mean(axis=1) / np.maximum(every, 1e-12), 1.0)
    pickups = list(dict.fromkeys(coils.pickups[n] for n in names))
    loud = sum(np.abs(pointed[:, :, [coils.pickups[n] == one for n in names]].sum(axis=2)) ** 2 for one in pickups)
    at50 = transfers[:, 0]
    all50 = (np.abs(at50) * np.abs(hum)).sum(axis=1)
    left = np.abs(at50 @ hum) / np.maximum(all50, 1e-12)
    band = HERTZ >= 150
    return np.column_stack([
        _db(power.sum(axis=2)[:, band].mean(axis=1)),
        _db(np.asarray(loud)[:, band].mean(axis=1)),
        _db(signed[:, low].mean(axis=1)),
        _db(signed[:, HERTZ >= 1500].mean(axis=1)),
        np.where(all50 > 1e-6, left, 0.0),
        source,
        agree,
        _db(power[:, band].mean(axis=1)),
    ])


def _db(power: Floats) -> Floats:
    return np.asarray(np.maximum(10 * np.log10(np.maximum(power, 1e-30)), QUIET))
