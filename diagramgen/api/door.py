"""What a call is given, looked at before anything is done with it: one plain sentence where it will not do.

What is of a wrong type raises ``TypeError``; a name there is none of ``UnknownName``; a figure out of its range
``WrongValue``.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

from diagramgen.analysis import Analysis
from diagramgen.kernel.errors import NotAvailable, NotProved, WrongValue, known_name
from diagramgen.kernel.units import number

AnyPath = str | os.PathLike[str]
Data = bytes | str
"""The contents of a build file."""
Positions = Mapping[str, str] | str
"""Where switches stand: ``{"selector": "up"}`` or ``"selector=up, volume=down"``."""
Turns = Mapping[str, float] | str
"""Where knobs stand, 0 to 10: ``{"volume": 7}`` or ``"volume=7"``."""


def path_of(given: Any, name: str) -> Path:
    """The path. Raises ``TypeError`` for anything but a text or a ``Path``."""
    said = os.fspath(given) if isinstance(given, os.PathLike) else given
    if not isinstance(said, str):
        raise TypeError(f"{name} takes a path, a text or a Path, not {kind_of(given)}")
    return Path(said)


def file_of(given: Any, name: str) -> Path | None:
    """The path, None for None."""
    return None if given is None else path_of(given, name)


def folder_of(given: Any, name: str = "symbols") -> Path | None:
    """The folder, None for None. Raises ``WrongValue`` where there is no such folder."""
    if given is None:
        return None
    folder = path_of(given, name)
    if not folder.is_dir():
        raise WrongValue(f"{name}: there is no folder '{folder}'")
    return folder


def bytes_of(given: Any) -> bytes | None:
    """The bytes of a build as given: bytes, or a text. Raises ``TypeError`` for anything else but None."""
    if given is None or isinstance(given, bytes):
        return given
    if isinstance(given, bytearray | memoryview):
        return bytes(given)
    if isinstance(given, str):
        # Half a letter is no text: the reader says where it stands.
        return given.encode("utf-8", "surrogatepass")
    raise TypeError(f"data is the text of a build or its bytes, not {kind_of(given)}")


def analysis_of(given: Any) -> Analysis:
    """The analysis. Raises ``TypeError`` for anything else, such as the path it was read from."""
    if not isinstance(given, Analysis):
        raise TypeError(f"analysis is what diagramgen.solve or diagramgen.read gives, not {kind_of(given)}")
    return given


def laid_out(given: Any, anyway: bool) -> Analysis:
    """The analysis of a build that sheets can be made of.

    Raises ``NotProved`` for errors, unless it is wanted ``anyway``; ``NotAvailable`` for one that was only read.
    """
    analysis = analysis_of(given)
    if (analysis.has_errors and not anyway) or analysis.build is None:
        raise NotProved(analysis.problems)
    if analysis.layout is None:
        raise NotAvailable("the build was only read: give what diagramgen.solve gives")
    return analysis


def text_of(given: Any, name: str) -> str:
    """The text. Raises ``TypeError`` for anything else."""
    if not isinstance(given, str):
        raise TypeError(f"{name} is a text, not {kind_of(given)}")
    return given


def texts_of(given: Any, name: str) -> tuple[str, ...]:
    """One text or several as a tuple. Raises ``TypeError`` for anything else."""
    if isinstance(given, str):
        return (given,)
    if not isinstance(given, Iterable) or isinstance(given, bytes | Mapping):
        raise TypeError(f"{name} is one text or several, not {kind_of(given)}")
    found = tuple(given)
    for one in found:
        if not isinstance(one, str):
            raise TypeError(f"{name} is one text or several; {kind_of(one)} is among them")
    return found


def names_of(given: Any, names: Collection[str], what: str, name: str) -> tuple[str, ...]:
    """One name or several. Raises ``UnknownName`` with the nearest where there is none such."""
    return tuple(known_name(one, names, what) for one in texts_of(given, name))


def paper_of(given: Any) -> str:
    """The name of a paper in small letters; '' for none. Raises ``UnknownName``."""
    from diagramgen.kernel.paper import PRINTED

    paper = text_of(given, "paper").strip().lower()
    return known_name(paper, PRINTED, "paper") if paper else ""


def number_of(given: Any, name: str, least: float, most: float, unit: str = "") -> float:
    """The number. Raises ``TypeError`` for what is none, ``WrongValue`` out of the range."""
    if isinstance(given, bool) or not isinstance(given, int | float):
        raise TypeError(f"{name} is a number, not {kind_of(given)}")
    if not least <= given <= most:
        raise WrongValue(f"{name} is from {number(least, 2)} to {number(most, 2)}{unit}, not {given:g}")
    return float(given)


def pair_of(given: Any, name: str, least: float, most: float, unit: str = " mm") -> tuple[float, float]:
    """Two numbers. Raises ``TypeError`` and ``WrongValue``."""
    if isinstance(given, str) or not isinstance(given, Collection) or len(given) != 2:
        raise TypeError(f"{name} is two numbers, not {kind_of(given)}")
    one, other = given
    return number_of(one, name, least, most, unit), number_of(other, name, least, most, unit)


def positions_of(given: Any, name: str = "state") -> dict[str, str]:
    """Where switches stand, as typed, in small letters. Raises ``TypeError`` and ``WrongValue``."""
    from diagramgen.circuit.named_settings import pairs_in
    from diagramgen.kernel.folding import folded

    if isinstance(given, str):
        return pairs_in((given,), "position")
    if not isinstance(given, Mapping):
        raise TypeError(f"{name} is pairs of control and position, such as selector=up, not {kind_of(given)}")
    return {folded(text_of(key, "a control")): folded(text_of(word, f"the position of '{key}'"))
            for key, word in given.items()}


def several_positions(given: Any, name: str = "states") -> list[dict[str, str]]:
    """One state or several, each as ``positions_of`` takes it."""
    if isinstance(given, str | Mapping):
        return [positions_of(given, name)]
    if not isinstance(given, Iterable) or isinstance(given, bytes):
        raise TypeError(f"{name} is one state or several, such as selector=up, not {kind_of(given)}")
    return [positions_of(one, f"each of {name}") for one in given]


def turns_of(given: Any, name: str = "knobs") -> dict[str, str]:
    """Where knobs stand, as typed. Raises ``TypeError`` and ``WrongValue``."""
    from diagramgen.circuit.named_settings import pairs_in
    from diagramgen.kernel.folding import folded

    if isinstance(given, str):
        return pairs_in((given,), "knob")
    if not isinstance(given, Mapping):
        raise TypeError(f"{name} is pairs of knob and 0 to 10, such as volume=7, not {kind_of(given)}")
    found = {}
    for key, turn in given.items():
        if isinstance(turn, bool) or not isinstance(turn, int | float | str):
            raise TypeError(f"'{key}' stands at a number from 0 to 10, not at {kind_of(turn)}")
        found[folded(text_of(key, "a knob"))] = turn.strip() if isinstance(turn, str) else f"{turn:g}"
    return found


def several_turns(given: Any, name: str = "knobs") -> list[dict[str, str]]:
    """One setting of the knobs or several, each as ``turns_of`` takes it."""
    if isinstance(given, str | Mapping):
        return [turns_of(given, name)]
    if not isinstance(given, Iterable) or isinstance(given, bytes):
        raise TypeError(f"{name} is one setting or several, such as volume=7, not {kind_of(given)}")
    return [turns_of(one, f"each of {name}") for one in given]


def kind_of(given: Any) -> str:
    """What something is, as a sentence says it: ``None``, ``a list``, ``an int``."""
    if given is None:
        return "None"
    word = type(given).__name__
    return f"{'an' if word[0].lower() in 'aeiou' else 'a'} {word}"
