"""What was metered on an instrument, as a results file holds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagramgen.kernel.diagnostics import Place
from diagramgen.yamlfile.schema_fields import Given


@dataclass(frozen=True)
class AtPlug:
    """What was metered at the plug in one position."""

    when: Mapping[str, Given[str]]
    ten: Given[float] | None
    zero: Given[float] | None
    heard: str
    note: str
    place: Place = field(compare=False)
    at: Given[str] | None = None
    """The output, as the file names it; the main one where it names none."""


@dataclass(frozen=True)
class Results:
    """Everything that was metered. Ohm, ampere, volt; an open way is ``OPEN``."""

    file: str
    job: Given[str] | None
    date: str
    by: str
    meter: str
    coils: Mapping[str, Given[float]]
    plug: tuple[AtPlug, ...]
    strings: Given[float] | None
    current: Given[float] | None
    voltage: float | None
    battery_date: str
    note: str
