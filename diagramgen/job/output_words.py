"""What the outputs of a build are called on paper: the jack, and its tip or ring where both carry a signal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagramgen.circuit.outputs import Output, named, outputs
from diagramgen.circuit.rules.batteries import Currents
from diagramgen.circuit.values import elements_of
from diagramgen.model.build import Build


def output_words(build: Build, output: Output, every: Sequence[Output] | None = None) -> str:
    """``piezo out``; ``output, ring`` where the jack has two outputs. ``every``: the outputs, where they are known."""
    both = sum(one.jack == output.jack for one in (outputs(build) if every is None else every)) > 1
    says = jack_words(build, output.jack)
    return f"{says}, {output.contact}" if both or output.contact != "tip" else says


def at_words(build: Build, lug: str) -> str:
    """``at piezo out`` for the output of a lug that a wanted sound names; '' where it names none, or none there is."""
    output = named(build, lug) if lug else None
    return f"at {output_words(build, output)}" if output is not None else ""


def jack_words(build: Build, jack: str) -> str:
    """What a jack is called by people who do not read the file."""
    says = build.parts[jack].says
    return says.replace("-", " ") if says == jack else says


def plug_of(build: Build, output: Output) -> str:
    """``the plug``, or with several outputs ``a stereo plug in output``, ``the plug in piezo out``."""
    if len(outputs(build)) < 2:
        return "the plug"
    return f"{'a stereo' if output.plug == 'stereo' else 'the'} plug in {jack_words(build, output.jack)}"


def plug_words(build: Build) -> Iterator[str]:
    """Which plugs an instrument with several outputs wants, and which of them switch its battery on."""
    every = outputs(build)
    for output in every:
        if output.contact == "ring":
            yield (f"{capital(output_words(build, output, every))}: heard only with a stereo cable to two inputs; a "
                   "mono plug shorts it to ground.")
    on = switching_jacks(build)
    if on and len({one.jack for one in every}) > 1:
        where = " or ".join(jack_words(build, jack) for jack in on)
        yield f"The battery is on while a plug is in {where}: pull every plug out when you do not play."


def switching_jacks(build: Build) -> tuple[str, ...]:
    """Jacks of which a plug in alone switches the battery on, while it is off with every plug out."""
    if not any(True for _ in elements_of(build, "cell")):
        return ()
    currents = Currents(build)
    return tuple(jack for jack in currents.jacks
                 if not currents.of({}) and any(currents.of({jack: word}) for word in ("mono", "stereo")))


def mono_jacks(build: Build) -> tuple[str, ...]:
    """Jacks in which a mono plug switches the battery on and a stereo plug does not."""
    if not any(True for _ in elements_of(build, "cell")):
        return ()
    currents = Currents(build)
    return tuple(jack for jack in currents.jacks if currents.of({jack: "mono"}) and not currents.of({jack: "stereo"}))


def mono_words(build: Build) -> Iterator[str]:
    """Which jacks want a mono plug, for whoever plays the instrument."""
    several = len({one.jack for one in outputs(build)}) > 1
    for jack in mono_jacks(build):
        yield (f"Use a mono plug{f' in {jack_words(build, jack)}' if several else ''}: a stereo plug leaves the "
               "battery off, and what needs it is dead.")


def capital(text: str) -> str:
    """With a capital first letter."""
    return text[:1].upper() + text[1:]
