"""What the commands on circuits share: the build without a layout, states and knobs as typed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.errors import UnknownName, WrongValue

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.circuit.outputs import Output
    from diagramgen.model.build import Build


def read(path: Path, own: Path | None, say: Diagnostics) -> tuple[Build | None, str]:
    """The build of a file, or None with every fault said, and its checksum."""
    from diagramgen.kernel.provenance import Sources, read_bytes
    from diagramgen.library import catalogue
    from diagramgen.reader.reader import read_build

    data = read_bytes(path, say)
    if data is None:
        return None, ""
    say.know(str(path), data.decode("utf-8-sig", "replace"))
    sources = Sources(path.parent)
    known = catalogue.with_own(own, say) if own else catalogue.shipped()
    known.say = say
    build = read_build(data, str(path), sources, known, say)
    return build, sources.checksum()[:8]


@contextmanager
def _as_usage() -> Iterator[None]:
    """A name or value that is wrong is wrong usage."""
    try:
        yield
    except (UnknownName, WrongValue) as fault:
        raise click.BadParameter(str(fault)) from None


def pairs(texts: tuple[str, ...], what: str) -> dict[str, str]:
    """``selector=up, volume=down`` as pairs; ends with wrong usage where it is none."""
    from diagramgen.circuit.named_settings import pairs_in

    with _as_usage():
        return pairs_in(texts, what)


def positions(build: Build, typed: dict[str, str]) -> dict[str, str]:
    """Typed positions with the names of controls and positions made whole; raises ``click.BadParameter``."""
    from diagramgen.circuit.named_settings import positions_named

    with _as_usage():
        return positions_named(build, typed)


def output_named(build: Build, typed: str) -> Output | None:
    """The output that is typed, None for nothing; raises ``click.BadParameter``."""
    from diagramgen.circuit import named_settings

    with _as_usage():
        return named_settings.output_named(build, typed)


def turns(build: Build, typed: dict[str, str]) -> dict[str, float]:
    """Typed knobs as ``part.control`` -> 0..10; raises ``click.BadParameter``."""
    from diagramgen.circuit.named_settings import turns_named

    with _as_usage():
        return turns_named(build, typed)


def bar_measures(_: click.Context, __: click.Parameter, said: str | None) -> tuple[float, float]:
    """The two lengths in mm; a usage error where they are not two numbers from 90 to 110."""
    if said is None:
        return 100.0, 100.0
    how = "Print without this option, measure the level and the upright bar with a steel rule: 99.2,99.6"
    try:
        across, upright = (float(part.strip().removesuffix("mm")) for part in said.split(","))
    except ValueError:
        raise click.BadParameter(f"{said!r} is not two lengths in mm with a comma between. {how}") from None
    for length in (across, upright):
        if not 90 <= length <= 110:
            raise click.BadParameter(f"a bar of 100 mm that measures {length:g} mm was scaled by the printer's "
                                     f"settings: print at 100 %, no scaling. Corrected is from 90 to 110 mm. {how}")
    return across, upright


def held_states(analysis: Analysis, typed: tuple[str, ...]) -> list[dict[str, str]]:
    """States as typed with the names of controls and positions made whole; raises ``click.BadParameter``."""
    from diagramgen.circuit.named_settings import states_named

    if analysis.build is None:
        return []
    solved = analysis.chart.space if analysis.chart else None
    with _as_usage():
        return states_named(analysis.build, [pairs((one,), "position") for one in typed], solved)


def named(*files: Path | None) -> tuple[Path, ...]:
    """Those of the files of an option that were given."""
    return tuple(file for file in files if file is not None)


def beside(build: Path) -> Path:
    """The folder beside a build file that bears its name; a file without an ending gets a word added."""
    return build.with_suffix("") if build.suffix else build.with_name(build.name + "-sheets")
