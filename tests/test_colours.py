import pytest

from diagramgen.kernel.colours import WORDS, LeadColour, colour_word, names, parse_colour

# IEC 60757:1983, the same as GOST 28763-90, read second hand; that the edition of 2021 keeps the codes is from memory.
IEC_60757 = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "GD": "gold",
    "TQ": "turquoise",
    "SR": "silver",
    "GNYE": "green-and-yellow",
}


def test_codes_words_and_order_are_those_of_iec_60757():
    ours = {code: word for code, (word, _) in WORDS.items() if code != "BARE"}
    assert ours == IEC_60757
    assert list(ours) == list(IEC_60757)


def test_short_words_are_four_letters_at_most_and_differ():
    shorts = [short for code, (_, short) in WORDS.items() if code != "GNYE"]
    assert len(set(shorts)) == len(shorts)
    assert all(len(short) <= 4 for short in shorts)


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("red", "RD"),
        ("RD", "RD"),
        ("rd", "RD"),
        ("Red", "RD"),
        ("grey", "GY"),
        ("gray", "GY"),
        ("GRAY", "GY"),
        ("wht", "WH"),
        ("wht/blk", "WH/BK"),
        ("WH/BK", "WH/BK"),
        ("white-black", "WH/BK"),
        ("RDBU", "RD/BU"),
        ("white with black stripe", "WH/BK"),
        ("red+blue", "RD/BU"),
        ("bare", "BARE"),
        ("GNYE", "GNYE"),
        ("green/yellow", "GNYE"),
        ("grn/yel", "GNYE"),
        (" white / black ", "WH/BK"),
        ("purple", "VT"),
    ],
)
def test_a_typed_colour_is_read_as_its_code(typed, code):
    assert parse_colour(typed).code == code


@pytest.mark.parametrize(
    "colour", [LeadColour(b) for b in WORDS] + [LeadColour("WH", s) for s in ("BK", "RD")]
)
def test_what_is_printed_can_be_read_back(colour):
    assert parse_colour(colour.code) == colour
    assert parse_colour(colour.short) == colour
    assert parse_colour(colour.word) == colour
    assert colour_word(colour.code) == colour.short


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("mauve", "“mauve” is not a colour"),
        ("", "“” is not a colour"),
        ("red/red", "a stripe in the colour of its base"),
        ("red/white/blue", "names 3 colours"),
        ("bare/red", "bare cannot be striped"),
        ("red/mauve", "“mauve” is not a colour"),
    ],
)
def test_a_wrong_colour_is_refused_with_its_reason(typed, reason):
    with pytest.raises(ValueError, match=reason):
        parse_colour(typed)


def test_hints_offer_plain_words_only():
    assert {"red", "gray", "turquoise", "blk"} <= set(names())
    assert all(name.isalpha() for name in names())
