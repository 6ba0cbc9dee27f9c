"""How much of the hum of several coils is left: a range, worked out from what is known of their turns.

A stray field induces a voltage in proportion to turns times mean area of a turn (Faraday), so that

    left = |sum of h w T| / sum of w |T|

with h the hum sign of a coil, T what of its voltage reaches the plug at 50 Hz, w its weight. Weights are known

* exactly where the turns are told;
* within 5 % where the ohms and the gauge of the wire are told: turns = ohms / (ohms per turn of that gauge);
* within 5 % where the inductances of coils of one kind are metered: N1/N2 = sqrt(L1/L2).

Ohms alone do not tell turns. Where coils are meant alike and their ohms lie within 5 %, one wire is taken for all; else
each may be wound with any of AWG 42 to 44, or have as many turns as the others (one measured dual coil has 13.8 and
6.1 kohm at equal turns), and the least and most of all these is what can be said.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

CANCELS, MOST, FULL = 5.0, 10.0, 90.0
"""Per cent of hum: it cancels up to the first if the turns are as told and up to the second at the worst end; up to the
second most of it goes."""
ROUNDED = 1e-6
PER_TURN = {"single": 0.755, "dual": 0.80}
"""Ohms per turn of AWG 42 in pickups with one coil and with several: 24 pairs of turns and ohms, scatter 1.9 %, 0.72 to
0.83 over all. Source: a page of specifications of early pickups and a pickup maker's help page, titles not noted;
figures only, licences not told."""
GAUGE, FINER = 42.0, 1.261
"""The gauge these hold for, and how many times the ohms a gauge finer has (AWG 42 5.472, AWG 43 6.900, AWG 44 8.700
ohm per metre; IEC 60028 copper)."""
USUAL = (42.0, 43.0, 44.0)
"""Gauges a pickup may be wound with where nobody tells."""
SPREAD = 0.05
"""How far turns worked out from wire, or from inductance, may be off: two spools of one gauge, slugs against screws."""
ALIKE = 1.05
"""Ohms that differ by no more than this are those of coils meant alike."""
LOOPS = 0.10
"""How far the mean area of a turn may differ between kinds of pickups where nobody gives it (a judgement: mean turns of
132 to 151 mm follow from the same pairs)."""
MOST_WAYS = 1 << 16
"""Combinations of weights that are tried at most."""


@dataclass(frozen=True)
class Wound:
    """What is known of one coil's winding."""

    winding: str
    """The same for sections of one tapped coil."""
    pickup: str
    kind: str
    """The symbol of its part."""
    alike: bool
    """The coils of its pickup are made alike."""
    per_turn: float
    """Ohms per turn of AWG 42."""
    ohms: float
    told: bool
    """The ohms are this coil's, not those of its kind."""
    band: float
    """Share by which the ohms of its kind differ."""
    turns: float | None = None
    area: float | None = None
    wire: float | None = None
    """AWG of its wire."""
    inductance: float | None = None
    """In H, metered."""

    def turns_with(self, gauge: float, ohms: float = 0.0) -> float:
        """Turns where it is wound with a gauge."""
        return (ohms or self.ohms) / (self.per_turn * math.pow(FINER, gauge - GAUGE))


@dataclass(frozen=True)
class Hum:
    """What is left of the hum."""

    word: str
    """cancels | most | partly | full | silent | unknown."""
    least: float | None = None
    """Per cent, at the end of the range where least is left."""
    most: float | None = None
    same_wire: float | None = None
    """Per cent where all are wound with the same wire; None where that says no more."""
    known_from: str = ""
    """turns | wire | inductances | same wire taken | wire unknown | ohms and wire unknown."""
    assumed: bool = False
    """It rests on signs that are only usual."""
    weighed: tuple[str, ...] = ()
    """Of turns and area what is told of every coil that matters."""


Options = tuple[Mapping[str, float], ...]
"""Ways to weigh the coils of one group; the first is the nominal one."""


@dataclass(frozen=True)
class _Group:
    """Coils whose weights against each other are known, or taken as known."""

    known_from: str
    own: Options
    """Without a scale: enough where there is no other group."""
    scales: tuple[float, ...] = (1.0,)

    def options(self, alone: bool) -> Options:
        """Every way to weigh its coils."""
        if alone:
            return self.own
        return tuple({coil: weight * scale / self.scales[0] for coil, weight in one.items()}
                     for one in self.own for scale in self.scales)


def left(
    parts: Mapping[str, complex], signs: Mapping[str, int], wound: Mapping[str, Wound], together: Mapping[str, str],
    assumed: bool = False,
) -> Hum:
    """What is left of the hum of two coils or more.

    ``parts``: coil -> share of its voltage at the plug at 50 Hz. ``signs``: coil -> hum sign. ``together``: coil -> its
    group; coils of one group know which way they are wound against each other, groups do not.
    """
    names = tuple(parts)
    groups, weights = _weighing(names, tuple(wound.get(name) for name in names))
    if weights is None:
        return Hum("unknown")
    least, most, clear = _range(parts, signs, together, weights)
    if not clear:
        return Hum("unknown")
    low, high = float(least.min()), float(most.max())
    sure = all(group.known_from in PROOF for group in groups)
    word = _word(low, high, sure, float(most[0]))
    known_from = _known_from(groups, word)
    same = float(most[0]) if known_from == "wire unknown" and most[0] - least[0] < 0.5 else None
    return Hum(word, low, high, same, known_from if word != "full" else "", assumed, _weighed(names, wound))


def _word(low: float, high: float, sure: bool, nominal: float = 0.0) -> str:
    """``nominal``: the most that is left, in per cent, if turns are as told or follow from wire without error."""
    if high <= MOST and (not sure or nominal <= CANCELS + ROUNDED):
        return "cancels" if sure else "most"
    return "full" if low >= FULL else "partly"


PROOF = ("turns", "wire", "inductances")
"""What tells the turns of one coil against another's."""


def _known_from(groups: Sequence[_Group], word: str) -> str:
    kinds = dict.fromkeys(group.known_from for group in groups)
    if all(kind in PROOF for kind in kinds):
        return " and ".join(kind for kind in PROOF if kind in kinds)
    if word == "most":
        return "same wire taken"
    return "ohms and wire unknown" if "kind" in kinds else "wire unknown"


def _weighed(names: Sequence[str], wound: Mapping[str, Wound]) -> tuple[str, ...]:
    return tuple(size for size in ("turns", "area")
                 if all(name in wound and getattr(wound[name], size) is not None for name in names))


def _groups(names: Sequence[str], wound: Mapping[str, Wound]) -> list[_Group]:
    """The coils in groups: by turns, else by inductance, else by ohms."""
    found = [_by_turns(name, wound[name]) for name in names if _tells_turns(wound[name])]
    rest = [name for name in names if not _tells_turns(wound[name])]
    for kind in dict.fromkeys(wound[name].kind for name in rest):
        own = [name for name in rest if wound[name].kind == kind]
        metered = [name for name in own if wound[name].inductance]
        if len(metered) > 1:
            found.append(_by_inductance(metered, wound))
            own = [name for name in own if name not in metered]
        found += [_by_ohms(cluster, wound) for cluster in _alike(own, wound)]
    return found


def _tells_turns(coil: Wound) -> bool:
    return coil.turns is not None or (coil.wire is not None and coil.told)


def _by_turns(name: str, coil: Wound) -> _Group:
    if coil.turns is not None:
        return _Group("turns", ({name: coil.turns},))
    turns = coil.turns_with(coil.wire or GAUGE)
    return _Group("wire", tuple({name: turns * share} for share in (1.0, 1 - SPREAD, 1 + SPREAD)))


def _by_inductance(names: Sequence[str], wound: Mapping[str, Wound]) -> _Group:
    first = wound[names[0]]
    unit = sum(wound[n].turns_with(GAUGE) for n in names) / sum(math.sqrt(wound[n].inductance or 1.0) for n in names)
    nominal = {name: unit * math.sqrt(wound[name].inductance or 1.0) for name in names}
    off = ({name: nominal[name] * share for name, share in zip(names, shares, strict=True)}
           for shares in itertools.product((1 - SPREAD, 1 + SPREAD), repeat=len(names)))
    return _Group("inductances", (nominal, *off), _scales(first))


def _by_ohms(names: Sequence[str], wound: Mapping[str, Wound]) -> _Group:
    """Coils of one wire: turns in proportion to ohms; or, where they are only taken to be alike, equal."""
    first = wound[names[0]]
    one = {name: wound[name].turns_with(GAUGE) for name in names}
    own: Options = (one,)
    if len({wound[name].winding for name in names}) > 1:
        own = (one, dict.fromkeys(names, sum(one.values()) / len(one)))
    return _Group("alike" if first.told else "kind", own, _scales(first))


def _scales(coil: Wound) -> tuple[float, ...]:
    """Turns it may have, AWG 42 and its nominal ohms first."""
    if coil.told:
        return tuple(coil.turns_with(gauge) for gauge in USUAL)
    return (coil.turns_with(USUAL[0]), coil.turns_with(USUAL[-1], coil.ohms * (1 - coil.band)),
            coil.turns_with(USUAL[0], coil.ohms * (1 + coil.band)))


def _alike(names: Sequence[str], wound: Mapping[str, Wound]) -> Iterator[tuple[str, ...]]:
    """Coils of one kind in clusters within which one wire may be taken."""
    clusters: list[list[str]] = []
    # From the lowest ohms up, so that the order of the file decides nothing.
    for pickup in dict.fromkeys(wound[name].pickup for name in sorted(names, key=lambda n: wound[n].ohms)):
        own = [name for name in names if wound[name].pickup == pickup]
        one_winding = len({wound[name].winding for name in own}) == 1
        if not one_winding and not (all(wound[name].alike for name in own) and _near(own, wound)):
            clusters += [[name] for name in own]
            continue
        tapped = one_winding and len(own) > 1
        near = None if tapped else next((c for c in clusters if _near(c + own, wound, True)), None)
        if near is None:
            clusters.append(own)
        else:
            near += own
    return (tuple(cluster) for cluster in clusters)


def _near(names: Collection[str], wound: Mapping[str, Wound], told: bool = False) -> bool:
    """Whether ohms lie so near that one wire is taken: all told, or none (``told``: all must be), all meant alike."""
    ohms = [wound[name].ohms for name in names]
    knowledge = {wound[name].told for name in names}
    return (all(wound[name].alike for name in names) and len(knowledge) == 1 and (not told or knowledge == {True})
            and max(ohms) <= ALIKE * (1 + 1e-9) * min(ohms))


@lru_cache(maxsize=512)
def _weighing(
    names: tuple[str, ...], known: tuple[Wound | None, ...]
) -> tuple[tuple[_Group, ...], NDArray[np.float64] | None]:
    """The groups of coils, and the ways to weigh them x coils, the nominal one first; None where there are too many."""
    wound = {name: coil for name, coil in zip(names, known, strict=True) if coil is not None}
    groups = tuple(_groups(list(wound), wound))
    options = [group.options(len(groups) == 1) for group in groups]
    if math.prod(len(one) for one in options) > MOST_WAYS:
        return groups, None
    areas = [coil.area if coil is not None else None for coil in known]
    area = [a or 1.0 for a in areas] if None not in areas else [1.0] * len(names)
    rows = []
    for chosen in itertools.product(*options):
        one = {coil: weight for option in chosen for coil, weight in option.items()}
        rows.append([one.get(name, 1.0) * a for name, a in zip(names, area, strict=True)])
    if any(group.known_from not in PROOF for group in groups) and len(groups) > 1:
        rows.append(_same_turns(rows[0], [group for group in groups if group.known_from not in PROOF], names, area))
    weights = np.array(rows)
    if None in areas:
        weights = _loops(weights, [coil.kind if coil is not None else "" for coil in known])
    weights.setflags(write=False)
    return groups, weights


def _loops(weights: NDArray[np.float64], kinds: Sequence[str]) -> NDArray[np.float64]:
    """The weights again with turns of each kind of pickup larger and smaller, two of them by ``LOOPS`` at most."""
    each = sorted(set(kinds))
    if len(each) < 2:
        return weights
    off = math.sqrt(1 + LOOPS)
    factors = [[dict(zip(each, chosen, strict=True))[kind] for kind in kinds]
               for chosen in itertools.product((1.0, 1 / off, off), repeat=len(each))]
    return np.concatenate([weights * np.array(row) for row in factors])


def _same_turns(
    nominal: Sequence[float], groups: Sequence[_Group], names: Sequence[str], area: Sequence[float]
) -> list[float]:
    """The nominal weights with coils known by ohms alone given one number of turns, that of all on the average."""
    unsure = {coil for group in groups for coil in group.own[0]}
    turns = [weight / a for weight, a in zip(nominal, area, strict=True)]
    mean = sum(turns) / len(turns)
    return [(mean if name in unsure else own) * a for name, own, a in zip(names, turns, area, strict=True)]


def _range(
    parts: Mapping[str, complex], signs: Mapping[str, int], together: Mapping[str, str], weights: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], bool]:
    """Least and most per cent for each way to weigh, and whether the nominal way gives one word.

    Groups of unknown winding against each other may add or oppose; where more than one leaves hum nobody can tell.
    """
    names = list(parts)
    shares = np.array([parts[name] for name in names])
    signed = shares * np.array([signs[name] for name in names])
    of = [together[name] for name in names]
    lefts, own = [], []
    for group in dict.fromkeys(of):
        at = [i for i, g in enumerate(of) if g == group]
        lefts.append(np.abs(weights[:, at] @ signed[at]))
        own.append(weights[:, at] @ np.abs(shares[at]))
    sizes, total = np.array(lefts), np.sum(own, axis=0)
    most = np.minimum(100.0, 100 * sizes.sum(axis=0) / total)
    least = 100 * np.maximum(0.0, 2 * sizes.max(axis=0) - sizes.sum(axis=0)) / total
    leaving = sum(100 * float(one[0]) > MOST * float(whole[0]) for one, whole in zip(lefts, own, strict=True))
    return least, most, leaving < 2 and _word(least[0], least[0], True) == _word(most[0], most[0], True)


def keeps(asked: str, hum: str, least: float | None, most: float | None) -> bool | None:
    """Whether hum of this word and range is what was asked; None where it may be and nobody can tell."""
    if asked == hum and (hum != "partly" or least is None or most is None or (least > CANCELS and most < FULL)):
        return True
    if asked == "most" and (hum == "cancels" or (hum == "partly" and most is not None and most <= MOST)):
        return True
    if hum == "unknown" or asked == "unknown":
        return None if hum == "unknown" else False
    if least is None or most is None or hum in ("silent", "full") or asked == "silent":
        return False
    if asked in ("cancels", "most"):
        return None if least <= (CANCELS if asked == "cancels" else MOST) else False
    if asked == "full":
        return None if most >= FULL else False
    return None if hum in ("most", "partly") else False
