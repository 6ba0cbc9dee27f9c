"""The JSON Schema of a build file, made from the reader's own field tables, for completion in an editor."""

from __future__ import annotations

import json
import re
from typing import Any

from diagramgen.reader.tables import TOP
from diagramgen.yamlfile.schema_fields import Schema

DIALECT = "https://json-schema.org/draft/2020-12/schema"
NAME = "build.schema.json"
"""The file named in the first line of every sample; it lies beside the build files."""
COMMENT = f"# yaml-language-server: $schema={NAME}"


def build_schema() -> Schema:
    """Build the JSON Schema (draft 2020-12) of a build file from the reader's field tables.

    Returns: the schema as nested dicts and lists, ready for JSON; every titled object stands once under ``$defs``, by
    its title.
    """
    shared: dict[str, Schema] = {}
    top = _hoisted(TOP.schema(), shared, top=True)
    return {
        "$schema": DIALECT,
        **top,
        "title": "Wiring of one instrument",
        "description": "A build file of diagramgen. Every key is described in docs/format.md.",
        "$defs": dict(sorted(shared.items())),
    }


def schema_text() -> str:
    """The schema as the file that is shipped: indented, one line end at the end."""
    return json.dumps(build_schema(), indent=1, ensure_ascii=False) + "\n"


def _hoisted(schema: Any, shared: dict[str, Schema], top: bool = False) -> Any:
    """The schema with titled objects moved to ``shared`` and replaced by references."""
    if isinstance(schema, list):
        return [_hoisted(item, shared) for item in schema]
    if not isinstance(schema, dict):
        return schema
    inner = {key: _hoisted(value, shared) for key, value in schema.items()}
    title = schema.get("title")
    if top or not isinstance(title, str):
        return inner
    described = inner.pop("description", None)
    name = re.sub(r"^(a|an|the) ", "", title).replace(" ", "-")
    while name in shared and shared[name] != inner:
        name += "-too"
    shared[name] = inner
    reference: Schema = {"$ref": f"#/$defs/{name}"}
    return {"description": described, **reference} if described else reference
