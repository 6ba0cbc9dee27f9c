"""Which way each coil's string and hum voltages point, from start to finish: given, assumed or unknown.

The string sign is the kick (red on finish, black on start, steel coming on); by Faraday and Lenz it is winding
times magnet: a coil wound clockwise from start to finish, seen from the strings, with a north pole toward them
kicks plus. The hum sign is the winding, that is kick times magnet. Any two of the three give the third.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from diagramgen.circuit.values import elements_of, source_name, word_of
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part

WORDS: Mapping[str, int] = {"clockwise": 1, "anticlockwise": -1, "north": 1, "south": -1, "plus": 1, "minus": -1}
PARAMETERS = ("winding", "magnet", "kick")


@dataclass(frozen=True)
class Sign:
    """Signs of one coil from start to finish: +1, -1 or None where nobody can know."""

    string: int | None
    hum: int | None
    string_assumed: bool = False
    """Rests on how such pickups are usually made, not on what was metered on this one."""
    hum_assumed: bool = False


@dataclass(frozen=True)
class _Trio:
    """Winding, magnet and kick, each +1, -1 or None."""

    winding: int | None
    magnet: int | None
    kick: int | None

    def completed(self) -> _Trio:
        """With the third worked out from the two others."""
        w, m, k = self.winding, self.magnet, self.kick
        return _Trio(w if w or not (m and k) else m * k, m if m or not (w and k) else w * k,
                     k if k or not (w and m) else w * m)


def coil_signs(build: Build) -> dict[str, Sign]:
    """Coil or transducer -> its signs. A transducer's polarity is not known and it picks up no magnetic hum."""
    found: dict[str, Sign] = {}
    for part in build.parts.values():
        coils = [e for e in part.symbol.elements if e.kind == "coil"]
        found.update(_part_signs(part, coils))
        found.update((source_name(part, e), Sign(None, None)) for e in part.symbol.elements if e.kind == "transducer")
    return found


def contradictions(build: Build) -> Iterator[tuple[Part, str]]:
    """Coils whose given winding, magnet and kick do not fit together, each with a sentence."""
    for part, coil in elements_of(build, "coil"):
        given, _ = _trios(part, coil)
        if given.winding and given.magnet and given.kick and given.winding * given.magnet != given.kick:
            words = ", ".join(f"{p} {word_of(part, coil, p)[0]}" for p in PARAMETERS)
            yield part, f"{words} of {source_name(part, coil)} do not fit together"


def _trios(part: Part, coil: Element) -> tuple[_Trio, _Trio]:
    """What the build gives and what the symbol takes as usual."""
    given, usual = [], []
    for parameter in PARAMETERS:
        word, told = word_of(part, coil, parameter)
        given.append(WORDS.get(word) if told else None)
        typical = part.symbol.values.get(coil.values.get(parameter, ""))
        usual.append(WORDS.get(str(typical.value)) if typical is not None else None)
    return _Trio(*given), _Trio(*usual)


def _part_signs(part: Part, coils: list[Element]) -> dict[str, Sign]:
    """Signs of the coils of one part: what is usual between its coils is kept when one of them was metered."""
    trios = [_trios(part, coil) for coil in coils]
    given = [g.completed() for g, _ in trios]
    usual = [u.completed() for _, u in trios]
    turned = {p: _turned(p, given, usual) for p in PARAMETERS}
    if turned["winding"] is None and turned["kick"] is not None:
        # Metered the other way round than usual: start and finish are named the other way round.
        turned["winding"] = turned["kick"] * (turned["magnet"] or 1)
    found = {}
    for coil, own, typical in zip(coils, given, usual, strict=True):
        filled = replace(own, winding=own.winding or _times(typical.winding, turned["winding"]),
                         magnet=own.magnet or _times(typical.magnet, turned["magnet"]))
        if own.kick and not own.winding and filled.magnet:
            filled = replace(filled, winding=own.kick * filled.magnet)
        whole = filled.completed()
        found[source_name(part, coil)] = Sign(whole.kick, whole.winding, own.kick is None and whole.kick is not None,
                                              own.winding is None and whole.winding is not None)
    return found


def _times(usual: int | None, factor: int | None) -> int | None:
    """The usual sign, turned by what was found on another coil; None where two findings contradict."""
    return None if usual is None or factor == 0 else usual * (factor or 1)


def _turned(parameter: str, given: list[_Trio], usual: list[_Trio]) -> int | None:
    """Whether given signs are the usual ones (1), all reversed (-1), or both (0); None where none is given."""
    factors = {a * b for g, u in zip(given, usual, strict=True)
               if (a := getattr(g, parameter)) and (b := getattr(u, parameter))}
    return None if not factors else factors.pop() if len(factors) == 1 else 0
