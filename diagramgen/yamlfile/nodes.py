"""YAML read as nodes: every scalar a string, every node with its place, every fault with its place.

Only the plain part of YAML is taken: no anchors, aliases, tags, merge keys or second documents, and no
doubled keys. Nothing is guessed: ``on`` stays the word ``on``. Sizes are bounded so that a file made to
exhaust memory is refused at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import yaml

from diagramgen.kernel.diagnostics import Diagnostics, Location, Stopped
from diagramgen.kernel.file_codes import INP_001
from diagramgen.yamlfile.codes import (
    INP_002,
    INP_003,
    INP_004,
    INP_005,
    INP_006,
    INP_007,
    INP_008,
    INP_009,
    INP_010,
    INP_011,
    INP_012,
    INP_013,
)
from diagramgen.yamlfile.recovery import Broken, Fault, fault_of, keys_of, with_fault, without

MAX_BYTES = 1_000_000
MAX_DEPTH = 24
MAX_NODES = 50_000
CURLY = "“”„‟‘’‚‛«»"


@dataclass(frozen=True)
class ScalarNode:
    """A word, number or text, always as written."""

    text: str
    place: Location
    quoted: bool = False
    from_list: bool = False
    """Made from a list, not written as text."""

    def place_at(self, offset: int) -> Location:
        """The place of a character inside the text (exact for one-line values)."""
        return Location(self.place.file, self.place.line, self.place.column + offset + int(self.quoted))


@dataclass(frozen=True)
class SequenceNode:
    """A list."""

    items: tuple[Node, ...]
    place: Location


@dataclass(frozen=True)
class MappingNode:
    """Keys and values in the order of the file."""

    entries: tuple[tuple[ScalarNode, Node], ...]
    place: Location
    lost: frozenset[str] = frozenset()
    """Of the top of a file: its keys under which an entry could not be read."""

    def get(self, key: str) -> Node | None:
        """The value of a key, or None."""
        for name, value in self.entries:
            if name.text == key:
                return value
        return None


Node = ScalarNode | SequenceNode | MappingNode


def kind_word(node: Node) -> str:
    """What a node is, in words for a message."""
    if isinstance(node, ScalarNode):
        return f"'{node.text}'" if node.text else "nothing"
    return "a list" if isinstance(node, SequenceNode) else "a group of keys"


def decode(data: bytes, file: str, say: Diagnostics) -> str | None:
    """Bytes to text: UTF-8 with or without a byte order mark; refuses binary and oversized files."""
    whole = Location(file)
    if len(data) > MAX_BYTES:
        size = len(data) / 1e6
        say.add(INP_001, whole, f"the file is {size:.1f} MB; a build file is a page or two",
                f"The limit is {MAX_BYTES / 1e6:.0f} MB. Is this the right file?")
        return None
    if b"\0" in data[:65536]:
        say.add(INP_002, whole, "this is a binary file, not text")
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data[: fault.start].count(b"\n") + 1
        column = fault.start - (data.rfind(b"\n", 0, fault.start) + 1) + 1
        say.add(INP_003, Location(file, line, column), "a character here is not UTF-8")
        return None


def parse(text: str, file: str, say: Diagnostics) -> Node | None:
    """Text to nodes; problems go to ``say``; returns None where nothing usable is there."""
    found = _parsed(text, file, say)
    if isinstance(found, Fault):
        say.add(INP_005, found.place, found.message, found.remedy)
        return None
    return found


def parse_beyond(text: str, file: str, say: Diagnostics) -> Node | None:
    """The same, but where the punctuation of an entry cannot be read, its name is kept and the rest is read.

    The value of such an entry is a word of no meaning; ``say`` takes no further problem of its lines.
    """
    aside = Diagnostics()
    found = first = _parsed(text, file, aside)
    broken: list[Broken] = []
    while isinstance(found, Fault) and isinstance(first, Fault):
        grown = with_fault(text, broken, found)
        if grown is None:
            say.add(INP_005, first.place, first.message, first.remedy)
            return None
        broken, aside = grown, Diagnostics()
        found = _parsed(without(text, broken), file, aside)
    assert not isinstance(found, Fault)
    for one in broken:
        say.add(INP_005, one.fault.place, one.fault.message, one.fault.remedy)
        say.hush(file, one.lines)
    for problem in aside:
        say.take(problem)
    return replace(found, lost=keys_of(text, broken)) if broken and isinstance(found, MappingNode) else found


def _parsed(text: str, file: str, say: Diagnostics) -> Node | Fault | None:
    builder = _Builder(file, say)
    try:
        return builder.build(text)
    except Stopped:
        return None
    except yaml.MarkedYAMLError as fault:
        return fault_of(fault, file, text, builder.long_quote)
    except yaml.reader.ReaderError as fault:
        before = text[: fault.position] if isinstance(fault.position, int) else ""
        place = Location(file, before.count("\n") + 1, len(before) - before.rfind("\n"))
        say.add(INP_004, place, "a control character that no text may hold")
    return None


class _Builder:
    """Builds the node tree from parser events, without recursion into unbounded input."""

    def __init__(self, file: str, say: Diagnostics):
        self.file, self.say, self.count = file, say, 0
        self.aliases: set[str] = set()
        self.long_quote: tuple[Location, Location] | None = None
        """Where the last quoted text that runs over several lines begins and ends."""

    def place(self, mark: Any) -> Location:
        return Location(self.file, mark.line + 1, mark.column + 1)

    def build(self, text: str) -> Node | None:
        loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
        events: Iterator[yaml.Event] = yaml.parse(text, Loader=loader)
        root: Node | None = None
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent) and root is not None:
                self.say.add(INP_006, self.place(event.start_mark), "a second document starts here")
                return root
            if isinstance(event, yaml.NodeEvent):
                root = self.node(event, events, 0)
        return root

    def node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Node:
        place = self.place(event.start_mark)
        self.count += 1
        if depth > MAX_DEPTH or self.count > MAX_NODES:
            self.say.add(INP_007, place, "the file is nested too deeply or holds too many entries")
            raise Stopped(self.say)
        self.refuse_tricks(event, place)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, place)
        if isinstance(event, yaml.SequenceStartEvent):
            items = []
            for inner in events:
                if isinstance(inner, yaml.SequenceEndEvent):
                    break
                items.append(self.node(inner, events, depth + 1))
            return SequenceNode(tuple(items), place)
        if isinstance(event, yaml.MappingStartEvent):
            return self.mapping(events, place, depth)
        return ScalarNode("", place)

    def scalar(self, event: yaml.ScalarEvent, place: Location) -> ScalarNode:
        text = event.value
        if not event.style and text and (text[0] in CURLY or text[-1] in CURLY):
            self.say.add(INP_008, place, "curly quotation marks are taken as part of the text")
        end = self.place(event.end_mark)
        if event.style in ('"', "'") and end.line > place.line:
            self.long_quote = place, end
        return ScalarNode(text, place, event.style in ('"', "'"))

    def mapping(self, events: Iterator[yaml.Event], place: Location, depth: int) -> MappingNode:
        entries: list[tuple[ScalarNode, Node]] = []
        seen: dict[str, Location] = {}
        for inner in events:
            if isinstance(inner, yaml.MappingEndEvent):
                break
            key = self.node(inner, events, depth + 1)
            value = self.node(next(events), events, depth + 1)
            if not isinstance(key, ScalarNode):
                self.say.add(INP_009, key.place, "a key must be a word")
                continue
            folded = " ".join(key.text.split())
            if folded == "<<":
                self.say.add(INP_010, key.place, "merge keys ('<<') are not taken", "Write the keys out.")
            elif folded in seen:
                self.say.add(INP_011, key.place,
                             f"'{folded}' is given twice; the first is on line {seen[folded].line}")
            else:
                seen[folded] = key.place
                entries.append((ScalarNode(folded, key.place, key.quoted), value))
        return MappingNode(tuple(entries), place)

    def refuse_tricks(self, event: yaml.Event, place: Location) -> None:
        if isinstance(event, yaml.AliasEvent):
            name = getattr(event, "anchor", "")
            if name in self.aliases:
                return  # a file made to explode names the same one over and over
            self.aliases.add(name)
            self.say.add(INP_010, place, f"aliases ('*{name}') are not taken",
                         "Write the value out; a text that starts with * goes in quotes.")
        elif anchor := getattr(event, "anchor", None):
            self.say.add(INP_010, place, f"anchors ('&{anchor}') are not taken",
                         "Delete it; a text that starts with & goes in quotes.")
        tag = getattr(event, "tag", None)
        if tag and tag != "!":
            tag = tag.replace("tag:yaml.org,2002:", "!!")
            self.say.add(INP_010, place, f"tags ('{tag}') are not taken",
                         "Delete it; a text that starts with ! goes in quotes.")


def root_of(
    data: bytes, file: str, say: Diagnostics, holds: str, if_empty: str, if_other: str, beyond: bool = False
) -> MappingNode | None:
    """The keys at the top of a file's bytes; None, and said, where there are none.

    ``holds``: what such a file is and has (``a build file holds keys such as title``); then what to do about an empty
    file, and about one that holds something else. ``beyond``: what cannot be read is put aside and the rest is read.
    """
    text = decode(data, file, say)
    if text is None:
        return None
    say.know(file, text)
    before = sum(1 for _ in say)
    node = (parse_beyond if beyond else parse)(text, file, say)
    if isinstance(node, MappingNode):
        return node
    if node is not None and not (isinstance(node, ScalarNode) and not node.text.strip()):
        say.add(INP_013, node.place, f"{holds}; found {kind_word(node)}", if_other)
    elif sum(1 for _ in say) == before:
        say.add(INP_012, Location(file), "the file is empty", if_empty)
    return None
