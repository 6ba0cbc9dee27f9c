"""What other programs may call: read a build, solve it, take its sheets as bytes. ``docs/api.md`` shows it.

Nothing here prints, exits or writes a file; ``write`` alone puts files into a folder.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from diagramgen.pipeline import SHEETS, Proof, Request, compose, examine
from diagramgen.problems import Place, Problem, Severity
from diagramgen.writers.packet import write_packet

__all__ = ["AtOutput", "NotProved", "Place", "Problem", "Proof", "Severity", "State", "print_sheets", "read", "solve",
           "states", "write"]


class NotProved(ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """The build has errors, so it has no sheets; ``problems`` holds them."""

    def __init__(self, problems: Sequence[Problem]):
        self.problems = tuple(p for p in problems if p.severity is Severity.ERROR)
        super().__init__("; ".join(p.message for p in self.problems) or "nothing could be laid out")


def read(path: str | Path, *, symbols: str | Path | None = None, data: bytes | None = None) -> Proof:
    """Read a build file: its ``build`` (None where it cannot be used), its ``problems`` and its ``checksum``.

    ``symbols``: folder of symbols of one's own. ``data``: read these bytes as if they stood in the file.
    """
    return examine(Path(path), _folder(symbols), reading=True, data=data)


def solve(path: str | Path, *, symbols: str | Path | None = None, data: bytes | None = None) -> Proof:
    """Read a build, solve its circuit in every state and lay out its wiring.

    Besides what ``read`` gives: ``chart`` (every state with its sound; None where it has errors), ``layout`` and
    ``rows`` (every lead in the order of work).
    """
    return examine(Path(path), _folder(symbols), data=data)


@dataclass(frozen=True)
class State:
    """One state of the switches: ``at`` says where they stand."""

    at: Mapping[str, str]
    sounds: str
    """The network of coils in the notation of the build file; 'silent' for none."""
    phase: str
    """in | out | mixed | single | silent | unknown."""
    hum: str
    """cancels | partly | full | silent | unknown."""
    ohms: float | None
    """What a meter reads at the plug; None where it reads open, or nothing that means anything."""
    output: str = ""
    """The main output, of which the above speaks: ``jack.tip``."""
    others: Mapping[str, AtOutput] = field(default_factory=dict)
    """Every other output whose plug is in: ``jack.tip`` or ``jack.ring`` -> what it gives."""


@dataclass(frozen=True)
class AtOutput:
    """What another output gives in a state; the fields mean what they mean in ``State``."""

    sounds: str
    phase: str
    hum: str
    ohms: float | None


def states(proof: Proof) -> tuple[State, ...]:
    """Every state of the switches, solved; empty where the circuit was not."""
    if proof.chart is None:
        return ()
    main = proof.chart.outputs[0]
    return tuple(
        State(at, r.sound.network, r.sound.phase, r.sound.hum, r.reading.ohms, main.lug, {
            one.output.lug: AtOutput(one.sound.network, one.sound.phase, one.sound.hum, one.reading.ohms)
            for one in r.heard if one.output != main})
        for at, r in proof.chart.each())


def print_sheets(
    proof: Proof, kinds: Sequence[str] = (), *, paper: str = "", png: bool = False, anyway: bool = False
) -> dict[str, bytes]:
    """The sheets of a solved build by file name: SVG, PDF, CSV, JSON and, with ``png``, pictures.

    ``kinds``: as ``--sheet`` of the command ``print``; none for the usual ones. Raises ``NotProved`` for a build with
    errors, unless it is wanted ``anyway``: then every sheet is stamped.
    """
    if proof.layout is None or (proof.has_errors and not anyway):
        raise NotProved(proof.problems)
    return compose(proof, Request(paper, tuple(kinds) or SHEETS, png, anyway=anyway))


def write(folder: str | Path, files: Mapping[str, bytes], proof: Proof) -> list[Path]:
    """Write sheets into a folder as ``print`` does: each whole or not at all, and sheets of an earlier run that are no
    longer made go. Raises ``diagramgen.writers.files.CannotWrite``."""
    return write_packet(Path(folder), files, proof.checksum)


def _folder(symbols: str | Path | None) -> Path | None:
    return None if symbols is None else Path(symbols)
