"""The characters a drawing uses, as a WOFF font to embed in it."""

from __future__ import annotations

import io
from functools import lru_cache

from diagramgen.lettering import font_path

_NAMES = (0, 1, 2, 4, 6, 13, 14)
"""Copyright and licence go with every copy of the font, however small."""


@lru_cache(maxsize=64)
def woff_subset(characters: frozenset[str], bold: bool = False) -> bytes:
    """A WOFF file (zlib) with just these characters; the same characters give the same bytes."""
    from fontTools import subset
    from fontTools.ttLib import TTFont

    options = subset.Options()
    options.name_IDs = list(_NAMES)
    options.layout_features = []
    options.notdef_outline = True
    options.recalc_timestamp = False
    font = TTFont(font_path(bold), recalcTimestamp=False)
    job = subset.Subsetter(options)
    job.populate(text="".join(sorted(characters)))
    job.subset(font)
    font.flavor = "woff"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()
