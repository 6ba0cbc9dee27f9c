"""Edges to a part of a picture element: the light along short lines across an edge, and where it is halfway."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.features.trace.homography import Numbers
from diagramgen.features.trace.open_picture import Light

STEP = 0.5
"""Picture elements between the samples of a profile."""
CLEAR = 5.0
"""A step in the light counts as an edge where it is this many times the noise of its two sides."""


@dataclass(frozen=True)
class Edges:
    """The edge on each of n profiles; every array has one entry a profile."""

    offset: Numbers
    """From the profile's point to the edge, picture elements along the normal; 0 where none was found."""
    clear: NDArray[np.bool_]
    """Whether an edge was found that stands out from the noise on both its sides; else offset means nothing."""
    width: Numbers
    """From 10 to 90 % of the step, picture elements."""


SOFT_EDGE = 16
"""Picture elements softened beyond the reach: the blur's own border, and what the points still move."""


def sample(light: Light, points: Numbers) -> Numbers:
    """The light between picture elements, bilinear; the border goes on beyond the frame."""
    high, wide = light.shape
    x, y = np.clip(points[..., 0], 0, wide - 1.001), np.clip(points[..., 1], 0, high - 1.001)
    i, j = x.astype(int), y.astype(int)
    u, v = x - i, y - j
    result: Numbers = (light[j, i] * (1 - u) * (1 - v) + light[j, i + 1] * u * (1 - v)
                       + light[j + 1, i] * (1 - u) * v + light[j + 1, i + 1] * u * v)
    return result


def softened(light: Light, points: Numbers, reach: float) -> Light:
    """The light made a little soft (Gauss, 0.7 picture elements) as far as ``reach`` about the points; elsewhere
    nothing that may be asked for, so that a large picture is not held twice."""
    import cv2

    low = np.floor(points.min(axis=0) - reach - SOFT_EDGE).astype(int)
    high = np.ceil(points.max(axis=0) + reach + SOFT_EDGE).astype(int)
    left, top = np.maximum(low, 0)
    right, bottom = np.minimum(high, (light.shape[1], light.shape[0]))
    soft = np.empty_like(light)
    if left < right and top < bottom:
        soft[top:bottom, left:right] = cv2.GaussianBlur(light[top:bottom, left:right], (0, 0), 0.7)
    return soft


def edges(light: Light, points: Numbers, normals: Numbers, reach: float, mean_of: int, round_: bool = True) -> Edges:
    """Find the edge from dark to bright near each of n points, along the normal there.

    Parameters: points, normals - n x 2, picture elements; a normal points from dark to bright; reach - how far before
    and behind a point is looked, picture elements; mean_of - how many neighbouring profiles are averaged; round_ -
    whether the last is the first's neighbour.
    """
    steps = np.arange(-reach, reach + STEP / 2, STEP)
    grid = points[:, None, :] + steps[None, :, None] * normals[:, None, :]
    profile = _averaged(sample(light, grid), mean_of, round_)
    outer = max(3, len(steps) // 5)
    dark, bright = np.median(profile[:, :outer], axis=1), np.median(profile[:, -outer:], axis=1)
    noise = np.maximum(_spread(profile[:, :outer]), _spread(profile[:, -outer:]))
    height = bright - dark
    clear = (height > CLEAR * noise / np.sqrt(outer)) & (height > 0.15 * np.maximum(bright, 1e-4))
    levels = [_crossing(profile, dark + share * height, steps) for share in (0.5, 0.1, 0.9)]
    clear &= ~np.isnan(levels[0])
    width = np.nan_to_num(levels[2] - levels[1], nan=2 * reach)
    return Edges(np.nan_to_num(levels[0]), clear, np.clip(width, 0.0, 2 * reach))


def _averaged(profile: Numbers, count: int, round_: bool) -> Numbers:
    half = count // 2
    padded = np.pad(profile, ((half, half), (0, 0)), mode="wrap" if round_ else "edge")
    result: Numbers = np.mean([padded[i : i + len(profile)] for i in range(2 * half + 1)], axis=0)
    return result


def _spread(part: Numbers) -> Numbers:
    result: Numbers = np.std(np.diff(part, axis=1), axis=1) / np.sqrt(2)
    return result


def _crossing(profile: Numbers, level: Numbers, steps: Numbers) -> Numbers:
    """Where each profile rises through its level: the rise nearest to its steepest place; NaN where it does not."""
    below = profile < level[:, None]
    rises = below[:, :-1] & ~below[:, 1:]
    smooth = np.diff(profile, axis=1)
    smooth = np.apply_along_axis(lambda row: np.convolve(row, np.ones(5), mode="same"), 1, smooth)
    steepest = np.argmax(smooth, axis=1)
    away = np.abs(np.arange(rises.shape[1])[None, :] - steepest[:, None])
    at = np.argmin(np.where(rises, away, 10**6), axis=1)
    rows = np.arange(len(profile))
    a, b = profile[rows, at], profile[rows, at + 1]
    share = (level - a) / np.where(b > a, b - a, 1.0)
    result: Numbers = np.where(rises[rows, at], steps[at] + share * STEP, np.nan)
    return result
