"""A problem of most codes as the program says it, out of the tests' faulty builds."""

from __future__ import annotations

import re
from functools import cache

from diagramgen.kernel import resources

FILE = "problem-examples.txt"
_SAID = re.compile(r"(?:error|warning|note) ([A-Z]{3}-\d{3}): ")


@cache
def examples() -> dict[str, str]:
    """Code -> a problem as the program says it, with the line of the file it speaks of."""
    text = (resources.folder("docs") / FILE).read_text(encoding="utf-8")
    blocks = (block.strip("\n") for block in text.split("\n\n") if not block.startswith("#"))
    return {found[1]: block for block in blocks if (found := _SAID.search(block))}
