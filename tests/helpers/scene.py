"""Photographs that never were: a scene in mm seen by a camera without a lens's faults, worked out ray by ray.

Nothing of the program under test is used here. The wood has grain, the light is uneven, the cavity has depth (walls and
a floor below the rim), and the sensor has blur and noise; every measure is known.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter, map_coordinates
from shapely import affinity
from shapely.geometry import Polygon, box

FINE = 0.025
"""mm of an element of a painted shape."""


def rounded(width, height, corner, x=0.0, y=0.0):
    """A rectangle with round corners, upper left at x, y."""
    return box(x + corner, y + corner, x + width - corner, y + height - corner).buffer(corner, quad_segs=64)


def waisted(x=0.0, y=0.0):
    """A cavity of 120 mm with a lobe, a neck and a slanting side: arcs inward and outward, sharp and round corners."""
    body = rounded(120, 62, 12)
    lobe = Polygon([(70, 50), (112, 50), (106, 84), (78, 84)]).buffer(6, quad_segs=64)
    joined = body.union(lobe)
    for reach in (-5, 5, 8, -8):
        joined = joined.buffer(reach, quad_segs=64)
    return affinity.translate(joined, x, y)


@dataclass
class Scene:
    """What lies in the picture, mm; x right, y down."""

    cavity: Polygon
    sheet: tuple[float, float, float, float] | None = None
    """Left, top, width, height of a white sheet in the plane of the rim (or ``sheet_low`` below it)."""
    sheet_low: float = 0.0
    depth: float = 38.0
    marks: list[tuple[float, float, list[float]]] = field(default_factory=list)
    """Rings: centre and radii from the outside in, black and white by turns."""
    wood: float = 0.42
    wall: float = 0.10
    floor: float = 0.045
    paper: float = 0.82
    grain: float = 0.05
    size: tuple[float, float] = (300.0, 230.0)


@dataclass
class Camera:
    """Where the camera stands and what it does to the light."""

    tilt: float = 0.0
    """Degrees away from straight above."""
    towards: float = 0.0
    """The side it leans to, degrees."""
    roll: float = 0.0
    high: float = 420.0
    """mm from the lens to the rim's plane along the line of sight."""
    wide: int = 1600
    tall: int = 1200
    focal: float = 2000.0
    blur: float = 1.0
    noise: float = 3.0
    """Of 255."""
    light: float = 0.3
    """How much brighter one side is than the other (share of the mean)."""
    seed: int = 7


def matrix(camera, scene, z=0.0):
    """Homography (mm in the plane ``z`` below the rim -> picture elements)."""
    t, a, r = (math.radians(v) for v in (camera.tilt, camera.towards, camera.roll))
    axis = np.array([-math.sin(a), math.cos(a), 0.0])
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    lean = np.eye(3) + math.sin(t) * k + (1 - math.cos(t)) * (k @ k)
    turn = np.array([[math.cos(r), -math.sin(r), 0], [math.sin(r), math.cos(r), 0], [0, 0, 1]])
    rotation = turn @ lean
    middle = np.array([scene.size[0] / 2, scene.size[1] / 2, 0.0])
    # A point p of the scene lies at rotation (p - middle) + (0, 0, high) before the lens.
    inner = np.array([[camera.focal, 0, camera.wide / 2 - 0.5], [0, camera.focal, camera.tall / 2 - 0.5], [0, 0, 1]])
    shift = rotation @ (np.array([0, 0, z]) - middle) + np.array([0, 0, camera.high])
    return inner @ np.column_stack([rotation[:, 0], rotation[:, 1], shift])


def lens_height(camera):
    """mm from the lens straight down to the plane of the rim."""
    return camera.high * math.cos(math.radians(camera.tilt))


def seen(h, points):
    lifted = np.column_stack([np.asarray(points, float), np.ones(len(points))]) @ h.T
    return lifted[:, :2] / lifted[:, 2:]


def _painted(polygon):
    """1 inside the polygon, as a fine picture of it with its upper left corner in mm."""
    left, up, right, low = polygon.bounds
    left, up = left - 1, up - 1
    image = Image.new("L", (round((right + 1 - left) / FINE), round((low + 1 - up) / FINE)), 0)
    # An element counts as inside here where its middle does: the drawing library takes in the border besides.
    corners = [((x - left) / FINE - 0.5, (y - up) / FINE - 0.5) for x, y in polygon.buffer(-FINE / 2).exterior.coords]
    ImageDraw.Draw(image).polygon(corners, fill=1)
    return np.asarray(image, np.float32), left, up


def _sampled(painted, mm):
    fine, left, up = painted
    return map_coordinates(fine, [(mm[..., 1] - up) / FINE - 0.5, (mm[..., 0] - left) / FINE - 0.5], order=1)


def _rays(camera, scene, z):
    y, x = np.mgrid[0 : camera.tall, 0 : camera.wide]
    points = np.stack([x.ravel(), y.ravel()], axis=1)
    return seen(np.linalg.inv(matrix(camera, scene, z)), points).reshape(camera.tall, camera.wide, 2)


def photograph(scene, camera):
    """Light 0..1 as the sensor gets it, then code values of sRGB with noise: an array of bytes."""
    chance = np.random.default_rng(camera.seed)
    hole = _painted(scene.cavity)
    top = _rays(camera, scene, 0.0)
    grain = np.sin(top[..., 1] * 2.1 + 3 * np.sin(top[..., 0] / 60))
    grain += 0.6 * np.sin(top[..., 1] * 5.3 + top[..., 0] / 23)
    wood = scene.wood * (1 + scene.grain * grain)
    below = _sampled(hole, _rays(camera, scene, scene.depth))
    inner = scene.floor * below + scene.wall * (1 - below)
    rim = _sampled(hole, top)
    light = wood * (1 - rim) + inner * rim
    if scene.sheet:
        left, up, w, h = scene.sheet
        paper = _painted(box(left, up, left + w, up + h))
        places = top if scene.sheet_low == 0 else _rays(camera, scene, scene.sheet_low)
        share = _sampled(paper, places)
        shade = np.full_like(share, scene.paper)
        for x, y, radii in scene.marks:
            away = np.hypot(places[..., 0] - x, places[..., 1] - y)
            for n, radius in enumerate(radii):
                soft = np.clip((radius - away) / 0.12 + 0.5, 0, 1)
                shade = shade * (1 - soft) + (0.05 if n % 2 == 0 else scene.paper) * soft
        light = light * (1 - share) + shade * share
    x = np.linspace(-1, 1, camera.wide)[None, :]
    y = np.linspace(-1, 1, camera.tall)[:, None]
    light = light * (1 + camera.light * (0.8 * x + 0.6 * y)) * (1 - 0.12 * (x * x + y * y))
    light = gaussian_filter(light.astype(np.float32), camera.blur)
    light = np.clip(light, 0, 1)
    code = 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    code = code[..., None] * np.array([1.0, 0.97, 0.92]) + chance.normal(0, camera.noise, (*code.shape, 3))
    return np.clip(np.round(code), 0, 255).astype(np.uint8)


def as_file(code, kind="JPEG", orientation=1, dpi=None):
    """The picture as a camera stores it."""
    out = io.BytesIO()
    image = Image.fromarray(code)
    if orientation == 6:  # stored lying, to be turned a quarter clockwise
        image = image.transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = orientation
    image.save(out, kind, quality=92, exif=exif, **({"dpi": (dpi, dpi)} if dpi else {}))
    return out.getvalue()


def hausdorff(found, truth):
    """The largest distance of either outline from the other, mm."""
    a = Polygon(found).exterior.segmentize(0.25)
    b = Polygon(truth).exterior.segmentize(0.25)
    return a.hausdorff_distance(b)
