"""The one template environment of all pages (Jinja2): what a template may do, and how its text becomes a page.

A template lies beside its feature, with the style and the script of its page, and is named from the folder of
features: ``playerpage/page.html.j2``. In a template

- every value is escaped by ``markup.escaped``, unless it is ``Markup``; no filter marks text as markup, and none but
  ``svg``, ``data``, ``capital`` and ``length`` exists;
- a name that was not given, and a value that is neither text nor a whole number, is an error;
- an indented line continues the line above it (line break and indent are dropped), a line at the left edge begins
  a new line of the page.

Importing this module imports Jinja2: only modules that write a page do.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Undefined
from jinja2.ext import Extension

from diagramgen.kernel.resources import folder
from diagramgen.writers.inline_svg import inline_svg
from diagramgen.writers.markup import Markup, data, escaped

_TAG_OR_INDENT = re.compile(r"(\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\})|\n +", re.DOTALL)
_NO_OUTPUT = "{#\n#}"
"""A comment in place of a dropped line break: lines of a template keep their numbers in messages."""


class _Continued(Extension):
    """Joins indented lines to the line above, outside of tags; values that are put in later are not touched."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        return _TAG_OR_INDENT.sub(lambda found: found[1] or _NO_OUTPUT, source)


def capital(text: str) -> str:
    """The text with its first letter large; the others stay as they are."""
    return text[:1].upper() + text[1:]


def _shown(value: object) -> object:
    """What a template puts out for a value.

    Raises: TypeError for None, truth values, lists and the like; UndefinedError for a name that was not given.
    """
    if hasattr(value, "__html__"):
        return value
    if isinstance(value, str):
        return escaped(value)
    if isinstance(value, Undefined) or (isinstance(value, int) and not isinstance(value, bool)):
        return str(value)
    raise TypeError(f"a template is to show {value!r}, which is neither text nor a whole number")


@cache
def environment() -> Environment:
    """The environment, made once: autoescape by our own escape, nothing undefined, our own filters alone."""
    made = Environment(
        loader=FileSystemLoader(folder("features")), autoescape=True, undefined=StrictUndefined, finalize=_shown,
        trim_blocks=True, keep_trailing_newline=True, auto_reload=False, extensions=[_Continued],
    )
    made.filters.clear()
    made.filters.update({"svg": inline_svg, "data": data, "capital": capital, "length": len})
    return made


def rendered(name: str, known: Mapping[str, Any]) -> Markup:
    """Fill in a template.

    Parameters: name - file below the folder of features; known - every name that the template asks for.
    Raises: jinja2.TemplateError for a template that is missing or wrong, or asks for what is not known; TypeError for
    a value that cannot be shown.
    """
    return Markup(environment().get_template(name).render(known))


def rendered_macros(name: str, macros: Iterable[str], known: Mapping[str, Any]) -> dict[str, Markup]:
    """Fill in macros without arguments, the parts of a page that can be put in anew: macro -> markup.

    Raises: AttributeError for a macro that the template lacks; else as ``rendered``.
    """
    made = environment().get_template(name).make_module(dict(known))
    return {macro: Markup(getattr(made, macro)()) for macro in macros}


def shipped(name: str) -> Markup:
    """A style or script of our own, named like a template; raises ``OSError`` when the install is broken."""
    return Markup((folder("features") / name).read_text(encoding="utf-8"))


def page_style() -> Markup:
    """The style that the player's page and the preview share; raises ``OSError`` when the install is broken."""
    return Markup(Path(__file__).with_name("page.css").read_text(encoding="utf-8"))


def source_of(text: str) -> str:
    """A style or script as a Content Security Policy lets it in (W3C, hash source): ``sha256-...``."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
