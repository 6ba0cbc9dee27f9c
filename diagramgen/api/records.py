"""What calls give: records that stay as they are, each shown in one line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagramgen.analysis import Analysis
from diagramgen.kernel.brief import brief
from diagramgen.kernel.diagnostics import Problem
from diagramgen.kernel.frozen import FrozenDict
from diagramgen.kernel.units import RESISTANCE, quantity

PHASES = {"in": "in phase", "out": "OUT OF PHASE", "mixed": "phase mixed", "unknown": "phase unknown"}


@dataclass(frozen=True, repr=False)
class AtOutput:
    """What an output gives in a state."""

    sounds: str
    """The network of coils in the notation of the build file; 'silent' for none."""
    phase: str
    """in | out | mixed | single | silent | unknown."""
    hum: str
    """cancels (turns, wire or inductances show it) | most (the same wire taken) | partly | full | silent | unknown."""
    ohms: float | None
    """What a meter reads at the plug; None where it reads open, or nothing that means anything."""
    hum_left: tuple[float, float] | None
    """Per cent of hum that is left, least and most, from what is known of the coils; None where nobody can tell."""
    hum_says: str
    """The clause the sheets print of it; '' in silence."""
    band: tuple[float, float] | None
    """Least and most ohm the meter may read; None where ``ohms`` is."""
    peak_hz: float | None
    """The resonance, Hz; None where there is none."""
    peak_db: float | None
    """Its height over the level at 100 Hz, dB."""

    def __repr__(self) -> str:
        return brief("AtOutput", *self._said())

    def _said(self) -> tuple[str, ...]:
        meter = "no ohm figure" if self.ohms is None else quantity(self.ohms, RESISTANCE)
        hum = self.hum_says if not self.hum_says or "hum" in self.hum_says else f"hum {self.hum_says}"
        return self.sounds, PHASES.get(self.phase, ""), hum, meter


@dataclass(frozen=True, repr=False)
class State(AtOutput):
    """One state of the switches, and what the main output gives in it."""

    at: Mapping[str, str] = field(kw_only=True)
    """Control -> where it stands; empty where nothing is switched."""
    output: str = field(kw_only=True)
    """The main output, of which the rest speaks: ``jack.tip``."""
    others: Mapping[str, AtOutput] = field(kw_only=True)
    """Every other output whose plug is in: ``jack.ring`` -> what it gives."""

    def __repr__(self) -> str:
        where = ", ".join(f"{key}={word}" for key, word in self.at.items())
        sounds, *rest = self._said()
        return brief("State", f"{where}: {sounds}" if where else sounds, *rest)


@dataclass(frozen=True, repr=False)
class Response:
    """How loud the coils of a state are together at an output, over frequency."""

    hz: tuple[float, ...]
    db: tuple[float, ...]
    """Over the EMF of the coils; empty in silence."""
    sounds: str
    """The network of coils."""

    def __repr__(self) -> str:
        return brief("Response", self.sounds, f"{len(self.hz)} frequencies from {self.hz[0]:g} to {self.hz[-1]:g} Hz")


class Files(FrozenDict[str, bytes]):
    """Files by name, ready to be written; it knows what they were made from, so that ``write`` needs nothing more."""

    def __init__(
        self, files: Mapping[str, bytes], check: str, read: Sequence[Path], command: str = "print", some: bool = False,
        problems: Sequence[Problem] = (), missing: Sequence[str] = (),
    ):
        super().__init__(files)
        self.check = check
        """The file check that stands on the sheets."""
        self.read = tuple(read)
        """Every file they were made from; ``write`` never replaces one of these."""
        self.command = command
        """The command that writes such files, and keeps the list of them."""
        self.some = some
        """Whether sheets of an earlier run from the same data stay beside them."""
        self.problems = tuple(problems)
        """Warnings and notes found while they were made, beside those of the analysis."""
        self.missing = tuple(missing)
        """A sentence for each kind of sheet asked for that the build has none of."""

    def __repr__(self) -> str:
        return brief("Files", f"{len(self)}: {', '.join(self)}")

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self), self.check, self.read, self.command, self.some, self.problems, self.missing)


@dataclass(frozen=True, repr=False)
class Price:
    """What a build takes to buy and what it costs. Amounts are texts with a point: ``1234.50``."""

    total: str | None
    """What is to be paid, so far as every price is known; None without a price file."""
    currency: str
    """Three letters; '' without a price file."""
    missing: tuple[str, ...]
    """What has no price yet."""
    buying: Mapping[str, Any]
    """The buying list; keys as in ``price.json``."""
    bill: Mapping[str, Any] | None
    """The bill; keys as in ``price.json``. None without a price file."""
    files: Files
    """The sheets asked for."""
    problems: tuple[Problem, ...]
    """What was found in the price file and while counting."""

    def __repr__(self) -> str:
        total = "no price file" if self.total is None else f"{self.currency} {self.total}"
        return brief("Price", total, f"{len(self.missing)} prices missing" if self.missing else "",
                     f"{len(self.buying['parts'])} kinds of parts")


@dataclass(frozen=True, repr=False)
class Comparison:
    """What is done between an instrument as found and as left."""

    changed: bool
    """Whether anything is."""
    words: tuple[str, ...]
    """What is changed, a sentence each."""
    keep: tuple[str, ...]
    """What goes into the bag."""
    cannot_undo: tuple[str, ...]
    """What no way back gives again."""
    details: Mapping[str, Any]
    """Counts, questions, parts, leads, steps and the way back; keys as in ``changes.json``."""
    left: Analysis
    """The build as left, solved, begun from the one as found."""
    problems: tuple[Problem, ...]
    """Of both files."""

    def __repr__(self) -> str:
        return brief("Comparison", "; ".join(self.words) if self.changed else "nothing is changed")


@dataclass(frozen=True, repr=False)
class PossibleFault:
    """A fault that would explain what was seen."""

    words: str
    """The fault and its place, in words of the bench."""
    probability: float
    """From 0 to 1."""
    kind: str
    lugs: tuple[str, ...]
    """Where to look, the likeliest first."""
    leads: tuple[str, ...]
    """Tags of leads it concerns."""
    group: int
    """Faults of one group no reading at the plug tells apart; 1 is the likeliest."""

    def __repr__(self) -> str:
        return brief("PossibleFault", f"{100 * self.probability:.0f} %: {self.words}")


@dataclass(frozen=True, repr=False)
class Faults:
    """What explains what was metered and heard."""

    verdict: str
    """One sentence: how sure, and what to make of it."""
    faults: tuple[PossibleFault, ...]
    """Group by group, the likeliest first."""
    next: str | None
    """What to measure next; None where nothing tells more."""
    outside: float
    """Probability of two faults at once, or of one that is not in the list."""
    misfits: tuple[str, ...]
    """What was seen that the likeliest fault does not explain."""
    warnings: tuple[str, ...]
    """Readings that look like a slip of the unit."""
    details: Mapping[str, Any]
    """All of it with the answers that the next measurement can give; keys as the command ``fault`` says them."""

    def __repr__(self) -> str:
        return brief("Faults", self.verdict.rstrip(".") + (f"; next: {self.next}" if self.next else ""))


@dataclass(frozen=True, repr=False)
class Guesses:
    """Which usual wirings explain readings taken at the plug."""

    verdict: str
    wirings: tuple[tuple[float, Mapping[str, str]], ...]
    """Probability, and what is chosen -> how: of wirings that read alike the most usual. The likeliest first."""
    next: str | None
    """What to read next; None where no reading tells more."""
    details: Mapping[str, Any]
    """All of it; keys as the command ``guess`` says them."""

    def __repr__(self) -> str:
        return brief("Guesses", self.verdict.rstrip(".") + (f"; next: {self.next}" if self.next else ""))


@dataclass(frozen=True, repr=False)
class Symbol:
    """A kind of part that a build may have."""

    name: str
    kind: str
    """What it is, in words."""
    family: str
    lugs: tuple[str, ...]
    controls: Mapping[str, tuple[str, ...]]
    """Control -> its positions; none for a knob."""
    values: tuple[str, ...]
    """Values a build may give it."""
    dimensions: Mapping[str, float]
    """Measures a build may give it, with what is taken otherwise, mm."""
    about: str

    def __repr__(self) -> str:
        return brief("Symbol", f"{self.name}: {self.kind}", f"lugs {' '.join(self.lugs)}")
