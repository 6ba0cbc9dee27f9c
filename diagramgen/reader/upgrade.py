"""Files of older formats: read as they are meant, step by step, before anything else is read.

A step takes the nodes of one format and gives those of the next; places stay those of the file, so that a problem
still points at the line that was written. Format 1 is the first there was of every kind of file, so the tables are
empty. When the number of a kind rises, a step is added to its table and the files under ``tests/data`` of the older
format stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.reader.codes import INP_014
from diagramgen.reader.tables import FORMAT
from diagramgen.yamlfile.nodes import MappingNode, ScalarNode

Step = Callable[[MappingNode], MappingNode]
STEPS: Mapping[int, Step] = {}
"""Format of a build file -> what makes the next one of it."""
RESULTS_FORMAT = 1
RESULTS_STEPS: Mapping[int, Step] = {}
"""The same of a results file."""
PRICES_FORMAT = 1
PRICES_STEPS: Mapping[int, Step] = {}
"""The same of a price file."""


def upgraded(root: MappingNode, say: Diagnostics) -> MappingNode | None:
    """The nodes of a build file in this program's format; None where it is of one that is not read, which is said."""
    return _stepped(root, FORMAT, STEPS, say)


def upgraded_results(root: MappingNode, say: Diagnostics) -> MappingNode | None:
    """The same of a results file."""
    return _stepped(root, RESULTS_FORMAT, RESULTS_STEPS, say)


def upgraded_prices(root: MappingNode, say: Diagnostics) -> MappingNode | None:
    """The same of a price file."""
    return _stepped(root, PRICES_FORMAT, PRICES_STEPS, say)


def _stepped(root: MappingNode, newest: int, steps: Mapping[int, Step], say: Diagnostics) -> MappingNode | None:
    """A file that names no format, or none that is a number, is left to its reader."""
    found = root.get("format")
    if not isinstance(found, ScalarNode) or not found.text.strip().isdecimal() or len(found.text.strip()) > 3:
        return root
    written = int(found.text)
    if written == newest:
        return root
    if written > newest:
        # Said alone: what the keys of a newer format mean is not known here, so nothing is said of them.
        say.add(INP_014, found.place, f"this file is written in format {written}; this program reads format {newest}",
                "Use a newer diagramgen.")
        return None
    for number in range(written, newest):
        if number not in steps:
            say.add(INP_014, found.place, f"this file is written in format {written}, which this program cannot read",
                    f"Formats it reads: {_read_formats(newest, steps)}.")
            return None
        root = steps[number](root)
    say.add(INP_014.at(Severity.NOTE), found.place,
            f"this file is written in format {written}; it is read as it was meant there",
            f"Nothing needs to be done; new files are written in format {newest}.")
    return with_value(root, "format", ScalarNode(str(newest), found.place))


def _read_formats(newest: int, steps: Mapping[int, Step]) -> str:
    oldest = newest
    while oldest - 1 in steps:
        oldest -= 1
    return str(newest) if oldest == newest else f"{oldest} to {newest}"


def with_value(root: MappingNode, key: str, value: ScalarNode) -> MappingNode:
    """The same with another value under one key."""
    return replace(root, entries=tuple((k, value if k.text == key else v) for k, v in root.entries))


def renamed(root: MappingNode, names: Mapping[str, str]) -> MappingNode:
    """The same with keys that are called otherwise now."""
    return replace(root, entries=tuple((replace(k, text=names.get(k.text, k.text)), v) for k, v in root.entries))
