"""The states of a build: one position for every switching control, in the order a person steps through them.

States are counted in mixed radix, each ``Switch`` a digit with as many values as positions: the plug turns slowest
(mono plug first), then momentary buttons, then switches by their number of positions, so that the selector with most
positions turns fastest. Controls that move together are one switch, and so are the controls of a part that has words
for their combinations (modes).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.contacts import keys_of, positions_of, switching
from diagramgen.circuit.netlist import NetlistTemplate
from diagramgen.circuit.outputs import LOADED, Output, Plugs, loading
from diagramgen.kernel.diagnostics import nearest
from diagramgen.kernel.errors import NotAvailable, UnknownName
from diagramgen.model.build import Build, Part

LIMIT = 100_000
"""More states than this ask for a selection."""
PLUG_ORDER = ("mono", "stereo", "out")


class TooMany(NotAvailable):
    """More states than are solved at once."""


@dataclass(frozen=True)
class Switch:
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
class StateSpace:
    """All states of a build: numbers in mixed radix, the slowest switch first."""

    switches: tuple[Switch, ...]

    @property
    def count(self) -> int:
        """How many states there are; 1 for a build without switches."""
        total = 1
        for switch in self.switches:
            total *= len(switch.positions)
        return total

    def numbers(self, index: int) -> tuple[int, ...]:
        """The position of every switch in state ``index``."""
        found = []
        for switch in reversed(self.switches):
            index, at = divmod(index, len(switch.positions))
            found.append(at)
        return tuple(reversed(found))

    def state(self, index: int) -> dict[str, str]:
        """State ``index``: key -> position."""
        found: dict[str, str] = {}
        for switch, at in zip(self.switches, self.numbers(index), strict=True):
            found.update(zip(switch.keys, switch.positions[at], strict=True))
        return found

    def momentary(self, index: int) -> tuple[str, ...]:
        """Keys of momentary controls that are held in this state."""
        return tuple(key for switch, at in zip(self.switches, self.numbers(index), strict=True)
                     if switch.kind == "momentary" and at for key in switch.keys)

    def plug(self, index: int) -> str:
        """Where the plugs are that change something: ``mono`` where none does, ``mixed`` where they are not alike."""
        return self.plug_at(self.numbers(index))

    def plug_at(self, numbers: Sequence[int]) -> str:
        """As ``plug``, for these positions."""
        found = {word for _, word in self.plugs_at(numbers)}
        return "mono" if not found else found.pop() if len(found) == 1 else "mixed"

    def plugs_at(self, numbers: Sequence[int]) -> Plugs:
        """Where the plug of each jack is that changes something, for these positions."""
        return tuple((key.partition(".")[0], word) for switch, at in zip(self.switches, numbers, strict=True)
                     if switch.kind == "plug" for key, word in zip(switch.keys, switch.positions[at], strict=True)
                     if word in PLUG_ORDER)

    def plugs(self, index: int) -> Plugs:
        """Where the plug of each jack is that changes something in state ``index``."""
        return self.plugs_at(self.numbers(index))

    def index(self, numbers: Sequence[int]) -> int:
        """The state with these positions of the switches."""
        index = 0
        for switch, at in zip(self.switches, numbers, strict=True):
            index = index * len(switch.positions) + at
        return index

    def plugged(self, numbers: Sequence[int], plugs: Mapping[str, str]) -> tuple[int, ...]:
        """The same positions with the plugs of these jacks elsewhere; where a jack has no such position it stays."""
        def stands(switch: Switch, at: int) -> int:
            word = plugs.get(switch.jack) if switch.kind == "plug" else None
            return next((i for i, p in enumerate(switch.positions) if word in p), at)

        return tuple(stands(switch, at) for switch, at in zip(self.switches, numbers, strict=True))

    def for_output(self, numbers: Sequence[int], output: Output) -> tuple[int, ...]:
        """The same positions with the plug of an output in its jack and a mono plug in every other."""
        jacks = (d.jack for d in self.switches if d.kind == "plug")
        return self.plugged(numbers, {jack: output.plug if jack == output.jack else "mono" for jack in jacks})

    def plays(self, index: int, output: Output) -> bool:
        """Whether an output is met as it is played: its own plug in, a mono plug in other jacks, no button held."""
        return output.own(dict(self.plugs(index))) and not self.momentary(index)

    def select(self, wanted: Mapping[str, str | Sequence[str]]) -> StateSpace:
        """The states with the named controls at the named position or positions.

        Raises ``UnknownName`` for controls and positions that do not exist.
        """
        switches = list(self.switches)
        for key, words in wanted.items():
            allowed = [words] if isinstance(words, str) else list(words)
            at = next((i for i, d in enumerate(switches) if key in d.keys), None)
            if at is None:
                keys = [k for d in switches for k in d.keys]
                raise UnknownName(f"there is no switching control '{key}'. "
                                  f"{nearest(key, keys) or 'Nothing is switched here: leave it out.'}")
            switches[at] = _narrowed(switches[at], key, allowed)
        return StateSpace(tuple(switches))

    def each(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Every state with its number. Raises ``TooMany`` above the limit."""
        self.limit()
        for index in range(self.count):
            yield index, self.state(index)

    def limit(self, most: int = LIMIT) -> None:
        """Raise ``TooMany`` where there are more states than ``most``."""
        if self.count > most:
            names = ", ".join(d.keys[0] for d in self.switches)
            raise TooMany(f"{self.count} states are more than {most}; hold some controls still. Controls: {names}")


def _narrowed(switch: Switch, key: str, allowed: Sequence[str]) -> Switch:
    column = switch.keys.index(key)
    known = [p[column] for p in switch.positions]
    for word in allowed:
        if word not in known:
            raise UnknownName(f"'{key}' has no position '{word}'. {nearest(word, known)}")
    kept = [i for i, word in enumerate(known) if word in allowed]
    return Switch(switch.keys, tuple(switch.positions[i] for i in kept), switch.kind,
                 tuple(switch.closes[i] for i in kept), tuple(switch.words[i] for i in kept),
                 tuple(switch.inner[i] for i in kept) if switch.inner else ())


def state_space(build: Build, all_plugs: bool = False) -> StateSpace:
    """List the switches of a build in the order a player steps through its states.

    Parameters: all_plugs - whether a jack whose plug changes nothing counts as well: its contacts never change, and
    cable and amplifier on it load no output of another jack.
    """
    joined = {name: group for group in build.together for name in group}
    switches: list[Switch] = []
    done: set[tuple[str, ...]] = set()
    for part in build.parts.values():
        for switch, members in _switches_of(part):
            group = next((joined[m] for m in members if m in joined), None)
            if group is not None:
                if group not in done:
                    done.add(group)
                    switches += _together(build, group)
            elif switch.kind != "plug" or all_plugs or len(set(switch.closes)) > 1:
                switches.append(switch)
            elif part.name in loading(build):
                switches.append(_loads(part, switch))
    rank = {"plug": 0, "momentary": 1, "switch": 2}
    order = sorted(range(len(switches)), key=lambda i: (rank[switches[i].kind], len(switches[i].positions), -i))
    return StateSpace(tuple(switches[i] for i in order))


def _loads(part: Part, switch: Switch) -> Switch:
    """A plug that closes nothing and loads: each position that loads other contacts once."""
    lugs = part.symbol.lug_names()
    found = {tuple(c for c in LOADED.get(p[0], ()) if c in lugs): p[0] for p in reversed(switch.positions)}
    return _narrowed(switch, switch.keys[0], tuple(found.values()))


def _switches_of(part: Part) -> Iterator[tuple[Switch, tuple[str, ...]]]:
    """The switches of one part, each with its controls as ``part.control``."""
    names = switching(part)
    key = keys_of(part)[0] if names else ""
    if len(names) > 1 and part.symbol.modes:
        words = positions_of(part, key)
        modes = part.symbol.modes
        closes = tuple(tuple(pair for n in names for pair in _closes(part, n, modes[w].get(n, ""))) for w in words)
        inner = tuple(tuple((f"{part.name}.{n}", modes[w].get(n, "")) for n in names) for w in words)
        switch = Switch((key,), tuple((w,) for w in words), "switch", closes, words, inner)
        yield switch, tuple(f"{part.name}.{n}" for n in names)
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
        yield (Switch((key if len(names) == 1 else full,), tuple((p,) for p in positions), kind,
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


def _together(build: Build, group: Sequence[str]) -> Iterator[Switch]:
    """The switching controls of a group as one switch; by themselves where their positions differ in number."""
    found = [switch for name in dict.fromkeys(g.partition(".")[0] for g in group) if name in build.parts
             for switch, members in _switches_of(build.parts[name]) if any(m in group for m in members)]
    if not found:
        return
    count = len(found[0].positions)
    if any(len(d.positions) != count for d in found):
        yield from found
        return
    kinds = {d.kind for d in found}
    yield Switch(
        tuple(k for d in found for k in d.keys),
        tuple(tuple(w for d in found for w in d.positions[i]) for i in range(count)),
        "plug" if "plug" in kinds else "momentary" if kinds == {"momentary"} else "switch",
        tuple(tuple(pair for d in found for pair in d.closes[i]) for i in range(count)),
        tuple(", ".join(d.words[i] for d in found) for i in range(count)),
        tuple(tuple(pair for d in found if d.inner for pair in d.inner[i]) for i in range(count)),
    )


def classes_of(template: NetlistTemplate, switches: Sequence[Switch], numbers: Sequence[int]) -> list[int]:
    """Join the nets of a template that contacts join.

    Parameters: numbers - the position of each of the switches.
    Returns: net -> its class, the smallest net it is joined with.
    """
    pairs = [*template.joined]
    for switch, at in zip(switches, numbers, strict=True):
        pairs += [(template.lug(a), template.lug(b)) for a, b in switch.closes[at]]
    return merged(template.size, pairs)


def each_classes(template: NetlistTemplate, switches: Sequence[Switch]) -> Iterator[tuple[int, ...]]:
    """Give ``classes_of`` every state in order; what slower switches join is worked out once for all faster ones."""
    pairs = [[[(template.lug(a), template.lug(b)) for a, b in closes] for closes in switch.closes]
             for switch in switches]

    def deeper(level: int, so_far: list[int]) -> Iterator[tuple[int, ...]]:
        if level == len(pairs):
            yield tuple(so_far)
            return
        for joins in pairs[level]:
            yield from deeper(level + 1, merged(template.size, joins, so_far) if joins else so_far)

    yield from deeper(0, merged(template.size, template.joined))
