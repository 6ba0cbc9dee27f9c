"""What an audit of a drawing finds, and what the technician does about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagramgen.drawing.codes import DRW_102, DRW_103, DRW_105, DRW_109, DRW_113
from diagramgen.kernel.codes import Code

OF_WAYS = (DRW_102, DRW_103, DRW_105, DRW_109, DRW_113)
"""What is found of the ways of leads: no news where the part itself stands wrong."""
FALSE = (DRW_103, DRW_113)
"""What makes a sheet say something false: errors, said as soon as the leads are laid."""


@dataclass(frozen=True)
class Finding:
    """One fault of a drawing: a code of the D range, a sentence, and the marks it speaks of."""

    code: Code
    message: str
    subjects: tuple[str, ...]


def unsaid(findings: Iterable[Finding], astray: frozenset[str]) -> Iterator[Finding]:
    """What an audit has to add: not the errors, said when the leads were laid, nor what follows from a part's place.

    ``astray`` are the tags of leads to parts that stand wrong, which was said too.
    """
    for finding in findings:
        follows = finding.code in OF_WAYS and any(s.removeprefix("lead:") in astray for s in finding.subjects)
        if finding.code not in FALSE and not follows:
            yield finding
