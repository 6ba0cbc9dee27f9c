"""The states of a build: one position for every switching control, in the order a person steps through them.

Controls are digits of a number: the plug turns slowest (mono plug first), then momentary buttons, then switches
by their number of positions, so that the selector with most positions turns fastest. Controls that move together
are one digit, and so are the controls of a part that has words for their combinations (modes).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.contacts import keys_of, positions_of, switching
from diagramgen.circuit.elements import Frame, merged
from diagramgen.circuit.outputs import LOADED, Output, Plugs, loading
from diagramgen.errors import NotAvailable, UnknownName
from diagramgen.kernel.diagnostics import nearest
from diagramgen.model.build import Build, Part

LIMIT = 100_000
"""More states than this ask for a selection."""
PLUG_ORDER = ("mono", "stereo", "out")


class TooMany(NotAvailable):
    """More states than are solved at once."""


@dataclass(frozen=True)
class Digit:
    """A control, or several that move as one."""

    keys: tuple[str, ...]
    """Names in a state."""
    positions: tuple[tuple[str, ...], ...]
    """For each position, a word for each key."""
    kind: str
    """switch | momentary | plug."""
    closes: tuple[tuple[tuple[str, str], ...], ...]
    """For each position, the pairs of lugs it joins."""
    words: tuple[str, ...]
    """Each position as a player says it."""
    inner: tuple[tuple[tuple[str, str], ...], ...] = ()
    """For each position that is a word for several controls, those controls and where they stand."""

    @property
    def plug_key(self) -> str:
        """Of a plug, the key by which it is named: a switch may move together with it."""
        return next((key for key, words in zip(self.keys, zip(*self.positions, strict=True), strict=True)
                     if set(words) <= set(PLUG_ORDER)), self.keys[0])

    @property
    def jack(self) -> str:
        """Of a plug, the jack it is in."""
        return self.plug_key.partition(".")[0]

    def names(self, at: int) -> dict[str, str]:
        """Every name under which position ``at`` may be spoken of -> its word."""
        return dict(zip(self.keys, self.positions[at], strict=True)) | dict(self.inner[at] if self.inner else ())


@dataclass(frozen=True)
class Space:
    """All states of a build, slowest digit first."""

    digits: tuple[Digit, ...]

    @property
    def count(self) -> int:
        """How many states there are; 1 for a build without switches."""
        total = 1
        for digit in self.digits:
            total *= len(digit.positions)
        return total

    def numbers(self, index: int) -> tuple[int, ...]:
        """The position of every digit in state ``index``."""
        found = []
        for digit in reversed(self.digits):
            index, at = divmod(index, len(digit.positions))
            found.append(at)
        return tuple(reversed(found))

    def state(self, index: int) -> dict[str, str]:
        """State ``index``: key -> position."""
        found: dict[str, str] = {}
        for digit, at in zip(self.digits, self.numbers(index), strict=True):
            found.update(zip(digit.keys, digit.positions[at], strict=True))
        return found

    def momentary(self, index: int) -> tuple[str, ...]:
        """Keys of momentary controls that are held in this state."""
        return tuple(key for digit, at in zip(self.digits, self.numbers(index), strict=True)
                     if digit.kind == "momentary" and at for key in digit.keys)

    def plug(self, index: int) -> str:
        """Where the plugs are that change something: ``mono`` where none does, ``mixed`` where they are not alike."""
        return self.plug_at(self.numbers(index))

    def plug_at(self, numbers: Sequence[int]) -> str:
        """As ``plug``, for these positions."""
        found = {word for _, word in self.plugs_at(numbers)}
        return "mono" if not found else found.pop() if len(found) == 1 else "mixed"

    def plugs_at(self, numbers: Sequence[int]) -> Plugs:
        """Where the plug of each jack is that changes something, for these positions."""
        return tuple((key.partition(".")[0], word) for digit, at in zip(self.digits, numbers, strict=True)
                     if digit.kind == "plug" for key, word in zip(digit.keys, digit.positions[at], strict=True)
                     if word in PLUG_ORDER)

    def plugs(self, index: int) -> Plugs:
        """Where the plug of each jack is that changes something in state ``index``."""
        return self.plugs_at(self.numbers(index))

    def index(self, numbers: Sequence[int]) -> int:
        """The state with these positions of the digits."""
        index = 0
        for digit, at in zip(self.digits, numbers, strict=True):
            index = index * len(digit.positions) + at
        return index

    def plugged(self, numbers: Sequence[int], plugs: Mapping[str, str]) -> tuple[int, ...]:
        """The same positions with the plugs of these jacks elsewhere; where a jack has no such position it stays."""
        def stands(digit: Digit, at: int) -> int:
            word = plugs.get(digit.jack) if digit.kind == "plug" else None
            return next((i for i, p in enumerate(digit.positions) if word in p), at)

        return tuple(stands(digit, at) for digit, at in zip(self.digits, numbers, strict=True))

    def for_output(self, numbers: Sequence[int], output: Output) -> tuple[int, ...]:
        """The same positions with the plug of an output in its jack and a mono plug in every other."""
        jacks = (d.jack for d in self.digits if d.kind == "plug")
        return self.plugged(numbers, {jack: output.plug if jack == output.jack else "mono" for jack in jacks})

    def plays(self, index: int, output: Output) -> bool:
        """Whether an output is met as it is played: its own plug in, a mono plug in other jacks, no button held."""
        return output.own(dict(self.plugs(index))) and not self.momentary(index)

    def select(self, wanted: Mapping[str, str | Sequence[str]]) -> Space:
        """The states with the named controls at the named position or positions.

        Raises ``UnknownName`` for controls and positions that do not exist.
        """
        digits = list(self.digits)
        for key, words in wanted.items():
            allowed = [words] if isinstance(words, str) else list(words)
            at = next((i for i, d in enumerate(digits) if key in d.keys), None)
            if at is None:
                keys = [k for d in digits for k in d.keys]
                raise UnknownName(f"there is no switching control '{key}'. "
                                  f"{nearest(key, keys) or 'Nothing is switched here: leave it out.'}")
            digits[at] = _narrowed(digits[at], key, allowed)
        return Space(tuple(digits))

    def each(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Every state with its number. Raises ``TooMany`` above the limit."""
        self.limit()
        for index in range(self.count):
            yield index, self.state(index)

    def limit(self, most: int = LIMIT) -> None:
        """Raise ``TooMany`` where there are more states than ``most``."""
        if self.count > most:
            names = ", ".join(d.keys[0] for d in self.digits)
            raise TooMany(f"{self.count} states are more than {most}; hold some controls still. Controls: {names}")


def _narrowed(digit: Digit, key: str, allowed: Sequence[str]) -> Digit:
    column = digit.keys.index(key)
    known = [p[column] for p in digit.positions]
    for word in allowed:
        if word not in known:
            raise UnknownName(f"'{key}' has no position '{word}'. {nearest(word, known)}")
    kept = [i for i, word in enumerate(known) if word in allowed]
    return Digit(digit.keys, tuple(digit.positions[i] for i in kept), digit.kind,
                 tuple(digit.closes[i] for i in kept), tuple(digit.words[i] for i in kept),
                 tuple(digit.inner[i] for i in kept) if digit.inner else ())


def space(build: Build, all_plugs: bool = False) -> Space:
    """The states of a build. A jack whose plug changes nothing is left out unless ``all_plugs``: its contacts never
    change, and cable and amplifier on it load no output of another jack."""
    joined = {name: group for group in build.together for name in group}
    digits: list[Digit] = []
    done: set[tuple[str, ...]] = set()
    for part in build.parts.values():
        for digit, members in _digits_of(part):
            group = next((joined[m] for m in members if m in joined), None)
            if group is not None:
                if group not in done:
                    done.add(group)
                    digits += _together(build, group)
            elif digit.kind != "plug" or all_plugs or len(set(digit.closes)) > 1:
                digits.append(digit)
            elif part.name in loading(build):
                digits.append(_loads(part, digit))
    rank = {"plug": 0, "momentary": 1, "switch": 2}
    order = sorted(range(len(digits)), key=lambda i: (rank[digits[i].kind], len(digits[i].positions), -i))
    return Space(tuple(digits[i] for i in order))


def _loads(part: Part, digit: Digit) -> Digit:
    """A plug that closes nothing and loads: each position that loads other contacts once."""
    lugs = part.symbol.lug_names()
    found = {tuple(c for c in LOADED.get(p[0], ()) if c in lugs): p[0] for p in reversed(digit.positions)}
    return _narrowed(digit, digit.keys[0], tuple(found.values()))


def _digits_of(part: Part) -> Iterator[tuple[Digit, tuple[str, ...]]]:
    """The digits of one part, each with its controls as ``part.control``."""
    names = switching(part)
    key = keys_of(part)[0] if names else ""
    if len(names) > 1 and part.symbol.modes:
        words = positions_of(part, key)
        modes = part.symbol.modes
        closes = tuple(tuple(pair for n in names for pair in _closes(part, n, modes[w].get(n, ""))) for w in words)
        inner = tuple(tuple((f"{part.name}.{n}", modes[w].get(n, "")) for n in names) for w in words)
        digit = Digit((key,), tuple((w,) for w in words), "switch", closes, words, inner)
        yield digit, tuple(f"{part.name}.{n}" for n in names)
        return
    for name in names:
        control = part.symbol.control(name)
        if control is None or not control.positions:
            continue
        positions = control.positions
        kind = "plug" if control.kind == "plug" else "momentary" if control.momentary else "switch"
        if kind == "plug":
            positions = tuple(sorted(positions, key=lambda p: (PLUG_ORDER.index(p) if p in PLUG_ORDER else 9)))
        said = dict(zip(control.positions, control.words or control.positions, strict=False))
        full = f"{part.name}.{name}"
        yield (Digit((key if len(names) == 1 else full,), tuple((p,) for p in positions), kind,
                     tuple(tuple(_closes(part, name, p)) for p in positions), tuple(said.get(p, p) for p in positions)),
               (full,))


def _closes(part: Part, control: str, position: str) -> Iterator[tuple[str, str]]:
    for table in part.symbol.contacts:
        if table.control != control:
            continue
        for row in table.rows:
            if row.between is None and row.position == position:
                for a, b in (pair for group in row.joins for pair in itertools.pairwise(group)):
                    yield f"{part.name}.{a}", f"{part.name}.{b}"


def _together(build: Build, group: Sequence[str]) -> Iterator[Digit]:
    """The switching controls of a group as one digit; by themselves where their positions differ in number."""
    found = [digit for name in dict.fromkeys(g.partition(".")[0] for g in group) if name in build.parts
             for digit, members in _digits_of(build.parts[name]) if any(m in group for m in members)]
    if not found:
        return
    count = len(found[0].positions)
    if any(len(d.positions) != count for d in found):
        yield from found
        return
    kinds = {d.kind for d in found}
    yield Digit(
        tuple(k for d in found for k in d.keys),
        tuple(tuple(w for d in found for w in d.positions[i]) for i in range(count)),
        "plug" if "plug" in kinds else "momentary" if kinds == {"momentary"} else "switch",
        tuple(tuple(pair for d in found for pair in d.closes[i]) for i in range(count)),
        tuple(", ".join(d.words[i] for d in found) for i in range(count)),
        tuple(tuple(pair for d in found if d.inner for pair in d.inner[i]) for i in range(count)),
    )


def classes_of(frame: Frame, digits: Sequence[Digit], numbers: Sequence[int]) -> list[int]:
    """The class of every net of the frame with the digits at these positions (``network.merged``)."""
    pairs = [*frame.joined]
    for digit, at in zip(digits, numbers, strict=True):
        pairs += [(frame.lug(a), frame.lug(b)) for a, b in digit.closes[at]]
    return merged(frame.size, pairs)


def each_classes(frame: Frame, digits: Sequence[Digit]) -> Iterator[tuple[int, ...]]:
    """The classes of every state in order; what slower digits join is worked out once for all faster ones."""
    pairs = [[[(frame.lug(a), frame.lug(b)) for a, b in closes] for closes in digit.closes] for digit in digits]

    def deeper(level: int, so_far: list[int]) -> Iterator[tuple[int, ...]]:
        if level == len(pairs):
            yield tuple(so_far)
            return
        for joins in pairs[level]:
            yield from deeper(level + 1, merged(frame.size, joins, so_far) if joins else so_far)

    yield from deeper(0, merged(frame.size, frame.joined))
