"""``as found: other.yaml``: the same instrument before the work, read beside the build.

A file of changes has the build it begins from as its state as found, unless it names another.
"""

from __future__ import annotations

from pathlib import PurePath

from diagramgen.build.model import AsFound, Build
from diagramgen.build.overlay import BASE, Overlay, Reader
from diagramgen.fields import Values
from diagramgen.nodes import Entries
from diagramgen.problems import Collector, Place, Severity
from diagramgen.sources import Sources

KEY = "as found"


def read_as_found(
    own: Entries, top: Values, file: str, means: tuple[Sources, Reader], overlay: Overlay | None, say: Collector
) -> AsFound | None:
    """The build as found; ``own`` is the file itself, without what it takes over from the one it changes."""
    if own.get(KEY) is not None and top.has(KEY):
        place = top.at(KEY)
        build = _read(top.get(KEY), place, file, means, say)
        return None if build is None else AsFound(build, place)
    base = own.get(BASE)
    return AsFound(overlay.base, base.place, named=False) if overlay is not None and base is not None else None


def _read(name: str, place: Place, file: str, means: tuple[Sources, Reader], say: Collector) -> Build | None:
    sources, read = means
    path = PurePath(file).parent / name
    if path == PurePath(file):
        say.error("R345", place, f"'{name}' is this file itself", "Name the file of the instrument before the work.")
        return None
    data = sources.read(name, place, say)
    if data is None:
        return None
    aside = Collector()
    build = read(data, str(path), sources.beside(), aside)
    say.extend(p for p in aside.sorted() if p.severity is not Severity.NOTE)
    if build is None or aside.has_errors:
        say.error("R345", place, f"'{name}', the instrument as found, has errors of its own", "Mend them first.")
        return None
    return build
