"""Writes the text of a new build file: from a shipped sample, or from ready groups and symbols.

Groups are joined by the names of their ends: what a selector or volume gives is offered to the groups that
come before it in the way of the signal (pickups, selector, volume, tone, output).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.kernel import resources
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.reader.groups import ready_files, ready_group
from diagramgen.reader.schema import COMMENT
from diagramgen.reader.tables import FORMAT
from diagramgen.yamlfile.schema_fields import Values

HEAD = """\
{comment}
# {about}
format: {format}
title: {title}
"""
TAIL = """\
# Lead colours, values and places may be said where they are known:
#   volume: group volume, at 46 26, turned 15                       places in mm from the cavity's upper left
#   {group: volume, values: {pot: 250k log}, at: [46, 26]}          the same with the pot's value
# cavity: {shape: {rounded: [92, 62], corner: 12}, depth: 38, wood above: 5}
# leads:
#   - volume-pot.case -> output-jack.sleeve, black                  one lead a line
"""
_PICKUP_NAMES = {1: ("pickup",), 2: ("neck", "bridge"), 3: ("neck", "middle", "bridge")}


class CannotStart(ValueError):  # noqa: N818 - a wish that names nothing that is shipped
    """A name that is neither a sample nor a ready group, or groups that do not fit; ``remedy`` says what does."""

    def __init__(self, message: str, remedy: str = ""):
        super().__init__(message)
        self.remedy = remedy


def sample_names() -> tuple[str, ...]:
    """Names of the shipped samples one may start from: not those whose expected problems lie beside them."""
    files = resources.folder("samples").glob("*.yaml")
    return tuple(sorted(p.stem for p in files if not p.with_suffix(".txt").exists()))


def start_text(names: Sequence[str], title: str = "") -> str:
    """The text of a build file: a sample's own where one sample is named, else made of ready groups.

    Raises ``CannotStart`` with a sentence and a remedy.
    """
    wanted = [" ".join(n.lower().split()) for n in names if n.strip()]
    if not wanted:
        raise CannotStart("nothing to start from was named",
                          f"Name a sample ({', '.join(sample_names())}) or ready groups ({', '.join(ready_files())}).")
    if len(wanted) == 1 and wanted[0] in sample_names():
        return _from_sample(wanted[0], title)
    unknown = [n for n in wanted if n not in ready_files()]
    if unknown:
        raise CannotStart(f"there is no sample and no ready group '{unknown[0]}'",
                          nearest(unknown[0], [*sample_names(), *ready_files()], limit=40))
    return _from_groups(wanted, title)


def _from_sample(name: str, title: str) -> str:
    text = (resources.folder("samples") / f"{name}.yaml").read_text(encoding="utf-8")
    lines = text.splitlines()
    if title:
        lines = [f"title: {quoted(title)}" if line.startswith("title:") else line for line in lines]
    # The sample's state as found does not lie beside the new file; the line shows how one's own is named.
    lines = [f"# {line}" if line.startswith("as found:") else line for line in lines]
    return "\n".join(lines) + "\n"


def quoted(text: str) -> str:
    """A text as it must stand after a key: in quotes where it would mean something else."""
    plain = " ".join(text.split())
    risky = not plain or plain[0] in "!&*-?|>@`%{}[],#:\"' " or ": " in plain or " #" in plain or plain[-1] in ": "
    return "'" + plain.replace("'", "''") + "'" if risky else plain


@dataclass(frozen=True)
class _Member:
    """One placing in the new file."""

    name: str
    group: str
    ends: tuple[str, ...]
    gives: tuple[str, ...]
    is_source: bool
    """It holds a pickup."""


def _from_groups(wanted: Sequence[str], title: str) -> str:
    members = _members(wanted)
    lines = [HEAD.format(comment=COMMENT, format=FORMAT, title=quoted(title or "New build"),
                         about="Places and cavity are not measured yet: the sheets are stamped NOT TO SCALE.").rstrip()]
    lines.append("parts:")
    sources = [m for m in members if m.is_source]
    for member in members:
        remarks = [f"{end} {_goal(member, end, members, sources)}" for end in member.ends]
        lines.append(f"  {member.name}: " + ", ".join([f"group {member.group}", *remarks]))
    return "\n".join(lines) + "\n" + TAIL


def _members(wanted: Sequence[str]) -> list[_Member]:
    found: list[tuple[str, Values]] = []
    for group in wanted:
        values = ready_group(group, Diagnostics())
        if values is None:
            raise CannotStart(f"the ready group '{group}' cannot be read", "This installation is damaged.")
        found.append((group, values))
    pickups = sum(1 for _, v in found if _holds_pickup(v))
    names = iter(_PICKUP_NAMES.get(pickups, tuple(f"pickup-{i + 1}" for i in range(pickups))))
    result: list[_Member] = []
    for group, values in found:
        base = next(names) if _holds_pickup(values) else group.partition("-")[0]
        count = sum(1 for m in result if m.name == base or m.name.rpartition("-")[0] == base)
        result.append(_Member(base if not count else f"{base}-{count + 1}", group, tuple(values.get("ends", {})),
                              tuple(values.get("gives", {})), _holds_pickup(values)))
    return result


def _holds_pickup(values: Values) -> bool:
    return "pickup" in values.get("parts")


def _goal(member: _Member, end: str, members: Sequence[_Member], sources: Sequence[_Member]) -> str:
    """The lug an end goes to, by its name."""
    volume = next((m for m in members if {"hot", "out", "ground"} <= set(m.gives) and m is not member), None)
    selector = next((m for m in members if {"neck", "bridge"} <= set(m.gives) and m is not member), None)
    if end == "ground":
        centre = volume or next((m for m in members if "ground" in m.gives and m is not member), None)
        return f"{centre.name}.ground" if centre else _jack(member, members, "sleeve")
    if end in ("ten", "wiper"):
        return _need(volume, member, "volume") + (".hot" if end == "ten" else ".out")
    if member.is_source and selector is not None:
        place = member.name if member.name in selector.gives else selector.gives[
            min(sources.index(member), len(selector.gives) - 1)]
        return f"{selector.name}.{place}"
    if member.group == "output":
        return _need(volume, member, "volume") + ".out"
    return f"{volume.name}.hot" if volume else _jack(member, members, "tip")


def _need(found: _Member | None, member: _Member, what: str) -> str:
    if found is None:
        raise CannotStart(f"'{member.group}' needs a {what} to be joined to", f"Add {what} to the names.")
    return found.name


def _jack(member: _Member, members: Sequence[_Member], lug: str) -> str:
    jack = next((m for m in members if m.group == "output"), None)
    if jack is None or jack is member:
        raise CannotStart(f"nothing is named that '{member.group}' could be joined to", "Add volume to the names.")
    return f"{jack.name}-jack.{lug}"
