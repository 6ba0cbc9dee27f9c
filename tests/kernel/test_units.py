"""Values as they are read and printed, at the edges where a spoilt figure would pass unseen on a sheet."""

from __future__ import annotations

import pytest

from diagramgen.kernel import units
from diagramgen.kernel.units import (
    CAPACITANCE,
    CURRENT,
    FREQUENCY,
    INDUCTANCE,
    LENGTH,
    RESISTANCE,
    VOLTAGE,
    BadValue,
    awg_diameter,
    number,
    quantity,
    read_length,
    read_number,
    read_quantity,
)


@pytest.mark.parametrize(("text", "kind", "value"), [
    # IEC 60062, letter and digit code, as the encyclopaedia article "RKM code" tells it (licence not told)
    ("R47", RESISTANCE, 0.47), ("4R7", RESISTANCE, 4.7), ("470R", RESISTANCE, 470.0), ("4K7", RESISTANCE, 4700.0),
    ("4k7", RESISTANCE, 4700.0), ("2M2", RESISTANCE, 2.2e6), ("50L0", RESISTANCE, 0.05), ("1G0", RESISTANCE, 1e9),
    ("4n7", CAPACITANCE, 4.7e-9), ("n47", CAPACITANCE, 0.47e-9), ("2u2", CAPACITANCE, 2.2e-6),
    ("4p7", CAPACITANCE, 4.7e-12), ("1m0", CAPACITANCE, 1e-3), ("4H5", INDUCTANCE, 4.5), ("H60", INDUCTANCE, 0.6),
    # EIA RS-198, three digits in pF, read second hand; a last 8 and 9 stand for 0.01 and 0.1
    ("473", CAPACITANCE, 47e-9), ("473J", CAPACITANCE, 47e-9), ("100", CAPACITANCE, 10e-12),
    ("478", CAPACITANCE, 0.47e-12), ("479", CAPACITANCE, 4.7e-12),
    # as spoken and written in workshops: common practice, no source
    ("500k", RESISTANCE, 500e3), ("500 K", RESISTANCE, 500e3), ("1 meg", RESISTANCE, 1e6), ("1 Mohm", RESISTANCE, 1e6),
    ("250 kohms", RESISTANCE, 250e3), ("8 \u03a9", RESISTANCE, 8.0), ("8 \u2126", RESISTANCE, 8.0),
    ("0.022 \u00b5F", CAPACITANCE, 22e-9), (".022 uF", CAPACITANCE, 22e-9), ("22n", CAPACITANCE, 22e-9),
    ("600 mH", INDUCTANCE, 0.6), ("4.2 kHz", FREQUENCY, 4200.0), ("50", FREQUENCY, 50.0), ("9 volts", VOLTAGE, 9.0),
    ("250 uA", CURRENT, 250e-6),
])
def test_a_value_is_read_as_written(text, kind, value):
    assert read_quantity(text, kind) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("text", "kind"), [
    ("4R7", CAPACITANCE), ("L50", INDUCTANCE), ("4H5", RESISTANCE), ("R", RESISTANCE), ("4 7k", RESISTANCE),
    ("22", CAPACITANCE), ("4.5", INDUCTANCE), ("0.1", CURRENT), ("1 meg", FREQUENCY), ("500q", RESISTANCE),
    ("-5k", RESISTANCE), ("0", RESISTANCE), ("4,7k", RESISTANCE), ("", RESISTANCE), ("473X", CAPACITANCE),
])
def test_what_is_no_such_value_is_refused(text, kind):
    with pytest.raises(BadValue):
        read_quantity(text, kind)


@pytest.mark.parametrize(("kind", "low", "high", "limits"), [
    (RESISTANCE, "0.01", "1G", "10 mΩ to 1 GΩ"), (CAPACITANCE, "0.1p", "10m", "0.1 pF to 10 mF"),
    (INDUCTANCE, "1u", "100 H", "1 µH to 100 H"), (FREQUENCY, "0.1 Hz", "1 MHz", "100 mHz to 1 MHz"),
    (VOLTAGE, "10 mV", "100 V", "10 mV to 100 V"), (CURRENT, "1n", "1 A", "1 nA to 1 A"),
])
def test_the_edges_of_what_a_value_may_be_are_taken_and_no_more(kind, low, high, limits):
    for edge, outside in ((low, 0.9), (high, 1.1)):
        value = read_quantity(edge, kind)
        assert value == pytest.approx(kind.low if edge == low else kind.high)
        with pytest.raises(BadValue) as said:
            read_quantity(f"{value * outside:.20f} {kind.spellings[-1]}", kind)
        assert "absurd" in str(said.value)
        assert limits in said.value.remedy


def test_it_is_said_whether_a_unit_is_missing_or_wrong():
    with pytest.raises(BadValue, match="'22' has no unit"):
        read_quantity("22", CAPACITANCE)
    with pytest.raises(BadValue, match="'22q' is no capacitance"):
        read_quantity("22q", CAPACITANCE)


def test_zero_is_taken_only_where_it_is_allowed():
    assert read_quantity("0", RESISTANCE, allow_zero=True) == 0.0
    assert read_length("0", allow_zero=True) == 0.0
    with pytest.raises(BadValue, match="zero"):
        read_length("0")


@pytest.mark.parametrize(("text", "mm"), [
    ("38", 38.0), ("38 mm", 38.0), ("3.8 cm", 38.0), ("1.2 m", 1200.0), ("1.5 in", 38.1), ('1"', 25.4), ("1″", 25.4),
    ("3/8 in", 9.525), ("1 1/2 in", 38.1), ("2 inches", 50.8), ("1 INCH", 25.4),  # 1 in = 25.4 mm (1959 agreement)
])
def test_a_length_is_read_as_written(text, mm):
    assert read_length(text) == pytest.approx(mm, rel=1e-12)


def test_a_length_below_zero_is_an_offset_where_one_is_allowed():
    assert read_length("-1 1/2 in", allow_negative=True) == pytest.approx(-38.1)
    assert read_length("-5", allow_negative=True) == -5.0
    assert read_length("0.5", allow_negative=True) == 0.5
    assert read_length("0", allow_negative=True) == 0.0
    assert read_length("3000") == 3000.0
    assert read_length("-3000", allow_negative=True) == -3000.0
    for text in ("-5", "3000.1", "-3000.1", "3/8", "1/0 in", "1,5", "wide"):
        with pytest.raises(BadValue):
            read_length(text, allow_negative=text == "-3000.1")


@pytest.mark.parametrize(("value", "kind", "text"), [
    (999.4, RESISTANCE, "999 Ω"), (999.6, RESISTANCE, "1 kΩ"), (1000.0, RESISTANCE, "1 kΩ"),
    (1200.0, RESISTANCE, "1.2 kΩ"),
    (4725.0, RESISTANCE, "4.73 kΩ"), (47_250.0, RESISTANCE, "47.3 kΩ"), (472_500.0, RESISTANCE, "473 kΩ"),
    (1e9, RESISTANCE, "1 GΩ"), (0.0, RESISTANCE, "0 Ω"), (22e-9, CAPACITANCE, "22 nF"),
    (0.47e-12, CAPACITANCE, "0.47 pF"),
    (2.2e-6, CAPACITANCE, "2.2 µF"), (0.6, INDUCTANCE, "600 mH"), (38.14, LENGTH, "38.1 mm"),
    (38.15, LENGTH, "38.2 mm"),
])
def test_a_value_is_printed_with_three_figures_and_the_prefix_it_is_spoken_with(value, kind, text):
    assert quantity(value, kind) == text


def test_figures_can_be_asked_for():
    assert quantity(6153.0, RESISTANCE, 2) == "6.2 kΩ"
    assert quantity(6153.0, RESISTANCE, 4) == "6.153 kΩ"


@pytest.mark.parametrize(("value", "decimals", "text"), [
    (0.05, 1, "0.1"), (-0.05, 1, "-0.1"), (-0.04, 1, "0"), (19.45, 1, "19.5"), (19.45 - 1e-9, 1, "19.5"),
    (19.4499, 1, "19.4"), (2.5, 0, "3"), (100.0, 0, "100"), (100.0, 2, "100"), (12.340, 2, "12.34"),
])
def test_a_number_is_rounded_half_away_from_zero_and_bears_no_idle_zeros(value, decimals, text):
    assert number(value, decimals) == text


@pytest.mark.parametrize(("text", "value"), [("12", 12.0), ("-12.5", -12.5), (".5", 0.5), ("1e3", 1000.0),
                                             ("1000000", 1e6), ("-1000000", -1e6)])
def test_a_plain_number_is_read(text, value):
    assert read_number(text) == value


@pytest.mark.parametrize("text", ["1000001", "-1e7", "1e999", "nan", "inf", "1.2.3", "1,5", "1_000", ""])
def test_what_is_no_plain_number_is_refused(text):
    with pytest.raises(BadValue):
        read_number(text)


@pytest.mark.parametrize(("gauge", "mm"), [(18, 1.024), (20, 0.812), (22, 0.644), (24, 0.511), (30, 0.255),
                                           (36, 0.127)])
def test_the_diameter_of_a_gauge_is_that_of_the_standard(gauge, mm):
    """ASTM B258, table of nominal diameters, rounded to 0.001 mm."""
    assert awg_diameter(gauge) == pytest.approx(mm, abs=0.0006)


def test_the_prefixes_are_those_of_the_si():
    of_ten = {"p": -12, "n": -9, "u": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
    assert units.PREFIXES.keys() == of_ten.keys()
    for prefix, power in of_ten.items():
        assert units.PREFIXES[prefix] == pytest.approx(10.0**power, rel=1e-15)
