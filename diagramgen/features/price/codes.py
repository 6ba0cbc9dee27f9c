"""Problem codes of prices."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

PRICES = Range("PRI-6", "prices", 170, was="J6")

PRI_601 = Code(
    "PRI-601", Severity.WARNING, "Something that is to be bought has no price in the price file",
    text="Its line says `price missing`, it is not in the sum, and the total is marked incomplete.",
    advice="Price its kind, the part itself, or write `charged: no`.", was="J601")
PRI_602 = Code(
    "PRI-602", Severity.ERROR, "A number of the price file cannot be taken",
    text="It is negative, has more than nine digits, is finer than the currency's smallest amount, is written with "
         "the other decimal sign or with signs between thousands, or it prices a part by length or wire by the piece.",
    was="J602")
PRI_603 = Code(
    "PRI-603", Severity.ERROR, "An amount names another currency than the file",
    text="One file, and so one job, is in one currency.",
    advice="One currency a job: change the price, and write the number alone.", was="J603")
PRI_604 = Code(
    "PRI-604", Severity.ERROR, "A rate of tax is above 100 %",
    advice="Write the rate in per cent: 20, or 8.875.", was="J604")
PRI_605 = Code(
    "PRI-605", Severity.ERROR, "Minutes are given, but not what an hour costs",
    advice="Add 'hourly rate'.", was="J605")
PRI_606 = Code(
    "PRI-606", Severity.ERROR, "Two keys speak against each other: a price for what is not charged, or minutes and a "
    "price on one line",
    advice="Keep one of the two.", was="J606")
PRI_607 = Code(
    "PRI-607", Severity.WARNING, "A wire to be bought has no length yet, so it is not in the sum, and the total is "
    "marked incomplete",
    advice="Write the length in the build: 'length 120' on the lead's line.", was="J607")
PRI_608 = Code(
    "PRI-608", Severity.WARNING, "The price file names a kind of part that does not exist, or a part this build does "
    "not have",
    text="A slip there would leave a part at another price.",
    also=((Severity.NOTE, "for a part this build does not have: the file may serve other jobs too"),),
    was="J608")
