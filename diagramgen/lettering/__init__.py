"""Measuring and breaking of text in the shipped faces; heights are capital heights in mm (ISO 3098).

Text is set without kerning and without ligatures in every writer, so a width measured here is the width
seen. Nothing here imports a font library except ``outlines``.
"""

from diagramgen.lettering.font_file import FAMILY, font_path, missing_characters, not_set
from diagramgen.lettering.metrics import (
    TextAnchor,
    ascent,
    descent,
    fit,
    font_size,
    line_pitch,
    text_box,
    text_width,
    wrap,
)

__all__ = [
    "FAMILY",
    "TextAnchor",
    "ascent",
    "descent",
    "fit",
    "font_path",
    "font_size",
    "line_pitch",
    "missing_characters",
    "not_set",
    "text_box",
    "text_width",
    "wrap",
]
