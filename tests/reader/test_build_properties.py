"""Properties of the grammar, and that no text whatever does more than say problems."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reading import ROOT, SHIPPED, good, read

from diagramgen.edit.value_text import colour_text, end_text, lead_text
from diagramgen.kernel.colours import BARE, GREEN_YELLOW, WORDS, LeadColour, parse_colour
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.geometry import Point
from diagramgen.kernel.provenance import Sources
from diagramgen.model.build import LEAD_KINDS, Build, End, Lead
from diagramgen.model.coil_expression import BadNetwork, coils, read_network
from diagramgen.reader.connections import give_tags
from diagramgen.reader.grammar import EndKind
from diagramgen.reader.reader import read_build
from diagramgen.yamlfile.nodes import ScalarNode

PLACE = Location("x.yaml", 1, 1)
PLAIN = [code for code in WORDS if code not in (BARE, GREEN_YELLOW)]
BASE = """\
format: 1
cavity: {shape: {rounded: [92, 62]}}
channels: {way: {at: [0, 10]}}
parts:
  volume: pot-24
  tone: pot-24
  output: jack-mono-open
  neck: dual-coil
cables:
  loom: {diameter: 4}
leads:
  - volume.ten -> tone.ten, tag Z9
  - output.tip -> output.sleeve
  - neck.a start -> volume.case
"""
colours = st.builds(LeadColour, st.sampled_from(PLAIN)) | st.tuples(
    st.sampled_from(PLAIN), st.sampled_from(PLAIN)).filter(
        lambda p: p[0] != p[1] and set(p) != {"GN", "YE"}).map(lambda p: LeadColour(*p))
lugs = st.sampled_from(["volume.zero", "volume.wiper", "tone.zero", "tone.wiper", "output.tip", "neck.b finish"])
lengths = st.integers(1, 3000).map(lambda n: n / 2)
words = st.text(alphabet="abcdefghij -", min_size=1, max_size=20).map(lambda t: " ".join(t.split())).filter(bool)


@st.composite
def lead_lines(draw: st.DrawFn) -> str:
    """A line that may be said of two lugs, built from the grammar itself."""
    start, end = draw(st.tuples(lugs, lugs).filter(lambda p: p[0] != p[1]))
    marks = []
    kind = draw(st.sampled_from(["", "wire", "shielded"]))
    marks += [kind] if kind else []
    if draw(st.booleans()):
        marks.append(colour_text(draw(colours)))
    for word in ("cloth", "along wall", "reused"):
        marks += [word] if draw(st.booleans()) else []
    if kind == "shielded" and draw(st.booleans()):
        marks += ["shield to volume.case", "shield cut"]
    optional = {
        "tag": st.integers(1, 99).map(lambda n: f"tag Q{n}"),
        "gauge": st.integers(10, 44).map(lambda n: f"gauge {n} AWG"),
        "od": lengths.map(lambda n: f"od {n}"),
        "length": lengths.map(lambda n: f"length {n} mm"),
        "via": st.tuples(lengths, lengths).map(lambda p: f"via {min(p[0], 900)} {-min(p[1], 900)}"),
        "channel": st.just("via way"),
        "over": st.sampled_from(["over volume", "under tone"]),
        "apart": st.just("apart from Z9"),
        "twisted": st.just("twisted with Z9"),
        "cable": st.just("cable loom"),
        "note": words.map(lambda w: f"note {w}"),
    }
    for strategy in optional.values():
        if draw(st.booleans()):
            marks.append(draw(strategy))
    return ", ".join([f"{start} -> {end}", *draw(st.permutations(marks))])


def read_line(line: str) -> Lead:
    build, problems = read(BASE + f"  - {line}\n")
    errors = [p.text() for p in problems if p.code not in ("INP-328", "INP-329")]
    assert not errors, errors
    assert build is not None
    return build.leads[-1]


@settings(max_examples=120)
@given(lead_lines())
def test_a_lead_written_back_reads_as_the_same_lead(line: str) -> None:
    lead = read_line(line)
    again = read_line(lead_text(lead))
    assert replace(again, tag="") == replace(lead, tag="")
    assert lead_text(again) == lead_text(lead)


@given(colours)
def test_a_colour_written_back_reads_as_the_same_colour(colour: LeadColour) -> None:
    assert parse_colour(colour_text(colour)) == colour
    assert parse_colour(colour.code) == colour


@given(st.text(max_size=30))
def test_any_text_is_an_end_or_a_problem(text: str) -> None:
    say = Diagnostics()
    end = EndKind().read(ScalarNode(text, PLACE), say)
    assert (end is None) == bool(list(say))
    if end is not None:
        again = EndKind().read(ScalarNode(end_text(end), PLACE), Diagnostics())
        assert again == end


@given(st.text(alphabet="abn. ()+-|", max_size=24) | st.text(max_size=12))
def test_any_text_is_a_network_or_refused(text: str) -> None:
    try:
        network = read_network(text)
    except BadNetwork:
        return
    assert network is None or list(coils(network))


@pytest.mark.parametrize(("text", "said"), [
    ("neck.a + neck.b", [("neck", "a", False), ("neck", "b", False)]),
    ("neck.a - neck.b", [("neck", "a", False), ("neck", "b", True)]),
    ("-(a + -b) || c", [("a", "", False), ("b", "", True), ("c", "", False)]),
    ("neck-pickup + bridge", [("neck-pickup", "", False), ("bridge", "", False)]),
    ("NECK.Slug coil||b", [("neck", "slug coil", False), ("b", "", False)]),
])
def test_networks_name_their_coils(text: str, said: list[tuple[str, str, bool]]) -> None:
    assert [(c.part, c.coil, c.reversed) for c in coils(read_network(text))] == said


@pytest.mark.parametrize("text", ["a + b || c", "a b", "(a", "a)", "+ a", "a +", "- - a", "a || || b", ""])
def test_networks_that_could_be_read_in_two_ways_are_refused(text: str) -> None:
    with pytest.raises(BadNetwork):
        read_network(text)


@given(st.lists(st.tuples(st.sampled_from(LEAD_KINDS), st.sampled_from(["", "", "W01", "W2", "J1", "A7"])),
                max_size=30))
def test_every_lead_has_a_tag_of_its_own_and_keeps_a_pinned_one(given: list[tuple[str, str]]) -> None:
    pinned = [tag for _, tag in given if tag]
    given = [(kind, tag) for i, (kind, tag) in enumerate(given) if not tag or tag not in [t for _, t in given[:i]]]
    say = Diagnostics()
    base = good(BASE).leads[0]
    leads = [replace(base, kind=kind, tag=tag, pinned=bool(tag), place=Location("x", i + 1, 1))
             for i, (kind, tag) in enumerate(given)]
    tagged = give_tags(leads, say)
    assert len({x.tag for x in tagged}) == len(tagged)
    assert [x.tag for x in tagged if x.pinned] == [t for _, t in given if t]
    assert not list(say) or len(set(pinned)) < len(pinned)


PIECES = [
    "format: 1", "parts:", "leads:", "  - ", "a.b -> c.d", ", red", "[", "]", "{", "}", ": ", "\n", "  ", "volume",
    "pot-24", "group volume", "unknown", "'", '"', "#", "- ", "?", "|", ">", "&a", "*a", "!x", "<<: ", "1", "-5",
    "at 3 4", "1e999", "\t", "wanted:", "groups:", "lugs:", "cavity:", "shape:", "path: M0 0", "sounds: ", "(",
    "lugs: {v.t: red}",
]


def check(text: str) -> bool:
    """Read it; whatever comes back must be sound. Returns whether YAML could read it at all."""
    say = Diagnostics()
    build = read_build(text.encode(), "x.yaml", Sources(), SHIPPED, say)
    for problem in say.sorted():
        assert problem.text()
        assert problem.message
        assert "Traceback" not in problem.message
        assert problem.place.line <= text.count("\n") + text.count("\r") + 2
    if build is None:
        assert say.has_errors
        return False
    sound(build)
    return True


def sound(build: Build) -> None:
    """Every name the model holds exists in it."""
    def exists(end: End) -> bool:
        return not end.known or end.lug in build.parts[end.part].symbol.lug_names()

    for lead in build.leads:
        assert exists(lead.start)
        assert exists(lead.end)
        assert all(map(exists, lead.shield_to))
        assert set(lead.channels) <= set(build.channels)
        assert set(lead.over + lead.under) <= set(build.parts)
        assert not lead.cable or lead.cable in build.cables or lead.cable in build.parts
        assert all(isinstance(p, Point) for p in lead.via)
    for part in build.parts.values():
        assert all(map(exists, part.between or ()))
        assert not part.cavity or part.cavity in build.cavities
        assert not part.through or part.through in build.channels
        assert set(part.dimensions) <= set(part.symbol.dimensions)
        assert not (part.cavity and part.through)
    for channel in build.channels.values():
        assert channel.cavity in build.cavities
        assert not channel.to or channel.to in build.cavities
    assert len({lead.tag for lead in build.leads if not lead.pinned}) == sum(not x.pinned for x in build.leads)


@settings(max_examples=150)
@given(st.text(max_size=200))
def test_any_text_at_all_only_says_problems(text: str) -> None:
    check(text.encode("utf-8", "replace").decode())


@settings(max_examples=100)
@given(st.binary(max_size=200))
def test_any_bytes_at_all_only_say_problems(data: bytes) -> None:
    say = Diagnostics()
    build = read_build(data, "x.yaml", Sources(), SHIPPED, say)
    assert build is not None or say.has_errors


@settings(max_examples=150)
@given(st.lists(st.sampled_from(PIECES), max_size=40))
def test_pieces_of_the_format_in_any_order_only_say_problems(pieces: list[str]) -> None:
    check("".join(pieces))


SEEDS = sorted((ROOT / "samples").glob("*.yaml"))
JUNK = ["->", ",", ":", " ", "#", "-", "0", "9", "k", "[", "]", "{", "}", "'", '"', ".", "é", "\t", "unknown", "bare",
        "-1", "?"]


def mutant(text: str, dice: random.Random) -> str:
    """The text with a few slips of the pen: letters lost, doubled or exchanged, lines moved, words swapped."""
    for _ in range(dice.randint(1, 3)):
        lines = text.split("\n")
        i, j = dice.randrange(len(lines)), dice.randrange(len(lines))
        line = lines[i]
        at = dice.randrange(len(line) + 1)
        slip = dice.randrange(7)
        if slip == 0:
            lines[i] = line[:at] + line[at + 1:]
        elif slip == 1:
            lines[i] = line[:at] + dice.choice(JUNK) + line[at:]
        elif slip == 2:
            lines[i], lines[j] = lines[j], lines[i]
        elif slip == 3:
            lines.insert(i, lines[j])
        elif slip == 4:
            del lines[i]
            lines = lines or [""]
        elif slip == 5:
            words = line.split(" ")
            dice.shuffle(words)
            lines[i] = line[: len(line) - len(line.lstrip())] + " ".join(w for w in words if w)
        else:
            lines[i] = line.replace(dice.choice("abcdeot.,"), dice.choice("xyz.,:"))
        text = "\n".join(lines)
    return text


def test_mutants_of_every_sample_only_say_problems_and_most_get_past_yaml() -> None:
    dice = random.Random(20240517)
    texts = [p.read_text(encoding="utf-8") for p in SEEDS]
    past = [check(mutant(text, dice)) for text in texts for _ in range(max(20, 240 // len(texts)))]
    assert sum(past) >= len(past) / 2


def test_mutants_of_the_faulty_builds_only_say_problems() -> None:
    dice = random.Random(7)
    for path in sorted((ROOT / "tests" / "bad_builds").glob("*.yaml")):
        try:
            text = path.read_bytes().decode("utf-8-sig")
        except UnicodeDecodeError:
            continue
        check(mutant(text or " ", dice))
        check(mutant(text or " ", dice))
