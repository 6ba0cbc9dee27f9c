"""Markup of pages: the one escape of the house, and data that can stand in a script block.

Whatever puts text between tags (templates, pictures inside a page) goes through here, so that no name in a build file
can be more than a name.
"""

from __future__ import annotations

import json
import re
from typing import Any

from diagramgen.writers.canvas import clean

_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;", "`": "&#96;"})
_NOT_IN_SCRIPT = re.compile("[<>&\u2028\u2029\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


class Markup(str):
    """Text that is markup already and is not escaped again.

    Joining it to other text gives a plain ``str``, which a template escapes: a slip shows as tags on the page.
    """

    __slots__ = ()

    def __html__(self) -> str:
        """The same text: templates ask for it by this name."""
        return str(self)


def escaped(text: str) -> Markup:
    """Escape text so that it may stand between tags and between the double quotes of an attribute.

    Characters that no file may hold become U+FFFD and line ends become spaces (``canvas.clean``).
    """
    return Markup(clean(text).translate(_ENTITIES))


def data(value: Any) -> Markup:
    """Write a value as JSON that can neither end nor begin a script, whatever its texts say.

    Raises: TypeError or ValueError for what JSON cannot hold (NaN among it).
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return Markup(_NOT_IN_SCRIPT.sub(lambda found: f"\\u{ord(found[0]):04x}", text))
