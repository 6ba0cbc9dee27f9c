"""Numbers as options take them: within their range, and numbers at all.

``nan`` and ``inf`` are read as floating point numbers, and no comparison with a limit keeps ``nan`` out.
"""

from __future__ import annotations

import math
from typing import Any

import click


class NumberIn(click.FloatRange):
    """A finite number in a range."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; a usage error where it is none or lies outside."""
        found = float(super().convert(value, param, ctx))
        if not math.isfinite(found):
            self.fail(f"'{value}' is no number that can be measured.", param, ctx)
        return found
