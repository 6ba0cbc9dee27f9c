"""What sounds, in words for people: ``neck, both coils in series``; ``neck and bridge in parallel``.

The notation of ``circuit/text.py`` (``neck.a + neck.b``) is for files, tables that programs read and the terminal;
every sheet, page and record takes its words from here.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.values import SOUNDING, elements_of, source_name
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part
from diagramgen.model.coil_expression import BadNetwork, Coil, Joined, Network, coils, read_network

if TYPE_CHECKING:
    from diagramgen.circuit.state_table import AtOutput

SILENT = "silent"
OPEN_CONTACT = "no coil: hangs open, buzzes"
"""Silence that is none: no coil reaches the contact and nothing shorts it, so that a cable makes it buzz."""
NO_PLUG = "no plug in"
HOW = {"series": "in series", "parallel": "in parallel"}
WHOLE = {2: "both coils", 3: "all three coils"}


def called(part: Part) -> str:
    """What people call a part; a name of the file without its hyphens where nothing better is known."""
    return part.says if part.says and part.says != part.name else part.name.replace("-", " ")


def capital(text: str) -> str:
    """The text with its first letter large; the others stay as they are."""
    return text[:1].upper() + text[1:]


def element_called(part: Part, element: Element | None) -> str:
    """A coil: ``neck``, or ``neck slug coil`` and ``bass (low strings)`` where the pickup has several; a gang of a pot
    likewise."""
    if element is None or sum(e.kind == element.kind for e in part.symbol.elements) < 2:
        return called(part)
    says = element.says or element.name
    plain = says.endswith(("coil", "gang")) or bool(part.symbol.sections())
    return f"{called(part)} {says}" if plain else f"{called(part)} ({says})"


def coil_names(build: Build) -> dict[str, str]:
    """Coil as the circuit names it -> as people do."""
    return {source_name(part, element): element_called(part, element)
            for part, element in elements_of(build, *SOUNDING)}


def heard_words(one: AtOutput, build: Build) -> str:
    """What is heard at an output whose plug is in."""
    return OPEN_CONTACT if one.floating else sound_words(one.sound, build)


def sound_words(sound: Sound, build: Build, faintly: bool = True) -> str:
    """What a state sounds: its coils and how they are joined; faint ones apart, or not at all.

    Which coil works against the others is said only where the phase is known.
    """
    if sound.silent:
        return SILENT
    names = coil_names(build)
    main = [h.coil for h in sound.sounding if not h.weak]
    faint = [h.coil for h in sound.sounding if h.weak and faintly]
    try:
        network = read_network(sound.network)
    except BadNetwork:
        network = None
        told = f"{and_list([names.get(c, c) for c in main])}, joined neither in series nor in parallel"
    if network is not None:
        known = sound.phase in ("out", "mixed")
        told = _Words(build, frozenset(main)).text(network if known else _unsigned(network))
    return told + (f"; faintly {and_list([names.get(c, c) for c in faint])}" if faint else "")


def network_words(text: str, build: Build) -> str:
    """The words for a network written in the notation; the text itself where it is none."""
    try:
        network = read_network(text)
    except BadNetwork:
        return text
    return SILENT if network is None else _Words(build).text(network)


def in_words(text: str, build: Build) -> str:
    """A sentence in which networks of this build's coils stand in the notation, with words in their place."""
    names = sorted(coil_names(build), key=len, reverse=True)
    if not names:
        return text
    coil = rf"[-(]*(?:{'|'.join(map(re.escape, names))})(?![\w-]|\.\w)\)*"
    network = re.compile(rf"(?<![\w.-]){coil}(?: (?:\+|-|\|\|) {coil})*")

    def told(found: re.Match[str]) -> str:
        whole, before, after = found.group(), "", ""
        while whole.count("(") > whole.count(")"):
            whole, before = whole[1:], before + whole[0]
        while whole.count(")") > whole.count("("):
            whole, after = whole[:-1], whole[-1] + after
        return before + (network_words(whole, build) if re.search(r"[.+|]", whole) else whole) + after

    return network.sub(told, text)


def assumed_words(keys: Sequence[str], build: Build) -> str:
    """Values nobody gave, by part: ``neck and bridge: inductance, capacitance, loss; preamp: input``.

    A coil is named apart where the same value of another coil of its pickup was given.
    """
    values: dict[str, dict[str, None]] = {}
    for key in keys:
        says, value = _value_called(key, keys, build)
        values.setdefault(says, {}).setdefault(value.replace("-", " "))
    alike: dict[tuple[str, ...], list[str]] = {}
    for says, own in values.items():
        alike.setdefault(tuple(own), []).append(says)
    return "; ".join(f"{and_list(says)}: {', '.join(own)}" for own, says in alike.items())


def _value_called(key: str, keys: Collection[str], build: Build) -> tuple[str, str]:
    """Whose a value is, and what of it, for a key as ``neck.a-inductance``."""
    name, _, value = key.partition(".")
    part = build.parts[name]
    element = next((e for e in part.symbol.elements if value.startswith(f"{e.name}-")), None)
    if element is None:
        return called(part), value
    plain = value.removeprefix(f"{element.name}-")
    alike = [f"{name}.{e.name}-{plain}" for e in part.symbol.elements if e.kind == element.kind]
    return called(part) if all(one in keys for one in alike) else element_called(part, element), plain


def _own(part: Part) -> list[Element]:
    return [e for e in part.symbol.elements if e.kind in SOUNDING]


def one_winding(part: Part) -> bool:
    """Whether the coils of a part are stretches of one winding with a tap: what tells its sense is one value."""
    return bool(part.symbol.sections())


@dataclass(frozen=True)
class _Words:
    """The words for networks of one build; ``heard``: of which only these coils are told (None: all)."""

    build: Build
    heard: frozenset[str] | None = None

    def text(self, network: Network) -> str:
        against = [coil for coil in _signed(network) if coil.reversed and self._coil(coil)]
        told = self._words(network)
        return told + (f", {and_list(self._grouped(against, network))} out of phase" if against else "")

    def _coil(self, coil: Coil) -> tuple[Part, Element] | None:
        """The part and element of a coil that is to be told; None for anything else."""
        part = self.build.parts.get(coil.part)
        own = _own(part) if part is not None else []
        whole = not coil.coil and part is not None and (len(own) == 1 or one_winding(part))
        found = own if whole else [e for e in own if e.name == coil.coil]
        if part is None or not found:
            return None
        heard = self.heard is None or any(source_name(part, e) in self.heard for e in found)
        return (part, found[0]) if heard else None

    def _told(self, network: Network) -> bool:
        return any(self._coil(coil) for coil in coils(network))

    def _words(self, network: Network, inside: bool = False) -> str:
        """The words for a network that holds a coil; ``inside``: as one of several, so with brackets where it needs."""
        if isinstance(network, Coil):
            found = self._coil(network)
            if found and not network.coil and one_winding(found[0]):
                return f"{called(found[0])} (whole winding)" if inside else f"{called(found[0])}, whole winding"
            name = element_called(*found) if found else network.part
            alone = found and name != called(found[0]) and not one_winding(found[0])
            return f"{name} alone" if alone and not inside else name
        kept = [t for t in network.terms if self._told(t)]
        rest = list(dict.fromkeys(n for t in network.terms if not self._told(t) for n in self._components(t)))
        if not rest:
            return self._joined(kept, network.how, inside)
        base = self._joined(kept, network.how, True)
        parts = and_list(rest)
        told = f"{base} through {parts}" if network.how == "series" else f"{base} with {parts} across it"
        return f"({told})" if inside else told

    def _components(self, network: Network) -> Iterator[str]:
        """The names of parts that are no pickups; nothing where a coil that is hardly heard is among them."""
        parts = [self.build.parts[c.part] for c in coils(network) if c.part in self.build.parts]
        if not any(_own(part) for part in parts):
            yield from (called(part) for part in parts)

    def _joined(self, terms: Sequence[Network], how: str, inside: bool) -> str:
        if len(terms) == 1:
            return self._words(terms[0], inside)
        groups = list(self._pickups(terms, how))
        if len(groups) == 1 and groups[0].part is not None:
            return f"{groups[0].name} ({groups[0].within})" if inside else f"{groups[0].name}, {groups[0].within}"
        told = _alike(groups, how) or (
            f"{and_list([f'{g.name} ({g.within})' if g.within else g.name for g in groups])} {HOW[how]}")
        return f"({told})" if inside else told

    def _pickups(self, terms: Sequence[Network], how: str) -> Iterator[_Group]:
        """The terms of a join, the coils of one pickup among them taken together."""
        mine: dict[str, list[Coil]] = {}
        for term in terms:
            if isinstance(term, Coil):
                mine.setdefault(term.part, []).append(term)
        done = set()
        for term in terms:
            if not isinstance(term, Coil):
                yield self._whole(term) or _Group(self._words(term, True))
            elif term.part not in done:
                done.add(term.part)
                group = mine[term.part]
                part = self.build.parts[term.part]
                if len(group) == 1:
                    yield _Group(self._words(term, True))
                else:
                    yield self._pickup(part, group, how)

    def _whole(self, network: Joined) -> _Group | None:
        """The pickup that a join of nothing but its coils stands for."""
        flat = [t for t in network.terms if isinstance(t, Coil) and self._coil(t)]
        if len(flat) < len(network.terms) or len({t.part for t in flat}) != 1:
            return None
        return self._pickup(self.build.parts[flat[0].part], flat, network.how)

    def _pickup(self, part: Part, group: Sequence[Coil], how: str) -> _Group:
        return _Group(called(part), self._which(part, group, how), part, len(group) == len(_own(part)))

    def _which(self, part: Part, group: Sequence[Coil], how: str) -> str:
        own = _own(part)
        if len(group) == len(own):
            return "whole winding" if one_winding(part) and how == "series" else (
                f"{WHOLE.get(len(own), 'all coils')} {HOW[how]}")
        says = {e.name: e.says or e.name for e in own}
        return f"{and_list([says.get(c.coil, c.coil) for c in group])} {HOW[how]}"

    def _grouped(self, some: Sequence[Coil], network: Network) -> list[str]:
        """Coils by name, or by their pickup's where all of it that sounds is among them."""
        found: dict[str, None] = {}
        for coil in some:
            told = self._coil(coil)
            if told is None:
                continue
            whole = [c for c in _signed(network) if c.part == coil.part and self._coil(c)]
            found.setdefault(called(told[0]) if all(c.reversed for c in whole) else element_called(*told))
        return list(found)


@dataclass(frozen=True)
class _Group:
    """One of several that are joined: its name, and how the coils of a pickup are joined within."""

    name: str
    within: str = ""
    part: Part | None = None
    complete: bool = False
    """All coils of the pickup are in it."""


def _alike(groups: Sequence[_Group], how: str) -> str:
    """The words for whole pickups whose coils are all joined in one way; '' for anything else."""
    each = groups[0].within
    if not all(g.complete and g.within == each for g in groups):
        return ""
    names = and_list([g.name for g in groups])
    if each.endswith(HOW[how]):
        return f"all coils of {names} {HOW[how]}"
    of_each = each.replace("coils", "coils of each", 1) if "coils" in each else f"{each} of each"
    return f"{names} {HOW[how]}, {of_each}"


def _signed(network: Network, turned: bool = False) -> Iterator[Coil]:
    """Every coil, reversed where it is so with all the brackets round it."""
    way = network.reversed != turned
    if isinstance(network, Coil):
        yield replace(network, reversed=way)
    else:
        for term in network.terms:
            yield from _signed(term, way)


def _unsigned(network: Network) -> Network:
    if isinstance(network, Coil):
        return replace(network, reversed=False)
    return Joined(network.how, tuple(_unsigned(t) for t in network.terms))


def and_list(names: Iterable[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    found = list(names)
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}" if found else ""
