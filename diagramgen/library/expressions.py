"""Small sums in symbol files: numbers, dimension names, ``+ - * /`` and brackets.

A binary minus stands between blanks, since names hold hyphens: ``body / 2 + lug-reach - 1``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

_TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?|\.\d+)|([a-z][a-z0-9]*(?:-[a-z0-9]+)*)|([-+*/()]))")


class BadSum(ValueError):  # noqa: N818 - a sum in a symbol file that cannot be read or worked out
    """A sum that cannot be read, or that uses a name that is not there."""


@dataclass(frozen=True)
class Sum:
    """A parsed sum. ``names`` are the dimensions it uses."""

    text: str
    steps: tuple[str | float, ...]
    """Reverse Polish: numbers, names, operators ('neg' for a sign)."""

    @property
    def names(self) -> tuple[str, ...]:
        """Dimension names used."""
        return tuple(s for s in self.steps if isinstance(s, str) and s not in _OPERATORS)

    def value(self, dimensions: Mapping[str, float]) -> float:
        """Work it out in mm; raises ``BadSum`` for an unknown name or a division by zero."""
        stack: list[float] = []
        for step in self.steps:
            if isinstance(step, float):
                stack.append(step)
            elif step == "neg":
                stack.append(-stack.pop())
            elif step in _OPERATORS:
                b, a = stack.pop(), stack.pop()
                if step == "/" and b == 0:
                    raise BadSum(f"'{self.text}' divides by zero")
                stack.append({"+": a + b, "-": a - b, "*": a * b, "/": a / b if b else 0.0}[step])
            elif step in dimensions:
                stack.append(dimensions[step])
            else:
                raise BadSum(f"'{self.text}' uses '{step}', which is no dimension of this symbol")
        return stack[0]


_OPERATORS = ("+", "-", "*", "/", "neg")
_RANK = {"+": 1, "-": 1, "*": 2, "/": 2, "neg": 3}


def constant(value: float) -> Sum:
    """A sum that is just a number."""
    return Sum(str(value), (float(value),))


def read_sum(text: str) -> Sum:
    """Parse a sum; raises ``BadSum``."""
    out: list[str | float] = []
    held: list[str] = []
    at, want_value = 0, True
    stripped = text.strip()
    while at < len(stripped):
        found = _TOKEN.match(stripped, at)
        if not found:
            raise BadSum(f"'{text}' is no sum of numbers and dimension names")
        at = found.end()
        if found[1] or found[2]:
            if not want_value:
                raise BadSum(f"'{text}': an operator is missing")
            out.append(float(found[1]) if found[1] else found[2])
            want_value = False
        else:
            want_value = _operator(found[3], want_value, out, held, text)
    if want_value:
        raise BadSum(f"'{text}' is not complete")
    while held:
        if held[-1] == "(":
            raise BadSum(f"'{text}': a bracket is not closed")
        out.append(held.pop())
    return Sum(stripped, tuple(out))


def _operator(sign: str, want_value: bool, out: list[str | float], held: list[str], text: str) -> bool:
    """Shunting-yard step; returns whether a value must follow."""
    if sign == "(":
        if not want_value:
            raise BadSum(f"'{text}': an operator is missing before a bracket")
        held.append(sign)
        return True
    if sign == ")":
        if want_value:
            raise BadSum(f"'{text}': nothing stands before a closing bracket")
        while held and held[-1] != "(":
            out.append(held.pop())
        if not held:
            raise BadSum(f"'{text}': a bracket was not opened")
        held.pop()
        return False
    if want_value:
        if sign not in "+-":
            raise BadSum(f"'{text}': nothing stands before '{sign}'")
        if sign == "-":
            held.append("neg")
        return True
    while held and held[-1] != "(" and _RANK[held[-1]] >= _RANK[sign]:
        out.append(held.pop())
    held.append(sign)
    return True
