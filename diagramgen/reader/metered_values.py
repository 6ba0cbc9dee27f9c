"""Which values of a part were metered on it, and when: ``metered: 3 May``, or value by value ``{resistance: 3 May}``.

A value that is only given is taken from the maker's sheet or the marking.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.library.model import Symbol
from diagramgen.reader.codes import INP_350
from diagramgen.yamlfile.nodes import MappingNode, Node
from diagramgen.yamlfile.schema_fields import FreeText, Located, MapOf, Pattern, Schema

ALL = ""
"""The key under which one text stands for all values the part gives."""
WHEN = FreeText(40)
NAME = Pattern(r"[a-z0-9]+(?:[ -][a-z0-9]+)*", "the name of a value", "Letters and digits with hyphens: a-resistance.")


@dataclass(frozen=True)
class MeteredKind:
    """A text, or names of values with a text each."""

    def read(self, node: Node, say: Diagnostics) -> dict[str, Located[str]] | None:
        """Value name -> when it was metered; one text stands under ``ALL``."""
        if isinstance(node, MappingNode):
            return MapOf(WHEN, NAME).read(node, say)
        when = WHEN.read(node, say)
        return None if when is None else {ALL: Located(when, node.place)}

    def schema(self) -> Schema:
        """A text, or an object of texts."""
        return {"anyOf": [WHEN.schema(), MapOf(WHEN, NAME).schema()]}


def read_metered(
    name: str, symbol: Symbol, told: Mapping[str, Located[str]], values: Collection[str], say: Diagnostics
) -> dict[str, str]:
    """Value -> when it was metered ('' for ``yes``), of those a part gives; what it does not give is said (INP-350)."""
    found: dict[str, str] = {}
    for key, given in told.items():
        typed = key.replace(" ", "-")
        own = [v for v in values if typed in (ALL, v) or v.endswith(f"-{typed}")]
        if not own:
            what = f"its '{key}'" if key else "it"
            say.add(INP_350, given.place, f"'{name}' says that {what} was metered, but gives no such value",
                    nearest(typed, symbol.values) if typed not in symbol.values and key else
                    "Write what the meter showed under 'value' or 'values', or delete 'metered'.")
        when = "" if given.value.lower() == "yes" else given.value
        found.update(dict.fromkeys(own, when))
    return found
