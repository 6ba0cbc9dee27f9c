"""What docs/problems.md says of each problem code, and how a file that has it is answered."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from diagramgen.kernel import resources

PAGE, EXAMPLES = "problems.md", "problem-examples.txt"
_HEAD = re.compile(r"(?m)^## ([A-Z]\dxx): (.+)$")
_CODE = re.compile(r"\*\*([A-Z]\d{3})\*\*\s*")
_SAID = re.compile(r"(?:error|warning|note) ([A-Z]\d{3}): ")
_SENTENCE = re.compile(r"(?<=[^.][.:])\s+(?=[A-Z`*])")


@dataclass(frozen=True)
class Explained:
    """A code, the paragraphs of the page on it, and an answer that shows it (empty where no test file has it)."""

    code: str
    paragraphs: tuple[str, ...]
    example: str

    @property
    def first_sentence(self) -> str:
        """What a list of codes shows."""
        return _SENTENCE.split(self.paragraphs[0], maxsplit=1)[0].rstrip(":")


@dataclass(frozen=True)
class Range:
    """Codes of one subject, such as ``R1xx``: keys and values."""

    name: str
    about: str
    codes: tuple[Explained, ...]


def problems_page() -> str:
    """The page as it is shipped."""
    return (resources.folder("docs") / PAGE).read_text(encoding="utf-8")


@cache
def ranges() -> tuple[Range, ...]:
    """Every range of the page in its order."""
    return ranges_in(problems_page(), examples())


def ranges_in(page: str, shown: Mapping[str, str]) -> tuple[Range, ...]:
    """The ranges of a page written like docs/problems.md; ``shown`` holds an answer for some codes."""
    pieces = _HEAD.split(page)
    return tuple(Range(name, about, _codes(text, shown))
                 for name, about, text in zip(pieces[1::3], pieces[2::3], pieces[3::3], strict=True))


def _codes(text: str, shown: Mapping[str, str]) -> tuple[Explained, ...]:
    found: list[tuple[str, list[str]]] = []
    for paragraph in re.split(r"\n\s*\n|\n(?=\*\*[A-Z]\d{3}\*\*)", text.strip()):
        begins = _CODE.match(paragraph)
        if begins:
            found.append((begins[1], [paragraph[begins.end():]]))
        elif found:
            found[-1][1].append(paragraph)
    # Codes that share a paragraph stand above one another before it.
    for (_, said), (_, below) in reversed(list(itertools.pairwise(found))):
        if said == [""]:
            said[:] = below
    return tuple(Explained(code, tuple(" ".join(p.split()) for p in said), shown.get(code, ""))
                 for code, said in found)


def examples() -> dict[str, str]:
    """Code -> a problem as the program says it, with the line of the file it speaks of."""
    text = (resources.folder("docs") / EXAMPLES).read_text(encoding="utf-8")
    blocks = (block.strip("\n") for block in text.split("\n\n") if not block.startswith("#"))
    return {found[1]: block for block in blocks if (found := _SAID.search(block))}


def explained(code: str) -> Explained | None:
    """What is said of one code, whatever its capitals."""
    wanted = code.strip().upper()
    return next((e for r in ranges() for e in r.codes if e.code == wanted), None)


def ranges_named(word: str) -> tuple[Range, ...]:
    """The ranges a word such as ``R``, ``r1`` or ``R1xx`` means; none where it means none."""
    begin = word.strip().upper().rstrip("X")
    return tuple(r for r in ranges() if len(begin) in (1, 2) and r.name.startswith(begin))


def all_codes() -> tuple[str, ...]:
    """Every code in the order of the page."""
    return tuple(e.code for r in ranges() for e in r.codes)
