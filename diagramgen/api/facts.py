"""What is known of a build: problems, states, leads, readings, netlist, faults, changes; no file is made here."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagramgen.analysis import Analysis, examine
from diagramgen.api.door import (
    AnyPath,
    Data,
    Positions,
    Turns,
    analysis_of,
    bytes_of,
    file_of,
    folder_of,
    number_of,
    path_of,
    positions_of,
    text_of,
    texts_of,
    turns_of,
)
from diagramgen.api.records import AtOutput, Comparison, Faults, Guesses, PossibleFault, Response, State, Symbol
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.errors import NotAvailable, NotProved, known_name
from diagramgen.kernel.frozen import FrozenDict

if TYPE_CHECKING:
    from diagramgen.circuit.outputs import Output
    from diagramgen.circuit.state_table import AtOutput as Heard
    from diagramgen.circuit.state_table import StateResult, StateTable
    from diagramgen.diagnosis.fault_model import FaultModel
    from diagramgen.diagnosis.observations import Observation
    from diagramgen.job.lead_row import LeadRow
    from diagramgen.job.verdict import Verdict
    from diagramgen.kernel.diagnostics import Problem
    from diagramgen.library.model import Symbol as Read
    from diagramgen.model.build import Build


def read(
    path: AnyPath, *, symbols: AnyPath | None = None, data: Data | None = None, results: AnyPath | None = None
) -> Analysis:
    """Read a build file; nothing is solved or laid out.

    Parameters: path - the file; symbols - folder of symbols of one's own; data - read these bytes, or this text, as if
    they stood in the file; results - file of readings, in place of the one the build names.
    Returns: an ``Analysis`` with ``build`` (None where it cannot be used), ``problems`` and ``checksum``.
    Raises ``TypeError``, ``WrongValue`` where there is no such folder. A faulty or missing file raises nothing.
    """
    return examine(path_of(path, "path"), folder_of(symbols), reading=True, data=bytes_of(data),
                   results=file_of(results, "results"))


def solve(
    path: AnyPath, *, symbols: AnyPath | None = None, data: Data | None = None, results: AnyPath | None = None
) -> Analysis:
    """Read a build, solve its circuit in every state and lay out its wiring; parameters as of ``read``.

    Returns: what ``read`` gives, and ``chart`` (every state with its sound; None where it has errors), ``layout``,
    ``rows`` (every lead in the order of work) and ``verdicts`` (readings held against the circuit).
    Raises as ``read``.
    """
    return examine(path_of(path, "path"), folder_of(symbols), data=bytes_of(data), results=file_of(results, "results"))


def check(path: AnyPath, *, symbols: AnyPath | None = None, data: Data | None = None) -> tuple[Problem, ...]:
    """Every problem of a build, as the command ``check`` says them; parameters and errors as of ``read``.

    Besides what ``solve`` finds: what the full-size drawing shows wrong, and the change of leads that would mend it.
    """
    from diagramgen.features.diagrams.drawing_audit import checked

    return checked(path_of(path, "path"), folder_of(symbols), bytes_of(data)).problems


def states(
    analysis: Analysis, *, state: Positions | None = None, knobs: Turns | None = None, temperature: float = 20.0
) -> tuple[State, ...]:
    """Every state of the switches, solved; empty where the circuit was not.

    Parameters: state - only those with these controls so; knobs - where knobs stand, 0 to 10, else at 10, blends and
    trimmers at 5; temperature - of the bench, -20 to 60 degrees C: copper reads 0.4 % more a degree.
    Raises ``UnknownName`` for a control, position or knob, ``WrongValue`` out of a range.
    """
    held, turns = positions_of(state or {}), turns_of(knobs or {})
    degrees = number_of(temperature, "temperature", -20, 60, " degrees C")
    found = analysis_of(analysis).chart
    if found is None:
        return ()
    found = _solved_so(found, held, turns, degrees)
    return tuple(_state(at, result, found.outputs[0]) for at, result in found.each())


def _solved_so(found: StateTable, held: Mapping[str, str], turns: Mapping[str, str], degrees: float) -> StateTable:
    """The chart with these controls and knobs standing so, solved anew where that is not what it shows."""
    from diagramgen.circuit.dc_readings import MeterConditions
    from diagramgen.circuit.named_settings import positions_named, turns_named
    from diagramgen.circuit.state_table import state_table

    if not held and not turns and degrees == MeterConditions().temperature:
        return found
    build = found.build
    return state_table(build, turns_named(build, turns), positions_named(build, held), dataclasses.replace(
        MeterConditions(), temperature=degrees))


def _state(at: Mapping[str, str], result: StateResult, main: Output) -> State:
    from diagramgen.circuit.state_table import AtOutput as Heard

    others = {one.output.lug: AtOutput(**_given(one)) for one in result.heard if one.output != main}
    return State(**_given(Heard(main, result.sound, result.reading)), at=FrozenDict(at), output=main.lug,
                 others=FrozenDict(others))


def _given(one: Heard) -> dict[str, Any]:
    """The fields of ``AtOutput``."""
    from diagramgen.circuit.hum_words import hum_words

    sound, reading = one.sound, one.reading
    known = sound.hum_least is not None and sound.hum_percent is not None
    left = (round(sound.hum_least or 0.0, 1), round(sound.hum_percent or 0.0, 1)) if known else None
    band = None if reading.low is None or reading.high is None else (reading.low, reading.high)
    return {"sounds": sound.network, "phase": sound.phase, "hum": sound.hum, "ohms": reading.ohms, "hum_left": left,
            "hum_says": hum_words(sound), "band": band, "peak_hz": sound.peak_hz, "peak_db": sound.peak_db}


def response(
    analysis: Analysis, *, state: Positions | None = None, knobs: Turns | None = None, output: str = ""
) -> Response:
    """The response in one state: how loud the coils are together at the plug, over frequency.

    Parameters: state, knobs - as of ``netlist``; output - ``jack`` or ``jack.ring``, else the tip of the first jack.
    Raises ``UnknownName``, ``WrongValue``, ``NotProved`` and ``NotAvailable`` where the circuit was not solved or the
    output is not heard in that state.
    """
    from diagramgen.circuit.named_settings import output_named, positions_named, turns_named
    from diagramgen.circuit.state_table import state_table
    from diagramgen.features.sounds.response import response_curve

    held, turns, contact = positions_of(state or {}), turns_of(knobs or {}), text_of(output, "output")
    solved = analysis_of(analysis).chart
    if solved is None:
        raise _unsolved(analysis)
    at = output_named(solved.build, contact) or solved.outputs[0]
    states_of = solved.space
    first = states_of.state(states_of.index(states_of.for_output([0] * len(states_of.switches), at)))
    found = state_table(solved.build, turns_named(solved.build, turns), first | positions_named(solved.build, held))
    result = found.result(0)
    heard = next((one for one in result.heard if one.output == at), None)
    if heard is None:
        raise NotAvailable(f"{at.says} is not heard in that state")
    curve = response_curve(found, result, heard.sound, at)
    return Response(tuple(curve["hz"]), tuple(curve["db"]), heard.sound.network)


def leads(analysis: Analysis) -> tuple[LeadRow, ...]:
    """Every lead in the order it is soldered; empty where the build was not laid out.

    Returns: ``LeadRow`` each: ``tag``, ``start`` and ``end`` (``part.lug``), ``colour``, ``gauge`` (AWG), ``length``
    (what to cut, mm; None where it is not known) and more.
    """
    return analysis_of(analysis).rows


def readings(analysis: Analysis) -> tuple[Verdict, ...]:
    """Every reading of the results file, held against the circuit; empty where there is none.

    Returns: ``Verdict`` each: ``what``, ``expected``, ``metered``, ``verdict`` (inside | outside | not meaningful,
    '' where nothing was entered).
    """
    return analysis_of(analysis).verdicts


def empty_results(analysis: Analysis, *, every: bool = False) -> str:
    """The text of an empty results file for a solved build, to fill in on the bench.

    ``every``: name all positions, also those that give the same circuit. Raises ``NotProved`` where the circuit was not
    solved, ``NotAvailable`` where the build was only read.
    """
    from diagramgen.features.readings.empty_file import empty_results as text

    found = analysis_of(analysis)
    if found.chart is None:
        raise _unsolved(found)
    return text(found.chart, every)


def _unsolved(analysis: Analysis) -> Exception:
    if analysis.has_errors:
        return NotProved(analysis.problems)
    return NotAvailable("the build was only read: give what diagramgen.solve gives")


def _build_of(analysis: Analysis) -> Build:
    """The build of an analysis without errors. Raises ``NotProved``."""
    found = analysis_of(analysis)
    if found.build is None or found.has_errors:
        raise NotProved(found.problems)
    return found.build


def netlist(
    analysis: Analysis, *, state: Positions | None = None, knobs: Turns | None = None, output: str = ""
) -> str:
    """The circuit in one state as a SPICE netlist; what ``read`` gives will do.

    Parameters: state - a control that is not named stands at its first position; knobs - 0 to 10, else at 10, blends
    and trimmers at 5; output - ``jack`` or ``jack.ring``, else the tip of the first jack.
    Raises ``UnknownName``, ``WrongValue``, ``NotProved`` for a file with errors, ``NotAvailable`` without a jack.
    """
    from diagramgen.circuit.named_settings import output_named, positions_named, turns_named
    from diagramgen.features.netlist.compute import netlist_of

    held, turns, contact = positions_of(state or {}), turns_of(knobs or {}), text_of(output, "output")
    build = _build_of(analysis)
    at, where, stand = output_named(build, contact), positions_named(build, held), turns_named(build, turns)
    try:
        return netlist_of(build, where, stand, at)
    except NotAvailable:
        raise
    except ValueError as fault:
        raise NotAvailable(str(fault)) from None


def faults(analysis: Analysis, seen: str | Sequence[str] = (), *, output: str = "", metered: bool = False) -> Faults:
    """Rank the single faults that explain what was seen, and say what to measure next; what ``read`` gives will do.

    Parameters: seen - lines such as ``selector=up: 7.9k``, ``neck: no sound``, ``strings: open`` (docs/faults.md);
    output - where it was metered and heard, else the tip of the first jack; metered - also what the results file says
    was metered at the plug.
    Raises ``WrongValue`` for a line that cannot be read, ``UnknownName`` for an output, ``NotProved`` for a file with
    errors, ``NotAvailable`` where nothing can be simulated.
    """
    from diagramgen.circuit.named_settings import output_named
    from diagramgen.features.faults.compute import find, simulated
    from diagramgen.features.faults.export import finding_dict

    lines, contact = texts_of(seen, "seen"), text_of(output, "output")
    build = _build_of(analysis)
    run = simulated(build, output_named(build, contact))
    found = find(run, _seen(build, lines, metered, run.wiring))
    said = finding_dict(found)
    ranked = tuple(
        PossibleFault(one["words"], one["probability"], one["kind"], tuple(one["lugs"]), tuple(one["leads"]), place)
        for place, group in enumerate(said["groups"], 1) for one in group["faults"])
    return Faults(found.verdict, ranked, found.question.words if found.question else None, said["outside"],
                  found.misfits, found.warnings, FrozenDict(said))


def _seen(build: Build, lines: Sequence[str], metered: bool, wiring: FaultModel) -> list[Observation]:
    from diagramgen.diagnosis.observations import observations_in, read_observations

    found: list[Observation] = []
    if metered and build.results is not None:
        found += observations_in(build.results, wiring)
    for line in lines:
        found += read_observations(line, wiring)
    return found


def guess(analysis: Analysis, seen: str | Sequence[str] = (), *, metered: bool = False) -> Guesses:
    """Rank the usual wirings of the parts of a build by readings at the plug; its leads are not looked at.

    Parameters and errors as of ``faults``.
    """
    from diagramgen.features.guess.compute import guess as ranked
    from diagramgen.features.guess.compute import simulated_wiring
    from diagramgen.features.guess.export import guesses_dict

    lines = texts_of(seen, "seen")
    build = analysis_of(analysis).build
    if build is None:
        raise NotProved(analysis.problems)
    said = guesses_dict(ranked(build, _seen(build, lines, metered, simulated_wiring(build).wiring)))
    wirings = tuple((one["probability"], FrozenDict(one["wirings"][0])) for one in said["guesses"])
    return Guesses(said["verdict"], wirings, said["next"], FrozenDict(said))


def compare(found: AnyPath, left: AnyPath, *, symbols: AnyPath | None = None) -> Comparison:
    """Say what is done between an instrument as found and as left; a circuit that is wrong as found is no error.

    Parameters: found, left - build files of one instrument; symbols - folder of symbols of one's own.
    The sheets of it: ``print_sheets(comparison.left, ["changes", "undo"])``.
    Raises ``NotProved`` where a file cannot be read whole or they are of two instruments.
    """
    from diagramgen.features.changes.compute import comparison
    from diagramgen.features.changes.export import changes_dict
    from diagramgen.job.change_steps import cannot_undo, changes_in_words, to_keep

    analysis, changes = comparison(path_of(found, "found"), path_of(left, "left"), folder_of(symbols))
    if changes is None:
        raise NotProved(analysis.problems)
    words = tuple(changes_in_words(changes)) if changes.any else ()
    return Comparison(changes.any, words, to_keep(changes), cannot_undo(changes), FrozenDict(changes_dict(changes)),
                      analysis, analysis.problems)


def schema() -> dict[str, Any]:
    """The JSON Schema of the build file (draft 2020-12), a copy of one's own."""
    from diagramgen.reader.schema import build_schema

    return build_schema()


def symbols(names: str | Sequence[str] = (), *, folder: AnyPath | None = None) -> tuple[Symbol, ...]:
    """The kinds of parts a build may have, by name; none named: all of them.

    ``folder``: symbols of one's own beside the shipped ones. Raises ``UnknownName`` with the nearest, ``NotProved``
    where a symbol asked for cannot be read.
    """
    from diagramgen.library import catalogue

    asked, own, say = texts_of(names, "names"), folder_of(folder, "folder"), Diagnostics()
    known = catalogue.with_own(own, say) if own else catalogue.shipped()
    known.say = say
    for name in asked:
        known_name(name, known, "symbol")
    found = [known[name] for name in asked or known if known.usable(name)]
    if say.has_errors:
        raise NotProved(say.sorted())
    return tuple(_symbol(one) for one in found)


def _symbol(one: Read) -> Symbol:
    controls = {control.name: tuple(control.positions) for control in one.controls}
    sizes = {name: dimension.value for name, dimension in one.dimensions.items()}
    return Symbol(one.name, one.kind, one.family, one.lug_names(), FrozenDict(controls), tuple(one.values),
                  FrozenDict(sizes), one.about)
