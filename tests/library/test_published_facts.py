"""What symbol files say where a published work or the trade knew better than was once written in them."""

from __future__ import annotations

import re

import pytest

from diagramgen.library.catalogue import shipped
from diagramgen.library.model import Symbol


def symbol(name: str) -> Symbol:
    return shipped()[name]


def words(name: str) -> str:
    found = symbol(name)
    return re.sub(r"\s+", " ", f"{found.about} {found.check}")


def size(name: str, key: str) -> float:
    return symbol(name).dimensions[key].value


def test_magnets_have_no_say_in_the_hum_of_three_coils() -> None:
    # Faraday: a field from outside induces by winding alone (Lessons in Electric Circuits, AC, Design Science License).
    assert not re.search(r"magnet\w* (cancel|quiet)", words("three-coil"))
    assert "the magnets have no say" in words("three-coil")


def test_a_no_load_track_may_read_open_from_end_to_end() -> None:
    # Common practice, no source: kinds whose track is cut before its end are sold beside those whose wiper leaves it.
    assert "or open where the track itself is cut" in words("pot-24-no-load")


def test_an_end_pin_jack_is_no_barrel_jack_and_needs_a_wider_hole() -> None:
    # A how-to article, title not noted, licence not told: end-pin hole reamed to 15/32 in (11.9 mm), others 12.7 mm.
    assert "12 to 12.7 mm" in words("jack-barrel-stereo")
    for name in ("jack-barrel", "jack-barrel-stereo"):
        assert size(name, "hole") < 12
        assert "or as an end pin" not in words(name)


def test_a_covered_single_coil_fits_the_published_rout() -> None:
    # Pickup routs traced in a public repository of guitar bodies, licence not told: 79.6 x 21 mm, coil part 15 wide.
    assert size("single-coil-cover-tag", "length") <= 79.6
    assert size("single-coil-cover-tag", "width") <= 21
    assert size("single-coil-cover-tag", "coil-width") == 15


def test_the_narrow_bass_single_hangs_by_four_ears_on_its_long_sides() -> None:
    # Notes in a public repository of guitar bodies and a public repository of bass drawings, licences not told: 39.2 to
    # 39.6 mm along, 24 mm across.
    assert 39.2 <= size("bass-single", "screw-spacing") <= 39.6
    assert size("bass-single", "screw-across") == 24
    assert len(symbol("bass-single").mounting.screws) == 4


@pytest.mark.parametrize("name", ["dual-coil", "dual-coil-braided", "dual-coil-two-conductor-bare"])
def test_the_slug_coil_is_usually_north_the_screw_coil_south_and_a_compass_decides(name: str) -> None:
    # Common practice, no source.
    values = symbol(name).values
    assert (values["a-magnet"].value, values["b-magnet"].value) == ("north", "south")
    assert all("compass" in values[key].source for key in ("a-magnet", "b-magnet"))


def test_no_board_is_called_dead_at_eight_volts() -> None:
    # The board's own sheet says how low its supply may go (typical, from memory: 5 to 7 V).
    assert "8 V" not in words("battery-9v")
    assert "The board's sheet says how low" in words("battery-9v")
