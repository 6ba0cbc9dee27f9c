"""What an audit of a drawing finds, and what the technician does about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

REMEDIES = {
    "D101": "Move one of the parts named so that their names have room, or print the enlarged page.",
    "D102": "Move the part or give the lead another way, so that the label has free floor.",
    "D103": "Give the lead another way, or turn the part so that the lug is out of it.",
    "D104": "Do not use this sheet: the drawing contradicts the file; report it with the file.",
    "D105": "Give the lead a channel, or move its part away from the wall.",
    "D106": "Write tag and colour by hand at that end before you solder.",
    "D107": "Print the enlarged page.",
    "D108": "Print on larger paper, or move the part inward.",
    "D109": "Give one of the two another way; until then follow them by the tags at their ends, not by eye.",
    "D110": "Move the part or the lead named, so that its label has free floor; read the lug off the real part.",
    "D111": "Read those words on the screen or in the lists, not on this sheet; report it with the file.",
    "D112": "Follow that lead by its tags and the lead list, not by eye; report it with the file.",
    "D113": "Solder the braid to a lug nearer to where it is bared, or turn the part so that the lug is out of it.",
}
"""What to do about each kind of finding."""
OF_WAYS = ("D102", "D103", "D105", "D109", "D113")
"""What is found of the ways of leads: no news where the part itself stands wrong."""
FALSE = ("D103", "D113")
"""What makes a sheet say something false: errors, said as soon as the leads are laid."""


@dataclass(frozen=True)
class Finding:
    """One fault of a drawing: a code of the D range, a sentence, and the marks it speaks of."""

    code: str
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
