"""Wirings that were guessed, as plain values: keys are never renamed, new ones are added at the end."""

from __future__ import annotations

from typing import Any

from diagramgen.features.guess.compute import Guesses


def guesses_dict(found: Guesses) -> dict[str, Any]:
    """The guesses with keys in a fixed order; probabilities from 0 to 1."""
    return {
        "verdict": found.verdict,
        "tried": found.tried,
        "other": round(found.other, 4),
        "guesses": [{"probability": round(g.probability, 4), "wirings": [dict(u.choices) for u in g.usual]}
                    for g in found.guesses],
        "look_at": list(found.look),
        "next": None if found.question is None else found.question.words,
    }
