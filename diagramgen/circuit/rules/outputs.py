"""What the outputs of a build do to one another: a jack that gives nothing, a ring that a mono plug shorts, an output
that needs the plug of another."""

from __future__ import annotations

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import NetlistTemplate, template_of
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateResult, StateTable, state_table
from diagramgen.circuit.values import elements_of, knobs_of, lug_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build, Part

CIR_223 = Code(
    "CIR-223", Severity.ERROR, "A signal and the battery share the ring of a jack: a mono plug, which joins ring and "
    "sleeve, mutes the signal, and a stereo plug leaves the battery off",
    text="A signal alone on the ring is CIR-226.",
    advice="Switch the battery with a pair of contacts of its own, or give the signal a jack of its own.", was="C223")
CIR_225 = Code(
    "CIR-225", Severity.WARNING, "A build with several jacks has one at which nothing is heard in any state, with any "
    "knob at 0, 5 or 10", was="C225")
CIR_226 = Code(
    "CIR-226", Severity.NOTE, "What is on the ring of a jack is heard with a stereo plug only; a mono plug shorts it "
    "to the sleeve",
    text="That is an ordinary wiring, say a magnetic pickup on the tip and a transducer on the ring.",
    advice="It wants a stereo cable to two inputs; tell the player. For mono cables give it a jack of its own.",
    was="C226")
CIR_227 = Code(
    "CIR-227", Severity.WARNING, "What is on the ring of a jack is joined to the tip, so that a mono plug, which "
    "shorts the ring, silences coils at the tip as well",
    advice="What is on the ring is joined to the tip: part the two, or keep to a stereo cable.", was="C227")
CIR_228 = Code(
    "CIR-228", Severity.WARNING, "A mono plug shorts the output of a board that is on the ring",
    advice="Whether the board stands that its own sheet says; it may draw more current meanwhile. Use a stereo cable "
           "only, or give it a jack of its own.", was="C228")
CIR_229 = Code(
    "CIR-229", Severity.WARNING, "An output gives nothing while the plug of another jack is out, most often because "
    "that plug switches the battery of its board",
    advice="If it is meant, tell the player; else switch the battery with either plug.", was="C229")

FEW = 2000
"""States up to which an output is looked for with every knob at 0, 5 and 10."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Say what is true of outputs beyond the tip of the first jack."""
    if any(not result.silent for result in found.results):
        _nothing(found, say)
    here = template_of(found.build)
    for output in found.outputs:
        if output.contact == "ring":
            _ring(found, here, output, say)
    if found.several:
        _needs(found, say)


def _nothing(found: StateTable, say: Diagnostics) -> None:
    """Jacks at which nothing is heard in any state, with every knob at 0, 5 and 10."""
    for jack in jacks(found.build):
        own = [one for one in found.outputs if one.jack == jack.name]
        if len(jacks(found.build)) > 1 and not any(_sounds(found, one) for one in own):
            say.add(CIR_225, jack.place, f"nothing is heard at {jack.name} in any state",
                    f"Follow the signal from its tip back to a coil; the others sound at {_rest(found, jack)}.")


def _rest(found: StateTable, jack: Part) -> str:
    return " and ".join(one.says for one in found.outputs if one.jack != jack.name and _sounds(found, one))


def _sounds(found: StateTable, output: Output) -> bool:
    """Whether an output gives anything in some state."""
    def heard(one: StateTable) -> bool:
        return any(not result.at(output).sound.silent for result in one.results)

    return heard(found) or (found.count <= FEW and any(
        heard(state_table(found.build, {knob: turn})) for knob in knobs_of(found.build) for turn in (0.0, 5.0)))


def _ring(found: StateTable, here: NetlistTemplate, output: Output, say: Diagnostics) -> None:
    """What a mono plug does to a signal on a ring, which it joins to the sleeve."""
    jack = found.build.parts[output.jack]
    lost: dict[str, None] = {}
    dragged: tuple[list[str], str] | None = None
    for result in found.results:
        if not found.space.plays(result.first, output):
            continue
        lost.update(dict.fromkeys(h.coil for h in result.at(output).sound.sounding))
        numbers = found.space.plugged(found.space.numbers(result.first), {output.jack: "mono"})
        mono = found.result(found.space.index(numbers))
        if any(one.output == output for one in mono.heard):
            return
        gone = [coil for one in result.heard if one.output != output
                for coil in _coils(result, one.output) if coil not in _coils(mono, one.output)]
        if gone and dragged is None:
            dragged = gone, words(found.space.state(result.first), found.space)
    if not lost:
        return
    names = " and ".join(lost)
    if _battery_on(found.build, here, output):
        say.add(CIR_223, jack.place, f"{names} shares the ring of {jack.name} with the battery: a mono plug mutes it, "
                "a stereo plug leaves the battery off")
    boards = [part for part, e in elements_of(found.build, "buffer") if here.lug(lug_of(part, e, "out"))
              == here.lug(output.lug)]
    for part in boards:
        say.add(CIR_228, part.place, f"a mono plug in {jack.name} shorts the output of {part.name} to ground")
    if dragged is not None:
        say.add(CIR_227, jack.place, f"a mono plug in {jack.name} shorts its ring, and {' and '.join(dragged[0])} "
                f"is lost at the tip too (sounds there in {dragged[1]})")
    say.add(CIR_226, jack.place, f"{names}: on the ring of {jack.name}, heard with a stereo plug only; a mono plug "
            "shorts it to the sleeve")


def _coils(result: StateResult, output: Output) -> list[str]:
    return [h.coil for h in result.at(output).sound.sounding]


def _battery_on(build: Build, here: NetlistTemplate, output: Output) -> bool:
    """Whether a battery stands on the net of a contact."""
    return any(here.lug(lug_of(part, e, end)) == here.lug(output.lug)
               for part, e in elements_of(build, "cell") for end in e.ends)


def _needs(found: StateTable, say: Diagnostics) -> None:
    """Outputs that fall silent where the plug of another jack is out."""
    said: set[tuple[Output, str]] = set()
    for result in found.results:
        out = [jack for jack, word in found.space.plugs(result.first) if word == "out"]
        if not out or found.space.momentary(result.first):
            continue
        whole = _plugged(found, result.first)
        for one in result.heard:
            missing = " and ".join(out)
            if one.sound.silent and whole is not None and not whole.at(one.output).sound.silent and \
                    (one.output, missing) not in said:
                said.add((one.output, missing))
                boards = sorted({name.partition(".")[0] for name in whole.powered - result.powered})
                why = f": {' and '.join(boards)} has no battery then" if boards else ""
                say.add(CIR_229, found.build.parts[one.output.jack].place,
                        f"nothing is heard at {one.output.says} while no plug is in {missing}{why}")


def _plugged(found: StateTable, index: int) -> StateResult | None:
    """The same state with a mono plug where none was; None where a stereo plug is in."""
    plugs = dict(found.space.plugs(index))
    if "stereo" in plugs.values():
        return None
    numbers = found.space.plugged(found.space.numbers(index), dict.fromkeys(plugs, "mono"))
    return found.result(found.space.index(numbers))


RULE = Rule(50, check)
