"""Words of a build that the shipped letters cannot set: on paper they would be empty boxes."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.lettering import not_set
from diagramgen.model.build import Build, Part
from diagramgen.reader.codes import INP_346, INP_347
from diagramgen.yamlfile.schema_fields import Values

REMEDY = ("The shipped letters run from left to right and cover Latin, Greek and Cyrillic: give it a name in these"
          "{how}; the file may keep the other in a comment.")
BY_HAND = "Latin, Greek and Cyrillic letters from left to right can; write the rest by hand."


def check_letters(build: Build, say: Diagnostics) -> None:
    """Errors for names by which joints are found, warnings for all other words."""
    before = (build.as_found.build,) if build.as_found is not None else ()
    named = dict.fromkeys((place, what, how, text) for one in (build, *before)
                          for what, text, how, place in _names(one))
    for place, what, how, text in named:
        wrong = not_set(text)
        if wrong:
            say.add(INP_346, place, f"{what} cannot be lettered on paper: {wrong}", REMEDY.format(how=how))
    for what, text, place in _remarks(build):
        wrong = not_set(text)
        if wrong:
            say.add(INP_347, place, f"{what} cannot be lettered on paper in full: {wrong}",
                    BY_HAND)


def _names(build: Build) -> Iterator[tuple[str, str, str, Location]]:
    """(what, text, how to give another, place) of everything a joint is found by."""
    for part in build.parts.values():
        yield f"the name of {part.name}", part.says, " under 'says'", part.places.get("says", part.place)
        yield f"a word on {part.name}", " ".join(_on(part)), " in its symbol", part.place
    for cavity in build.cavities.values():
        yield f"the name of cavity {cavity.name}", cavity.name, "", cavity.place
    for channel in build.channels.values():
        yield f"the name of channel {channel.name}", channel.name, "", channel.place
    for cable in build.cables.values():
        yield f"the name of cable {cable.name}", cable.name, "", cable.place


def _on(part: Part) -> Iterator[str]:
    """Words of a symbol that sheets print: lugs, controls and their positions, coils."""
    yield from (part.symbol.lug_words.get(lug, lug) for lug in part.symbol.lug_names())
    for control in part.symbol.controls:
        yield from (control.name, *control.positions, *control.words)
    yield from (element.says for element in part.symbol.elements)


def _remarks(build: Build) -> Iterator[tuple[str, str, Location]]:
    here = Location(build.file)
    yield from ((what, text, here) for what, text in (
        ("the title", build.title), ("the job's number", build.job), ("the instrument", build.instrument),
        *build.record.items()) if text)
    yield from ((f"the note of {part.name}", part.note, part.place) for part in build.parts.values())
    yield from ((f"the remark of {lead.tag}", lead.remark, lead.place) for lead in build.leads)


def check_told(v: Values, where: str, say: Diagnostics) -> None:
    """Says which texts of a record or a results file hold characters that cannot be lettered."""
    for key in v.places():
        value = v.get(key)
        if isinstance(value, str):
            texts = [(value, v.at(key))]
        else:
            found = value if isinstance(value, tuple) else ()
            texts = [(g.value, g.place) for g in found if isinstance(g.value, str)]
            texts += [(g.value.get("says", ""), g.place) for g in found if isinstance(g.value, Values)]
        for text, place in texts:
            wrong = not_set(text)
            if wrong:
                say.add(INP_347, place, f"'{key}' of {where} cannot be lettered on paper in full: {wrong}", BY_HAND)
