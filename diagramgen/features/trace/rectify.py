"""The photograph as it looks from straight above at the height of the rim, for the check picture."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import numpy as np

from diagramgen.features.trace.compute import Traced
from diagramgen.features.trace.open_picture import Picture
from diagramgen.kernel.geometry import Box, Transform, box_around, turned

AIR = 18.0
"""mm of wood shown round the outline."""
FINE = 8.0
"""Picture elements a mm at most."""
MOST = 2400


@dataclass(frozen=True)
class Straightened:
    """A JPEG and the box in mm it fills; the outline as laid for the build lies at 0, 0."""

    data: bytes
    box: Box


def straightened(picture: Picture, traced: Traced) -> Straightened:
    """The part of the photograph round the outline, turned as the outline is laid."""
    import cv2
    from PIL import Image

    place = _laid_by(traced)
    box = box_around(traced.path.flat()).grown(AIR)
    fine = min(FINE, MOST / max(box.width, box.height), 1 / max(traced.step, 0.05))
    size = (math.ceil(box.width * fine), math.ceil(box.height * fine))
    onto = np.array([[fine, 0, -box.left * fine], [0, fine, -box.top * fine], [0, 0, 1]])
    laid = np.array([[place.a, place.c, place.e], [place.b, place.d, place.f], [0, 0, 1]])
    whole = onto @ laid @ traced.plane.array()
    flat = cv2.warpPerspective(picture.colours, whole, size, flags=cv2.INTER_LINEAR, borderValue=(255, 255, 255))
    out = io.BytesIO()
    Image.fromarray(np.asarray(flat, np.uint8)).save(out, "JPEG", quality=82)
    return Straightened(out.getvalue(), Box(box.left, box.top, box.left + size[0] / fine, box.top + size[1] / fine))


def _laid_by(traced: Traced) -> Transform:
    """What lays the outline in the scale's plane as it is written into the build."""
    angle = traced.turn
    box = traced.fitted.mapped(turned(angle)).box()
    return turned(angle).then(Transform(e=-box.left, f=-box.top))
