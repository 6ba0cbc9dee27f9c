"""A build with a fault put into it, as data: what ngspice is given. It reads a fault's kind, lugs and leads, not what
the simulation makes of it.
"""

from __future__ import annotations

from dataclasses import replace

from diagramgen.circuit.values import elements_of, number_of
from diagramgen.diagnosis.model import FaultHypothesis
from diagramgen.library import catalogue
from diagramgen.library.model import Element
from diagramgen.model.build import UNKNOWN, Build, End, Lead, Part


def injected(build: Build, fault: FaultHypothesis) -> Build:
    """The build with the fault in it."""
    words = fault.key.split(" ")
    if fault.kind == "joint":
        return _without(build, fault)
    if fault.kind == "lug":
        return _loose(build, fault.lugs[0])
    if fault.kind == "moved":
        beside, lug = fault.lugs
        return _moved(build, fault, lug, beside)
    if fault.kind in ("bridge", "coil shorted", "capacitor shorted"):
        return _with(build, fault.lugs[0], fault.lugs[1])
    if fault.kind == "contact stuck":
        return _with(build, *fault.lugs)
    if fault.kind == "case":
        return _with(build, fault.lugs[0], _metal_lug(build, fault))
    if fault.kind == "exchanged":
        return _exchanged(build, fault.tags, fault.lugs)
    if fault.kind == "jack":
        return _reversed(build, *fault.lugs)
    if fault.kind == "contact open":
        return _parted(build, *fault.lugs)
    assert fault.edit is not None, words
    return _edited(build, fault)


def possible(fault: FaultHypothesis) -> bool:
    """Whether the fault can be said with leads between lugs (a metal without a lug cannot)."""
    return fault.kind != "dead" and not fault.key.startswith("open braid")


def _end(build: Build, key: str) -> End:
    part, _, lug = key.partition(".")
    return End(part, lug, build.parts[part].place if part in build.parts else next(iter(build.parts.values())).place)


def _lead(build: Build, a: str, b: str) -> Lead:
    return replace(build.leads[0], tag="added", start=_end(build, a), end=_end(build, b), kind="bridge", shield_to=(),
                   cable="")


def _with(build: Build, a: str, b: str) -> Build:
    return replace(build, leads=(*build.leads, _lead(build, a, b)))


def _mapped(build: Build, change: dict[int, tuple[End, End] | None], legs: dict[str, tuple[End, End]]) -> Build:
    leads = []
    for i, lead in enumerate(build.leads):
        ends = change.get(i, (lead.start, lead.end))
        if ends is not None:
            leads.append(replace(lead, start=ends[0], end=ends[1]))
    parts = {n: replace(p, between=legs[n]) if n in legs else p for n, p in build.parts.items()}
    return replace(build, leads=tuple(leads), parts=parts)


def _without(build: Build, fault: FaultHypothesis) -> Build:
    """Without the conductor: a lead, a leg, or a braid's joint."""
    if fault.tags and fault.cut:
        for i, lead in enumerate(build.leads):
            if lead.tag in fault.tags and {str(lead.start), str(lead.end)} == set(fault.lugs):
                return _mapped(build, {i: None}, {})
            if lead.tag in fault.tags and len(fault.lugs) == 1:
                kept = tuple(e for e in lead.shield_to if str(e) != fault.lugs[0])
                return replace(build, leads=(*build.leads[:i], replace(lead, shield_to=kept), *build.leads[i + 1 :]))
    for part in build.parts.values():
        for n, lug in enumerate(part.symbol.lug_names()):
            if part.between is not None and {f"{part.name}.{lug}", str(part.between[n])} == set(fault.lugs):
                ends = list(part.between)
                ends[n] = End(UNKNOWN, "", part.place)
                return _mapped(build, {}, {part.name: (ends[0], ends[1])})
    for cable in build.cables.values():
        kept = tuple(e for e in cable.shield_to if str(e) not in fault.lugs)
        if len(kept) < len(cable.shield_to):
            return replace(build, cables={**build.cables, cable.name: replace(cable, shield_to=kept)})
    raise AssertionError(fault)


def _loose(build: Build, lug: str) -> Build:
    """Everything soldered at a lug on a splice beside it."""
    place = next(iter(build.parts.values())).place
    splice = Part("beside", catalogue.shipped()["splice"], "beside", "", "", None, 0.0, {}, {}, {}, None, "", None,
                  None, None, "", place)
    there = End("beside", "joint", place)
    turned = {i: (there if str(x.start) == lug else x.start, there if str(x.end) == lug else x.end)
              for i, x in enumerate(build.leads)}
    legs = {}
    for part in build.parts.values():
        if part.between is not None:
            a, b = (there if str(end) == lug else end for end in part.between)
            legs[part.name] = (a, b)
    made = _mapped(build, dict(turned), legs)
    leads = tuple(replace(x, shield_to=tuple(there if str(e) == lug else e for e in x.shield_to)) for x in made.leads)
    cables = {n: replace(c, shield_to=tuple(there if str(e) == lug else e for e in c.shield_to))
              for n, c in made.cables.items()}
    return replace(made, leads=leads, cables=cables, parts={**made.parts, "beside": splice})


def _moved(build: Build, fault: FaultHypothesis, lug: str, beside: str) -> Build:
    there = _end(build, beside)
    origin = fault.key.split(" ")[1]
    for i, lead in enumerate(build.leads):
        if lead.tag == origin and lug in (str(lead.start), str(lead.end)):
            ends = (there, lead.end) if str(lead.start) == lug else (lead.start, there)
            return _mapped(build, {i: ends}, {})
        if lead.tag == origin:
            shield = tuple(there if str(e) == lug else e for e in lead.shield_to)
            return replace(build, leads=(*build.leads[:i], replace(lead, shield_to=shield), *build.leads[i + 1 :]))
    if origin in build.cables:
        cable = build.cables[origin]
        shield = tuple(there if str(e) == lug else e for e in cable.shield_to)
        return replace(build, cables={**build.cables, origin: replace(cable, shield_to=shield)})
    part = build.parts[origin]
    assert part.between is not None
    a, b = (there if str(e) == lug else e for e in part.between)
    return _mapped(build, {}, {origin: (a, b)})


def _metal_lug(build: Build, fault: FaultHypothesis) -> str:
    part = build.parts[fault.lugs[0].partition(".")[0]]
    for metal in part.symbol.metal:
        if fault.key == f"case {fault.lugs[0]} {metal.name}":
            return f"{part.name}.{metal.lugs[0]}" if metal.lugs else f"metal {part.name} {metal.name}"
    foil = build.parts[fault.key.rsplit(" ", 1)[1]]
    return f"{foil.name}.{foil.symbol.metal[0].lugs[0]}"


def _exchanged(build: Build, tags: tuple[str, ...], lugs: tuple[str, ...]) -> Build:
    """The ends of two leads at ``lugs`` changed places."""
    change: dict[int, tuple[End, End] | None] = {}
    for i, lead in enumerate(build.leads):
        if lead.tag in tags:
            own = next(x for x in lugs if x in (str(lead.start), str(lead.end)))
            other = _end(build, next(x for x in lugs if x != own))
            change[i] = (other, lead.end) if str(lead.start) == own else (lead.start, other)
    assert len(change) == 2
    return _mapped(build, change, {})


def _reversed(build: Build, tip: str, sleeve: str) -> Build:
    swap = {tip: _end(build, sleeve), sleeve: _end(build, tip)}
    leads = tuple(replace(x, start=swap.get(str(x.start), x.start), end=swap.get(str(x.end), x.end),
                          shield_to=tuple(swap.get(str(e), e) for e in x.shield_to)) for x in build.leads)
    parts = {}
    for name, part in build.parts.items():
        if part.between is not None:
            a, b = (swap.get(str(e), e) for e in part.between)
            part = replace(part, between=(a, b))
        parts[name] = part
    cables = {n: replace(c, shield_to=tuple(swap.get(str(e), e) for e in c.shield_to))
              for n, c in build.cables.items()}
    return replace(build, leads=leads, parts=parts, cables=cables)


def _parted(build: Build, one: str, other: str) -> Build:
    """A contact that never closes: its pair is taken out of every position."""
    part = build.parts[one.partition(".")[0]]
    pair = {one.partition(".")[2], other.partition(".")[2]}
    tables = []
    for table in part.symbol.contacts:
        uses = {lug: sum(any(lug in group for group in row.joins) for row in table.rows) for lug in pair}
        throw = min(sorted(pair), key=lambda lug: uses[lug])
        rows = [replace(row, joins=tuple(tuple(x for x in group if not pair <= set(group) or x != throw)
                                         for group in row.joins)) for row in table.rows]
        tables.append(replace(table, rows=tuple(rows)))
    symbol = replace(part.symbol, contacts=tuple(tables))
    return replace(build, parts={**build.parts, part.name: replace(part, symbol=symbol)})


def _edited(build: Build, fault: FaultHypothesis) -> Build:
    edit = fault.edit
    assert edit is not None
    for part, element in elements_of(build):
        if f"{part.name}.{element.name}" == edit.element:
            return replace(build, parts={**build.parts, part.name: _part(part, element, edit.what, edit.factor)})
    raise AssertionError(fault)


def _part(part: Part, element: Element, what: str, factor: float) -> Part:
    def value(parameter: str, times: float) -> dict[str, float | str]:
        name = element.values.get(parameter, "") or parameter
        return {name: number_of(part, element, parameter).number * times}

    if what in ("zero", "ten", "wiper", "open") and element.kind != "coil":
        # An end of the element that no lead can reach.
        end = next(iter(element.ends)) if what == "open" else what
        ends = {**element.ends, end: f"off {end}"}
        elements = tuple(replace(e, ends=ends) if e is element else e for e in part.symbol.elements)
        return replace(part, symbol=replace(part.symbol, elements=elements))
    if what == "open":
        return replace(part, values={**part.values, **value("resistance", 1e15), **value("loss", 1e12)})
    if what == "half":
        return replace(part, values={**part.values, **value("resistance", 0.5), **value("inductance", 0.25)})
    parameter = "capacitance" if element.kind == "capacitor" else "resistance"
    return replace(part, values={**part.values, **value(parameter, factor)})
