"""The bench's figures that fit is judged by, in mm, each with its reason."""

from __future__ import annotations

TOUCH = 1.0
"""Bodies nearer than this are said to touch: places are measured to about half a millimetre each."""

SAME_SPOT = 0.5
"""Two mounting points nearer than this are one spot: nobody drills two holes half a millimetre apart."""

ROUNDING = 0.05
"""Differences below this are rounding of the outlines, not a clash."""

SHEET = 0.5
"""What is thinner than this is foil or a plate's skin: it fills no space that a body could clash with."""

SOLDER_ROOM = 3.0
SOLDER_ROOM_EASY = 5.0
"""Room for solder and a lead above the deepest body or lug: 3 to 5 mm (common practice, no source)."""

METAL_GAP = 1.5
"""A lug nearer than this to foreign metal shorts with one whisker of wire (common practice, no source)."""

STANDS_OFF = 3.0
"""Thread above the nut that a knob's recess still hides; more of it and the knob stands off
(common practice, no source)."""

BORE_TIGHT = 0.05
BORE_LOOSE = 0.2
"""A bore this much under the shaft does not go on; this much over it wobbles: 6 mm against 6.35 mm
(1/4 in) is the pair that is mixed up (common practice, no source)."""
