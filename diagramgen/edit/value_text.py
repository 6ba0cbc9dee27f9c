"""Writes ends, colours and leads back as the text of a lead line; reading it gives the same again."""

from __future__ import annotations

from diagramgen.kernel.colours import BARE, WORDS, LeadColour
from diagramgen.kernel.units import number
from diagramgen.model.build import End, Lead

_KINDS_NEVER_SAID = ("wire",)


def end_text(end: End) -> str:
    """``volume.wiper``, ``unknown`` or ``parked``."""
    return str(end)


def colour_text(colour: LeadColour) -> str:
    """The colour in words a person types: ``red``, ``white/black``."""
    words = [WORDS[code][0] for code in (colour.base, colour.stripe) if code]
    return "/".join(words)


def lead_text(lead: Lead, own_colour: bool = False, pin: bool = True) -> str:
    """A lead as one line.

    ``own_colour`` leaves the colour out, for a conductor whose part says it; ``pin`` writes the tag of a lead
    whose tag stands in the file. A bus stretch is written as a bare wire of its own.
    """
    marks: list[str] = []
    if lead.colour is not None and not own_colour and lead.colour.base != BARE:
        marks.append(colour_text(lead.colour))
    if lead.kind not in _KINDS_NEVER_SAID:
        marks.append(lead.kind)
    if pin and lead.pinned:
        marks.append(f"tag {lead.tag}")
    if lead.gauge is not None:
        marks.append(f"gauge {lead.gauge} AWG")
    if lead.diameter is not None:
        marks.append(f"od {number(lead.diameter, 4)}")
    if lead.length is not None:
        marks.append(f"length {number(lead.length, 4)}")
    marks += [word for word, said in (("cloth", lead.cloth), ("along wall", lead.along_wall),
                                      ("shield cut", lead.shield_cut), ("reused", lead.reused)) if said]
    marks += [f"via {number(p.x, 4)} {number(p.y, 4)}" for p in lead.via]
    marks += [f"via {name}" for name in lead.channels]
    marks += [f"over {name}" for name in lead.over]
    marks += [f"under {name}" for name in lead.under]
    marks += [f"apart from {tag}" for tag in lead.apart_from]
    marks += [f"twisted with {lead.twisted_with}"] if lead.twisted_with else []
    marks += [f"cable {lead.cable}"] if lead.cable and lead.cable not in (lead.start.part, lead.end.part) else []
    marks += [f"shield to {end_text(end)}" for end in lead.shield_to]
    marks += [f"note {lead.remark}"] if lead.remark else []
    return ", ".join([f"{end_text(lead.start)} -> {end_text(lead.end)}", *marks])
