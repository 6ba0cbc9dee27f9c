"""What an interview at the bench gave: instrument, cavity, parts; and how such parts are usually joined."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

NONE, ONE, EACH, TWO = "none", "one", "each", "two"
CAVITY, OWN = "cavity", "own hole"
UPRIGHT = "toggle-upright"
NAMES = {1: ("pickup",), 2: ("neck", "bridge"), 3: ("neck", "middle", "bridge")}


class Reason(ValueError):  # noqa: N818 - said to the person who answers
    """Why an answer cannot be taken, and what can."""


@dataclass(frozen=True)
class PickupKind:
    """How a kind of pickup is usually wired: hot lug, lugs to ground, joints of its own, coils in ``wanted``."""

    symbol: str
    words: str
    hot: str
    grounds: tuple[str, ...]
    joints: tuple[str, ...] = ()
    coils: tuple[str, ...] = ()


PICKUPS = {k.symbol: k for k in (
    PickupKind("single-coil", "single coil, two leads", "finish", ("start",)),
    PickupKind("single-coil-cover-tag", "single coil, metal cover with its own tag", "finish", ("start", "cover")),
    PickupKind("dual-coil", "dual coil, four conductors and bare", "a start", ("b start", "bare"),
               ("{0}.a finish -> {0}.b finish, sleeved",), ("a", "b")),
    PickupKind("dual-coil-two-conductor-bare", "dual coil, two conductors and bare", "hot", ("ground", "bare"),
               (), ("a", "b")),
    PickupKind("dual-coil-braided", "dual coil, one conductor in a braid", "hot", ("braid",), (), ("a", "b")),
    PickupKind("bass-single", "bass single coil, two leads", "finish", ("start",)),
    PickupKind("bass-split", "bass split pickup, two half coils", "a finish", ("b finish",),
               ("{0}.a start -> {0}.b start, black",), ("a", "b")),
)}
_THROWS = {
    "toggle-short": {"neck": "up", "bridge": "down"},
    UPRIGHT: {"neck": "up", "bridge": "down"},
    "lever-open-3": {"bridge": "a 1", "middle": "a 2", "neck": "a 3"},
    "lever-open-5": {"bridge": "a 1", "middle": "a 2", "neck": "a 3"},
}
_POSITIONS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "toggle-short": (("up", ("neck",)), ("middle", ("neck", "bridge")), ("down", ("bridge",))),
    UPRIGHT: (("up", ("neck",)), ("middle", ("neck", "bridge")), ("down", ("bridge",))),
    "lever-open-3": (("1", ("bridge",)), ("2", ("middle",)), ("3", ("neck",))),
    "lever-open-5": (("1", ("bridge",)), ("2", ("bridge", "middle")), ("3", ("middle",)), ("4", ("middle", "neck")),
                     ("5", ("neck",))),
}


@dataclass(frozen=True)
class Cavity:
    """Measures in mm; 0 where one was not taken."""

    width: float
    height: float
    corner: float = 0.0
    depth: float = 0.0
    wood: float = 0.0
    opened: str = "rear"


@dataclass(frozen=True)
class Answers:
    """Every answer of the interview."""

    title: str = "New build"
    job: str = ""
    instrument: str = ""
    hand: str = "right"
    neck: str = "left"
    cavity: Cavity | None = None
    mouths: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Where the channels of pickups, jack and bridge open into the cavity, where that was measured."""
    pickups: tuple[str, ...] = ("single-coil",)
    volumes: str = ONE
    tones: str = ONE
    pot: str = "250k log"
    cap: str = "47n"
    selector: str = ""
    selector_in: str = CAVITY
    jack: str = "jack-mono-open"
    jack_in: str = OWN
    strings: bool = True
    places: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Centres of the holes in the cavity, by part, where they were measured."""

    def measured(
        self, mouths: Mapping[str, tuple[float, float]], places: Mapping[str, tuple[float, float]]
    ) -> Answers:
        """The same with the places that were measured."""
        return replace(self, mouths=mouths, places=places)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the pickups."""
        return NAMES[len(self.pickups)]

    def volume_names(self) -> tuple[str, ...]:
        """Names of the volume pots."""
        return _pots("volume", self.volumes, self.names)

    def tone_names(self) -> tuple[str, ...]:
        """Names of the tone pots."""
        return _pots("tone", self.tones, self.names[:2] if self.tones == TWO else self.names)

    def controls(self) -> tuple[str, ...]:
        """Parts that sit in holes of the cavity."""
        selector = ("selector",) if self.selector and self.selector_in == CAVITY else ()
        jack = ("output",) if self.jack_in == CAVITY else ()
        return (*self.volume_names(), *self.tone_names(), *selector, *jack)


def _pots(what: str, how: str, names: Sequence[str]) -> tuple[str, ...]:
    if how == NONE:
        return ()
    return (what,) if how == ONE or len(names) == 1 else tuple(f"{name}-{what}" for name in names)


def positions_of(given: Answers) -> list[tuple[str, tuple[str, ...]]]:
    """Position of the selector -> pickups that shall sound there."""
    if not given.selector:
        return [("mono", given.names)] if len(given.names) == 1 else []
    if both_poles(given):
        return [("1", ("bridge",)), ("2", ("bridge", "neck")), ("3", ("neck",))]
    throws = throws_of(given)
    return [(position, tuple(n for n in sounding if n in throws))
            for position, sounding in _POSITIONS[given.selector] if any(n in throws for n in sounding)]


def both_poles(given: Answers) -> bool:
    """Whether a three-way lever gives two pickups together: one pole for each, the middle throw joined to an outer."""
    return given.selector == "lever-open-3" and len(given.pickups) == 2


def throws_of(given: Answers) -> dict[str, str]:
    """Pickup -> the selector's throw it is on."""
    if both_poles(given):
        return {"bridge": "a 1", "neck": "b 3"}
    return {name: throw for name, throw in _THROWS[given.selector].items() if name in given.names}
