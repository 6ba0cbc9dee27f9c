"""What the build wants of its positions: ``wanted`` and ``moves together``, with every name looked up."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.folding import folded
from diagramgen.library.model import Control
from diagramgen.model.build import Part, Wanted
from diagramgen.model.coil_expression import BadNetwork, coils, read_network
from diagramgen.model.output_names import output_of
from diagramgen.reader.codes import INP_333, INP_334, INP_335, INP_336, INP_337
from diagramgen.reader.lead_codes import INP_224
from diagramgen.yamlfile.schema_fields import Located, Values


def read_wanted(
    given: tuple[Located[Values], ...], parts: Mapping[str, Part], say: Diagnostics, failed: Collection[str] = ()
) -> tuple[Wanted, ...]:
    """Every wanted state whose names exist; the keys of ``when`` become ``part`` or ``part.control``.

    Of parts that ``failed`` to be read nothing more is said: whether they have the position is not known.
    """
    result = []
    for g in given:
        v = g.value
        fine = True
        when: dict[str, str] = {}
        for key, position in v.get("when", {}).items():
            unread = key.partition(".")[0] in failed
            found = None if unread else position_of(key, position, parts, say)
            fine = fine and found is not None
            if found:
                when[found[0]] = found[1]
        at = output_of(v.get("at", ""), v.at("at"), parts, say, failed) if v.has("at") else ""
        fine = fine and at is not None
        sounds = v.get("sounds", "")
        if sounds and not _sounds(sounds, v.at("sounds"), parts, say, failed):
            fine = False
        if not (v.has("sounds") or v.has("phase") or v.has("hum")):
            say.add(INP_333, g.place, "this state wants nothing")
            fine = False
        if fine:
            result.append(Wanted(when, sounds, v.get("phase", ""), v.get("hum", ""), g.place, at or ""))
    return tuple(result)


def position_of(
    key: str, given: Located[str], parts: Mapping[str, Part], say: Diagnostics,
    keys: tuple[str, ...] = ("when", "at", "sounds", "phase", "hum"),
) -> tuple[str, str] | None:
    """The control and position meant by ``key: position``; ``keys`` are what else may stand there."""
    name, _, word = key.partition(".")
    part = parts.get(name)
    typed = folded(given.value)
    if part is None:
        say.add(INP_334, given.place, f"'{name}' is neither a control nor one of {', '.join(keys)}",
                nearest(name, [*(p.name for p in parts.values() if switches(p)), *keys]))
        return None
    if not word and part.symbol.modes:
        if typed in part.symbol.modes:
            return name, typed
        say.add(INP_335, given.place, f"'{name}' has no position '{given.value}'", nearest(typed, part.symbol.modes))
        return None
    control = control_of(part, word, given.place, say)
    if control is None:
        return None
    words = {**dict(zip((w.lower() for w in control.words), control.positions, strict=False)),
             **{p.lower(): p for p in control.positions}}
    if typed not in words:
        say.add(INP_335, given.place, f"'{key}' has no position '{given.value}'", nearest(typed, words))
        return None
    several = len(switches(part)) > 1
    return (f"{name}.{control.name}" if several else name), words[typed]


def switches(part: Part) -> list[Control]:
    """The switching controls of a part."""
    return [c for c in part.symbol.controls if c.positions]


def control_of(part: Part, word: str, place: Location, say: Diagnostics) -> Control | None:
    """The switching control meant; None after a problem was said."""
    found = switches(part)
    names = [c.name for c in found]
    if not found:
        say.add(INP_334, place, f"'{part.name}' ({part.symbol.name}) has no positions to choose from",
                "Name a switch, a selector or a jack.")
        return None
    if not word and len(found) == 1:
        return found[0]
    if not word:
        say.add(INP_334, place, f"'{part.name}' has several controls: {', '.join(names)}",
                f"Say which: {part.name}.{names[0]}.")
        return None
    chosen = next((c for c in found if c.name == word), None)
    if chosen is None:
        say.add(INP_334, place, f"'{part.name}' has no switching control '{word}'", nearest(word, names))
    return chosen


def _sounds(
    text: str, place: Location, parts: Mapping[str, Part], say: Diagnostics, failed: Collection[str] = ()
) -> bool:
    try:
        network = read_network(text)
    except BadNetwork as fault:
        say.add(INP_224, place, f"'{text}' cannot be read as coils: {fault}", fault.remedy)
        return False
    fine = True
    known = coil_names(parts)
    for coil in coils(network):
        name = f"{coil.part}.{coil.coil}" if coil.coil else coil.part
        part = parts.get(coil.part)
        own = [e.name for e in part.symbol.elements if e.kind in ("coil", "transducer")] if part else []
        if name in known or (part and coil.coil and coil.coil in own):
            continue
        fine = False
        if coil.part in failed:
            continue
        if part and own and not coil.coil:
            say.add(INP_336, place, f"'{coil.part}' has several coils: {', '.join(own)}",
                    f"Say which: {coil.part}.{own[0]}.")
        else:
            say.add(INP_336, place, f"there is no coil '{name}'", nearest(name, known, limit=20))
    return fine


def coil_names(parts: Mapping[str, Part]) -> list[str]:
    """Every coil as it may be named: the part alone where it has one winding, else part.coil."""
    result = []
    for part in parts.values():
        own = [e.name for e in part.symbol.elements if e.kind in ("coil", "transducer")]
        if len(own) == 1 or part.symbol.sections():
            result.append(part.name)
        if len(own) > 1:
            result += [f"{part.name}.{n}" for n in own]
    return result


def read_together(
    given: tuple[Located[tuple[Located[str], ...]], ...], parts: Mapping[str, Part], say: Diagnostics,
    failed: Collection[str] = (),
) -> tuple[tuple[str, ...], ...]:
    """Controls that move as one, each as ``part.control``."""
    result = []
    seen: dict[str, Location] = {}
    for group in given:
        names = []
        for g in group.value:
            name, _, word = g.value.partition(".")
            part = parts.get(name)
            if part is None and name in failed:
                continue
            if part is None:
                say.add(INP_334, g.place, f"there is no part '{name}'", nearest(name, parts))
                continue
            own = [c.name for c in part.symbol.controls]
            if word not in own and (word or len(own) != 1):
                say.add(INP_334, g.place, f"'{name}' has no control '{word}'" if word
                        else f"'{name}' has several controls or none", nearest(word, own))
                continue
            full = f"{name}.{word or own[0]}"
            if full in seen:
                say.add(INP_337, g.place, f"'{full}' moves with two sets of controls")
            seen[full] = g.place
            names.append(full)
        if len(names) > 1:
            result.append(tuple(names))
    return tuple(result)
