"""``price``: what it says, writes and refuses; docs/prices.md: its commands run, and it names every column and key."""

from __future__ import annotations

import csv
import json
import re
import shutil

import pytest
from running import ROOT, SAMPLES, quick, run

from diagramgen.features.price.price_file import LABOUR, PRICES

PAGE = (ROOT / "docs" / "prices.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"(?m)^    diagramgen (.+)$", PAGE)
SHOP = "prices/lantern-lane.yaml"


@pytest.fixture
def bench(tmp_path, monkeypatch):
    for path in SAMPLES.glob("*.yaml"):
        shutil.copy(path, tmp_path)
    for folder in ("groups", "prices"):
        shutil.copytree(SAMPLES / folder, tmp_path / folder)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def rows(path):
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_the_commands_of_the_page_run(bench):
    assert len(COMMANDS) >= 5
    for line in COMMANDS:
        result = quick(*line.split())
        assert result.exit_code == 0, (line, result.stderr)
    assert {p.name for p in (bench / "papers").iterdir()} == {
        "buying-1.svg", "buying.pdf", "buying.csv", "quote-1.svg", "quote.pdf", "price.csv", "price.json",
        "price-files.json"}
    assert (bench / "account" / "invoice.pdf").is_file()
    assert not (bench / "list" / "price.csv").exists()


def test_the_page_names_every_key(bench):
    assert quick(*COMMANDS[2].split()).exit_code == 0
    said = json.loads((bench / "papers" / "price.json").read_text(encoding="utf-8"))
    for word in (*(f.key for f in PRICES.fields if f.key != "format"), *LABOUR,
                 *(k for k in said if k != "format"), "lines_total", "taxes", "rounding", "total", "complete",
                 "missing"):
        assert f"`{word}`" in PAGE, word


def test_the_summary_gives_counts_and_total_in_the_files_own_hand(bench):
    result = quick("price", "two-pickups-toggle.yaml", "--prices", SHOP)
    assert "in place of bridge-tone: pot-24, 250k log" in result.stdout
    assert "11 joints soldered, 1 lead taken out" in result.stdout
    assert "total: EUR 136,70\n" in result.stdout
    assert not (bench / "two-pickups-toggle").exists()


def test_the_build_may_name_its_prices_and_the_option_goes_first(bench):
    build = bench / "two-pickups-toggle.yaml"
    build.write_text(build.read_text(encoding="utf-8").replace("neck: left", f"neck: left\nprices: {SHOP}", 1),
                     encoding="utf-8")
    assert "total: EUR 136,70" in quick("price", build.name).stdout
    (bench / "other.yaml").write_text("currency: GBP\nlines:\n  - {says: all, price: 5}\n", encoding="utf-8")
    assert "total: GBP 5.00 so far" in quick("price", build.name, "--prices", "other.yaml").stdout


def test_a_price_file_named_by_the_build_must_lie_beside_it(bench):
    build = bench / "one-volume.yaml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text + "prices: ../elsewhere.yaml\n", encoding="utf-8")
    result = quick("price", build.name)
    assert (result.exit_code, "INP-021" in result.stderr) == (1, True)
    build.write_text(text + "prices: missing.yaml\n", encoding="utf-8")
    assert "INP-022" in quick("price", build.name).stderr
    assert quick("check", build.name).exit_code == 0


def test_no_other_sheet_shows_a_price_or_changes_with_one(bench):
    plain = quick("print", "two-pickups-toggle.yaml", "--sheet", "leads", "--out", "a")
    build = bench / "two-pickups-toggle.yaml"
    build.write_text(build.read_text(encoding="utf-8").replace("neck: left", f"neck: left\nprices: {SHOP}", 1),
                     encoding="utf-8")
    priced = quick("print", "two-pickups-toggle.yaml", "--sheet", "leads", "--out", "b")
    assert plain.exit_code == priced.exit_code == 0
    text = (bench / "b" / "leads.csv").read_text(encoding="utf-8") + (bench / "b" / "leads.json").read_text(
        encoding="utf-8")
    assert "EUR" not in text
    shop = bench / SHOP
    before = json.loads((bench / "b" / "leads.json").read_text(encoding="utf-8"))["file_check"]
    shop.write_text(shop.read_text(encoding="utf-8").replace("60,00", "70,00"), encoding="utf-8")
    assert quick("print", "two-pickups-toggle.yaml", "--sheet", "leads", "--out", "b").exit_code == 0
    assert json.loads((bench / "b" / "leads.json").read_text(encoding="utf-8"))["file_check"] == before


def test_the_check_of_the_sheets_covers_the_prices(bench):
    first = json.loads(quick("price", "one-volume.yaml", "--prices", SHOP, "--json").stdout)["checksum"]
    shop = bench / SHOP
    shop.write_text(shop.read_text(encoding="utf-8").replace("60,00", "70,00"), encoding="utf-8")
    assert json.loads(quick("price", "one-volume.yaml", "--prices", SHOP, "--json").stdout)["checksum"] != first


def test_missing_prices_are_marked_on_line_total_and_in_the_files(bench):
    result = quick("price", "baritone.yaml", "--prices", SHOP, "--out", "o")
    assert result.exit_code == 0
    assert "warning PRI-601" in result.stderr
    assert "so far: 7 prices are missing" in result.stdout
    found = rows(bench / "o" / "price.csv")
    assert [r["what"] for r in found if r["amount"] == "price missing"]
    assert found[-1]["what"] == "total so far, prices are missing"
    said = json.loads((bench / "o" / "price.json").read_text(encoding="utf-8"))["bill"]
    assert (said["complete"], len(said["missing"])) == (False, 7)


@pytest.mark.parametrize(("old", "new", "code"), [
    ("pot-24: 6,40", "pot-24: -6,40", "PRI-602"), ("pot-24: 6,40", "pot-24: 1000000000000", "PRI-602"),
    ("pot-24: 6,40", "pot-24: 6,405", "PRI-602"), ("pot-24: 6,40", "pot-24: 6.40", "PRI-602"),
    ("pot-24: 6,40", "pot-24: 6,40 USD", "PRI-603"), ("percent: 12,5", "percent: 125", "PRI-604"),
    ("hourly rate: 60,00", "houry rate: 60,00", "INP-109"), ("pot-16: 4,10", "pot-61: 4,10", "PRI-608"),
])
def test_bad_prices_are_said_and_nothing_is_written(bench, old, new, code):
    shop = bench / SHOP
    text = shop.read_text(encoding="utf-8")
    assert old in text
    shop.write_text(text.replace(old, new), encoding="utf-8")
    result = quick("price", "two-pickups-toggle.yaml", "--prices", SHOP, "--out", "o")
    assert code in result.stderr
    line = text[:text.index(old)].count("\n") + 1
    assert f"lantern-lane.yaml:{line}:" in result.stderr
    assert "Traceback" not in result.stderr
    if code != "PRI-608":
        assert result.exit_code == 1
        assert not (bench / "o").exists()


def test_an_estimate_without_prices_is_wrong_usage(bench):
    result = quick("price", "one-volume.yaml", "--sheet", "quote", "--out", "o")
    assert (result.exit_code, "--prices" in result.stderr) == (2, True)
    assert quick("price", "one-volume.yaml", "--prices", "none.yaml").exit_code == 1


def test_a_build_with_errors_is_priced_only_anyway_and_stamped(bench):
    build = bench / "one-volume.yaml"
    text = build.read_text(encoding="utf-8")
    build.write_text(text.replace("volume.wiper -> output.tip", "volume.wiper -> output.tipp"), encoding="utf-8")
    assert quick("price", build.name, "--prices", SHOP, "--out", "o").exit_code == 1
    assert not (bench / "o").exists()
    assert quick("price", build.name, "--prices", SHOP, "--out", "o", "--anyway", "-q").exit_code == 1
    assert "NOT PROVED" in (bench / "o" / "quote-1.svg").read_text(encoding="utf-8")


def test_formulas_and_markup_in_names_and_codes_are_text(bench):
    build = bench / "one-volume.yaml"
    build.write_text(build.read_text(encoding="utf-8").replace(
        "  volume: pot-24, 250k log", "  volume: pot-24, 250k log, says =1+2 <script>x</script>"), encoding="utf-8")
    assert "says =1+2" in build.read_text(encoding="utf-8")
    (bench / "shop.yaml").write_text("currency: EUR\nkinds:\n  pot-24: {price: 5, code: '=cmd()', supplier: '@evil'}\n"
                                     "lines:\n  - {says: '<script>alert(1)</script>', price: 1}\n"
                                     "  - {says: '-5x', price: 1}\n", encoding="utf-8")
    assert quick("price", build.name, "--prices", "shop.yaml", "--out", "o").exit_code == 0
    for name in ("buying.csv", "price.csv"):
        for row in rows(bench / "o" / name):
            begins = [v[:2] for v in row.values()]
            assert not [b for b in begins if b[:1] in tuple("=+@") or (b[:1] == "-" and not b[1:].isdigit())], row
    found = rows(bench / "o" / "price.csv")
    assert {"'=cmd()", "'@evil", "'-5x"} <= {v for row in found for v in row.values()}
    assert "<script>" not in (bench / "o" / "quote-1.svg").read_text(encoding="utf-8")


def test_two_runs_write_the_same_bytes(bench):
    for folder in ("a", "b"):
        done = run("price", "baritone.yaml", "--prices", SHOP, "--sheet", "quote", "--sheet", "invoice", "--sheet",
                   "buying", "--out", folder, cwd=bench)
        assert done.returncode == 0, done.stderr
    names = sorted(p.name for p in (bench / "a").iterdir())
    assert names == sorted(p.name for p in (bench / "b").iterdir())
    assert all((bench / "a" / n).read_bytes() == (bench / "b" / n).read_bytes() for n in names)
