"""Which lugs a state of the controls joins."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from diagramgen.kernel.diagnostics import nearest
from diagramgen.library.model import ContactTable
from diagramgen.model.build import Build, Part


def switching(part: Part) -> tuple[str, ...]:
    """The controls of a part that have a contact table."""
    return tuple(table.control for table in part.symbol.contacts)


def keys_of(part: Part) -> tuple[str, ...]:
    """The words under which a state may name a part's controls.

    The part's name alone where it has one switching control or names for the combinations of several
    (``modes``); ``part.control`` always.
    """
    controls = switching(part)
    alone = (part.name,) if len(controls) == 1 or (controls and part.symbol.modes) else ()
    return alone + tuple(f"{part.name}.{c}" for c in controls)


def positions_of(part: Part, key: str) -> tuple[str, ...]:
    """The positions (or words for modes) that a key of ``keys_of`` may have."""
    controls = switching(part)
    if key == part.name and part.symbol.modes and len(controls) != 1:
        return tuple(part.symbol.modes)
    name = controls[0] if key == part.name else key.split(".", 1)[1]
    control = part.symbol.control(name)
    return control.positions if control else ()


def closed(build: Build, state: Mapping[str, str] | None) -> Iterator[tuple[str, str, str, str]]:
    """(part, control, lug key, lug key) for every pair of lugs the state joins.

    A control that the state does not name closes nothing. Raises ``ValueError`` for names and positions
    that do not exist.
    """
    if not state:
        return
    _check(build, state)
    for part in build.parts.values():
        for table in part.symbol.contacts:
            position = position_of(part, table, state)
            for row in table.rows:
                if row.between is not None or row.position != position:
                    continue
                for group in row.joins:
                    for a, b in itertools.pairwise(group):
                        yield part.name, f"{part.name}.{table.control}", f"{part.name}.{a}", f"{part.name}.{b}"


def position_of(part: Part, table: ContactTable, state: Mapping[str, str]) -> str | None:
    """The position a state puts a control in; None where it does not say."""
    own = state.get(f"{part.name}.{table.control}")
    if own is not None:
        return own
    word = state.get(part.name)
    if word is None:
        return None
    if len(switching(part)) == 1:
        return word
    return part.symbol.modes.get(word, {}).get(table.control)


def _check(build: Build, state: Mapping[str, str]) -> None:
    known = {key: part for part in build.parts.values() for key in keys_of(part)}
    for key, word in state.items():
        if key not in known:
            raise ValueError(f"there is no switching control '{key}'. {nearest(key, known)}")
        valid = positions_of(known[key], key)
        if word not in valid:
            raise ValueError(f"'{key}' has no position '{word}'. {nearest(word, valid)}")
