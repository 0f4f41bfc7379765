"""What a series rests on, counted over its rows."""

from dataclasses import replace

import pytest

from core.catalogue.load import library_ids, load_series
from core.catalogue.shares import Shares, confidence_shares, percent
from core.model.issue import Confidence, SeriesId


def test_the_kinds_of_every_series_add_up_to_its_rows():
    for series_id in library_ids():
        series = load_series(series_id)
        got = confidence_shares(series)
        parts = got.published + got.recalled + got.practice + got.invented
        assert parts == got.rows == len(series.issues), series_id
        assert got.not_known == [i.mintage for i in series.issues].count(None), series_id


def test_each_kind_and_a_missing_figure_are_counted_apart():
    series = load_series(SeriesId("harbour-token"))
    kinds = [*([Confidence.PUBLISHED] * 3), *([Confidence.RECALLED] * 2), Confidence.PRACTICE]
    figures = [1, None, 3, None, 5, 6]
    issues = tuple(
        replace(issue, confidence=kind, mintage=figure)
        for issue, kind, figure in zip(series.issues, kinds, figures, strict=False)
    )
    assert confidence_shares(replace(series, issues=issues)) == Shares(6, 3, 2, 1, 0, 2)


@pytest.mark.parametrize(
    ("shares", "text"),
    [
        (Shares(0, 0, 0, 0, 0, 0), "no rows"),
        (Shares(1, 0, 1, 0, 0, 1), "1 row: 100 % recalled; 100 % without a figure"),
        (
            Shares(412, 255, 157, 0, 0, 12),
            "412 rows: 62 % published, 38 % recalled; 3 % without a figure",
        ),
        (
            Shares(300, 2, 297, 1, 0, 0),
            "300 rows: under 1 % published, 99 % recalled, under 1 % common practice; "
            "0 % without a figure",
        ),
        (Shares(4, 0, 0, 0, 4, 1), "4 rows: 100 % invented; 25 % without a figure"),
    ],
)
def test_the_line_names_only_what_there_is(shares, text):
    assert shares.text == text


@pytest.mark.parametrize(
    ("part", "whole", "text"),
    [
        (0, 9, "0 %"),
        (9, 9, "100 %"),
        (1, 101, "under 1 %"),
        (400, 401, "over 99 %"),
        (1, 100, "1 %"),
        (99, 100, "99 %"),
        (1, 8, "13 %"),
    ],
)
def test_nought_and_a_hundred_are_said_only_of_nothing_and_of_all(part, whole, text):
    assert percent(part, whole) == text
