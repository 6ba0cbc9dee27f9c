"""Cavities and channels: outlines from data, path or SVG file, checked to be one sound closed line."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.geometry import Box, Path, Point, area, polyline, rounded_box
from diagramgen.kernel.provenance import Sources
from diagramgen.kernel.units import number
from diagramgen.model.build import Cavity, Channel, Plate, Post
from diagramgen.reader.codes import INP_030, INP_037, INP_039, INP_040, INP_041, INP_307, INP_308, INP_309
from diagramgen.reader.svg_outline import BadSvg, bounds, moved_by, read_svg
from diagramgen.reader.svg_path import BadPath, read_path
from diagramgen.reader.tables import SHAPES
from diagramgen.yamlfile.nodes import decode
from diagramgen.yamlfile.schema_fields import Located, Values

ONLY = "cavity"
"""Name of the cavity where the file has only one."""
SMALLEST, LARGEST = 10.0, 600.0
"""mm; below this no control fits, above it no instrument is (common practice, no source)."""
CHANNEL_DIAMETER = 8.0
PLATE_THICKNESS = 2.0


def read_cavities(top: Values, sources: Sources, say: Diagnostics) -> dict[str, Cavity]:
    """All cavities by name."""
    given: dict[str, Located[Values]] = {}
    if top.has("cavity"):
        given[ONLY] = Located(top.get("cavity"), top.at("cavity"))
    for name, values in top.get("cavities", {}).items():
        if name in given:
            say.add(INP_307, values.place, f"'{name}' is the name of the one under 'cavity' already")
        else:
            given[name] = values
    return {name: _cavity(name, g, sources, say) for name, g in given.items()}


def _cavity(name: str, given: Located[Values], sources: Sources, say: Diagnostics) -> Cavity:
    v = given.value
    plate = v.get("plate")
    return Cavity(
        name=name,
        says=v.get("says", name),
        opened=v.get("opened from", "rear"),
        outline=outline_of(v.get("shape"), sources, say) if v.has("shape") else None,
        depth=v.get("depth"),
        wood=v.get("wood above"),
        posts=tuple(Post(p.value.get("at"), p.value.get("diameter")) for p in v.get("posts", ())),
        plate=None if plate is None else Plate(plate.get("hinge", "none").replace("none", ""),
                                               plate.get("metal", False), plate.get("thickness", PLATE_THICKNESS)),
        cover=v.get("cover", 0.0),
        opening=v.get("opening"),
        at=v.get("at"),
        place=given.place,
    )


def outline_of(shape: Values, sources: Sources, say: Diagnostics) -> Path | None:
    """The outline in mm, clockwise as seen; None after a problem was said at the shape's value."""
    kind = next(k for k in SHAPES if shape.has(k))
    place = shape.at(kind)
    try:
        path = _drawn(kind, shape, place, sources, say)
    except BadPath as fault:
        say.add(INP_037, place, f"this outline cannot be used: {fault}", fault.remedy)
        return None
    except BadSvg as fault:
        say.add(fault.code, place, str(fault), fault.remedy)
        return None
    if path is None or not _sound(path, kind, place, say):
        return None
    return path if area(path.flat()) > 0 else path.reversed()


def _drawn(kind: str, shape: Values, place: Location, sources: Sources, say: Diagnostics) -> Path | None:
    if kind == "rounded":
        size: Point = shape.get("rounded")
        corner = shape.get("corner", 0.0)
        if min(size) <= 0:
            raise BadPath("width and height must be more than zero")
        if corner > min(size) / 2:
            say.add(INP_041, shape.at("corner"), f"a corner of {number(corner)} mm is more than half of the "
                    f"smaller side of {number(min(size))} mm", f"At most {number(min(size) / 2)} mm.")
        return rounded_box(Box(0.0, 0.0, size.x, size.y), corner)
    if kind == "polygon":
        points = list(shape.get("polygon"))
        return polyline(points[:-1] if points[0] == points[-1] else points, closed=True)
    if kind == "path":
        return read_path(shape.get("path"))
    return _from_file(shape, place, sources, say)


def _from_file(shape: Values, place: Location, sources: Sources, say: Diagnostics) -> Path | None:
    name = shape.get("svg")
    data = sources.read(name, place, say)
    if data is None:
        return None
    inner = Diagnostics()
    text = decode(data, name, inner)
    if text is None:
        fault = inner.sorted()[0]
        say.add(INP_030, place, f"'{name}' is no SVG file: {fault.message}", fault.remedy)
        return None
    path = read_svg(text, shape.get("id", ""))
    width = bounds(path).width
    if width <= 0:
        raise BadPath("the outline has no width")
    scale = shape.get("scale") or shape.get("width") / width
    return moved_by(path, (scale, 0.0, 0.0, scale, 0.0, 0.0))


def _sound(path: Path, kind: str, place: Location, say: Diagnostics) -> bool:
    box = bounds(path)
    sizes = f"{number(box.width)} x {number(box.height)} mm"
    if min(box.width, box.height) < SMALLEST or max(box.width, box.height) > LARGEST:
        say.add(INP_040, place, f"the outline measures {sizes}",
                f"Expected {number(SMALLEST)} to {number(LARGEST)} mm each way. Is its scale right?")
        return False
    if kind == "rounded":
        return True
    from shapely.geometry import LinearRing

    points = path.flat()
    kept = [p for i, p in enumerate(points) if i == 0 or p.distance(points[i - 1]) > 1e-6]
    if len(kept) < 3 or not LinearRing(kept).is_simple:
        say.add(INP_039, place, "the outline touches or crosses itself")
        return False
    if abs(area(kept)) < SMALLEST * SMALLEST:
        say.add(INP_040, place, f"the outline holds almost no space ({sizes} over all)", "Is it the right line?")
        return False
    return True


def read_channels(top: Values, cavities: Mapping[str, Cavity], say: Diagnostics) -> dict[str, Channel]:
    """All channels by name whose cavities exist; the others are said."""
    result: dict[str, Channel] = {}
    for name, given in top.get("channels", {}).items():
        v = given.value
        cavity = v.get("in") or next(iter(cavities), "")
        to = "" if v.get("to") == "outside" else v.get("to", "")
        if not v.has("in") and len(cavities) > 1:
            say.add(INP_308, given.place, f"channel '{name}' does not say which cavity it leads from",
                    f"Add 'in: ' with one of {', '.join(cavities)}.")
            continue
        if not cavities:
            say.add(INP_308, given.place, f"channel '{name}' leads from no cavity", "This build has none.")
            continue
        unknown = [(key, word) for key, word in (("in", cavity), ("to", to)) if word and word not in cavities]
        for key, word in unknown:
            say.add(INP_308, v.at(key), f"channel '{name}' names the cavity '{word}', which does not exist",
                    nearest(word, [*cavities, *(["outside"] if key == "to" else [])]))
        if unknown:
            continue
        if cavity == to:
            say.add(INP_309, v.at("to"), f"channel '{name}' leads from '{cavity}' to itself")
            continue
        result[name] = Channel(name, cavity, to, v.get("at"), v.get("far"), v.get("diameter", CHANNEL_DIAMETER),
                               v.get("length"), given.place)
    return result
