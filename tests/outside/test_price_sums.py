"""Estimate and account against sums worked out apart: price file by plain YAML, fractions, and the PDF read back.

Nothing of the program's own arithmetic or reading is used: counts come from the JSON it wrote, lengths from its lead
list, prices from the file itself, and the printed sheet is read by another PDF library.
"""

from __future__ import annotations

import csv
import io
import json
import math
import re
from fractions import Fraction
from pathlib import Path

import pdfplumber
import pytest
import yaml
from sampled import proof_of

from diagramgen.analysis import Analysis
from diagramgen.features.price.papers import price_files, priced
from diagramgen.kernel.diagnostics import Diagnostics

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = ["two-pickups-toggle", "one-volume", "three-singles-lever", "left-handed", "holes-in-top", "baritone"]
LABOUR = {"joint opened": "joints_opened", "joint": "joints", "lead out": "leads_out", "lead moved": "leads_moved",
          "lead": "leads", "part out": "parts_out", "part": "parts"}
SHOP = """\
currency: CHF
hourly rate: 61.70
rounding: {rounding}
round to: {step}
tax:
  prices: {how}
  rates:
    - {{name: first tax, percent: 7.7}}
    - {{name: second tax, percent: 3.125, on: parts}}
kinds: {{pot-24: 6.43, pot-24-push-pull: 13.79, pot-16: 4.07, capacitor-film: 1.13, bleed-parallel: 1.15,
  toggle-upright: 17.53, jack-barrel: 9.91, jack-mono-open: 3.27, jack-stereo-open: 3.61, single-coil: 48.01,
  dual-coil: 96.33, dual-coil-unlike: 99.99, splice: 0.07, bridge-ground: 0, buffer-board: 31.41,
  pickup-ring-two-slides: 22.22,
  contact-transducer: 27.18, battery-9v: 5.55, lever-open-5: 14.14, lever-open-3: 12.1, single-braided: 47.11}}
stock: {{hook-up wire: 0.83 per metre, bare wire: 0.51 per metre, shielded wire: 0.67 per foot,
  "cloth-covered wire": 1.13 per metre, "shrink sleeve 2:1, 2.4 to 1.2 mm": 1.21 per metre}}
labour: {{joint opened: 1.1, joint: 2.3, lead out: 0.7, lead moved: 2.9, lead: 3.7, part out: 3.1, part: 6.1}}
lines:
  - {{says: set-up, minutes: 37}}
  - {{says: strings, price: 9.77}}
"""
STEPS = [("each line", "0.01", "added"), ("each line", "0.05", "included"), ("the sum", "0.01", "added"),
         ("the sum", "0.05", "included")]
MM = {"metre": Fraction(1000), "foot": Fraction("304.8")}


def half_up(amount: Fraction, step: Fraction) -> Fraction:
    return math.floor(amount / step + Fraction(1, 2)) * step


def amount(text: object) -> Fraction:
    return Fraction(str(text))


def expected(said: dict, shop: dict) -> dict[str, object]:
    """Exact amounts of all lines that have a price, by tax class, and the sums."""
    buying, cent = said["buying"], Fraction(1, 100)
    lines: list[tuple[str, Fraction]] = []
    missing = 0
    for line in buying["parts"]:
        if line["fate"] == "buy":
            if line["symbol"] in shop["kinds"]:
                lines.append(("parts", line["quantity"] * amount(shop["kinds"][line["symbol"]])))
            else:
                missing += 1
    for one in buying["stock"]:
        text = shop["stock"].get(one["words"])
        if text is None:
            missing += 1
        else:
            price, unit = text.split(" per ")
            lines.append(("parts", amount(price) * amount(one["length_mm"]) / MM[unit]))
    hour = amount(shop["hourly rate"])
    for key, minutes in shop["labour"].items():
        if buying["counts"][LABOUR[key]]:
            lines.append(("labour", buying["counts"][LABOUR[key]] * amount(minutes) * hour / 60))
    lines += [("labour", 37 * hour / 60), ("parts", amount("9.77"))]
    if shop["rounding"] == "each line":
        lines = [(on, half_up(a, cent)) for on, a in lines]
    base = {on: sum((a for o, a in lines if o == on), Fraction(0)) for on in ("parts", "labour")}
    first, second = (amount(r["percent"]) for r in shop["tax"]["rates"])
    if shop["tax"]["prices"] == "added":
        taxes = [half_up((base["parts"] + base["labour"]) * first / 100, cent),
                 half_up(base["parts"] * second / 100, cent)]
    else:
        parts, labour = base["parts"] / (100 + first + second), base["labour"] / (100 + first)
        taxes = [half_up((parts + labour) * first, cent), half_up(parts * second, cent)]
    summed = half_up(base["parts"] + base["labour"], cent)
    whole = summed + sum(taxes) if shop["tax"]["prices"] == "added" else summed
    return {"lines": sorted(half_up(a, cent) for _, a in lines), "sum": summed, "taxes": taxes,
            "total": half_up(whole, amount(shop["round to"])), "missing": missing}


def made(name: str, text: str, folder: Path, sheets: tuple[str, ...] = ("quote", "invoice"), paper: str = "a4"):
    file = folder / "shop.yaml"
    file.write_text(text, encoding="utf-8")
    proof, say = proofs(name), Diagnostics()
    found = priced(proof, file, say)
    assert found is not None
    assert [p.text() for p in say if p.severity.word == "error"] == []
    return price_files(proof, found, sheets, paper), yaml.load(text, yaml.BaseLoader)


def proofs(name: str, known: dict[str, Analysis] = {}) -> Analysis:  # noqa: B006 - kept for the session
    if name not in known:
        known[name] = proof_of(name)
    return known[name]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("rounding", "step", "how"), STEPS)
def test_lines_taxes_and_total_are_those_worked_out_with_fractions(name, rounding, step, how, tmp_path):
    files, shop = made(name, SHOP.format(rounding=rounding, step=step, how=how), tmp_path, ())
    said = json.loads(files["price.json"])
    bill, wanted = said["bill"], expected(said, shop)
    assert sorted(amount(line["amount"]) for line in bill["lines"] if line["amount"]) == wanted["lines"]
    assert amount(bill["lines_total"]) == wanted["sum"]
    assert [amount(t["amount"]) for t in bill["taxes"]] == wanted["taxes"]
    assert amount(bill["total"]) == wanted["total"]
    assert bill["complete"] == (wanted["missing"] == 0)
    assert len(bill["lines"]) >= 8


@pytest.mark.parametrize("name", NAMES)
def test_csv_and_json_say_the_same(name, tmp_path):
    files, _ = made(name, SHOP.format(rounding="each line", step="0.05", how="added"), tmp_path, ())
    said = json.loads(files["price.json"])["bill"]
    rows = list(csv.DictReader(io.StringIO(files["price.csv"].decode("utf-8"), newline="")))
    lines = [r for r in rows if r["group"] not in ("sum", "tax")]
    assert [(r["what"], r["quantity"]) for r in lines] == [(x["what"], x["quantity"] or "") for x in said["lines"]]
    # A column of amounts added up in a spreadsheet comes to what is to pay.
    added = sum((amount(r["amount"]) for r in rows if re.fullmatch(r"-?[\d.]+", r["amount"])
                 and r["what"] != "lines" and not r["what"].startswith("total")), Fraction(0))
    assert added == amount(said["total"]) == amount(rows[-1]["amount"])


def words_of(pdf: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(pdf)) as file:
        return [page.extract_text(layout=False) or "" for page in file.pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("sheet", "title"), [("quote", "ESTIMATE"), ("invoice", "ACCOUNT")])
def test_the_printed_sheet_read_back_adds_up(sheet, title, paper, tmp_path):
    text = SHOP.format(rounding="each line", step="0.01", how="added")
    files, _ = made("two-pickups-toggle", text, tmp_path, (sheet,), paper)
    said = json.loads(files["price.json"])["bill"]
    pages = words_of(files[f"{sheet}.pdf"])
    whole = "\n".join(pages)
    assert title in whole
    assert f"CHF {said['total']}" in whole
    # An estimate is no demand: only the account says what is to pay.
    assert ("to pay" in whole, "estimated total" in whole) == ((True, False) if sheet == "invoice" else (False, True))
    for line in said["lines"]:
        assert any(line["what"].split(",")[0] in row and row.rstrip().endswith(line["amount"])
                   for row in whole.splitlines()), line
    assert f"together, without tax {said['lines_total']}" in whole
    assert all(f"{t['name']} {t['percent']} %" in whole and t["amount"] in whole for t in said["taxes"])
    assert "Each line is rounded half up to 0.01 CHF, then added." in whole
    with pdfplumber.open(io.BytesIO(files[f"{sheet}.pdf"])) as file:
        size = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}[paper]
        assert (float(file.pages[0].width), float(file.pages[0].height)) == pytest.approx(size, abs=0.1)


def test_an_incomplete_estimate_says_so_in_print(tmp_path):
    text = SHOP.format(rounding="the sum", step="0.01", how="included").replace("pot-24: 6.43, ", "")
    files, _ = made("two-pickups-toggle", text, tmp_path, ("quote",))
    whole = "\n".join(words_of(files["quote.pdf"]))
    assert "INCOMPLETE: 1 not priced" in whole
    assert re.search(r"rotary pot.*price missing", whole), whole
    assert "so far" in whole
    assert "to pay" not in whole
    assert "estimated total" not in whole
    assert "Prices hold the tax." in whole


def test_no_figure_of_the_estimate_lies_on_another(tmp_path):
    files, _ = made("baritone", SHOP.format(rounding="each line", step="0.05", how="added"), tmp_path,
                    ("quote", "buying"))
    for name in ("quote", "buying"):
        with pdfplumber.open(io.BytesIO(files[f"{name}.pdf"])) as file:
            for page in file.pages:
                found = page.extract_words(keep_blank_chars=False)
                for i, a in enumerate(found):
                    for b in found[i + 1:]:
                        across = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
                        down = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
                        assert across < 0.6 or down < 0.45 * min(a["bottom"] - a["top"], b["bottom"] - b["top"]), (a, b)
