"""What the papers at the beginning and the end of a job ask about: positions, controls, pickups, battery."""

from __future__ import annotations

from dataclasses import dataclass

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.states import StateSpace, state_space
from diagramgen.job.words import is_pickup
from diagramgen.model.build import Build, Part

ALL = 12
"""Up to so many positions each is listed; beyond, every control goes through its own with the others at rest."""
MOST = 24


@dataclass(frozen=True)
class Positions:
    """Positions to play through, in words."""

    says: tuple[str, ...]
    one_by_one: bool
    """Each control alone through its positions, the others as in the first line."""
    more: int
    """Left off beyond ``MOST``."""


@dataclass(frozen=True)
class Handle:
    """Something the player moves."""

    part: str
    says: str
    kind: str
    """knob | switch | trimmer | push (momentary)."""
    positions: tuple[str, ...]


def positions(build: Build) -> Positions:
    """The positions of a build with a mono plug in and nothing held; all of them, or every control one by one."""
    states = state_space(build)
    moving = [i for i, d in enumerate(states.switches) if d.kind not in ("plug", "momentary")]
    count = 1
    for i in moving:
        count *= len(states.switches[i].positions)
    rest = _rest(states)
    if count <= ALL:
        chosen = [rest]
        for i in moving:
            chosen = [(*one[:i], at, *one[i + 1:]) for one in chosen for at in range(len(states.switches[i].positions))]
    else:
        chosen = [rest] + [(*rest[:i], at, *rest[i + 1:]) for i in moving
                           for at in range(1, len(states.switches[i].positions))]
    said = tuple(words(_state(states, one), states) for one in chosen)
    return Positions(said[:MOST], count > ALL, len(said[MOST:]))


def _rest(states: StateSpace) -> tuple[int, ...]:
    """Everything at its first position, a mono plug in."""
    return tuple(next((i for i, p in enumerate(d.positions) if p[0] == "mono"), 0) if d.kind == "plug" else 0
                 for d in states.switches)


def _state(states: StateSpace, numbers: tuple[int, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for digit, at in zip(states.switches, numbers, strict=True):
        found.update(zip(digit.keys, digit.positions[at], strict=True))
    return found


def handles(build: Build) -> tuple[Handle, ...]:
    """Every knob, switch and trimmer, in the order of the file."""
    found = []
    for part in build.parts.values():
        moved = [c for c in part.symbol.controls if c.kind != "plug"]
        for control in moved:
            says = part.says if len(moved) == 1 else f"{part.says}, {control.name}"
            kind = "push" if control.momentary else control.kind
            found.append(Handle(part.name, says, kind, control.words or control.positions))
    return tuple(found)


def pickups(build: Build) -> tuple[str, ...]:
    """Pickups with coils, in words: those have a height over which the strings pass."""
    return tuple(p.says for p in build.parts.values()
                 if is_pickup(build, p.name) and any(e.kind == "coil" for e in p.symbol.elements))


def cells(build: Build) -> tuple[str, ...]:
    """Batteries, in words."""
    return tuple(p.says for p in build.parts.values() if _is_cell(p))


def no_ohms(build: Build) -> bool:
    """Whether a stage or a crystal makes ohms at the plug meaningless somewhere."""
    return any(_is_cell(p) or any(e.kind == "transducer" for e in p.symbol.elements) for p in build.parts.values())


def _is_cell(part: Part) -> bool:
    return any(e.kind == "cell" for e in part.symbol.elements)
