"""Every kind of sheet there is, found by the name of its module; nothing lists them a second time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from diagramgen.kernel.discovery import modules_ending
from diagramgen.sheets.sheet_kind import SheetKind


@cache
def kinds() -> dict[str, SheetKind]:
    """Name -> kind of sheet, in the order a job takes them.

    Raises ``ValueError`` where two kinds have one name or one place.
    """
    found: list[SheetKind] = sorted((module.KIND for module in modules_ending("_kind", "features")),
                                    key=lambda kind: kind.place)
    named = {kind.name: kind for kind in found}
    if len(named) < len(found) or len({kind.place for kind in found}) < len(found):
        raise ValueError("two kinds of sheets have one name or one place")
    return named


def default_sheets() -> tuple[str, ...]:
    """Names of the kinds that are made where nothing is asked for."""
    return tuple(name for name, kind in kinds().items() if kind.default)


def binding(names: Iterable[str]) -> str:
    """The one of these kinds that binds the others into a packet; '' where they are no packet."""
    return next((name for name in names if kinds()[name].binds), "")


def packet_sheets() -> tuple[str, ...]:
    """Names of the kinds that a packet holds where nothing else is asked for with it."""
    return tuple(name for name, kind in kinds().items() if kind.default or kind.in_packet)


def sheets_for(asked: Sequence[str]) -> tuple[str, ...]:
    """The kinds to make where these are asked for: the usual ones for none, those a packet holds for the packet alone.
    """
    return packet_sheets() if asked and all(kinds()[name].binds for name in asked) else tuple(asked) or default_sheets()


def sheet_names() -> tuple[str, ...]:
    """Names of all kinds: those made by default, then those made on request."""
    return (*default_sheets(), *(name for name, kind in kinds().items() if not kind.default))


def on_request() -> str:
    """The kinds that are made on request, as ``--help`` lists them: ``player (the player's side), ...``."""
    listed = [f"{name} ({kind.hint})" for name, kind in kinds().items() if not kind.default]
    return f"{', '.join(listed[:-1])} and {listed[-1]}"
