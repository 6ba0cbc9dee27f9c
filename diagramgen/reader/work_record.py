"""Reads what a build tells for the customer's record, and the photographs it names.

A photograph is turned upright as its EXIF orientation says, made as small as a page needs and written anew, so that
nothing goes along that the picture does not show: place, time, serial numbers.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.provenance import Sources
from diagramgen.model.build import NOTHING_TOLD, Photograph, WorkRecord
from diagramgen.reader.codes import REC_512, REC_513
from diagramgen.reader.glyph_check import check_told
from diagramgen.yamlfile.schema_fields import Located, Values

if TYPE_CHECKING:
    from PIL import Image

MAX_BYTES = 25_000_000
MAX_POINTS = 60_000_000
"""Picture elements: four times those of most cameras; a picture that claims more is made to fill the memory."""
MAX_HELD = 100_000_000
"""Bytes of a picture in memory; a JPEG is made smaller while it is read, a PNG must be held whole."""
LONG_SIDE = 1400
"""Picture elements along the longer side as printed: 300 to the inch over 118 mm."""
MOST = 12
"""Photographs on one record at most."""
FORMATS = ("JPEG", "PNG")


def read_work_record(v: Values | None, sources: Sources, say: Diagnostics) -> WorkRecord:
    """The record's words and photographs; a photograph that cannot be shown is said and left out."""
    if v is None:
        return NOTHING_TOLD
    check_told(v, "the record", say)
    return WorkRecord(
        v.get("asked", ""), _texts(v, "done"), v.get("why", ""), _texts(v, "fitted"), _texts(v, "handed back"),
        _texts(v, "undo"), _texts(v, "next technician"), _texts(v, "care"), v.get("battery", ""),
        v.get("warranty", ""), v.get("done by", ""), _photographs(v, sources, say),
    )


def _texts(v: Values, key: str) -> tuple[str, ...]:
    return tuple(g.value for g in v.get(key, ()))


def _photographs(v: Values, sources: Sources, say: Diagnostics) -> tuple[Photograph, ...]:
    given: Sequence[Located[Values]] = v.get("photographs", ())
    if len(given) > MOST:
        say.add(REC_512, v.at("photographs"), f"{len(given)} photographs; the record takes {MOST}, so the last "
                f"{len(given) - MOST} are left out")
    found = []
    for one in given[:MOST]:
        name, place = one.value.get("file"), one.value.at("file")
        data = sources.read(name, place, say, MAX_BYTES, "Make the photograph smaller.")
        if data is not None:
            photograph = upright(data, name, one.value.get("says", ""), place, say)
            if photograph is not None:
                found.append(photograph)
    return tuple(found)


def upright(data: bytes, name: str, says: str, place: Location, say: Diagnostics) -> Photograph | None:
    """The photograph as it is printed; None after a problem was said at ``place``."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            picture = Image.open(io.BytesIO(data), formats=FORMATS)
            if picture.width * picture.height > MAX_POINTS:
                say.add(REC_513, place, f"the photograph '{name}' has {picture.width} x {picture.height} points, "
                        "more than any camera of the trade takes; it is left out", "Make it smaller.")
                return None
            picture.draft("RGB", (LONG_SIDE, LONG_SIDE))
            if picture.width * picture.height * (4 if picture.mode not in ("RGB", "L") else 3) > MAX_HELD:
                say.add(REC_513, place, f"the photograph '{name}' has {picture.width} x {picture.height} points, "
                        "too many for one that is no JPEG; it is left out", "Save it as JPEG, or make it smaller.")
                return None
            if picture.mode not in ("RGB", "RGBA") or "transparency" in picture.info:
                bare = ImageOps.exif_transpose(picture)
                picture = _on_white(bare)  # type: ignore[assignment]
            # Made small before anything else is done to it: copies of the whole would fill the memory.
            picture.thumbnail((LONG_SIDE, LONG_SIDE))
            plain = _on_white(ImageOps.exif_transpose(picture))
    except UnidentifiedImageError:
        say.add(REC_513, place, f"'{name}' is no JPEG or PNG photograph; it is left out",
                "Save it as JPEG and name that file.")
        return None
    except Exception as fault:  # a broken picture can fail anywhere in its decoder
        reason = str(fault).split("\n")[0].lower() or type(fault).__name__
        say.add(REC_513, place, f"the photograph '{name}' is broken ({reason}); it is left out",
                "Take it from the camera again, or save it anew as JPEG.")
        return None
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=85)
    return Photograph(name, says, out.getvalue(), plain.width, plain.height, place)


def _on_white(picture: Image.Image) -> Image.Image:
    """The picture without its transparency, as it looks on paper."""
    from PIL import Image

    if "A" not in picture.getbands() and "transparency" not in picture.info:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    paper = Image.new("RGBA", clear.size, "white")
    paper.alpha_composite(clear)
    return paper.convert("RGB")
