"""What each state sounds like: coils, level, phase, hum, connection, resonance and the reading at the plug.

Definitions, all with the knobs at rest (10; blend and trimmers 5) and the build's own load unless said:

* level of a coil: rms of |transfer| from 80 Hz to 5 kHz, log spaced, for 1 V of EMF; 0 dB is the EMF itself.
* a coil sounds where it is within 40 dB of the loudest, weakly beyond 20 dB; a state is silent where its
  loudest coil is 80 dB below its EMF.
* level of a state: power sum over its coils (phase is said apart). It compares only states of the same coils:
  the place on the string is not in the model.
* phase: ``in`` where all coils that sound well have one string sign, ``out`` where two coils, or two pickups each
  in phase with itself, oppose, else ``mixed``. Signs that are only usual hold between the coils of one pickup; one
  pickup against another is ``unknown`` unless a kick (or winding and magnet) is known on both.
* hum: what is left of it, a range in per cent from what is known of the coils' turns (``hum.py``). At most 5 % is
  ``cancels`` where turns, wire or inductances tell it (10 % at the worst end); at most 10 % is ``most``
  where one wire is only taken for coils meant alike; at least 90 % is ``full``, all else ``partly``. Where several
  pickups leave hum and their windings are only usual ones against each other, it is ``unknown``.
* resonance: the highest point between 100 Hz and 20 kHz of the power sum, over its level at 100 Hz; none where no
  coil sounds.
* two states sound the same where each coil's curve differs by less than 0.5 dB and none is turned round.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.hum import Hum, Wound, left
from diagramgen.circuit.netlist import Netlist
from diagramgen.circuit.nodal import Response
from diagramgen.circuit.polarity import Sign
from diagramgen.circuit.series_parallel import SILENT, connection

LOWEST, HIGHEST, STEPS = 80.0, 20_000.0, 400
GRID = LOWEST * (HIGHEST / LOWEST) ** (np.arange(STEPS + 1) / STEPS)
FREQUENCIES = np.concatenate([[50.0, 100.0], GRID])
"""Hz: 50 for hum, 100 as the reference of the peak, then the grid."""
BAND_TOP = 5_000.0
SOUNDS_DB, WEAK_DB, SILENT_DB, SAME_DB = 40.0, 20.0, -80.0, 0.5
QUADRATURE = 0.5
"""Correlation of two coils' transfers below which they are neither in nor out of phase over the band."""


@dataclass(frozen=True)
class Heard:
    """One coil that sounds. ``sign``: +1 where steel coming on swings the plug's tip plus, -1, None unknown."""

    coil: str
    sign: int | None
    level_db: float
    weak: bool = False
    usual: bool = False
    """The sign is only what such pickups usually have against each other's coils; nobody metered it."""
    winding: str = ""
    """The whole winding where the coil is a section of a tapped one; '' for a coil by itself."""
    way: int = 1
    """Which way round the wiring lets it be heard, whatever its sign: two sounds tell by it what was turned round."""

    @property
    def called(self) -> str:
        """The winding, for what concerns the whole of it: phase and hum."""
        return self.winding or self.coil


@dataclass(frozen=True)
class Sound:
    """What one network sounds like."""

    sounding: tuple[Heard, ...]
    network: str
    phase: str
    """in | out | mixed | single | silent | unknown."""
    hum: str
    """cancels | most | partly | full | silent | unknown."""
    hum_percent: float | None
    """The most that can be left."""
    level_db: float | None
    peak_hz: float | None
    peak_db: float | None
    assumed: bool = False
    """Phase or hum rest on how such pickups are usually made."""
    hum_weighed: tuple[str, ...] = ()
    """Of turns and area those the hum per cent takes in."""
    hum_least: float | None = None
    """Per cent: the least that can be left."""
    hum_same_wire: float | None = None
    """Per cent left where all coils are wound with the same wire; None where that is known or says nothing."""
    hum_from: str = ""
    """What the range is known from: turns | wire | inductances | same wire taken | wire unknown | ohms and wire
    unknown; '' where that is not asked."""

    @property
    def silent(self) -> bool:
        """Whether nothing is heard."""
        return not self.sounding

    @property
    def together(self) -> str:
        """``phase``, or ``piezo`` where what sounds alone is no coil."""
        return "piezo" if self.phase == "single" and self.hum == "silent" else self.phase


SILENCE = Sound((), SILENT, "silent", "silent", None, None, None, None)


@dataclass(frozen=True)
class Coils:
    """What must be known of a build's coils to judge its sounds."""

    signs: Mapping[str, Sign]
    order: Mapping[str, int]
    pickups: Mapping[str, str]
    """Coil -> the part it is in."""
    hums: frozenset[str]
    """Coils that pick up magnetic hum (transducers do not)."""
    wound: Mapping[str, Wound] = field(default_factory=dict)
    """Coil -> what is known of its winding."""

    def whole(self, coil: str) -> str:
        """The winding a coil is a section of; the coil itself where there is no tap."""
        known = self.wound.get(coil)
        return known.winding if known is not None else coil

    def sections(self) -> dict[str, str]:
        """Every section of a tapped winding -> the whole."""
        return {coil: known.winding for coil, known in self.wound.items() if known.winding != coil}

    def string_known(self, pickup: str) -> bool:
        """Whether the string sign of some coil of a pickup is known, not only usual."""
        return any(s.string is not None and not s.string_assumed for s in self._of(pickup))

    def hum_known(self, pickup: str) -> bool:
        """Whether the winding of some coil of a pickup is known, not only usual."""
        return any(s.hum is not None and not s.hum_assumed for s in self._of(pickup))

    def _of(self, pickup: str) -> list[Sign]:
        return [self.signs[coil] for coil, part in self.pickups.items() if part == pickup]


def listen(net: Netlist, response: Response, coils: Coils) -> Sound:
    """The sound of a network from its response over ``FREQUENCIES``."""
    levels = levels_of(response)
    loudest = max(levels, default=-math.inf)
    heard = _heard(net, levels)
    if not heard:
        return SILENCE
    heard.sort(key=lambda i: coils.order.get(response.sources[i], 0))
    ways, clear = _ways(response.transfers, heard, int(np.argmax(levels)))
    sounding = []
    for i in heard:
        sign = coils.signs[response.sources[i]]
        own = sign.string
        name = response.sources[i]
        whole = coils.whole(name)
        sounding.append(Heard(name, None if own is None else own * ways[i], levels[i], levels[i] <= loudest - WEAK_DB,
                              sign.string_assumed, whole if whole != name else "", ways[i]))
    one_way = len({ways[i] for i in heard if levels[i] > loudest - WEAK_DB}) == 1
    phase, on_string = _phase(sounding, clear, one_way, coils)
    hum = _hum(response, coils)
    power = np.sqrt((np.abs(response.transfers[:, heard]) ** 2).sum(axis=1))
    # Without a coil there is nothing that resonates: what a curve is highest at is only where a buffer passes all.
    coiled = any(response.sources[i] in coils.hums for i in heard)
    peak_hz, peak_db = _peak(power) if coiled else (None, None)
    signs = {h.coil: h.sign for h in sounding}
    words = connection(net, coils.order, signs).text(signs, coils.sections())
    return Sound(tuple(sounding), words, phase, hum.word, hum.most, _rms_db(power), peak_hz, peak_db,
                 on_string or hum.assumed, hum.weighed, hum.least, hum.same_wire, hum.known_from)


def heard(net: Netlist, response: Response) -> tuple[str, ...]:
    """The coils that sound, as ``listen`` says."""
    return tuple(response.sources[i] for i in _heard(net, levels_of(response)))


def _heard(net: Netlist, levels: Sequence[float]) -> list[int]:
    """Numbers of the coils that sound; none in a silent state."""
    loudest = max(levels, default=-math.inf)
    if net.tip == 0 or loudest < SILENT_DB:
        return []
    return [i for i, level in enumerate(levels) if level > loudest - SOUNDS_DB]


def levels_of(response: Response) -> list[float]:
    """The level of each source in dB, as it is heard; ``response`` over ``FREQUENCIES``."""
    return [_rms_db(np.abs(response.transfers[:, i])) for i in range(len(response.sources))]


def _rms_db(curve: NDArray[np.float64]) -> float:
    band = curve[2:][GRID <= BAND_TOP]
    rms = math.sqrt(float((band**2).mean()))
    return 20 * math.log10(rms) if rms > 0 else -math.inf


def _ways(transfers: NDArray[np.complex128], heard: Sequence[int], loudest: int) -> tuple[dict[int, int], bool]:
    """Which way round each coil is heard (+1: finish toward the tip), and whether that holds over the band."""
    band = transfers[2:][GRID <= BAND_TOP]
    low = transfers[2:][GRID <= 1000.0, loudest]
    turn = float((low.real / np.maximum(np.abs(low), 1e-300)).mean())
    first = -1 if turn < 0 else 1
    ways, clear = {}, True
    for i in heard:
        with_it = float((band[:, i] * band[:, loudest].conj()).real.sum())
        size = math.sqrt(float((np.abs(band[:, i]) ** 2).sum() * (np.abs(band[:, loudest]) ** 2).sum()))
        ways[i] = first if with_it >= 0 else -first
        clear = clear and abs(with_it) >= QUADRATURE * size
    return ways, clear


def _phase(sounding: Sequence[Heard], clear: bool, one_way: bool, coils: Coils) -> tuple[str, bool]:
    """The word for the phase, and whether it rests on usual signs."""
    main = [h for h in sounding if not h.weak]
    if len({h.called for h in main}) == 1:
        return ("single" if one_way else "out"), False
    if any(h.sign is None for h in main):
        return "unknown", False
    pickups: dict[str, set[int | None]] = {}
    for h in main:
        pickups.setdefault(coils.pickups[h.coil], set()).add(h.sign)
    if len(pickups) > 1 and not all(coils.string_known(pickup) for pickup in pickups):
        return "unknown", False
    assumed = any(coils.signs[h.coil].string_assumed for h in main)
    if not clear:
        return "mixed", assumed
    if len({h.sign for h in main}) == 1:
        return "in", assumed
    two_opposed = len(pickups) == 2 and all(len(signs) == 1 for signs in pickups.values())
    return ("out" if len(main) == 2 or two_opposed else "mixed"), assumed


def _hum(response: Response, coils: Coils) -> Hum:
    """The hum of a network."""
    parts = {name: complex(response.transfers[0, i]) for i, name in enumerate(response.sources) if name in coils.hums}
    total = sum(abs(t) for t in parts.values())
    if total <= 10 ** (SILENT_DB / 20):
        return Hum("silent", 0.0, 0.0)
    matter = {name: t for name, t in parts.items() if abs(t) > 0.01 * total}
    if len(matter) == 1:
        return Hum("full", 100.0, 100.0)
    if len({coils.whole(name) for name in matter}) == 1:
        # Sections of one winding: which way it is wound does not matter.
        return left(matter, dict.fromkeys(matter, 1), coils.wound, dict.fromkeys(matter, ""))
    signs = {name: sign for name in matter if (sign := coils.signs[name].hum) is not None}
    if len(signs) < len(matter):
        return Hum("unknown")
    # Pickups of known winding add up with their signs, the others nobody can tell which way.
    together = {name: "" if coils.hum_known(coils.pickups[name]) else coils.pickups[name] for name in matter}
    return left(matter, signs, coils.wound, together, any(coils.signs[name].hum_assumed for name in matter))


def _peak(power: NDArray[np.float64]) -> tuple[float | None, float | None]:
    """Frequency in Hz and height in dB over 100 Hz of the highest point; None where there is no peak."""
    curve = 20 * np.log10(np.maximum(power[2:], 1e-300))
    at = int(curve.argmax())
    if at in (0, STEPS) or GRID[at] < 100.0:
        return None, None
    left, mid, right = (float(x) for x in curve[at - 1 : at + 2])
    bend = left - 2 * mid + right
    shift = 0.5 * (left - right) / bend if bend < 0 else 0.0
    step = math.log(HIGHEST / LOWEST) / STEPS
    height = mid - 0.25 * (left - right) * shift - 20 * math.log10(max(float(power[1]), 1e-300))
    return float(GRID[at]) * math.exp(shift * step), height


def same(one: Sound, other: Sound, curve: NDArray[np.float64], other_curve: NDArray[np.float64]) -> bool:
    """Whether two sounds are heard as one; curves in dB (frequencies x coils that sound) over ``FREQUENCIES``."""
    if [(h.coil, h.weak) for h in one.sounding] != [(h.coil, h.weak) for h in other.sounding]:
        return False
    # Not by signs: a phase switch is heard too where nobody has metered which way the coils kick.
    turned = {a.way * b.way for a, b in zip(one.sounding, other.sounding, strict=True)}
    return len(turned) <= 1 and bool((np.abs(curve - other_curve) < SAME_DB).all())


def curves_db(response: Response, sound: Sound) -> NDArray[np.float64]:
    """Curves in dB of the coils that sound, over the band in which levels are compared."""
    at = [response.sources.index(h.coil) for h in sound.sounding]
    band = np.abs(response.transfers[2:][:, at])[GRID <= BAND_TOP]
    return np.asarray(20 * np.log10(np.maximum(band, 1e-300)), dtype=np.float64)
