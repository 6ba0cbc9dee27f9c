"""Entries that name positions of controls: under ``when``, or beside their other keys."""

from __future__ import annotations

from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode
from diagramgen.yamlfile.schema_fields import Record, Schema, Values


@dataclass(frozen=True)
class BesideControls:
    """A record with a field ``when``; every key that is none of its own is a control and its position."""

    record: Record

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read one entry."""
        if not isinstance(node, MappingNode):
            return self.record.read(node, say)
        known = {f.key for f in self.record.fields}
        own = tuple(e for e in node.entries if e[0].text.lower() in known)
        loose = tuple(e for e in node.entries if e[0].text.lower() not in known)
        inner = MappingNode(own, node.place).get("when")
        if loose and isinstance(inner, MappingNode):
            inner = MappingNode((*inner.entries, *loose), inner.place)
        elif loose:
            inner = MappingNode(loose, node.place)
        if inner is not None:
            own = (*(e for e in own if e[0].text.lower() != "when"), (ScalarNode("when", inner.place), inner))
        return self.record.read(MappingNode(own, node.place), say)

    def schema(self) -> Schema:
        """An object whose further keys are controls."""
        return {**self.record.schema(), "additionalProperties": {"type": ["string", "number", "boolean"]}}
