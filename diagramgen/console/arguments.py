"""What the commands on circuits share: the build without a layout, states and knobs as typed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagramgen.kernel.diagnostics import Collector

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.circuit.outputs import Output
    from diagramgen.model.build import Build


def read(path: Path, own: Path | None, say: Collector) -> tuple[Build | None, str]:
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


def pairs(texts: tuple[str, ...], what: str) -> dict[str, str]:
    """``selector=up, volume=down`` as pairs; ends with wrong usage where it is none."""
    found: dict[str, str] = {}
    for text in texts:
        for piece in text.split(","):
            if not piece.strip():
                continue
            key, sign, value = piece.partition("=")
            if not sign or not key.strip() or not value.strip():
                raise click.BadParameter(f"'{piece.strip()}' is no {what}. Write it like selector=up.")
            found[" ".join(key.lower().split())] = " ".join(value.lower().split())
    return found


def positions(build: Build, typed: dict[str, str]) -> dict[str, str]:
    """Typed positions with the names of controls and positions made whole; raises ``click.BadParameter``."""
    from diagramgen.circuit.states import state_space
    from diagramgen.kernel.diagnostics import nearest

    digits = state_space(build, all_plugs=True).switches
    names = {key: (digit, i) for digit in digits for i, key in enumerate(digit.keys)}
    for digit in digits:
        for i, key in enumerate(digit.keys):
            names.setdefault(key.partition(".")[0], (digit, i))
    found = {}
    for key, word in typed.items():
        if key not in names:
            switches = [name for name, (digit, _) in names.items() if digit.kind != "plug"]
            raise click.BadParameter(f"there is no switching control '{key}'. "
                                     f"{nearest(key, switches) or 'Nothing is switched here: leave it out.'}")
        digit, i = names[key]
        known = {p[i].lower(): p[i] for p in digit.positions}
        if len(digit.keys) == 1:
            known.update({w.lower(): p[i] for w, p in zip(digit.words, digit.positions, strict=True)})
        if word not in known:
            raise click.BadParameter(f"'{key}' has no position '{word}'. {nearest(word, known)}")
        found[digit.keys[i]] = known[word]
    return found


def output_named(build: Build, typed: str) -> Output | None:
    """The output that is typed, None for nothing; raises ``click.BadParameter``."""
    from diagramgen.circuit.outputs import contacts
    from diagramgen.kernel.diagnostics import nearest
    from diagramgen.model.output_names import names

    name = typed.strip().lower()
    if not name:
        return None
    found = next((one for one in contacts(build) if name in (one.named, one.lug)), None)
    if found is None:
        raise click.BadParameter(f"'{typed}' is no output. {nearest(name, list(names(build.parts)))}")
    return found


def turns(build: Build, typed: dict[str, str]) -> dict[str, float]:
    """Typed knobs as ``part.control`` -> 0..10; raises ``click.BadParameter``."""
    from diagramgen.circuit.values import knobs_of
    from diagramgen.kernel.diagnostics import nearest

    known = knobs_of(build)
    found = {}
    for key, text in typed.items():
        own = [k for k in known if k == key or k.partition(".")[0] == key]
        if not own:
            names = [*known, *(k.partition(".")[0] for k in known)]
            raise click.BadParameter(f"there is no knob '{key}'. {nearest(key, names)}")
        try:
            turn = float(text)
        except ValueError:
            turn = -1.0
        if not 0 <= turn <= 10:
            raise click.BadParameter(f"'{key}' stands at 0 to 10, not at '{text}'.")
        found.update(dict.fromkeys(own, turn))
    return found


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
    if analysis.build is None:
        return []
    held = [positions(analysis.build, pairs((one,), "position")) for one in typed]
    for one in held:
        try:
            if analysis.chart:
                analysis.chart.space.select(dict(one))
        except ValueError as fault:
            raise click.BadParameter(str(fault)) from fault
    return held


def named(*files: Path | None) -> tuple[Path, ...]:
    """Those of the files of an option that were given."""
    return tuple(file for file in files if file is not None)


def beside(build: Path) -> Path:
    """The folder beside a build file that bears its name; a file without an ending gets a word added."""
    return build.with_suffix("") if build.suffix else build.with_name(build.name + "-sheets")
