"""YAML as a plain tree, its mutations one by one, and the tree written back: for fuzz.py and mutate_samples.py."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, parse


@dataclass
class Tree:
    """A node: ``text``, or the ``items`` of a list, or of keys and values (then ``keys`` is as long)."""

    text: str | None = None
    items: list[Tree] | None = None
    keys: list[str] | None = None

    def copy(self) -> Tree:
        """A tree of its own."""
        return Tree(self.text, None if self.items is None else [t.copy() for t in self.items],
                    None if self.keys is None else list(self.keys))


Spot = tuple[int, ...]
OPERATIONS = ("drop", "double", "swap", "rename", "retype")
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._/%()|>+-]*[A-Za-z0-9)]|[A-Za-z0-9-]+")
"""What may surely stand without quotation marks; commas are plain in a block, but not inside brackets."""


def tree_of(text: str) -> Tree | None:
    """The tree of a file's text; None where YAML cannot read it."""
    node = parse(text, "x", Diagnostics())
    return None if node is None else _tree(node)


def _tree(node: Node) -> Tree:
    if isinstance(node, ScalarNode):
        return Tree(node.text)
    if isinstance(node, SequenceNode):
        return Tree(items=[_tree(n) for n in node.items])
    assert isinstance(node, MappingNode)
    return Tree(items=[_tree(n) for _, n in node.entries], keys=[k.text for k, _ in node.entries])


def written(tree: Tree) -> str:
    """The tree as YAML in block style, which reads back as the same tree."""
    return "\n".join(_lines(tree, 0)) + "\n"


def _lines(tree: Tree, depth: int) -> Iterator[str]:
    pad = "  " * depth
    if tree.items is None:
        yield pad + quoted(tree.text or "")
        return
    if not tree.items:
        yield pad + ("[]" if tree.keys is None else "{}")
        return
    for i, item in enumerate(tree.items):
        head = "-" if tree.keys is None else f"{quoted(tree.keys[i])}:"
        if item.items:
            yield pad + head
            yield from _lines(item, depth + 1)
        else:
            yield f"{pad}{head} {next(_lines(item, 0))}"


def quoted(text: str) -> str:
    """A text as a YAML scalar that is read as this very text."""
    if _PLAIN.fullmatch(text) and "  " not in text:
        return text
    if all(c.isprintable() for c in text):
        return "'" + text.replace("'", "''") + "'"
    return '"' + "".join(c if c.isprintable() and c not in '"\\' else _escaped(c) for c in text) + '"'


def _escaped(c: str) -> str:
    return f"\\U{ord(c):08x}"


def spots(tree: Tree, at: Spot = ()) -> Iterator[Spot]:
    """The way to every node but the root, in the order of the file."""
    for i, item in enumerate(tree.items or ()):
        yield (*at, i)
        yield from spots(item, (*at, i))


def node_at(tree: Tree, spot: Spot) -> Tree:
    """The node a way leads to."""
    for i in spot:
        assert tree.items is not None
        tree = tree.items[i]
    return tree


def mutant(tree: Tree, spot: Spot, operation: str, dice: random.Random) -> Tree:
    """The tree with one node dropped, doubled, swapped with another, renamed or made another kind of node."""
    new = tree.copy()
    parent, i = node_at(new, spot[:-1]), spot[-1]
    assert parent.items is not None
    if operation == "drop":
        del parent.items[i]
        if parent.keys is not None:
            del parent.keys[i]
    elif operation == "double":
        parent.items.insert(i, parent.items[i].copy())
        if parent.keys is not None:
            parent.keys.insert(i, parent.keys[i])
    elif operation == "swap":
        others = [s for s in spots(new) if s[: len(spot)] != spot and spot[: len(s)] != s]
        if others:
            other = dice.choice(others)
            far = node_at(new, other[:-1])
            assert far.items is not None
            parent.items[i], far.items[other[-1]] = far.items[other[-1]], parent.items[i]
    elif operation == "rename":
        _rename(parent, i, dice)
    else:
        parent.items[i] = _retyped(parent.items[i], dice)
    return new


def _rename(parent: Tree, i: int, dice: random.Random) -> None:
    assert parent.items is not None
    if parent.keys is not None and (parent.items[i].items is not None or dice.random() < 0.5):
        parent.keys[i] = slip(parent.keys[i], dice)
    elif parent.items[i].items is None:
        parent.items[i] = Tree(slip(parent.items[i].text or "", dice))
    else:
        inner = parent.items[i]
        for spot in list(spots(inner))[:1]:
            _rename(node_at(inner, spot[:-1]), spot[-1], dice)


def slip(text: str, dice: random.Random) -> str:
    """The text with a letter lost, doubled or exchanged, or a word of it in another's place."""
    words = text.split(" ")
    choice = dice.randrange(5)
    if choice == 0 and len(words) > 1:
        a, b = dice.randrange(len(words)), dice.randrange(len(words))
        words[a], words[b] = words[b], words[a]
        return " ".join(words)
    at = dice.randrange(len(text) + 1)
    if choice == 1:
        return text[:at] + text[at + 1:]
    if choice == 2:
        return text[:at] + text[at:at + 1] + text[at:]
    if choice == 3:
        return text[:at] + dice.choice("abcdeklmnopqrst0123456789-.") + text[at + 1:]
    return text + dice.choice(("x", "-2", " a", "s", "0"))


def _retyped(node: Tree, dice: random.Random) -> Tree:
    wrapped = [Tree(items=[node]), Tree(items=[node], keys=["value"]), Tree(""), Tree("12"), Tree("yes"), Tree("word"),
               Tree(items=[]), Tree(items=[], keys=[]), Tree("-1"), Tree("3.5 mm")]
    if node.keys is not None:
        wrapped.append(Tree(items=list(node.items or ())))
    elif node.items is not None:
        wrapped.append(Tree(items=list(node.items), keys=[f"k{n}" for n in range(len(node.items))]))
    else:
        wrapped.append(Tree(items=[Tree(w) for w in (node.text or "").split()]))
    return dice.choice(wrapped)
