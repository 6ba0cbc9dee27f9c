"""Markup of a page: every text and every attribute passes ``escaped``, data in a script block passes ``data``.

Nothing else puts text between tags, so that no name in a build file can be more than a name.
"""

from __future__ import annotations

import json
from typing import Any, NewType

from diagramgen.writers.canvas import clean

Markup = NewType("Markup", str)
"""Text that is markup already."""

VOID = frozenset({"meta", "link", "br", "input", "hr"})
_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;", "`": "&#96;"})
_IN_SCRIPT = {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}


class Plain:
    """Text of a user or of ours that is to be escaped."""

    __slots__ = ("text",)

    def __init__(self, text: str):
        self.text = text


Piece = Markup | Plain


def escaped(text: str) -> Markup:
    """Text as it may stand between tags and between the quotes of an attribute."""
    return Markup(clean(text).translate(_ENTITIES))


def data(value: Any) -> Markup:
    """A value as JSON that cannot end or begin a script, whatever its texts say."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return Markup("".join(_IN_SCRIPT.get(c, c) for c in text))


def element(tag: str, /, *children: Piece, **attributes: str | bool | None) -> Markup:
    """An element of HTML; plain text among the children is escaped, joined markup is not.

    Attributes are named as in Python: ``class_``, ``for_``, ``data_subject``, ``aria_label``. True stands for an
    attribute without a value, None and False leave it out.
    """
    opened = "".join(_attribute(key, value) for key, value in attributes.items())
    if tag in VOID:
        return Markup(f"<{tag}{opened}>")
    return Markup(f"<{tag}{opened}>{joined(*children)}</{tag}>")


def joined(*children: Piece) -> Markup:
    """Markup one after the other; what is a ``Plain`` is escaped."""
    return Markup("".join(escaped(c.text) if isinstance(c, Plain) else c for c in children))


def _attribute(key: str, value: str | bool | None) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{escaped(str(value))}"'
