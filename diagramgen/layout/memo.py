"""Answers kept from one layout of a build to the next: the same question gets the same answer without the work."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

Answer = TypeVar("Answer")


class Memo:
    """Keeps the last answer under each name; only equality of the whole question gives it again."""

    def __init__(self) -> None:
        self._held: dict[str, tuple[tuple[Any, ...], Any]] = {}
        self.reused = 0

    def __call__(self, name: str, work: Callable[..., Answer], *question: Any) -> Answer:
        """What ``work`` makes of the question; nothing may change question or answer afterwards."""
        held = self._held.get(name)
        if held is not None and held[0] == question:
            self.reused += 1
            found: Answer = held[1]
            return found
        answer = work(*question)
        self._held[name] = (question, answer)
        return answer
