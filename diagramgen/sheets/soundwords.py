"""What a state sounds like in a player's words: coils and how they are joined, phase, hum, reading, resonance."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.build.model import Build, Part
from diagramgen.build.network import BadNetwork, Coil, Network, read_network
from diagramgen.circuit.chart import Result
from diagramgen.circuit.humwords import NOT_KNOWN
from diagramgen.circuit.readings import Reading
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.values import SOUNDING, WHOLE, elements_of, source_name
from diagramgen.units import FREQUENCY, RESISTANCE, number, quantity

PHASES = {"in": "in phase", "out": "out of phase", "mixed": "partly out of phase", "single": "one coil",
          "silent": "", "unknown": NOT_KNOWN}
NO_TEST = "no ohm test here"
JOINED = {"series": " in series with ", "parallel": " in parallel with "}


def called(part: Part) -> str:
    """What a player calls a part; a name of the file without its hyphens where nothing better is known."""
    return part.says if part.says and part.says != part.name else part.name.replace("-", " ")


def coil_words(build: Build) -> dict[str, str]:
    """Coil as the circuit names it -> as a player does: ``neck slug coil``, ``bridge``."""
    found: dict[str, str] = {}
    for part, element in elements_of(build, *SOUNDING):
        name = source_name(part, element)
        says = called(part)
        found[name] = says if name == part.name else f"{says} {element.says or element.name}"
    return found


def network_words(text: str, build: Build) -> str:
    """``neck slug coil in series with neck screw coil``; the text itself where it is no network of series and parallel.

    A minus is said as ``turned round``: the coil works against the first one.
    """
    try:
        found = read_network(text)
    except BadNetwork:
        return text
    if found is None:
        return "nothing: silent"
    names = {name: f"{called(part)}, {WHOLE}" if part.symbol.sections() else called(part)
             for name, part in build.parts.items()}
    return _words(found, names | coil_words(build), outer=True)


def _words(network: Network, names: Mapping[str, str], outer: bool = False) -> str:
    if isinstance(network, Coil):
        name = f"{network.part}.{network.coil}" if network.coil else network.part
        return names.get(name, name) + (" (turned round)" if network.reversed else "")
    inside = JOINED[network.how].join(_words(term, names) for term in network.terms)
    turned = " (turned round)" if network.reversed else ""
    return inside + turned if outer else f"({inside}){turned}"


def phase_words(sound: Sound) -> str:
    """``in phase``; what rests on usual signs says so."""
    words = PHASES[sound.phase]
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


def battery_words(result: Result) -> str:
    """What the battery gives; '' where it rests."""
    return f"{number(result.current * 1000, 2)} mA" if result.current else ""
