"""What other programs may call: read a build, solve it, take its sheets as bytes. ``docs/api.md`` shows it.

Nothing here prints, exits or writes a file; ``write`` alone puts files into a folder.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from diagramgen.analysis import Analysis, examine
from diagramgen.errors import CannotWrite
from diagramgen.kernel.diagnostics import Place, Problem, Severity, nearest
from diagramgen.sheets.paper import PAPERS
from diagramgen.sheets.printing import compose
from diagramgen.sheets.registry import kinds as sheet_kinds
from diagramgen.sheets.registry import sheet_names
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers.output_folder import write_packet
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.circuit.outputs import Output
    from diagramgen.circuit.sounds import Sound
    from diagramgen.circuit.state_table import Result

__all__ = [
    "KINDS",
    "Analysis",
    "AtOutput",
    "CannotWrite",
    "NotProved",
    "Place",
    "Problem",
    "Severity",
    "State",
    "UnknownName",
    "print_sheets",
    "read",
    "solve",
    "states",
    "write",
]

KINDS = sheet_names()
"""Every kind of sheet that can be asked for."""


class NotProved(ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """The build has errors, so it has no sheets; ``problems`` holds them."""

    def __init__(self, problems: Sequence[Problem]):
        self.problems = tuple(p for p in problems if p.severity is Severity.ERROR)
        super().__init__("; ".join(p.message for p in self.problems) or "nothing could be laid out")


class UnknownName(ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """A kind of sheet or a paper there is none of; the message says which there are."""


def read(path: str | Path, *, symbols: str | Path | None = None, data: bytes | str | None = None) -> Analysis:
    """Read a build file: its ``build`` (None where it cannot be used), its ``problems`` and its ``checksum``.

    ``symbols``: folder of symbols of one's own. ``data``: read these bytes, or this text, as if they stood in the file.
    """
    return examine(Path(path), _folder(symbols), reading=True, data=_bytes(data))


def solve(path: str | Path, *, symbols: str | Path | None = None, data: bytes | str | None = None) -> Analysis:
    """Read a build, solve its circuit in every state and lay out its wiring.

    Besides what ``read`` gives: ``chart`` (every state with its sound; None where it has errors), ``layout`` and
    ``rows`` (every lead in the order of work).
    """
    return examine(Path(path), _folder(symbols), data=_bytes(data))


@dataclass(frozen=True)
class State:
    """One state of the switches: ``at`` says where they stand."""

    at: Mapping[str, str]
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
    hum_left: tuple[float, float] | None
    hum_says: str


def states(analysis: Analysis) -> tuple[State, ...]:
    """Every state of the switches, solved; empty where the circuit was not."""
    if analysis.chart is None:
        return ()
    main = analysis.chart.outputs[0]
    return tuple(_state(at, result, main) for at, result in analysis.chart.each())


def _state(at: Mapping[str, str], result: Result, main: Output) -> State:
    others = {one.output.lug: AtOutput(one.sound.network, one.sound.phase, one.sound.hum, one.reading.ohms,
                                       *_hum_of(one.sound))
              for one in result.heard if one.output != main}
    sound = result.sound
    return State(at, sound.network, sound.phase, sound.hum, result.reading.ohms, *_hum_of(sound), main.lug, others)


def _hum_of(sound: Sound) -> tuple[tuple[float, float] | None, str]:
    from diagramgen.circuit.hum_words import hum_words

    known = sound.hum_least is not None and sound.hum_percent is not None
    left = (round(sound.hum_least or 0.0, 1), round(sound.hum_percent or 0.0, 1)) if known else None
    return left, hum_words(sound)


def print_sheets(
    analysis: Analysis, kinds: str | Sequence[str] = (), *, paper: str = "", png: bool = False, anyway: bool = False
) -> dict[str, bytes]:
    """The sheets of a solved build by file name: SVG, PDF, CSV, JSON and, with ``png``, pictures.

    ``kinds``: one of ``KINDS`` or several; none for the usual ones. ``paper``: a4, a3, letter ..., in any case. Raises
    ``UnknownName`` for a kind or paper there is none of, ``NotProved`` for a build with errors, unless it is wanted
    ``anyway``: then every sheet is stamped; ``ValueError`` where the build has none of the sheets asked for.
    """
    asked = tuple(_known(kind, KINDS, "kind of sheet") for kind in ([kinds] if isinstance(kinds, str) else kinds))
    size = _known(paper.lower(), PAPERS, "paper") if paper else ""
    if analysis.layout is None or (analysis.has_errors and not anyway):
        raise NotProved(analysis.problems)
    missing = [f"no sheet '{kind}': {why}" for kind in asked if (why := sheet_kinds()[kind].unavailable(analysis))]
    if asked and len(missing) == len(asked):
        raise ValueError(" ".join(missing))
    return compose(analysis, Request(size, asked, png, anyway=anyway))


def write(
    folder: str | Path, files: Mapping[str, bytes], analysis: Analysis, *, replace: bool = False
) -> list[Path]:
    """Write sheets into a folder as ``print`` does: each whole or not at all, and sheets of an earlier run that are no
    longer made go. Raises ``CannotWrite``, also where a file of the same name is there that was not written so, or was
    changed since; with ``replace`` it is replaced, unless the build is made from it."""
    return write_packet(Path(folder), files, analysis.checksum, permission=Permission(replace, analysis.files))


def _known(name: str, names: Collection[str], what: str) -> str:
    if name not in names:
        raise UnknownName(f"there is no {what} '{name}'. {nearest(name, names)}")
    return name


def _bytes(data: bytes | str | None) -> bytes | None:
    return data.encode() if isinstance(data, str) else data


def _folder(symbols: str | Path | None) -> Path | None:
    return None if symbols is None else Path(symbols)
