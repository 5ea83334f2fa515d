"""Strokes that are a signature, and those that are not."""

from typing import Any

import pytest

from jobs.book.refusals import Refused
from jobs.papers.signatures import plain, read_strokes


def test_a_drawn_name_is_taken_as_it_came() -> None:
    sent = [[[100, 200, 0], [300, 120, 40]], [[500, 300, 200]]]
    assert plain(read_strokes(sent)) == sent


def test_points_off_the_pad_are_brought_to_its_edge_and_rounded() -> None:
    assert read_strokes([[[-5, 10.4, 0], [1200, 999, 30]]]) == (((0, 10, 0), (1000, 400, 30)),)


@pytest.mark.parametrize("sent", [None, "", [], [[]], [[], []], {}])
def test_an_empty_pad_is_refused(sent: Any) -> None:
    with pytest.raises(Refused, match="pad is empty"):
        read_strokes(sent)


@pytest.mark.parametrize("sent", [[[[500, 200, 0]]], [[[500, 200, 0], [504, 203, 9]]], [[[1, 1, 0]], [[900, 300, 5]]]])
def test_a_dot_is_refused(sent: Any) -> None:
    with pytest.raises(Refused, match="only a dot"):
        read_strokes(sent)


@pytest.mark.parametrize(
    "sent",
    [["x"], [["x"]], [[[1, 2]]], [[[1, 2, None]]], [[[True, 2, 3]]], [[[float("nan"), 2, 3]]], [[[1e300, 2, 3]]]],
)
def test_broken_strokes_are_refused(sent: Any) -> None:
    with pytest.raises(Refused, match="did not arrive whole"):
        read_strokes(sent)


def test_a_flood_of_points_is_refused() -> None:
    with pytest.raises(Refused, match="more than a signature"):
        read_strokes([[[number % 1000, 200, number] for number in range(7000)]])
