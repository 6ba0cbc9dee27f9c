"""A picture opened safely: size bounded before anything is decoded, turned upright, as light rather than code values.

The middle of a blurred edge lies where the *light* is halfway between both sides; halfway between the code values of a
picture file it does not. So grey is worked out in linear light (IEC 61966-2-1, the curve of sRGB).
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.features.trace.codes import PHO_802, PHO_803
from diagramgen.kernel.diagnostics import Diagnostics, Location

MAX_BYTES = 60_000_000
MAX_POINTS = 60_000_000
BAND = 256
"""Rows of a picture turned into light at a time: the whole at once would fill the memory with what is in between."""
"""Picture elements: a picture that claims more is made to fill the memory."""
LEAST = 200
"""Picture elements each way below which no outline can be measured."""
FORMATS = ("JPEG", "PNG", "TIFF", "BMP", "WEBP")

Light = NDArray[np.float32]


@dataclass(frozen=True)
class Picture:
    """A picture upright: red, green, blue as stored and grey as linear light from 0 to 1."""

    colours: NDArray[np.uint8]
    light: Light
    turned: bool
    """Whether it was stored lying and turned as its EXIF orientation says."""

    @property
    def width(self) -> int:
        """Picture elements across."""
        return int(self.light.shape[1])

    @property
    def height(self) -> int:
        """Picture elements down."""
        return int(self.light.shape[0])


def open_picture(data: bytes, place: Location, say: Diagnostics) -> Picture | None:
    """The picture, or None after a problem was said at ``place``."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            found = Image.open(io.BytesIO(data), formats=FORMATS)
            if found.width * found.height > MAX_POINTS:
                raise Image.DecompressionBombError
            if min(found.width, found.height) < LEAST:
                say.add(PHO_803, place, f"the picture has only {found.width} x {found.height} picture elements",
                        f"At least {LEAST} each way; 2000 and more give a fifth of a millimetre.")
                return None
            warnings.simplefilter("ignore")
            turned = found.getexif().get(0x0112, 1) not in (0, 1)
            # Turned in place, converted only where it must be: each copy of a large photograph is 180 MB.
            ImageOps.exif_transpose(found, in_place=True)
            colours = np.asarray(found if found.mode == "RGB" else found.convert("RGB"), dtype=np.uint8)
            found.close()
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        say.add(PHO_803, place, f"the picture claims more than {MAX_POINTS // 1_000_000} million picture elements",
                "Make it smaller, or cut off what is not needed.")
        return None
    except UnidentifiedImageError:
        say.add(PHO_802, place, "this is no picture in JPEG, PNG, TIFF, BMP or WebP",
                "Save the photograph as JPEG and name that file.")
        return None
    except Exception as fault:  # a broken picture can fail anywhere in its decoder
        reason = str(fault).split("\n")[0].lower() or type(fault).__name__
        say.add(PHO_802, place, f"the picture is broken: {reason}",
                "Take it from the camera again, or save it anew as JPEG.")
        return None
    return Picture(colours, _light(colours), turned)


def _light(colours: NDArray[np.uint8]) -> Light:
    code = np.arange(256) / 255.0
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4).astype(np.float32)
    shares = (0.2126, 0.7152, 0.0722)
    of_channel = [linear * np.float32(share) for share in shares]
    grey: Light = np.empty(colours.shape[:2], np.float32)
    for top in range(0, len(grey), BAND):
        rows = colours[top : top + BAND]
        grey[top : top + BAND] = sum(of_channel[i][rows[:, :, i]] for i in range(3))
    return grey
