"""The clause that says what is left of the hum, the same on every sheet, page and record, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterable

from diagramgen.circuit.sounds import Sound
from diagramgen.kernel.units import number

NOT_KNOWN = "not known"
FROM = {"turns": "turns", "wire": "wire gauge", "inductances": "inductances", "wire unknown": "wire unknown",
        "ohms and wire unknown": "ohms and wire unknown"}
SAME_WIRE = ("'Most hum goes': coils of one kind whose ohms lie within 5 %; the same wire is taken for all of them, as "
             "nobody told it.")


def hum_words(sound: Sound) -> str:
    """``cancels``, ``most hum goes``, ``3 to 36 % left (wire unknown; 14 % if the same)``; '' in silence.

    Only hum that turns, wire or inductances show to go is said to cancel.
    """
    if sound.hum == "partly":
        return f"{_range(sound)} ({_known(sound)})" if sound.hum_from else _range(sound)
    return {"cancels": "cancels", "most": "most hum goes", "full": "full", "silent": ""}.get(sound.hum, NOT_KNOWN)


def hum_said(sound: Sound) -> str:
    """The clause as it stands in a sentence: ``hum cancels``, ``most hum goes``; '' in silence."""
    words = hum_words(sound)
    return words if not words or "hum" in words else f"hum {words}"


def hum_for_player(sound: Sound) -> str:
    """The clause for a player; '' in silence. Quiet is only what is sure to be."""
    if sound.hum == "full":
        return "hums: one coil" if sound.phase == "single" else "hums as a single coil does"
    if sound.hum == "cancels":
        return "quiet: its hum cancels"
    return hum_said(sound)


def _range(sound: Sound) -> str:
    most = number(sound.hum_percent or 0.0, 0)
    least = most if sound.hum_least is None else number(sound.hum_least, 0)
    return f"{most} % left" if least == most else f"{least} to {most} % left"


def _known(sound: Sound) -> str:
    known = " and ".join(FROM.get(word, word) for word in sound.hum_from.split(" and ")) \
        if sound.hum_from not in FROM else FROM[sound.hum_from]
    return known if sound.hum_same_wire is None else f"{known}; {number(sound.hum_same_wire, 0)} % if the same"


def hum_note(sounds: Iterable[Sound]) -> str:
    """The same in few words, for the foot of a page."""
    told = {s.hum_from for s in sounds}
    said = {"same wire taken": "Most hum goes: their ohms are alike, and the same wire is taken for them.",
            "wire unknown": "Wire unknown: any of AWG 42 to 44."}
    return " ".join(words for known, words in said.items() if any(known in word for word in told))


def hum_basis(sounds: Iterable[Sound]) -> str:
    """What the hum of these sounds rests on, in a sentence or more; '' where no coils work together."""
    found = [s for s in sounds if s.hum_from]
    told = {s.hum_from for s in found}
    said = []
    if "same wire taken" in told:
        said.append(SAME_WIRE)
    if any("unknown" in word for word in told):
        said.append("'Wire unknown': the least and the most of hum if each pickup, and each unlike coil, is of any of "
                    "AWG 42 to 44, or if all have the same turns; 'if the same' is what the same wire leaves.")
    if "ohms and wire unknown" in told:
        said.append("'Ohms and wire unknown': the ohms as pickups of the kind have them, too.")
    if any("wire" in word.split(" and ") for word in told):
        said.append("'Wire gauge': turns worked out from the ohms given and the gauge, within 5 %.")
    if any("inductances" in word for word in told):
        said.append("'Inductances': turns as the root of what was metered, within 5 %.")
    if any("turns" in word for word in told):
        said.append("'Turns': as given.")
    if found and not all("area" in s.hum_weighed for s in found):
        said.append("Turns are taken as equally large, between kinds of pickups within 10 %.")
    return " ".join(said)
