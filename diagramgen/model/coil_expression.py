"""The text of a network of coils: ``neck.a + neck.b``, ``(a - b) || c``.

    network = term *( "||" term ) / term *( ("+" / "-") term )     never mixed without brackets
    term    = [ "-" ] ( coil / "(" network ")" )                   "-" = reversed; "a - b" = "a + -b"
    coil    = name [ "." coilname ]                                a binary "-" stands between blanks
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

SILENT = "silent"
MAX_LENGTH = 200
NOTATION_KEY = "+ in series, || in parallel, - out of phase with the first"
"""What the signs mean, for wherever a person reads them: paper has words in their place."""
_SIGNS = re.compile(r"[\w)] (?:\+|\|\||-) -?[A-Za-z(]")


class BadNetwork(ValueError):  # noqa: N818 - a text that is no network of coils
    """A text that is no network; ``offset`` is where in the text."""

    def __init__(self, message: str, offset: int, remedy: str = ""):
        super().__init__(message)
        self.offset, self.remedy = offset, remedy


def holds_signs(text: str) -> bool:
    """Whether a sentence holds coils in this notation, so that the key belongs with it."""
    return _SIGNS.search(text) is not None


@dataclass(frozen=True)
class Coil:
    """One coil: a part's name and, where it has several, the coil's own name."""

    part: str
    coil: str
    reversed: bool
    offset: int = 0


@dataclass(frozen=True)
class Joined:
    """Coils or networks in series (``+``) or parallel (``||``)."""

    how: str
    """series | parallel."""
    terms: tuple[Network, ...]
    reversed: bool = False


Network = Coil | Joined
_TOKEN = re.compile(r"\s*(?:(\|\|)|([a-z][a-z0-9-]*(?:\.[a-z0-9][a-z0-9 -]*?)?(?=\s*(?:$|\|\||[+()]|\s-))|"
                    r"[a-z][a-z0-9-]*(?:\.[a-z0-9-]+)?)|([-+()]))")


def read_network(text: str) -> Network | None:
    """The network, or None for ``silent``; raises ``BadNetwork``."""
    folded = text.lower()
    if folded.strip() == SILENT:
        return None
    reader = _Reader(list(_tokens(folded)), len(folded))
    result = reader.network()
    if reader.at < len(reader.tokens):
        token, offset = reader.tokens[reader.at]
        raise BadNetwork(f"'{token}' does not fit here", offset, "Join coils with + or ||, and bracket the rest.")
    return result


def coils(network: Network | None) -> Iterator[Coil]:
    """Every coil named, in order."""
    if isinstance(network, Coil):
        yield network
    elif network is not None:
        for term in network.terms:
            yield from coils(term)


def _tokens(text: str) -> Iterator[tuple[str, int]]:
    at = 0
    while text[at:].strip():
        found = _TOKEN.match(text, at)
        if not found:
            start = at + len(text[at:]) - len(text[at:].lstrip())
            raise BadNetwork(f"'{text[start]}' has no meaning in a network", start,
                             "Use coils, +, ||, - and brackets: neck.a + neck.b.")
        word = found[1] or found[2] or found[3]
        yield word, found.end() - len(word)
        at = found.end()


@dataclass
class _Reader:
    tokens: list[tuple[str, int]]
    length: int
    at: int = 0
    depth: int = 0

    def peek(self) -> str:
        return self.tokens[self.at][0] if self.at < len(self.tokens) else ""

    def offset(self) -> int:
        return self.tokens[self.at][1] if self.at < len(self.tokens) else self.length

    def network(self) -> Network:
        terms = [self.term()]
        how = ""
        while self.peek() in ("+", "-", "||"):
            sign = self.peek()
            kind = "parallel" if sign == "||" else "series"
            if how and how != kind:
                raise BadNetwork("+ and || are mixed without brackets", self.offset(), "Write (a + b) || c.")
            how = kind
            self.at += 1
            term = self.term()
            terms.append(_reverse(term) if sign == "-" else term)
        return terms[0] if len(terms) == 1 else Joined(how, tuple(terms))

    def term(self) -> Network:
        word, offset = self.peek(), self.offset()
        if not word:
            raise BadNetwork("a coil is missing at the end", offset)
        self.at += 1
        if word == "-":
            if self.peek() == "-":
                raise BadNetwork("two minus signs stand together", offset)
            return _reverse(self.term())
        if word == "(":
            self.depth += 1
            if self.depth > 20:
                raise BadNetwork("the brackets are nested too deeply", offset)
            inner = self.network()
            if self.peek() != ")":
                raise BadNetwork("a bracket is not closed", offset)
            self.at += 1
            self.depth -= 1
            return inner
        if not word[0].isalpha():
            raise BadNetwork(f"a coil is missing before '{word}'", offset)
        part, _, coil = word.partition(".")
        return Coil(part, " ".join(coil.split()), False, offset)


def _reverse(term: Network) -> Network:
    if isinstance(term, Coil):
        return Coil(term.part, term.coil, not term.reversed, term.offset)
    return Joined(term.how, term.terms, not term.reversed)
