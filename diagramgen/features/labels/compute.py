"""What to label: both ends of every lead, cables, parts, and bags of old parts; words only, no sizes on paper."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from diagramgen.features.labels.codes import LAB_401
from diagramgen.job.part_changes import made_at_bench, part_changes, value_words
from diagramgen.job.words import end_words, lug_kind, lug_word
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.layout.fit.wire_sizes import outer_diameter, own_cable
from diagramgen.model.build import Build, End, Lead, Part
from diagramgen.reader.taper_table import START

FLAG, WRAP, SLEEVE, PART, BAG = "flag", "wrap", "sleeve", "part", "bag"
KINDS = (FLAG, WRAP, SLEEVE, PART, BAG)

_METERED = ("kick", "magnet", "winding")
SHORT = {
    "volume": "vol", "selector": "sel", "switch": "sw", "capacitor": "cap", "ground": "gnd", "output": "out",
    "centre": "ctr", "middle": "mid", "common": "com", "finish": "fin", "sleeve": "slv", "master": "mstr",
    "battery": "batt", "conductor": "cond", "resistor": "res", "negative": "neg", "positive": "pos",
    "treble": "treb", "joint": "jnt", "bridge": "brdg", "start": "st",
}  # fmt: skip
"""Words a label may shorten, and what the trade writes for them (common practice, no source)."""


@dataclass(frozen=True)
class LabelWords:
    """The words of one label, before it has a size."""

    kind: str
    tag: str
    """What it is found by: a lead's tag, a cable's or part's name."""
    head: str
    """The line in bold: tag and colour word, or name."""
    bodies: tuple[tuple[str, ...], ...]
    """What else it says, from the fullest wording to the shortest; never empty."""
    diameter: float | None = None
    """Outer diameter of what it goes round, mm."""
    subject: str = ""
    bare: bool = False
    """Whether the last wording says less than a label is for: where the lead goes is missing."""
    place: Location = field(default=Location(""), compare=False)
    other_head: str = ""
    """What stands in bold where ``head`` is too long: the name in the file."""


def lead_labels(build: Build, kind: str = FLAG, only: Collection[str] = ()) -> tuple[LabelWords, ...]:
    """A label for each end of each lead that is wire, in the order of the file; ``only`` these tags.

    Stretches of a bus need none: the wire is bare and seen whole. Neither does the end of a pickup's own conductor
    where it comes out of the pickup.
    """
    shorter = Shortener(build)
    return tuple(label for lead in labelled_leads(build, only) for label in _of_lead(lead, kind, build, shorter))


def labelled_leads(build: Build, only: Collection[str] = ()) -> tuple[Lead, ...]:
    """The leads that take labels."""
    return tuple(lead for lead in build.leads if lead.is_wire and not lead.bus and (not only or lead.tag in only))


def _of_lead(lead: Lead, kind: str, build: Build, shorter: Shortener) -> Iterator[LabelWords]:
    bare = lead.kind == "bare" or (lead.colour is not None and lead.colour.bare)
    colour = lead.colour.short if lead.colour else "bare" if bare else ""
    head = f"{lead.tag} {colour}".strip()
    # How thick a conductor of a cable is, its reel does not say.
    thick = lead.diameter if lead.cable or own_cable(lead, build) else outer_diameter(lead, build)
    for here, there in ((lead.start, lead.end), (lead.end, lead.start)):
        if lug_kind(build, here) == "conductor":
            continue
        comes = "from" if lug_kind(build, there) == "conductor" else "to"
        at, to = end_words(build, here), end_words(build, there)
        full, short = (f"at {at}", f"{comes} {to}"), (f"at {shorter(at)}", f"{comes} {shorter(to)}")
        named = (f"{comes} {_named(build, there)}",)
        bodies = tuple(dict.fromkeys((full, short, full[1:], short[1:], named, ())))
        yield LabelWords(kind, lead.tag, head, bodies, thick, f"lead:{lead.tag}", True, lead.place)


def _named(build: Build, end: End) -> str:
    """An end by the part's name in the file, for a part that is called by many words."""
    return f"{end.part} {lug_word(build, end.part, end.lug)}" if end.part in build.parts else end_words(build, end)


class Shortener:
    """Shortens the words of ends by the trade's abbreviations, never so that two ends read alike."""

    def __init__(self, build: Build):
        words = {end_words(build, end) for lead in build.leads for end in (lead.start, lead.end)}
        count: dict[str, int] = {}
        for word in words:
            count[_short(word)] = count.get(_short(word), 0) + 1
        self._known = {word: _short(word) for word in words if count[_short(word)] == 1 and _short(word) not in words}

    def __call__(self, words: str) -> str:
        """The shorter words, or the same where shortening would confuse."""
        return self._known.get(words, words)


def _short(words: str) -> str:
    def one(found: re.Match[str]) -> str:
        short = SHORT.get(found[0].lower(), found[0])
        return short[:1].upper() + short[1:] if found[0][:1].isupper() else short

    return re.sub(r"\w+", one, words)


def cable_labels(build: Build, kind: str = WRAP) -> tuple[LabelWords, ...]:
    """A label for each end of each cable in a jacket: its name and the tags of its conductors."""
    result = []
    for name, cable in build.cables.items():
        tags = [lead.tag for lead in build.leads if lead.cable == name]
        bodies = ((" ".join(tags),), ()) if tags else ((),)
        label = LabelWords(kind, name, name, bodies, cable.diameter, f"cable:{name}", False, cable.place)
        result += [label, label]
    owners: dict[str, list[str]] = {}
    for lead in build.leads:
        owner = own_cable(lead, build)
        if owner and lead.is_wire:
            owners.setdefault(owner, []).append(lead.tag)
    for owner, tags in owners.items():
        part = build.parts[owner]
        if part.symbol.cable_diameter is None:
            continue  # loose leads without a jacket
        bodies = ((" ".join(tags),), ())
        result.append(LabelWords(kind, owner, _name(part), bodies, part.symbol.cable_diameter, f"part:{owner}",
                                 False, part.place, owner))
    return tuple(result)


def part_labels(build: Build) -> tuple[LabelWords, ...]:
    """A label for each part: what it is called, what it is, its values, the job."""
    job = tuple(word for word in (build.job,) if word)
    result = []
    for part in build.parts.values():
        bodies = tuple(dict.fromkeys(((kind_and_values(part), *job), job, ())))
        result.append(LabelWords(PART, part.name, _name(part), bodies, None, f"part:{part.name}", False, part.place,
                                 part.name))
    return tuple(result)


def bag_labels(found: Build, left: Build) -> tuple[LabelWords, ...]:
    """A label for the bag of each part that is in the build as found and not in the build as left."""
    result = []
    for change in part_changes(found, left):
        old = change.found
        if old is None or change.what not in ("out", "replaced") or made_at_bench(old):
            continue
        job = f"job {left.job or found.job}" if left.job or found.job else "job ________"
        lines = ("old part, handed back", kind_and_values(old), job, found.instrument,
                 f"date {left.record.get('date', '') or '________'}")
        kept = ("old part", kind_and_values(old), job)
        bodies = tuple(dict.fromkeys((tuple(line for line in lines if line), kept, ("old part", job))))
        result.append(LabelWords(BAG, old.name, _name(old), bodies, None, f"part:{old.name}", False,
                                 Location(left.file), old.name))
    return tuple(result)


def kind_and_values(part: Part) -> str:
    """What a part is, as its label says: ``pot-24, 500k log``; how a coil was metered is no name for it."""
    values = [value for key, value in part.values.items() if value != "" and not key.endswith(_METERED)]
    words = " ".join("own law" if str(value).startswith(START) else value_words(value) for value in values)
    return ", ".join(filter(None, (part.symbol.name, words)))


def _name(part: Part) -> str:
    says = part.says or part.name
    return says[:1].upper() + says[1:]


def check_pinned(leads: Sequence[Lead], say: Diagnostics, insist: bool = True) -> None:
    """Says which tags do not stand in the file: an error, or a warning where they are taken all the same."""
    loose = [lead for lead in leads if not lead.pinned]
    if not loose:
        return
    tags = listed(f"{lead.tag} (line {lead.place.line})" for lead in loose)
    message = f"{len(loose)} of {len(leads)} leads to label have no tag in the file: {tags}"
    remedy = ("Automatic tags move on when a line is put in, and printed labels go stale. Write them in with: "
              "diagramgen labels BUILD --pin.")
    say.add(LAB_401.at(Severity.ERROR if insist else Severity.WARNING), loose[0].place, message, remedy)


def listed(words: Iterable[str], most: int = 12) -> str:
    """The first words and how many more there are."""
    found = list(words)
    return ", ".join(found[:most]) + (f" and {len(found) - most} more" if len(found) > most else "")
