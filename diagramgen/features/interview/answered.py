"""The build file an interview makes: the usual wiring of the parts named, commented.

Nothing that was not answered is made up: a cavity, a hole or a channel that was not measured is left out, and the
sheets say so.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.features.interview.answers import OWN, PICKUPS, TWO, Answers, positions_of
from diagramgen.features.interview.starter import quoted
from diagramgen.features.interview.usual_leads import joints_of, usual_leads
from diagramgen.kernel.units import number
from diagramgen.reader.schema import COMMENT
from diagramgen.reader.tables import FORMAT


def build_text(given: Answers) -> str:
    """Write the text of the build file that the answers describe."""
    return "\n".join([*_head(given), *_rooms(given), "parts:", *_unmeasured(given), *_parts(given), "",
                      "leads:", *_lead_lines(given), *_wanted(given)]) + "\n"


def _head(given: Answers) -> Iterator[str]:
    yield COMMENT
    yield "# The usual wiring of these parts. Hold it against the instrument, lug by lug, before anything is cut."
    yield f"format: {FORMAT}"
    yield f"title: {quoted(given.title)}"
    for key, said in (("job", given.job), ("instrument", given.instrument)):
        if said:
            yield f"{key}: {quoted(said)}"
    if given.hand != "right":
        yield f"hand: {given.hand}"
    if given.cavity is not None:
        yield _remarked(f"neck: {given.neck}", "seen on the solder side")
    yield ""


def _remarked(line: str, remark: str) -> str:
    """The line with a comment behind it; what stands straight behind a word would be part of it."""
    return f"{line:<43} # {remark}"


def _rooms(given: Answers) -> Iterator[str]:
    room = given.cavity
    if room is None:
        yield "# Nothing is measured yet: the sheets are stamped NOT TO SCALE, leads have no lengths. Once it is:"
        yield "# cavity: {shape: {rounded: [92, 62], corner: 12}, depth: 38, wood above: 5}"
        yield ""
        return
    shape = f"rounded: [{number(room.width, 4)}, {number(room.height, 4)}]"
    shape += f", corner: {number(room.corner, 4)}" if room.corner else ""
    more = "".join(f", {key}: {number(mm, 4)}" for key, mm in (("depth", room.depth), ("wood above", room.wood)) if mm)
    yield "cavities:"
    yield f"  controls: {{opened from: {room.opened}, shape: {{{shape}}}{more}}}"
    for name, wanted in (("selector-hole", given.selector and given.selector_in == OWN),
                         ("jack-hole", given.jack_in == OWN and "jack" not in given.mouths)):
        if wanted:
            yield _remarked(f"  {name}: {{opened from: none}}", "a hole of its own, not measured")
    yield ""
    if given.mouths:
        yield _remarked("channels:", "mouths from the upper left of the cavity; their diameters are usual ones")
        for name, (x, y) in given.mouths.items():
            yield f"  {name}: {{in: controls, at: [{number(x, 4)}, {number(y, 4)}]}}"
        yield ""
    missing = [name for name in ("pickups", "jack", "bridge") if name not in given.mouths]
    if missing:
        yield f"# Not measured: where the channels of {', '.join(missing)} open. Their leads have no lengths:"
        yield "#   channels: {" + f"{missing[0]}: {{in: controls, at: [0, 40], diameter: 8, length: 70}}" + "}"
        yield ""


def _unmeasured(given: Answers) -> Iterator[str]:
    holes = [name for name in given.controls() if name not in given.places]
    if given.cavity is not None and holes:
        yield f"  # Not measured: where {', '.join(holes)} stand{'s' * (len(holes) == 1)}."
        yield f"  # The program proposes it, and the sheets say so. Once measured: {holes[0]}: ..., at 46 26, turned 90"


def _parts(given: Answers) -> Iterator[str]:
    for name in (*given.volume_names(), *given.tone_names()):
        yield f"  {name}: pot-24, {given.pot}{_place(given, name)}"
    for name, tone in zip(_caps(given), given.tone_names(), strict=False):
        yield f"  {name}: capacitor-film, {given.cap}, between {tone}.zero and {tone}.case"
    if given.selector:
        where = ", in selector-hole" if given.selector_in == OWN and given.cavity else _place(given, "selector")
        yield _remarked(f"  selector: {given.selector}{where}", "meter the order of its lugs first")
    for name, symbol in zip(given.names, given.pickups, strict=True):
        yield f"  {name}: {symbol}{_through(given, 'pickups')}"
    jack = _through(given, "jack") if given.jack_in == OWN else _place(given, "output")
    if given.jack_in == OWN and given.cavity and not jack:
        jack = ", in jack-hole"
    yield _remarked(f"  output: {given.jack}{jack}", "find the tip with a plug in")
    if given.strings:
        yield f"  strings: bridge-ground{_through(given, 'bridge')}"
    for name in joints_of(given):
        yield _remarked(f"  {name}: splice", "a sleeved joint for grounds that no case has room for")


def _caps(given: Answers) -> tuple[str, ...]:
    tones = given.tone_names()
    # Two tones behind one lever share a capacitor: only one of them is in the way of the signal at a time.
    return ("cap",) if len(tones) == 1 or given.tones == TWO else tuple(t.replace("tone", "cap") for t in tones)


def _place(given: Answers, part: str) -> str:
    if given.cavity is None:
        return ""
    at = given.places.get(part)
    return ", in controls" + (f", at {number(at[0], 4)} {number(at[1], 4)}" if at else "")


def _through(given: Answers, channel: str) -> str:
    return f", through {channel}" if channel in given.mouths else ""


def _lead_lines(given: Answers) -> list[str]:
    return [f"  # {line[1:].strip()}" if line.startswith("#") else f"  - {line}" for line in usual_leads(given)]


def _wanted(given: Answers) -> Iterator[str]:
    positions = positions_of(given)
    if not positions:
        return
    yield ""
    yield _remarked("wanted:", "what each position shall give; proved with every print")
    control = "selector" if given.selector else "output"
    for position, sounding in positions:
        heard = " || ".join(_coils(given, name, len(sounding) > 1) for name in sounding)
        mark = "  - " if len(sounding) == 1 else "  # - "
        yield f"{mark}{{when: {{{control}: {position}}}, sounds: {heard}}}"
    if any(len(sounding) > 1 for _, sounding in positions):
        yield "  # Two together can be proved once the kick of each coil is metered: docs/measuring.md"


def _coils(given: Answers, name: str, bracketed: bool) -> str:
    coils = PICKUPS[given.pickups[given.names.index(name)]].coils
    said = " + ".join(f"{name}.{coil}" for coil in coils) or name
    return f"({said})" if bracketed and coils else said
