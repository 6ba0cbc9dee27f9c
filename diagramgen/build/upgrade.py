"""Build files of older formats: read as they are meant, step by step, before anything else is read.

A step takes the nodes of one format and gives those of the next; places stay those of the file, so that a problem
still points at the line that was written. Format 1 is the first there was, so the table is empty. When the format's
number rises, a step is added here and the files under ``tests/data`` of the older format stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from diagramgen.build.tables import FORMAT
from diagramgen.nodes import Entries, Scalar
from diagramgen.problems import Collector

Step = Callable[[Entries], Entries]
STEPS: Mapping[int, Step] = {}
"""Format -> what makes the next one of it."""


def upgraded(root: Entries, say: Collector) -> Entries | None:
    """The nodes in this program's format; None where the file is of a format that is not read, which is said.

    A file that names no format, or none that is a number, is left to the reader.
    """
    found = root.get("format")
    if not isinstance(found, Scalar) or not found.text.strip().isdecimal() or len(found.text.strip()) > 3:
        return root
    written = int(found.text)
    if written == FORMAT:
        return root
    if written > FORMAT:
        # Said alone: what the keys of a newer format mean is not known here, so nothing is said of them.
        say.error("R014", found.place, f"this file is written in format {written}; this program reads format {FORMAT}",
                  "Use a newer diagramgen.")
        return None
    for number in range(written, FORMAT):
        if number not in STEPS:
            say.error("R014", found.place, f"this file is written in format {written}, which this program cannot read",
                      f"Formats it reads: {_read_formats()}.")
            return None
        root = STEPS[number](root)
    say.note("R014", found.place, f"this file is written in format {written}; it is read as it was meant there",
             f"Nothing needs to be done; new files are written in format {FORMAT}.")
    return with_value(root, "format", Scalar(str(FORMAT), found.place))


def _read_formats() -> str:
    oldest = FORMAT
    while oldest - 1 in STEPS:
        oldest -= 1
    return str(FORMAT) if oldest == FORMAT else f"{oldest} to {FORMAT}"


def with_value(root: Entries, key: str, value: Scalar) -> Entries:
    """The same with another value under one key."""
    return replace(root, entries=tuple((k, value if k.text == key else v) for k, v in root.entries))


def renamed(root: Entries, names: Mapping[str, str]) -> Entries:
    """The same with keys that are called otherwise now."""
    return replace(root, entries=tuple((replace(k, text=names.get(k.text, k.text)), v) for k, v in root.entries))
