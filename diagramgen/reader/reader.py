"""Reads a build file into a ``Build``: bytes to nodes to fields to a model whose names all hold.

What is returned is sound in itself (every lead ends on a lug that exists) even where problems were said,
so that later steps can add theirs in the same run.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import PurePath

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import Catalogue
from diagramgen.model.build import Build, Cable, Cavity, Channel, Lead, Load
from diagramgen.model.results import Results
from diagramgen.reader import file_rules as rules
from diagramgen.reader.as_found import leads_on_lugs, read_as_found
from diagramgen.reader.assemble import Parts, make_parts
from diagramgen.reader.cavities import read_cavities, read_channels
from diagramgen.reader.codes import INP_014, INP_015, INP_312, INP_341
from diagramgen.reader.connections import Surroundings, check_tags, fold_legs, give_tags, make_leads
from diagramgen.reader.groups import RawLead, expand
from diagramgen.reader.lead_codes import INP_225
from diagramgen.reader.overlay import BASE, IN, OUT, Overlay, overlaid
from diagramgen.reader.results import read_results
from diagramgen.reader.tables import FORMAT, TOP
from diagramgen.reader.unread import Found, all_lines, kept, lost
from diagramgen.reader.upgrade import upgraded
from diagramgen.reader.wanted import read_together, read_wanted
from diagramgen.reader.work_record import read_work_record
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, root_of
from diagramgen.yamlfile.schema_fields import Values

_NAMING = frozenset({"cavity", "cavities", "channels", "parts", "cables", "groups", BASE, IN, OUT})
_OF_NAMES = frozenset({"INP-301", "INP-306", "INP-308", "INP-325", "INP-334", "INP-336", "INP-341"})
"""Problems that an entry no one could read may have caused where its names are not known: one under a key of
``_NAMING``, or under a key that is no more than the first word of a line."""
_OF_LEADS = frozenset({"INP-327", "INP-328", "INP-329", "INP-330", "INP-331"})
"""Problems that a lead no one could read may have caused: one that is missing, or that was to be taken out."""
RECORD_KEYS = ("customer", "reference", "workshop", "drawn by", "date", "revision", "note")
MOST = {"parts": 300, "leads": 1500, "lugs": 1500, "wanted": 2000, "groups": 100, "cavities": 50, "channels": 200}
DEFAULT_GAUGE = 24
DEFAULT_SLACK = 15.0
"""mm of service slack a wire (common practice, no source)."""
DEFAULT_LOAD = Load(5000.0, 100e-12, 1e6, True)
"""5 m of cable (typical, from memory) at 100 pF/m (about 30 pF/ft: music-technology magazine, November 2009; figure
only, licence not told) into 1 megohm (typical, from memory)."""
_OVER_INSULATION = {"pvc": 0.85, "ptfe": 0.5, "cloth": 1.45}
"""mm added to the stranded conductor's diameter by the covering (typical, from memory)."""


def read_build(
    data: bytes, file: str, sources: Sources, catalogue: Catalogue, say: Diagnostics, follow: bool = True
) -> Build | None:
    """The build in a file's bytes; every fault goes to ``say``, None where nothing usable is there.

    ``follow``: whether the state as found is read as well.
    """
    sources.note("build", data)
    root = _root(data, file, say)
    if root is None or not root.lost:
        return None if root is None else _read(root, file, sources, catalogue, say, follow)
    aside = say.aside()  # it is read for its other faults alone: what could not be read may be any part of it
    _read(root, file, sources, catalogue, aside, False)
    known = {field.key for field in TOP.fields}
    follow_on = _OF_LEADS | (_OF_NAMES if root.lost & _NAMING or root.lost - known else frozenset())
    say.extend(p for p in aside if p.code not in follow_on)
    return None


def _read(
    written: MappingNode, file: str, sources: Sources, catalogue: Catalogue, say: Diagnostics, follow: bool
) -> Build | None:
    root = upgraded(written, say)
    if root is None:
        return None
    overlay, own = None, root

    def read(data: bytes, file: str, sources: Sources, say: Diagnostics) -> Build | None:
        return read_build(data, file, sources, catalogue, say, follow=False)

    if root.get(BASE) is not None:
        overlay = overlaid(root, file, sources, read, say)
        if overlay is None:
            return None
        root = overlay.root
    elif any(root.get(key) is not None for key in ("take out", "put in")):
        say.add(INP_341, root.place, "the file says what to take out or put in, but not what it changes",
                f"Add '{BASE}: base.yaml'.")
    top = TOP.read(root, say)
    if top is None:
        return None
    _hash_traps(root, say)
    _format_said(root, say)
    if not _right_size(root, say):
        return None
    build = _build(top, root, file, (catalogue, sources), say, overlay)
    if not follow:
        return build
    return replace(build, as_found=read_as_found(own, top, file, (sources, read), overlay, say),
                   told=read_work_record(top.get("record"), sources, say), results=_results(top, file, sources, say))


def _results(top: Values, file: str, sources: Sources, say: Diagnostics) -> Results | None:
    if not top.has("results"):
        return None
    name = top.get("results")
    data = sources.read(name, top.at("results"), say)
    return None if data is None else read_results(data, str(PurePath(file).parent / name), say)


def _root(data: bytes, file: str, say: Diagnostics) -> MappingNode | None:
    return root_of(data, file, say, "a build file holds keys such as title, parts and leads",
                   "Start one with: diagramgen start.", "Write 'title: ...' on the first line.", beyond=True)


def _format_said(root: MappingNode, say: Diagnostics) -> None:
    if root.get("format") is None:
        say.add(INP_014.at(Severity.WARNING), Location(root.place.file, 1, 1),
                "the file does not say which format it is written in",
                f"Write 'format: {FORMAT}' on its first line.")


def _right_size(root: MappingNode, say: Diagnostics) -> bool:
    """Whether the file holds no more than an instrument can."""
    fine = True
    for key, most in MOST.items():
        node = root.get(key)
        held = node.items if isinstance(node, SequenceNode) else node.entries if isinstance(node, MappingNode) else ()
        count = len(held)
        if node is not None and count > most:
            say.add(INP_015, node.place, f"the file holds {count} {key}; no instrument has more than {most}")
            fine = False
    return fine


def _build(
    top: Values, root: MappingNode, file: str, shelf: tuple[Catalogue, Sources], say: Diagnostics,
    overlay: Overlay | None = None,
) -> Build:
    cavities = read_cavities(top, shelf[1], say)
    channels = read_channels(top, cavities, say)
    given = {key: _names_under(root, key) for key in ("cavities", "channels", "cables", "parts")}
    expanded = expand(top, shelf[1], say)
    expanded.failed |= given["parts"] - set(expanded.parts) - set(expanded.placings)
    parts = make_parts(expanded, cavities, channels, frozenset(given["cavities"] | given["channels"]), shelf, say)
    parts.blind = root.get("parts") is not None and not top.has("parts")
    parts.parts = rules.check_mounting(parts.parts, frozenset(parts.failed), say)
    cables = _cables(top, parts, say)
    wire = top.get("wire") or Values(root.place, {}, {})
    around = Surroundings(parts, cables, channels, frozenset(given["cables"] | given["channels"]),
                          wire.get("kind") == "cloth")
    found = _leads(root.get("leads"), top, expanded.leads, around, say, overlay)
    leads = kept(found)
    gauge = int(wire.get("gauge", DEFAULT_GAUGE))
    hand = top.get("hand", "right")
    build = Build(
        file=file,
        title=top.get("title", ""),
        job=top.get("job", ""),
        instrument=top.get("instrument", ""),
        record={key: top.get(key) for key in RECORD_KEYS if top.has(key)},
        hand=hand,
        flipped=(top.get("plan made for", hand) != hand) != (top.get("seen from") == "player's side"),
        neck=top.get("neck", ""),
        paper=top.get("paper", "a4"),
        cavities=cavities,
        channels=channels,
        parts=parts.parts,
        leads=leads,
        cables=cables,
        wanted=read_wanted(top.get("wanted", ()), parts.parts, say, parts.failed),
        together=read_together(top.get("moves together", ()), parts.parts, say, parts.failed),
        load=_load(top),
        wire_gauge=gauge,
        wire_diameter=wire.get("diameter") or typical_diameter(gauge, wire.get("kind", "pvc")),
        slack=wire.get("slack", DEFAULT_SLACK),
        questions=_questions(leads),
        prices=top.get("prices", ""),
        prices_at=top.at("prices") if top.has("prices") else None,
        unread=lost(found, say),
    )
    rules.check_build(build, say)
    return build


def _leads(
    node: Node | None, top: Values, raws: list[RawLead], around: Surroundings, say: Diagnostics, overlay: Overlay | None
) -> tuple[Found, ...]:
    parts, lines = around.parts, len(top.get("leads", ()))
    raws = [*all_lines(node, raws[:lines]), *raws[lines:]]
    raws = overlay.keep(raws) if overlay else raws
    own = [r for r in raws if not r.origin]
    from_groups = [r for r in raws if r.origin]
    found = make_leads(own, around, say)
    found += leads_on_lugs(top.get("lugs", {}), parts, say)
    found += make_leads(from_groups, around, say)
    folded = fold_legs(parts, found)
    leads = give_tags(folded, say) if overlay is None else overlay.unpinned(give_tags(overlay.tagged(folded), say))
    check_tags(leads, say)
    return leads


def _names_under(root: MappingNode, key: str) -> set[str]:
    """Names written under a key, whether their values could be read or not."""
    node = root.get(key)
    return {k.text.lower() for k, _ in node.entries} if isinstance(node, MappingNode) else set()


def _cables(top: Values, parts: Parts, say: Diagnostics) -> dict[str, Cable]:
    result = {}
    for name, g in top.get("cables", {}).items():
        v = g.value
        if name in parts.parts:
            say.add(INP_312, g.place, f"'{name}' is the name of a part already", "Give the cable another name.")
            continue
        ends = (parts.find(e.value, say) for e in v.get("shield to", ()))
        result[name] = Cable(name, v.get("diameter"), tuple(c.value for c in v.get("colours", ())),
                             v.get("shielded", v.has("shield to")), tuple(e for e in ends if e is not None), g.place)
    return result


def _load(top: Values) -> Load:
    v = top.get("load")
    if v is None or not v.keys():
        return DEFAULT_LOAD
    return Load(v.get("cable", DEFAULT_LOAD.cable_length),
                v.get("cable capacitance", DEFAULT_LOAD.cable_capacitance),
                v.get("amplifier", DEFAULT_LOAD.amplifier),
                not all(v.has(key) for key in ("cable", "cable capacitance", "amplifier")))


def typical_diameter(gauge: int, kind: str) -> float:
    """Outer diameter in mm of hook-up wire: seven strands (three strand diameters) and its covering."""
    from diagramgen.kernel.units import awg_diameter

    # Seven strands of a size eight gauges finer lie three strands across (common stranding).
    return round(3 * awg_diameter(gauge + 8) + _OVER_INSULATION[kind], 1)


def _questions(leads: tuple[Lead, ...]) -> tuple[str, ...]:
    result = []
    for lead in leads:
        for end, other in ((lead.start, lead.end), (lead.end, lead.start)):
            if end.part == "unknown":
                colour = f"{lead.colour.word} " if lead.colour else ""
                result.append(f"Where does the other end of the {colour}lead {lead.tag} on {other} go?")
    return tuple(result)


def _hash_traps(root: MappingNode, say: Diagnostics) -> None:
    """A remark such as ``#7`` in a lead line is cut off as a comment without a word: say so."""
    for node in _texts(root.get("leads")):
        rest = say.line(node.place)[node.place.column - 1 + len(node.text):]
        found = re.match(r"\s+#(?=\w)(.*)", rest)
        if found and not node.quoted and "->" in node.text:
            place = Location(node.place.file, node.place.line, node.place.column + len(node.text) + found.start(1) - 1)
            say.add(INP_225, place, f"'#{found[1].strip()}' was not read: a hash after a blank starts a comment")


def _texts(node: Node | None) -> Iterator[ScalarNode]:
    if isinstance(node, SequenceNode):
        yield from (item for item in node.items if isinstance(item, ScalarNode))


__all__ = ["Build", "Cavity", "Channel", "Mapping", "read_build", "typical_diameter"]
