"""What was metered on an instrument, as a results file holds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagramgen.kernel.diagnostics import Location
from diagramgen.yamlfile.schema_fields import Located


@dataclass(frozen=True)
class AtPlug:
    """What was metered at the plug in one position."""

    when: Mapping[str, Located[str]]
    ten: Located[float] | None
    zero: Located[float] | None
    heard: str
    note: str
    place: Location = field(compare=False)
    at: Located[str] | None = None
    """The output, as the file names it; the main one where it names none."""


@dataclass(frozen=True)
class Results:
    """Everything that was metered. Ohm, ampere, volt; an open way is ``OPEN``."""

    file: str
    job: Located[str] | None
    date: str
    by: str
    meter: str
    coils: Mapping[str, Located[float]]
    plug: tuple[AtPlug, ...]
    strings: Located[float] | None
    current: Located[float] | None
    voltage: float | None
    battery_date: str
    note: str
