"""Inputs for fuzz.py: grown from seeds by mutations of their tree, by generators, and by mutations of bytes."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from mutations import OPERATIONS, Tree, mutant, node_at, spots, tree_of, written

NUMBERS = ("0", "-0", "1", "-1", "1.5", ".5", "5.", "1e3", "1e999", "-1e-999", "9" * 30, "0x10", "nan", "inf",
           "1_000", "1,5", "³", "٣", "1/0", "1/3 in", "1 1/2 in", "3000", "3001", "0." + "0" * 40 + "1")
WORDS = ("unknown", "yes", "no", "~", "null", "true", "", " ", "'", '"', "#", "- a", "a: b", "[a]", "{a: b}",
         "&a", "*a", "!!int 1", "<<", "é", "Ω", "\u202e", "\ufeff", "\U0001f3b8", "\x7f", "a" * 300,
         "a b c", "../x.svg", "/etc/passwd", "C:\\x", "CON", "prices/lantern-lane.yaml", "results/baritone.yaml",
         "baritone.yaml", "crossed.svg")
LEADS = ("->", "a.b -> c.d", "volume.ten -> tone.ten, RD", "x", "unknown -> a.b", ", bare", ", shielded", ", via 3 4",
         ", tag W01", ", twisted with W02", ", gauge 24 AWG", ", length 3 m", "a.b -> c.d -> e.f")
VALUES = ("500k", "500k log", "22n", "4.5 H", "9 V", "4k7", "473", "38 mm", "3/8 in", "2.2M 10%", "0.5 mA", "1 kHz")
_SIGNS = ("k", "K", "M", "m", "u", "µ", "μ", "n", "p", "R", "r", "L", "H", "F", "Ω", "ohm", "ohms", "meg",
          "Hz", "V", "A", "mm", "cm", "m", "in", "inch", '"', "″", "%", "/", " ", ".", ",", "-", "+", "e",
          "\n", "\0", "−", "–", "٣", "²")
_ELEMENTS = ("path", "rect", "circle", "ellipse", "polygon", "polyline", "g", "svg", "defs", "use", "script",
             "style", "text", "a", "image", "symbol")
_COMMANDS = "MmLlHhVvCcSsQqTtAaZz"


class Grower:
    """Grows inputs of one kind."""

    def __init__(self, kind: str, seeds: Sequence[bytes], dice: random.Random):
        self.dice, self.seeds = dice, list(seeds)
        trees = [tree_of(seed.decode("utf-8", "replace")) for seed in seeds] if kind not in ("value", "svg") else []
        self.trees = [tree for tree in trees if tree is not None and tree.keys]
        self.kind = kind

    def grow(self, pool: Sequence[bytes]) -> bytes:
        """One more input."""
        dice = self.dice
        if self.kind == "value":
            return self._of_pool(pool, self._value)
        if self.kind == "svg":
            return self._of_pool(pool, self._svg)
        if dice.random() < 0.08:
            return mauled(dice.choice(pool or self.seeds), dice)
        tree = tree_of(dice.choice(pool).decode("utf-8", "replace")) if pool and dice.random() < 0.4 else None
        tree = tree if tree is not None and tree.keys else dice.choice(self.trees)
        if self.kind == "build" and dice.random() < 0.45:
            return written(gentle(tree, dice)).encode("utf-8", "replace")
        for _ in range(dice.choice((1, 1, 1, 2, 2, 3, 6))):
            ways = list(spots(tree))
            if not ways:
                break
            way = dice.choice(ways)
            tree = self._changed(tree, way) if dice.random() < 0.6 else mutant(tree, way, dice.choice(OPERATIONS), dice)
        text = written(tree).encode("utf-8", "replace")
        return mauled(text, dice) if dice.random() < 0.05 else text

    def _of_pool(self, pool: Sequence[bytes], make: Callable[[], bytes]) -> bytes:
        dice = self.dice.random()
        if dice < 0.35:
            return mauled(self.dice.choice(pool or self.seeds), self.dice)
        return make()

    def _changed(self, tree: Tree, way: tuple[int, ...]) -> Tree:
        """The tree with a scalar made new, or a piece of another tree grafted in."""
        dice, new = self.dice, tree.copy()
        parent = node_at(new, way[:-1])
        assert parent.items is not None
        choice = dice.random()
        if choice < 0.2 and self.trees:
            other = dice.choice(self.trees)
            far = dice.choice(list(spots(other)))
            parent.items[way[-1]] = node_at(other, far).copy()
        elif choice < 0.3 and parent.keys is not None:
            other = dice.choice(self.trees)
            at = dice.randrange(len(other.keys or ("",)))
            parent.keys.append((other.keys or ["x"])[at])
            parent.items.append((other.items or [Tree("")])[at].copy())
        else:
            parent.items[way[-1]] = Tree(self._scalar(parent.items[way[-1]].text or ""))
        return new

    def _scalar(self, text: str) -> str:
        dice = self.dice
        made = dice.choice((NUMBERS, WORDS, LEADS, VALUES))
        choice = dice.random()
        if choice < 0.5:
            return dice.choice(made)
        at = dice.randrange(len(text) + 1)
        if choice < 0.8:
            return text[:at] + dice.choice(made) + text[at:]
        return text[:at] + dice.choice(made) + text[at + dice.randrange(1, 9):]

    def _value(self) -> bytes:
        dice = self.dice
        number = dice.choice((str(dice.randrange(10**dice.randrange(1, 9))), f"{dice.random() * 100:.3g}",
                              dice.choice(NUMBERS), dice.choice(VALUES)))
        text = number + "".join(dice.choice(_SIGNS) for _ in range(dice.randrange(4)))
        if dice.random() < 0.4:
            text += str(dice.randrange(1000))
        return text.encode("utf-8", "replace")

    def _svg(self) -> bytes:
        inside = "".join(self._element(0) for _ in range(self.dice.randrange(1, 4)))
        return f'<svg xmlns="http://www.w3.org/2000/svg">{inside}</svg>'.encode()

    def _element(self, depth: int) -> str:
        dice = self.dice
        tag = dice.choice(_ELEMENTS if dice.random() < 0.3 else ("path", "path", "g", "rect", "polygon"))
        said = {"path": f'd="{self._path()}"', "polygon": f'points="{self._numbers(8)}"',
                "polyline": f'points="{self._numbers(8)}"',
                "rect": f'x="{self._number()}" width="{self._number()}" height="{self._number()}" '
                        f'rx="{self._number()}"',
                "circle": f'r="{self._number()}"',
                "ellipse": f'rx="{self._number()}" ry="{self._number()}"'}.get(tag, "")
        if dice.random() < 0.3:
            name = dice.choice(("matrix", "translate", "scale", "rotate", "skewX", "warp"))
            said += f' transform="{name}({self._numbers(dice.choice((1, 2, 3, 6)))})"'
        inner = "".join(self._element(depth + 1) for _ in range(dice.randrange(3))) if tag == "g" and depth < 4 else ""
        return f"<{tag} {said}>{inner}</{tag}>"

    def _path(self) -> str:
        dice = self.dice
        count = {"H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "A": 7, "Z": 0}
        words = ["M 0 0"]
        for _ in range(dice.randrange(1, 12)):
            command = dice.choice(_COMMANDS)
            wanted = count.get(command.upper(), 2) + (dice.randrange(-1, 2) if dice.random() < 0.05 else 0)
            words.append(command + self._numbers(max(0, wanted)))
        return " ".join([*words, dice.choice(("Z", "Z", "Z", ""))])

    def _numbers(self, count: int) -> str:
        return " ".join(self._number() for _ in range(count))

    def _number(self) -> str:
        dice = self.dice
        odd = ("0", "1e9", "1e-9", "-1e5", "999999", "1e400", "nan", "", "1")
        return dice.choice(odd) if dice.random() < 0.08 else f"{dice.uniform(-20, 100):.{dice.randrange(4)}f}"


def gentle(tree: Tree, dice: random.Random) -> Tree:
    """The build with leads left out, led elsewhere or doubled: mostly still a build, and so one that is solved."""
    new = tree.copy()
    leads = next((item for key, item in zip(new.keys or (), new.items or (), strict=True) if key == "leads"), None)
    lines = [t for t in (leads.items or () if leads else ()) if t.text and t.text.count("->") == 1]
    ends = [end.split(",")[0].strip() for t in lines for end in (t.text or "").split("->")]
    for _ in range(dice.choice((1, 1, 2, 4, 12))):
        if leads is None or not leads.items or not lines:
            break
        choice = dice.randrange(4)
        if choice == 0:
            del leads.items[dice.randrange(len(leads.items))]
        elif choice == 1:
            leads.items.append(Tree(f"{dice.choice(ends)} -> {dice.choice(ends)}"))
        else:
            line = dice.choice(lines)
            line.text = (line.text or "").replace(dice.choice(ends), dice.choice(ends), 1)
    return new


def mauled(data: bytes, dice: random.Random) -> bytes:
    """The bytes with a few of them lost, doubled, exchanged or made others."""
    for _ in range(dice.choice((1, 1, 2, 4))):
        at = dice.randrange(len(data) + 1)
        length = dice.choice((1, 1, 2, 8, 40))
        choice = dice.randrange(6)
        if choice == 0:
            data = data[:at] + data[at + length:]
        elif choice == 1:
            data = data[:at] + data[at:at + length] + data[at:]
        elif choice == 2:
            data = data[:at] + bytes(dice.randrange(256) for _ in range(min(length, 4))) + data[at + length:]
        elif choice == 3:
            data = data[:at] + dice.choice((*NUMBERS, *WORDS, *LEADS)).encode("utf-8", "replace") + data[at:]
        elif choice == 4:
            other = dice.randrange(len(data) + 1)
            data = data[:at] + data[other:other + length] + data[at + length:]
        elif data:
            at = min(at, len(data) - 1)
            data = data[:at] + bytes([data[at] ^ 1 << dice.randrange(8)]) + data[at + 1:]
    return data[:200_000]
