"""What a technician says of a sound, a knob or a part, in the shop's many words, and which of ours it is."""

from __future__ import annotations

import re
from collections.abc import Mapping

from diagramgen.kernel.diagnostics import nearest

SOUNDS = ("silent", "faint", "thin", "dull", "hums", "right")
"""What a solved circuit can be told to sound like."""
CRACKLES = "crackles"
"""What comes and goes: no solved circuit gives it, but a joint or contact that opens now and then does."""
STUCK, WORKS, LOOSE = "stuck", "works", "loose"

_SOUNDS_SAID: Mapping[str, tuple[str, ...]] = {
    "silent": ("silent", "silence", "dead", "no sound", "no output", "nothing", "nothing at all", "mute", "muted",
               "not heard", "no signal"),
    "faint": ("faint", "weak", "weaker", "low", "low output", "lower", "quieter", "soft", "softer", "half as loud",
              "too quiet"),
    "thin": ("thin", "thinner", "nasal", "hollow", "tinny", "no bass", "no lows", "bass is gone", "out of phase",
             "phasey", "honky"),
    "dull": ("dull", "dark", "muffled", "muddy", "no treble", "no highs", "treble is gone", "woolly"),
    "hums": ("hums", "hum", "hums loud", "hums loudly", "humming", "buzz", "buzzes", "buzzing", "noise", "noisy",
             "hiss and hum"),
    CRACKLES: ("crackles", "crackle", "crackly", "crackling", "scratchy", "scratches", "cuts out", "drops out",
               "comes and goes", "intermittent", "pops"),
    "right": ("right", "as it should", "as it should be", "fine", "good", "ok", "okay", "normal", "works", "correct"),
}
_CONTROLS_SAID: Mapping[str, tuple[str, ...]] = {
    STUCK: ("stuck", "dead", "does nothing", "no effect", "nothing", "stuck loud", "no change", "stuck on"),
    WORKS: ("works", "fine", "right", "ok", "okay", "good", "as it should", "as it should be"),
    CRACKLES: ("crackles", "crackle", "crackly", "crackling", "scratchy", "scratches", "cuts out", "drops out",
               "comes and goes", "intermittent", "pops"),
    LOOSE: ("loose", "wobbles", "wobbly", "turns with the nut"),
}


def _by_word(said: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    return {word: meant for meant, words in said.items() for word in words}


OF_A_SOUND = _by_word(_SOUNDS_SAID)
"""Word said of a position or a pickup -> one of ``SOUNDS`` or ``crackles``."""
OF_A_CONTROL = _by_word(_CONTROLS_SAID)
"""Word said of a knob, a switch or the jack -> stuck | works | crackles | loose."""
_BETWEEN = re.compile(r"\s*(?:,|;|/|&|\band\b)\s*")


def pieces(text: str) -> tuple[str, ...]:
    """What is said, one thing each: ``thin, weak and hums`` are three. A whole phrase that is known stays whole."""
    plain = " ".join(text.lower().split()).strip(" .!")
    whole = " ".join(plain.replace(",", " ").split())  # "stuck, loud" is the phrase "stuck loud"
    for phrase in (plain, whole):
        if phrase in OF_A_SOUND or phrase in OF_A_CONTROL:
            return (phrase,)
    found = (re.sub(r"^(?:it |very |too |rather |a bit |a little |sounds |is |but )+", "", p) or p
             for p in _BETWEEN.split(plain))
    return tuple(p for p in found if p)


def sounds_in(text: str) -> tuple[str, ...]:
    """Every word of a sound in a text, each once; none where some piece is no such word."""
    found = [OF_A_SOUND.get(piece) for piece in pieces(text)]
    return () if None in found else tuple(dict.fromkeys(word for word in found if word))


def control_words_in(text: str) -> tuple[str, ...]:
    """The same for what is said of a knob, a switch or the jack."""
    found = [OF_A_CONTROL.get(piece) for piece in pieces(text)]
    return () if None in found else tuple(dict.fromkeys(word for word in found if word))


def near(text: str, known: Mapping[str, str]) -> str:
    """The nearest word to the first piece that is none, for a remedy."""
    odd = next((piece for piece in pieces(text) if piece not in known), text)
    return nearest(odd, known)
