"""A single fault as what it cuts, joins and changes in a circuit, and the words for where to look."""

from __future__ import annotations

from dataclasses import dataclass

NONE = "no fault"


@dataclass(frozen=True)
class NetlistEdit:
    """What happens to one element: ``element`` is ``part.element``.

    ``what``: open (nothing passes) | scale (its ohms or farads times ``factor``) | half (half a coil's turns shorted:
    half its resistance, a quarter of its inductance) | turned (the magnet of the pickup it is in lies the other way
    round) | zero, ten or wiper (that end of a track is off) | dead (a buffer passes nothing, a battery gives nothing).
    """

    element: str
    what: str
    factor: float = 1.0


@dataclass(frozen=True)
class FaultHypothesis:
    """One thing that can be wrong. Nodes are those of the connection graph (``part.lug``, metal, braids)."""

    key: str
    """Unique and the same in every run: kind and place."""
    kind: str
    words: str
    """The fault in a technician's words, place included."""
    lugs: tuple[str, ...]
    """Where to look, ``part.lug``, the likeliest first."""
    weight: float
    """How often such a fault is met against others (a technician's judgement from memory, no source)."""
    tags: tuple[str, ...] = ()
    """Leads it concerns."""
    cut: frozenset[int] = frozenset()
    """Numbers of edges of the wiring that no longer conduct."""
    join: tuple[tuple[str, str], ...] = ()
    open_contacts: frozenset[int] = frozenset()
    stuck_contacts: frozenset[int] = frozenset()
    """Numbers of contacts of the wiring that never close, or never open."""
    edit: NetlistEdit | None = None


HEALTHY = FaultHypothesis("none", NONE, "nothing is wrong that a meter at the plug or the ear could tell", (), 1.0)
