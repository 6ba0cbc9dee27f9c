"""Labels that would be misread beside one another take other places: names on one line, words under a leader."""

from __future__ import annotations

from diagramgen.drawing.labelling.place_labels import Candidate, Label, LabelLine, place_labels
from diagramgen.kernel.geometry import Box, Point, polyline

FRAME = Box(0, 0, 200, 100)


def label(key, spots, apart=0.0):
    return Label(key, key, (LabelLine("output", 2.5, True),), tuple(spots), gap=apart)


def second_place(apart):
    """Where the second of two names goes that would like to stand 1 mm beside the first, on its line."""
    first = label("one", [Candidate(Point(50, 50))], apart)
    width = first.size[0]
    wishes = [Candidate(Point(50 + width + 1.0, 50)), Candidate(Point(50 + width + 1.0, 60), cost=3.0)]
    return place_labels([first, label("other", wishes, apart)], [], [], FRAME)[1].candidate.at.y


def test_a_name_leaves_the_line_of_another_that_it_would_read_on_from():
    assert second_place(0.0) == 50
    assert second_place(5.0) == 60


def test_a_leader_goes_round_the_words_of_another_label():
    words = label("words", [Candidate(Point(50, 50))])
    through = Candidate(Point(50, 70), 0.0, 0.0, Point(50, 30))
    round_it = Candidate(Point(90, 70), 0.0, 3.0, Point(80, 30))
    assert place_labels([words, label("led", [through, round_it])], [], [], FRAME)[1].candidate == round_it
    assert place_labels([label("led", [through, round_it])], [], [], FRAME)[0].candidate == through


def crossing_or_aside(leads=()):
    """Where a label goes whose nearest place has a leader across that of another label."""
    there = label("there", [Candidate(Point(80, 70), 0.0, 0.0, Point(40, 30))])
    across = Candidate(Point(40, 70), 0.0, 0.0, Point(80, 30))
    aside = Candidate(Point(130, 40), 0.0, 3.0, Point(80, 30))
    return place_labels([there, label("led", [across, aside])], [], leads, FRAME)[1].candidate == across


def test_leaders_do_not_cross_where_another_place_is_to_be_had():
    assert not crossing_or_aside()


def test_leaders_cross_rather_than_hide_a_lead():
    assert crossing_or_aside([("lead:W01", polyline([Point(130, 10), Point(130, 90)]))])
