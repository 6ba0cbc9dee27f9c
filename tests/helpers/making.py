"""The photographs the tests share."""

from __future__ import annotations

from functools import cache

from scene import Camera, Scene, as_file, matrix, photograph, rounded, seen, waisted

SHEET = (170.0, 35.0, 105.0, 148.5)
CARD = (20.0, 125.0)
"""Upper left of the cut card; its first mark lies 11 mm inward both ways."""


def sheet_scene(shape=waisted, **more):
    return Scene(shape(x=30, y=20) if shape is waisted else shape, sheet=SHEET, **more)


def card_scene():
    x, y = CARD[0] + 11, CARD[1] + 11
    others = [(x + dx, y + dy, [6.0, 4.0, 2.0]) for dx, dy in ((160, 0), (160, 100), (0, 100))]
    marks = [(x, y, [6.0, 4.6, 3.2, 1.6]), *others]
    return Scene(waisted(45, 25), sheet=(*CARD, 182, 122), marks=marks, size=(240, 260))


def corners(scene, camera):
    """Where the sheet's corners lie in the picture, upper left first."""
    left, up, w, h = scene.sheet
    four = [(left, up), (left + w, up), (left + w, up + h), (left, up + h)]
    return seen(matrix(camera, scene, scene.sheet_low), four)


@cache
def sheet_photo():
    return photograph(sheet_scene(), Camera(18, 40, 3, high=460))


@cache
def card_photo():
    return photograph(card_scene(), Camera(15, 40, 4, high=520))


@cache
def low_photo():
    """The sheet 20 mm below the rim, the lens 450 mm above it."""
    scene = sheet_scene(rounded(120, 75, 14, 30, 20), sheet_low=20.0)
    return photograph(scene, Camera(0, 0, 0, high=450))


@cache
def scan():
    """A scan at 150 to the inch: no perspective to speak of."""
    scene = Scene(rounded(120, 75, 14, 20, 20), size=(160, 115))
    return photograph(scene, Camera(0, 0, 0, high=1e6, focal=1e6 * 150 / 25.4, wide=900, tall=640, blur=0.6, noise=1.5))


__all__ = ["Camera", "as_file"]
