"""Writes docs/problem-examples.txt: for every problem code an answer out of the tests' faulty builds."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OUT = ROOT / "docs" / "problem-examples.txt"
HEAD = """\
# One answer a problem code, out of tests/bad_builds and samples/wrong-on-purpose.txt.
# Written by python tools/make_examples.py; do not edit by hand.
"""
_BEGIN = re.compile(r"^(\S+): (?:error|warning|note) ([A-Z]{3}-\d{3}): ")
LONGEST = 130


def examples_text() -> str:
    """The text of the file: the shortest answer from the build with the fewest faults, for each code."""
    best: dict[str, tuple[tuple[bool, int, int, str], str]] = {}
    for path in [*sorted((ROOT / "tests" / "bad_builds").glob("*.txt")), ROOT / "samples" / "wrong-on-purpose.txt"]:
        blocks = blocks_of(path.read_text(encoding="utf-8"))
        for code, block in blocks:
            rank = (max(map(len, block.split("\n"))) > LONGEST, len(blocks), len(block), block)
            plain = block.replace("\n", "").isprintable()
            if plain and (code not in best or rank < best[code][0]):
                best[code] = rank, block
    return "\n".join([HEAD, *(f"{best[code][1]}\n" for code in sorted(best))])


def blocks_of(text: str) -> list[tuple[str, str]]:
    """(code, the problem as said with its further lines) for each problem of an expectation file."""
    found: list[tuple[str, list[str]]] = []
    for line in text.splitlines():
        begins = _BEGIN.match(line)
        if begins:
            found.append((begins[2], [line]))
        elif found and line.startswith("  "):
            found[-1][1].append(line)
    return [(code, "\n".join(lines)) for code, lines in found]


if __name__ == "__main__":
    OUT.write_text(examples_text(), encoding="utf-8", newline="\n")
