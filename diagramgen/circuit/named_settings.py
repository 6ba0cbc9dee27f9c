"""States, knobs and outputs by the names a person gives them, made whole: ``toggle`` for ``selector.toggle``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagramgen.circuit.outputs import Output, contacts
from diagramgen.circuit.states import StateSpace, state_space
from diagramgen.circuit.values import knobs_of
from diagramgen.kernel.diagnostics import nearest
from diagramgen.kernel.errors import UnknownName, WrongValue
from diagramgen.kernel.folding import folded
from diagramgen.model.build import Build
from diagramgen.model.output_names import names


def pairs_in(texts: Iterable[str], what: str) -> dict[str, str]:
    """``selector=up, volume=down`` as pairs in small letters.

    Parameters: texts - of several the later pair of one name counts; what - ``position`` or ``knob``, for the message.
    Raises ``WrongValue`` for a piece that is no pair.
    """
    found: dict[str, str] = {}
    for text in texts:
        for piece in text.split(","):
            if not piece.strip():
                continue
            key, sign, value = piece.partition("=")
            if not sign or not key.strip() or not value.strip():
                raise WrongValue(f"'{piece.strip()}' is no {what}. Write it like selector=up.")
            found[folded(key)] = folded(value)
    return found


def positions_named(build: Build, typed: Mapping[str, str]) -> dict[str, str]:
    """Where controls stand, with the names of controls and positions made whole.

    Parameters: typed - name of a control or its part -> position, or the word a player says for it; small letters.
    Raises ``UnknownName`` for a control or position there is none of.
    """
    digits = state_space(build, all_plugs=True).switches
    known_keys = {key: (digit, i) for digit in digits for i, key in enumerate(digit.keys)}
    for digit in digits:
        for i, key in enumerate(digit.keys):
            known_keys.setdefault(key.partition(".")[0], (digit, i))
    found = {}
    for key, word in typed.items():
        if key not in known_keys:
            switches = [name for name, (digit, _) in known_keys.items() if digit.kind != "plug"]
            raise UnknownName(f"there is no switching control '{key}'. "
                              f"{nearest(key, switches) or 'Nothing is switched here: leave it out.'}")
        digit, i = known_keys[key]
        known = {p[i].lower(): p[i] for p in digit.positions}
        if len(digit.keys) == 1:
            known.update({w.lower(): p[i] for w, p in zip(digit.words, digit.positions, strict=True)})
        if word not in known:
            raise UnknownName(f"'{key}' has no position '{word}'. {nearest(word, known)}")
        found[digit.keys[i]] = known[word]
    return found


def states_named(build: Build, typed: Iterable[Mapping[str, str]], solved: StateSpace | None) -> list[dict[str, str]]:
    """States, each as ``positions_named`` takes it.

    ``solved``: those that were solved, among which they must be. Raises ``UnknownName``.
    """
    held = [positions_named(build, one) for one in typed]
    for one in held if solved is not None else ():
        assert solved is not None
        solved.select(dict(one))
    return held


def output_named(build: Build, typed: str) -> Output | None:
    """The output that is named (``output``, ``output.ring``), None for ''. Raises ``UnknownName``."""
    name = typed.strip().lower()
    if not name:
        return None
    found = next((one for one in contacts(build) if name in (one.named, one.lug)), None)
    if found is None:
        raise UnknownName(f"'{typed}' is no output. {nearest(name, list(names(build.parts)))}")
    return found


def turns_named(build: Build, typed: Mapping[str, str]) -> dict[str, float]:
    """Where knobs stand as ``part.control`` -> 0..10.

    Parameters: typed - name of a knob or its part -> a number as text.
    Raises ``UnknownName`` for a knob there is none of, ``WrongValue`` for what is no number from 0 to 10.
    """
    known = knobs_of(build)
    found = {}
    for key, text in typed.items():
        own = [k for k in known if k == key or k.partition(".")[0] == key]
        if not own:
            known_names = [*known, *(k.partition(".")[0] for k in known)]
            raise UnknownName(f"there is no knob '{key}'. {nearest(key, known_names)}")
        try:
            turn = float(text)
        except ValueError:
            turn = -1.0
        if not 0 <= turn <= 10:
            raise WrongValue(f"'{key}' stands at 0 to 10, not at '{text}'.")
        found.update(dict.fromkeys(own, turn))
    return found
