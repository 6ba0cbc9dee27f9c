"""What other programs may call: the page's examples show what they give, its tables name what there is, nothing heavy
comes early, what is wrong is refused with one sentence."""

from __future__ import annotations

import code
import copy
import dataclasses
import doctest
import inspect
import json
import pickle
import re
import rlcompleter
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import diagramgen
from diagramgen.features.labels.wish import LENGTHS
from diagramgen.sheets.registry import kinds

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
PAGE = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
TINY = (ROOT / "tests" / "helpers" / "tiny.yaml").read_bytes()
FUNCTIONS = {name: getattr(diagramgen, name) for name in diagramgen.__all__
             if inspect.isfunction(getattr(diagramgen, name))}
RECORDS = [one for name in diagramgen.__all__ if dataclasses.is_dataclass(one := getattr(diagramgen, name))]
ERRORS = [one for name in diagramgen.__all__
          if isinstance(one := getattr(diagramgen, name), type) and issubclass(one, Exception)]


@pytest.fixture(scope="module")
def tiny() -> diagramgen.Analysis:
    return diagramgen.solve("a.yaml", data=TINY)


@pytest.fixture(scope="module")
def lever() -> diagramgen.Analysis:
    return diagramgen.solve(SAMPLES / "three-singles-lever.yaml")


def test_the_examples_of_the_page_show_what_stands_under_them(tmp_path, monkeypatch):
    shutil.copytree(SAMPLES, tmp_path / "samples")
    monkeypatch.chdir(tmp_path / "samples")
    blocks = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    test = doctest.DocTestParser().get_doctest("\n".join(blocks), {}, "docs/api.md", "docs/api.md", 0)
    said: list[str] = []
    result = doctest.DocTestRunner().run(test, out=said.append)
    assert result.failed == 0, "".join(said)
    assert result.attempted > 40
    assert (tmp_path / "samples" / "sheets" / "sheets.json").is_file()


def test_the_table_of_the_page_names_every_call_with_every_parameter():
    told = dict(re.findall(r"(?m)^\| `(\w+)\((.*?)\)` \|", PAGE))
    assert told.keys() == FUNCTIONS.keys()
    for name, function in FUNCTIONS.items():
        parameters = inspect.signature(function).parameters.values()
        taken = [p.name if p.default is p.empty else f"{p.name}=" for p in parameters]
        assert told[name] == ", ".join(taken), name


def test_the_page_names_every_result_with_every_field_and_every_error():
    rows = dict(re.findall(r"(?m)^\| `(\w+)` \| (.*) \|$", PAGE))
    for record in RECORDS:
        inherited = {f.name for base in record.__bases__ if dataclasses.is_dataclass(base)
                     for f in dataclasses.fields(base)}
        for field in dataclasses.fields(record):
            if record not in (diagramgen.Analysis, diagramgen.Location) and field.name not in inherited:
                assert f"`{field.name}`" in rows[record.__name__], (record.__name__, field.name)
    for error in ERRORS:
        assert error.__name__ in rows or error is diagramgen.DiagramgenError
    for name in diagramgen.__all__:
        assert name == "__version__" or name in PAGE, name


def test_what_a_build_gives_is_told_by_one_list_of_names():
    from diagramgen import api

    assert set(diagramgen.__all__) - {"__version__"} == set(api.__all__) <= set(dir(api))


def test_reading_solving_and_printing_from_bytes_touches_no_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "a.yaml"
    assert diagramgen.read(path, data=TINY).build is not None
    proof = diagramgen.solve(str(path), data=TINY)
    (state,) = diagramgen.states(proof)
    assert (state.sounds, state.phase, state.hum) == ("pickup", "single", "full")
    files = diagramgen.print_sheets(proof, ["leads"])
    assert files["leads.pdf"].startswith(b"%PDF-")
    assert files == diagramgen.print_sheets(diagramgen.solve(path, data=TINY), ["leads"])
    assert diagramgen.netlist(proof)
    assert diagramgen.page(proof)["page.html"].startswith(b"<!DOCTYPE html>")
    assert diagramgen.labels(proof, automatic_tags=True)["labels.pdf"].startswith(b"%PDF-")
    assert list(tmp_path.iterdir()) == []


def test_a_build_with_errors_has_no_sheets_unless_they_are_wanted_anyway(tmp_path):
    proof = diagramgen.solve(tmp_path / "a.yaml", data=TINY.replace(b"pickup.finish ", b"pickup.finsh "))
    with pytest.raises(diagramgen.NotProved, match="finsh") as caught:
        diagramgen.print_sheets(proof)
    assert 7 in [p.place.line for p in caught.value.problems]
    for call in (diagramgen.netlist, diagramgen.faults, diagramgen.labels, diagramgen.price, diagramgen.page,
                 diagramgen.empty_results):
        with pytest.raises(diagramgen.NotProved, match="finsh"):
            call(proof)
    assert diagramgen.states(proof) == ()
    assert b"NOT PROVED" in diagramgen.print_sheets(proof, ["diagram"], anyway=True)["diagram.svg"]
    with pytest.raises(diagramgen.NotProved):
        diagramgen.print_sheets(diagramgen.solve(tmp_path / "gone.yaml"))


def test_of_many_errors_the_first_are_said_with_their_places_and_how_many_there_are():
    with pytest.raises(diagramgen.NotProved) as caught:
        diagramgen.print_sheets(diagramgen.solve(SAMPLES / "wrong-on-purpose.yaml"))
    said, problems = str(caught.value), caught.value.problems
    assert said.startswith(f"{len(problems)} errors: {problems[0].place}: {problems[0].message}; ")
    assert said.endswith(f"; and {len(problems) - 3} more in its problems")
    assert "\n" not in said
    (one,) = diagramgen.read("gone.yaml").problems
    assert str(diagramgen.NotProved([one])) == f"{one.place}: {one.message}. {one.remedy}".strip()


def test_an_unknown_name_is_an_attribute_error_with_the_nearest():
    with pytest.raises(AttributeError, match=r"no attribute 'prnt_sheets'\. Did you mean 'print_sheets'\?"):
        diagramgen.prnt_sheets  # noqa: B018


def _alone(text: str) -> str:
    return subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, check=True,
                          env={"PYTHONPATH": str(ROOT)}).stdout  # fmt: skip


def test_importing_the_package_and_naming_what_it_has_loads_nothing_heavy():
    heavy = "('numpy', 'yaml', 'shapely', 'reportlab', 'svgwrite', 'click')"
    assert _alone(f"import sys, diagramgen; [getattr(diagramgen, n) for n in diagramgen.__all__]; "
                  f"print([m for m in {heavy} if m in sys.modules])") == "[]\n"
    assert _alone("import sys, diagramgen; print(sorted(m for m in sys.modules if m.startswith('diagramgen')))") == (
        "['diagramgen', 'diagramgen.kernel', 'diagramgen.kernel.version']\n")


def test_a_kind_or_a_paper_there_is_none_of_is_refused_with_the_nearest(tiny):
    with pytest.raises(diagramgen.UnknownName, match=r"'leeds'.*leads"):
        diagramgen.print_sheets(tiny, ["leeds"])
    with pytest.raises(ValueError, match="no paper 'b4'"):
        diagramgen.print_sheets(tiny, "leads", paper="b4")
    with pytest.raises(diagramgen.NotAvailable, match=r"no sheet 'undo'.*not known"):
        diagramgen.print_sheets(tiny, "undo")
    assert diagramgen.print_sheets(tiny, "leads") == diagramgen.print_sheets(tiny, ["leads"])
    assert diagramgen.print_sheets(tiny, "leads", paper="A4") == diagramgen.print_sheets(tiny, "leads", paper="a4")


UNKNOWN = [
    (lambda a: diagramgen.print_sheets(a, "Leads"), "no kind of sheet 'Leads'. Did you mean 'leads'?"),
    (lambda a: diagramgen.print_sheets(a, lettering="fond"), "no lettering 'fond'. Did you mean 'font'?"),
    (lambda a: diagramgen.print_sheets(a, "states", states="levr=1"), "'levr'. Did you mean 'lever'?"),
    (lambda a: diagramgen.print_sheets(a, "curves", knobs="volum=1"), "no knob 'volum'. Did you mean 'volume'?"),
    (lambda a: diagramgen.states(a, state={"lever": "9"}), "'lever' has no position '9'"),
    (lambda a: diagramgen.states(a, knobs={"volum": 3}), "no knob 'volum'. Did you mean 'volume'?"),
    (lambda a: diagramgen.page(a, states=[{"leverr": "1"}]), "'leverr'. Did you mean 'lever'?"),
    (lambda a: diagramgen.netlist(a, state={"lever": "up"}), "'lever' has no position 'up'"),
    (lambda a: diagramgen.response(a, state="lever=9"), "'lever' has no position '9'"),
    (lambda a: diagramgen.netlist(a, output="outptu"), "'outptu' is no output. Did you mean 'output'?"),
    (lambda a: diagramgen.faults(a, output="ring"), "'ring' is no output"),
    (lambda a: diagramgen.labels(a, "flag"), "no kind of label 'flag'. Did you mean 'flags'?"),
    (lambda a: diagramgen.labels(a, on="4x12-a5"), "no ready label sheet '4x12-a5'"),
    (lambda a: diagramgen.labels(a, leads="W99", automatic_tags=True), "no lead to label is tagged W99"),
    (lambda a: diagramgen.price(a, sheets="qoute"), "no sheet of prices 'qoute'. Did you mean 'quote'?"),
    (lambda a: diagramgen.price(a, paper="a7"), "no paper 'a7'"),
    (lambda a: diagramgen.print_sheets(a, paper="a5"), "no paper 'a5'"),
    (lambda _: diagramgen.symbols("pot-25"), "no symbol 'pot-25'"),
]


@pytest.mark.parametrize(("call", "says"), UNKNOWN, ids=[says for _, says in UNKNOWN])
def test_a_name_there_is_none_of_raises_unknown_name_in_one_line(call, says, lever):
    with pytest.raises(diagramgen.UnknownName) as caught:
        call(lever)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)
    assert isinstance(caught.value, ValueError)


WRONG = [
    (lambda a: diagramgen.print_sheets(a, dpi=5), "dpi is from 30 to 1200, not 5"),
    (lambda a: diagramgen.print_sheets(a, bar_measures=(80, 100)), "bar_measures is from 90 to 110 mm, not 80"),
    (lambda a: diagramgen.print_sheets(a, spool=3), "spool is from 50 to 100000 mm, not 3"),
    (lambda a: diagramgen.print_sheets(a, knobs="volume=11"), "'volume' stands at 0 to 10, not at '11'"),
    (lambda a: diagramgen.states(a, knobs={"volume": float("nan")}), "'volume' stands at 0 to 10, not at 'nan'"),
    (lambda a: diagramgen.states(a, temperature=99), "temperature is from -20 to 60 degrees C, not 99"),
    (lambda a: diagramgen.states(a, state="lever"), "'lever' is no position. Write it like selector=up."),
    (lambda a: diagramgen.faults(a, "volume: purple"), "'purple'"),
    (lambda a: diagramgen.guess(a, "7.7k"), "does not say where"),
    (lambda a: diagramgen.labels(a, skip=60, automatic_tags=True), "has 48 labels: take a new sheet"),
    (lambda a: diagramgen.labels(a, tape=2, automatic_tags=True), "a tape of 2 mm"),
    (lambda a: diagramgen.labels(a, length=40, automatic_tags=True), "a length goes with a tape"),
    (lambda a: diagramgen.labels(a, code=9), "code is from 0.33 to 2 mm, not 9"),
    (lambda _: diagramgen.read("a.yaml", symbols="nowhere"), "symbols: there is no folder 'nowhere'"),
]


@pytest.mark.parametrize(("call", "says"), WRONG, ids=[says for _, says in WRONG])
def test_a_figure_out_of_its_range_raises_wrong_value_in_one_line(call, says, lever):
    with pytest.raises(diagramgen.WrongValue) as caught:
        call(lever)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


GIVE = "analysis is what diagramgen.solve or diagramgen.read gives, not "
TYPES = [
    (lambda _: diagramgen.read(None), "path takes a path, a text or a Path, not None"),
    (lambda _: diagramgen.read(3), "path takes a path, a text or a Path, not an int"),
    (lambda _: diagramgen.solve(["a.yaml"]), "path takes a path, a text or a Path, not a list"),
    (lambda _: diagramgen.solve(b"a.yaml"), "path takes a path, a text or a Path, not a bytes"),
    (lambda _: diagramgen.solve("a.yaml", data=["x"]), "data is the text of a build or its bytes, not a list"),
    (lambda _: diagramgen.check("a.yaml", symbols=1), "symbols takes a path, a text or a Path, not an int"),
    (lambda _: diagramgen.compare("a.yaml", None), "left takes a path, a text or a Path, not None"),
    (lambda _: diagramgen.print_sheets("a.yaml"), f"{GIVE}a str"),
    (lambda _: diagramgen.states(None), f"{GIVE}None"),
    (lambda a: diagramgen.print_sheets(a, None), "kinds is one text or several, not None"),
    (lambda a: diagramgen.print_sheets(a, [3]), "kinds is one text or several; an int is among them"),
    (lambda a: diagramgen.print_sheets(a, paper=4), "paper is a text, not an int"),
    (lambda a: diagramgen.print_sheets(a, dpi="300"), "dpi is a number, not a str"),
    (lambda a: diagramgen.print_sheets(a, bar_measures=99), "bar_measures is two numbers, not an int"),
    (lambda a: diagramgen.states(a, state=3),
     "state is pairs of control and position, such as selector=up, not an int"),
    (lambda a: diagramgen.states(a, knobs=["volume"]),
     "knobs is pairs of knob and 0 to 10, such as volume=7, not a list"),
    (lambda a: diagramgen.states(a, knobs={"volume": None}), "'volume' stands at a number from 0 to 10, not at None"),
    (lambda a: diagramgen.page(a, states=4), "states is one state or several, such as selector=up, not an int"),
    (lambda a: diagramgen.faults(a, {"volume": "stuck"}), "seen is one text or several, not a dict"),
    (lambda a: diagramgen.netlist(a, output=None), "output is a text, not None"),
    (lambda a: diagramgen.write("x", ["a"], a), "files are bytes by file name, not a list"),
    (lambda a: diagramgen.write("x", {"a": "text"}, a), "files are bytes by file name; 'a' is a str"),
    (lambda _: diagramgen.write("x", {"a": b""}), f"{GIVE}None"),
    (lambda a: diagramgen.write(None, {"a": b""}, a), "folder takes a path, a text or a Path, not None"),
]


@pytest.mark.parametrize(("call", "says"), TYPES, ids=[says for _, says in TYPES])
def test_what_is_of_a_wrong_type_raises_type_error_with_one_plain_sentence(call, says, lever, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(TypeError) as caught:
        call(lever)
    assert str(caught.value) == says
    assert list(tmp_path.iterdir()) == []


def test_a_build_that_was_only_read_has_no_sheets_and_the_sentence_says_what_to_give():
    read = diagramgen.read("a.yaml", data=TINY)
    for call in (diagramgen.print_sheets, diagramgen.page, diagramgen.price, diagramgen.empty_results,
                 diagramgen.response):
        with pytest.raises(diagramgen.NotAvailable, match=r"only read: give what diagramgen\.solve gives"):
            call(read)
    assert diagramgen.netlist(read) == diagramgen.netlist(diagramgen.solve("a.yaml", data=TINY))


def test_what_was_only_read_will_do_to_look_for_a_fault_in_a_wrong_circuit():
    path = SAMPLES / "two-pickups-toggle.yaml"
    text = path.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines(keepends=True) if "-> output.tip" in line or "output.tip ->" in line)
    read, solved = (call(path, data=text.replace(line, "")) for call in (diagramgen.read, diagramgen.solve))
    assert solved.has_errors
    assert diagramgen.netlist(read).startswith("* ")
    assert diagramgen.faults(read, "plug: open").faults
    assert diagramgen.labels(read, automatic_tags=True)
    for call in (diagramgen.netlist, diagramgen.faults, diagramgen.labels):
        with pytest.raises(diagramgen.NotProved):
            call(solved)


def test_all_errors_are_of_one_family_and_come_back_whole_from_another_process():
    assert ERRORS
    problem = diagramgen.read("gone.yaml").problems[0]
    for error in ERRORS:
        assert issubclass(error, diagramgen.DiagramgenError)
        arguments = {diagramgen.NotProved: ([problem],), diagramgen.CannotWrite: (Path("a"), "no room")}
        one = error(*arguments.get(error, ("so it is",)))
        again = pickle.loads(pickle.dumps(one))
        assert (type(again), str(again), vars(again)) == (type(one), str(one), vars(one))


@pytest.mark.parametrize("kind", diagramgen.KINDS)
def test_every_kind_gives_sheets_or_says_why_there_are_none(kind, tiny):
    why = kinds()[kind].unavailable(tiny)
    if not why:
        assert diagramgen.print_sheets(tiny, kind)
        return
    with pytest.raises(ValueError, match=f"no sheet '{kind}': ") as caught:
        diagramgen.print_sheets(tiny, kind)
    assert why in str(caught.value)


def test_the_packet_alone_holds_what_the_command_prints_and_a_kind_that_is_missing_is_told(tiny):
    files = diagramgen.print_sheets(tiny, "packet")
    assert "packet.pdf" in files
    assert {"leads.pdf", "proof.pdf", "work.pdf"} <= files.keys()
    told = diagramgen.print_sheets(tiny, ["leads", "undo"]).missing
    assert len(told) == 1
    assert told[0].startswith("no sheet 'undo': ")


def test_the_text_of_a_build_is_as_good_as_its_bytes():
    for call in (diagramgen.read, diagramgen.solve):
        one = call("a.yaml", data=TINY)
        for given in (TINY.decode(), bytearray(TINY), memoryview(TINY)):
            other = call("a.yaml", data=given)
            assert (one.checksum, one.problems) == (other.checksum, other.problems)
    assert diagramgen.read("a.yaml", data="parts: \ud800").has_errors


def test_an_analysis_shows_itself_in_one_line(tiny, tmp_path):
    assert repr(tiny) == "<Analysis a: 0 errors, 0 warnings, 1 state>"
    assert repr(diagramgen.read("a.yaml", data=TINY)) == "<Analysis a: 0 errors, 0 warnings, not solved>"
    assert repr(diagramgen.solve(tmp_path / "gone.yaml")) == "<Analysis not read: 1 error, 0 warnings, not solved>"


def test_every_result_shows_itself_in_one_readable_line(lever):
    wrong = diagramgen.solve(SAMPLES / "wrong-on-purpose.yaml")
    found = diagramgen.faults(lever, "lever=1: open")
    results: list[object] = [
        lever, lever.build, lever.layout, lever.chart, *wrong.problems, *(p.place for p in wrong.problems),
        *diagramgen.Severity, *diagramgen.states(lever), *diagramgen.leads(lever), *diagramgen.symbols(), found,
        *found.faults, diagramgen.guess(lever), diagramgen.response(lever), diagramgen.print_sheets(lever, "leads"),
        diagramgen.labels(lever, automatic_tags=True), diagramgen.price(lever),
        diagramgen.price(lever, SAMPLES / "prices" / "lantern-lane.yaml"),
        diagramgen.compare(SAMPLES / "two-pickups-toggle-found.yaml", SAMPLES / "two-pickups-toggle.yaml"),
        *(one for state in diagramgen.states(lever) for one in state.others.values()),
    ]  # fmt: skip
    for result in results:
        assert "\n" not in repr(result)
        assert 5 < len(repr(result)) <= 160, repr(result)
        assert "object at 0x" not in repr(result)
    entered = diagramgen.solve(SAMPLES / "baritone.yaml", results=next((SAMPLES / "results").glob("*.yaml")))
    assert diagramgen.readings(entered)
    assert all(len(repr(one)) <= 160 and one.expected in repr(one) for one in diagramgen.readings(entered))


def test_results_stay_as_they_are_and_can_be_copied_and_sent_to_another_process(lever):
    state, files = diagramgen.states(lever)[0], diagramgen.print_sheets(lever, "leads")
    symbol = diagramgen.symbols("lever-open-5")[0]
    for record in (lever, state, symbol, diagramgen.price(lever)):
        with pytest.raises(dataclasses.FrozenInstanceError):
            record.anything = 1
    for held, key in ((state.at, "lever"), (state.others, "x"), (files, "leads.pdf"), (symbol.controls, "lever")):
        with pytest.raises(TypeError, match="stays as it is"):
            held[key] = b""
        with pytest.raises(TypeError, match="stays as it is"):
            held.update({})
        assert dict(held) == held
    assert copy.deepcopy(state) == pickle.loads(pickle.dumps(state)) == state
    again = pickle.loads(pickle.dumps(files))
    assert (again, again.check, again.command) == (files, files.check, files.command)
    assert dataclasses.asdict(state)["at"] == {"lever": "1"}


def test_states_can_be_narrowed_and_knobs_turned(lever):
    every = diagramgen.states(lever)
    (one,) = diagramgen.states(lever, state={"LEVER": "1"})
    assert one == every[0]
    (turned,) = diagramgen.states(lever, state="lever=1", knobs={"volume": 5})
    assert turned.ohms != one.ohms
    (warm,) = diagramgen.states(lever, state="lever=1", temperature=40)
    # Copper reads 0.393 % more a kelvin at 20 degrees C (IEC 60028); the knobs in parallel take a little of it away.
    assert 1.06 < warm.ohms / one.ohms <= 1.0786 + 1e-9
    assert one.band[0] < one.ohms < one.band[1]


def test_an_output_that_no_plug_hears_has_no_response():
    build = diagramgen.solve(SAMPLES / "baritone.yaml")
    with pytest.raises(diagramgen.NotAvailable, match="output is not heard in that state"):
        diagramgen.response(build, state="output=out")


def test_each_call_gives_what_the_command_says(tmp_path, monkeypatch, capsys):
    """Netlist, faults, guess, changes, prices, readings: the very texts of the commands."""
    from diagramgen.app.main import group

    monkeypatch.chdir(SAMPLES)

    def said(*words: str) -> str:
        group.main([*words], standalone_mode=False)
        return capsys.readouterr().out

    build = diagramgen.solve("one-volume.yaml")
    assert diagramgen.netlist(build, knobs="volume=5") == said("netlist", "one-volume.yaml", "--knob", "volume=5")
    told = json.loads(said("fault", "one-volume.yaml", "--seen", "volume: stuck", "--json"))
    told.pop("file_check")
    assert diagramgen.faults(build, "volume: stuck").details == told
    told = json.loads(said("guess", "one-volume.yaml", "--seen", "plug: 6k", "--json"))
    assert diagramgen.guess(build, "plug: 6k").details == told
    (told,) = json.loads(said("sounds", "one-volume.yaml", "--knob", "volume=5", "--json", "--response"))["states"]
    curve = diagramgen.response(build, knobs={"volume": 5})
    assert (list(curve.hz), list(curve.db)) == (told["response"]["hz"], told["response"]["db"])
    (state,) = diagramgen.states(build, knobs={"volume": 5})
    assert round(state.ohms, 1) == told["meter_ohms"]
    assert round(state.peak_db, 2) == told["peak_db"]
    assert diagramgen.empty_results(build) == said("readings", "one-volume.yaml")
    pair = "two-pickups-toggle-found.yaml", "two-pickups-toggle.yaml"
    told = json.loads(said("compare", *pair, "--json"))
    assert json.loads(json.dumps(diagramgen.compare(*pair).details)) == told["changes"]
    told = json.loads(said("price", "one-volume.yaml", "--prices", "prices/lantern-lane.yaml", "--json"))
    price = diagramgen.price(build, "prices/lantern-lane.yaml")
    assert (price.bill, price.buying, price.files.check) == (told["bill"], told["buying"], told["checksum"])
    assert json.loads(said("schema")) == diagramgen.schema()
    assert [s["name"] for s in json.loads(said("symbols", "--json"))["symbols"]] == [
        s.name for s in diagramgen.symbols()]  # fmt: skip


def test_files_are_written_as_the_command_writes_them_and_those_of_other_commands_stay(tmp_path, tiny):
    tagged = diagramgen.read("a.yaml", data=TINY)
    diagramgen.write(tmp_path, diagramgen.print_sheets(tiny, ["diagram", "leads"]))
    diagramgen.write(tmp_path, diagramgen.page(tiny))
    diagramgen.write(tmp_path, diagramgen.labels(tagged, automatic_tags=True))
    diagramgen.write(tmp_path, diagramgen.price(tiny, sheets="buying").files)
    names = {path.name for path in tmp_path.iterdir()}
    assert {"sheets.json", "page.json", "labels.json", "price-files.json"} <= names
    assert {"diagram.pdf", "leads.csv", "page.html", "labels.pdf", "buying.pdf"} <= names
    with pytest.raises(diagramgen.CannotWrite, match="a sheet of 'page' lies there"):
        diagramgen.write(tmp_path, {"page.html": b"x"}, tiny)
    (tmp_path / "page.html").write_text("mine")
    with pytest.raises(diagramgen.CannotWrite) as caught:
        diagramgen.write(tmp_path, diagramgen.page(tiny))
    assert caught.value.path == tmp_path / "page.html"
    assert diagramgen.write(tmp_path, diagramgen.page(tiny), replace=True) == [tmp_path / "page.html"]


def test_labels_are_of_every_kind_there_is_and_bags_need_the_build_as_found():
    build = diagramgen.read(SAMPLES / "two-pickups-toggle.yaml")
    assert diagramgen.labels(build, tuple(LENGTHS), automatic_tags=True)
    with pytest.raises(diagramgen.NotAvailable, match="for the bags of old parts name the build as found"):
        diagramgen.labels(diagramgen.read("a.yaml", data=TINY), "bags")


def test_a_price_that_needs_prices_says_so(tiny):
    assert diagramgen.price(tiny).total is None
    with pytest.raises(diagramgen.NotAvailable, match="needs prices"):
        diagramgen.price(tiny, sheets="quote")


def test_two_instruments_cannot_be_compared():
    with pytest.raises(diagramgen.NotProved):
        diagramgen.compare(SAMPLES / "one-volume.yaml", SAMPLES / "baritone.yaml")
    with pytest.raises(diagramgen.NotProved, match="no such file"):
        diagramgen.compare(SAMPLES / "gone.yaml", SAMPLES / "baritone.yaml")


def test_the_tab_key_finds_what_may_be_called():
    assert set(diagramgen.__all__) <= set(dir(diagramgen))
    tab = rlcompleter.Completer({"diagramgen": diagramgen})
    found, number = set(), 0
    while (word := tab.complete("diagramgen.", number)) is not None:
        found.add(word.partition("(")[0].removeprefix("diagramgen."))
        number += 1
    assert {name for name in diagramgen.__all__ if name[0] != "_"} <= found


def test_in_a_session_a_mistake_gives_one_line_that_helps(monkeypatch):
    said: list[str] = []
    session = code.InteractiveConsole()
    monkeypatch.setattr(session, "write", said.append)
    for line in ("import diagramgen", "build = diagramgen.solve('a.yaml', data=" + repr(TINY) + ")",
                 "diagramgen.print_sheets(build, 'diagrm')"):
        session.push(line)
    last = "".join(said).rstrip("\n").split("\n")[-1]
    assert last == "diagramgen.kernel.errors.UnknownName: there is no kind of sheet 'diagrm'. Did you mean 'diagram'?"
