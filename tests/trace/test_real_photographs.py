"""Real photographs: a board of squares, taken with two wide lenses, held against the squares' known places.

Source: the calibration photographs left01 to left14 and right01 to right14 among the samples of OpenCV (Apache License
2.0), 640 x 480 picture elements, 9 x 6 inner corners of a board of equal squares. The photographs show people and are
not kept here: ``tests/data/photographed-board.csv`` has the corners as ``cv2.findChessboardCorners`` and
``cv2.cornerSubPix`` (window 5) found them. A square counts 15 mm, so that the board's corners span 120 x 75 mm, as
a cavity does. A picture element is 0.4 to 0.7 mm there, twice what the guide asks for.
"""

from __future__ import annotations

import csv
from itertools import groupby
from pathlib import Path

import numpy as np
import pytest

from diagramgen.features.trace.expected_error import lens_doubt, scale_doubt
from diagramgen.features.trace.homography import Numbers, Plane, from_corners
from diagramgen.kernel.geometry import Point

cv2 = pytest.importorskip("cv2")
ROWS, COLUMNS, SQUARE = 6, 9, 15.0
KNOWN = np.array([[x * SQUARE, y * SQUARE] for y in range(ROWS) for x in range(COLUMNS)])
FILE = Path(__file__).resolve().parent.parent / "data" / "photographed-board.csv"


def boards() -> dict[str, Numbers]:
    """Picture -> its corners, rows x columns x 2, picture elements."""
    with FILE.open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    return {name: np.array([[float(r["x"]), float(r["y"])] for r in rows]).reshape(ROWS, COLUMNS, 2)
            for name, rows in groupby(lines, key=lambda r: r["picture"])}


BOARDS = boards()


def without_lens(side: str) -> dict[str, Numbers]:
    """The same corners with the bend of the lens taken out, as ``cv2.calibrateCamera`` finds it from all of them."""
    names = [name for name in BOARDS if name.startswith(side)]
    flat = np.column_stack([KNOWN, np.zeros(len(KNOWN))]).astype(np.float32)
    seen = [BOARDS[name].reshape(-1, 1, 2).astype(np.float32) for name in names]
    _, camera, bend, _, _ = cv2.calibrateCamera([flat] * len(names), seen, (640, 480), None, None)
    return {name: cv2.undistortPoints(points, camera, bend, P=camera).astype(float).reshape(ROWS, COLUMNS, 2)
            for name, points in zip(names, seen, strict=True)}


def bent(board: Numbers) -> float:
    """How far the four outer rows of corners lie from a straight line, as a share of their length."""
    found = 0.0
    for side in (board[0], board[-1], board[:, 0], board[:, -1]):
        way = side[-1] - side[0]
        long = float(np.hypot(*way))
        found = max(found, float(np.ptp((side - side[0]) @ np.array([-way[1], way[0]]) / long) / long))
    return found


def plane_of(board: Numbers, bow: float = 0.0) -> Plane:
    """The plane that the four outer corners alone give."""
    corners = [Point(float(x), float(y)) for x, y in (board[0, 0], board[0, -1], board[-1, -1], board[-1, 0])]
    return from_corners(corners, (COLUMNS - 1) * SQUARE, (ROWS - 1) * SQUARE, 0.1, bow)


def off(board: Numbers) -> float:
    """The furthest that any corner lies from where it is, mm, shift and turn of the whole left out."""
    found = plane_of(board).to_mm(board.reshape(-1, 2))
    middle, there = found - found.mean(axis=0), KNOWN - KNOWN.mean(axis=0)
    u, _, v = np.linalg.svd(middle.T @ there)
    return float(np.hypot(*(middle @ (u @ v) - there).T).max())


@pytest.mark.parametrize("side", ["left", "right"])
def test_straightened_photographs_are_right_to_half_a_millimetre_once_the_lens_is_taken_out(side: str) -> None:
    found = {name: off(board) for name, board in without_lens(side).items()}
    assert len(found) == 13
    assert max(found.values()) <= 0.35, found


@pytest.mark.parametrize("name", BOARDS)
def test_the_bent_sides_of_the_sheet_foretell_what_a_wide_lens_does(name: str) -> None:
    board = BOARDS[name]
    plane = plane_of(board, bent(board))
    told = lens_doubt(plane, KNOWN) + scale_doubt(plane, board.reshape(-1, 2))
    # With nothing taken out these lenses are far from half a millimetre, and the figure must not hide it.
    assert off(board) > 0.5
    assert 0.55 < off(board) / told < 1.25
