"""The outputs of a build as a file names them: a jack stands for its tip, ``jack.ring`` for its ring."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.model.build import Part
from diagramgen.model.codes import INP_353

CONTACTS = ("tip", "ring")
"""Lugs of a jack that may carry a signal."""


def is_jack(part: Part) -> bool:
    """Whether a part has the lugs tip and sleeve that a plug goes into."""
    plugged = part.symbol.family == "jacks" or any(c.kind == "plug" for c in part.symbol.controls)
    return plugged and {"tip", "sleeve"} <= set(part.symbol.lug_names())


def contacts_of(jack: Part) -> tuple[str, ...]:
    """Lugs of a jack that may carry a signal."""
    return tuple(lug for lug in CONTACTS if lug in jack.symbol.lug_names())


def output_of(
    text: str, place: Location, parts: Mapping[str, Part], say: Diagnostics, failed: Collection[str] = ()
) -> str | None:
    """``part.lug`` of the output that is named; None after a problem was said, or where its part was not read."""
    name, _, lug = text.partition(".")
    if name in failed:
        return None
    part = parts.get(name)
    if part is not None and is_jack(part) and (lug or "tip") in contacts_of(part):
        return f"{name}.{lug or 'tip'}"
    say.add(INP_353, place, f"'{text}' is no output", nearest(text, list(names(parts))))
    return None


def names(parts: Mapping[str, Part]) -> Iterator[str]:
    """Every output as it may be named: the jack alone for its tip."""
    for part in parts.values():
        if is_jack(part):
            yield from (part.name if lug == "tip" else f"{part.name}.{lug}" for lug in contacts_of(part))
