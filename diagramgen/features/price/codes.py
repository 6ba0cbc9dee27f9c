"""Problem codes of prices."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

PRICES = Range("J6", "prices", 170)

J601 = Code(
    "J601", Severity.WARNING, "Something that is to be bought has no price in the price file",
    text="Its line says `price missing`, it is not in the sum, and the total is marked incomplete.",
    advice="Price its kind, the part itself, or write `charged: no`.")
J602 = Code(
    "J602", Severity.ERROR, "A number of the price file cannot be taken",
    text="It is negative, has more than nine digits, is finer than the currency's smallest amount, is written with "
         "the other decimal sign or with signs between thousands, or it prices a part by length or wire by the piece.")
J603 = Code(
    "J603", Severity.ERROR, "An amount names another currency than the file",
    text="One file, and so one job, is in one currency.",
    advice="One currency a job: change the price, and write the number alone.")
J604 = Code(
    "J604", Severity.ERROR, "A rate of tax is above 100 %",
    advice="Write the rate in per cent: 20, or 8.875.")
J605 = Code(
    "J605", Severity.ERROR, "Minutes are given, but not what an hour costs",
    advice="Add 'hourly rate'.")
J606 = Code(
    "J606", Severity.ERROR, "Two keys speak against each other: a price for what is not charged, or minutes and a "
    "price on one line",
    advice="Keep one of the two.")
J607 = Code(
    "J607", Severity.WARNING, "A wire to be bought has no length yet, so it is not in the sum, and the total is "
    "marked incomplete",
    advice="Write the length in the build: 'length 120' on the lead's line.")
J608 = Code(
    "J608", Severity.WARNING, "The price file names a kind of part that does not exist, or a part this build does not "
    "have",
    text="A slip there would leave a part at another price.",
    also=((Severity.NOTE, "for a part this build does not have: the file may serve other jobs too"),))
