"""What the commands that look for a fault or a wiring take in: lines as typed, a text file, a results file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.console.report import HAS_ERRORS, report_problems
from diagramgen.kernel.provenance import bytes_up_to

LONGEST = 200_000
"""Bytes of a list of readings at most."""

if TYPE_CHECKING:
    from diagramgen.diagnosis.fault_model import FaultModel
    from diagramgen.diagnosis.observations import Observation


def seen_at(lines: tuple[str, ...], results: Path | None, laid: FaultModel) -> list[Observation]:
    """Everything seen; ends with wrong usage where a line cannot be read, with problems where a file cannot."""
    return [*_from_results(results, laid), *_observations(lines, laid)]


def lines_of(listed: Path | None) -> tuple[str, ...]:
    """The lines of a text file without blanks and comments; none without a file."""
    if listed is None:
        return ()
    try:
        data = bytes_up_to(listed, LONGEST + 1)
        text = data.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as reason:
        raise click.BadParameter(f"{listed} cannot be read: {reason}") from None
    if len(data) > LONGEST:
        raise click.BadParameter(f"{listed} is larger than {LONGEST // 1000} kB: a list of readings is a page")
    kept = (line.split("#", 1)[0].strip() for line in text.splitlines())
    return tuple(line for line in kept if line)


def _from_results(path: Path | None, laid: FaultModel) -> list[Observation]:
    """What a results file says; ends with its problems where it cannot be read."""
    from diagramgen.diagnosis.observations import BadObservation, observations_in
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.provenance import read_bytes
    from diagramgen.reader.results import read_results

    if path is None:
        return []
    say = Diagnostics({})
    data = read_bytes(path, say, what="results file")
    found = read_results(data, str(path), say) if data is not None else None
    if found is None or say.has_errors:
        report_problems(say.sorted())
        sys.exit(HAS_ERRORS)
    try:
        return list(observations_in(found, laid))
    except BadObservation as reason:
        raise click.BadParameter(f"{reason.message} in {path}. {reason.remedy}") from None


def _observations(lines: tuple[str, ...], laid: FaultModel) -> list[Observation]:
    from diagramgen.diagnosis.observations import BadObservation, read_observations

    found: list[Observation] = []
    for line in lines:
        try:
            found += read_observations(line, laid)
        except BadObservation as reason:
            raise click.BadParameter(f"{reason.message}. {reason.remedy} (in '{line}')") from None
    return found
