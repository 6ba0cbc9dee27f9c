"""What a look-up of faults found, as plain values: keys are never renamed, new ones are added at the end."""

from __future__ import annotations

from typing import Any

from diagramgen.diagnosis.observations import observation_text
from diagramgen.features.faults.compute import Finding


def taken_in_phase(found: Finding) -> list[str]:
    """Pickups whose phase nobody metered, as they are called."""
    wiring = found.judged.run.wiring
    return [part.says for part in wiring.build.parts.values() if part.name in wiring.taken]


def finding_dict(found: Finding) -> dict[str, Any]:
    """The finding with keys in a fixed order; probabilities from 0 to 1, the worth of a measurement in bits."""
    run = found.judged.run
    question = found.question
    return {
        "seen": [observation_text(s, run.wiring) for s in found.judged.observations],
        "verdict": found.verdict,
        "warnings": list(found.warnings),
        "misfits": list(found.misfits),
        "taken_in_phase": taken_in_phase(found),
        "outside": round(found.judged.outside, 4),
        "groups": [{"probability": round(g.probability, 4), "told_apart_by": list(g.telling),
                    "faults": [{"key": found.fault(i).key, "kind": found.fault(i).kind, "words": found.fault(i).words,
                                "lugs": list(found.fault(i).lugs), "leads": list(found.fault(i).tags),
                                "probability": round(p, 4)} for i, p in g.faults]} for g in found.groups],
        "next": None if question is None else {
            "measure": question.words, "bits": round(question.bits, 3),
            "answers": [{"answer": a.words, "probability": round(a.probability, 4),
                         "faults": [found.fault(i).key for i in a.faults]} for a in question.answers]},
    }
