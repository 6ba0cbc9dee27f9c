"""What a state sounds like in a player's words: phase, hum, reading, resonance; its coils are in
``circuit/coilwords.py``."""

from __future__ import annotations

from diagramgen.circuit.dc_readings import Reading
from diagramgen.circuit.hum_words import NOT_KNOWN
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import StateResult
from diagramgen.kernel.units import FREQUENCY, RESISTANCE, number, quantity

PHASES = {"in": "in phase", "out": "out of phase", "mixed": "partly out of phase", "single": "one coil",
          "piezo": "one piezo", "silent": "", "unknown": NOT_KNOWN}
NO_TEST = "no ohm test here"


def phase_words(sound: Sound) -> str:
    """``in phase``; what rests on usual signs says so."""
    words = PHASES[sound.together]
    usual = sound.assumed and sound.phase in ("in", "out", "mixed")
    return f"{words} (as such pickups usually are)" if usual else words


def reading_words(reading: Reading) -> str:
    """What a meter shows at the plug."""
    if reading.kind == "open":
        return "open"
    if reading.ohms is None or reading.low is None or reading.high is None:
        return NO_TEST
    if not reading.ohms:
        return quantity(0.0, RESISTANCE)
    low, high = quantity(reading.low, RESISTANCE), quantity(reading.high, RESISTANCE)
    return f"{quantity(reading.ohms, RESISTANCE)} ({low} to {high})"


def peak_words(sound: Sound) -> str:
    """Resonance and how far it stands out; '' where there is none."""
    if sound.peak_hz is None or sound.peak_db is None:
        return ""
    sign = "+" if sound.peak_db >= 0 else ""
    return f"{quantity(sound.peak_hz, FREQUENCY, 2)}, {sign}{number(sound.peak_db)} dB"


def battery_words(result: StateResult) -> str:
    """What the battery gives; '' where it rests."""
    return f"{number(result.current * 1000, 2)} mA" if result.current else ""
