"""The table of recognised varieties against the library: each is there, with odds and markers.

`resources/catalogue/mapped_varieties.csv` lists, row by row, the varieties that collectors' works
recognise (2026), the work each rests on (`source`, the project's reference of varieties) and how
likely a searcher meets it in circulated rolls (`odds`, copied from that reference), and names what
stands for it in the library, or why nothing does.
"""

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from functools import reduce
from math import hypot
from operator import or_

import pytest

import resources
from core.catalogue.load import library_ids, load_series
from core.model.issue import (
    Confidence,
    Description,
    Evidence,
    Face,
    Marker,
    RollOdds,
    Series,
    SeriesId,
    Sign,
    Variety,
    VarietyId,
)
from tests.unit.test_catalogue_data import MAY_BE_NAMED

COLUMNS = [
    *("row", "country", "denomination", "year", "mint", "name"),
    *("series", "kind", "id", "odds", "source", "reason"),
]
LISTED = {
    ("US", "1c"): 68,
    ("US", "5c"): 22,
    ("US", "10c"): 14,
    ("US", "25c"): 22,
    ("US", "50c"): 17,
    ("US", "$1"): 2,
    ("CA", "1c"): 4,
    ("GB", "1p"): 1,
    ("GB", "2p"): 1,
    ("GB", "20p"): 1,
}
"""How many rows the reference has of a country and denomination: 152 in all."""
OWN_VARIETIES: dict[str, tuple[str, ...]] = {
    "us-cent-lincoln": (),
    "us-nickel-buffalo": (),
    "us-nickel-jefferson": (),
    "us-dime-mercury": (),
    "us-dime-roosevelt": (),
    "us-quarter-washington": (),
    "us-quarter-state-territory": (),
    "us-half-franklin": (),
    "us-half-kennedy": (),
    "us-dollar-small": (),
    "us-dollar-presidential": (),
    "ca-cent-small": ("1936-dot", "1953-no-shoulder-fold", "1953-shoulder-fold"),
}
"""By series: the varieties that are ours and stand in no row of the reference."""

WHOLE_SIDES = ("picture",)
"""Places whose spot may be the centre, as they are all of a side."""

Row = dict[str, str]
Told = Variety | Sign


def _rows() -> list[Row]:
    text = resources.read_text("catalogue/mapped_varieties.csv")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def _years(text: str) -> list[str]:
    """2004-2005, or 1968, 1970: each year."""
    years: list[str] = []
    for part in text.split(", "):
        first, _, last = part.partition("-")
        years += map(str, range(int(first), int(last or first) + 1))
    return years


def _year_and_mints(series: Series, row: Row) -> list[int]:
    """The issues of the row, year by year and mint by mint ("P and D": two for a year).

    "any" is whatever the mint; "none" the coins without a letter; in a series of one mint the
    column tells apart what is seen on the coin, not where it was struck.
    """
    parts = []
    for asked in _years(row["year"]):
        year = series.facet_mask("date", [d for d, y in series.dates if str(y) == asked])
        if row["mint"] == "any" or len(series.mints) == 1:
            parts.append(year)
        elif row["mint"] == "none":
            parts.append(year & series.facet_mask("mark", ("",)))
        else:
            mints = re.split(" and |, ", row["mint"])
            parts += [year & series.facet_mask("mint", (mint,)) for mint in mints]
    return parts


def _told_by(series: Series, row: Row, there: int) -> Iterator[tuple[str, tuple[Told, ...]]]:
    """Each thing that the row names, and what the series says of it on these issues."""
    if row["kind"] == "variety":
        for name in row["id"].split("; "):
            variety = series.variety(VarietyId(name))
            yield name, () if variety is None else (variety,)
        return
    for choice in row["id"].split("; "):
        facet, _, value = choice.partition("=")
        signs = [s for s in series.signs if (s.facet, s.value) == (facet, value)]
        yield choice, tuple(s for s in signs if series.sign_mask(s) & there)


def _issues_of(series: Series, said: Told) -> int:
    return series.variety_mask(said) if isinstance(said, Variety) else series.sign_mask(said)


def _wrong_markers(markers: tuple[Marker, ...]) -> Iterator[str]:
    if not markers:
        yield "has no marker"
    if all(m.evidence is Evidence.EXCLUDES for m in markers):
        yield "has no marker that speaks for it"
    for marker in markers:
        far = hypot(marker.x, marker.y)
        if marker.face.has_spots and (far > 1 or (far == 0 and marker.place not in WHOLE_SIDES)):
            yield f"marker {marker.place!r} has no sound spot: {marker.x}, {marker.y}"
        if not marker.source and marker.confidence is Confidence.PUBLISHED:
            yield f"marker {marker.place!r} is called published and names no source"


def _wrong_with(row: Row) -> Iterator[str]:
    """Everything wrong with one row."""
    if row["odds"] not in list(RollOdds):
        yield f"odds {row['odds']!r} are not known"
    if not row["source"]:
        yield "names no source"
    if row["kind"] == "unmapped":
        if not row["reason"] or row["id"]:
            yield "stands for nothing and gives no reason"
        return
    if row["kind"] not in ("variety", "sign") or row["series"] not in library_ids():
        yield f"kind {row['kind']!r}, series {row['series']!r}"
        return
    series = load_series(SeriesId(row["series"]))
    parts = _year_and_mints(series, row)
    known = 0
    for name, said in _told_by(series, row, reduce(or_, parts)):
        if not said:
            yield f"{name} is not told of {row['year']} {row['mint']}"
        for one in said:
            known |= _issues_of(series, one)
            if one.odds != row["odds"]:
                yield f"{name} has the odds {one.odds}, not {row['odds']}"
            yield from (f"{name} {wrong}" for wrong in _wrong_markers(one.markers))
    for there in parts:
        if not known & there:
            yield f"nothing is known of one of the issues of {row['year']} {row['mint']}"
        yield from _wrong_there(series, row, there)


def _wrong_there(series: Series, row: Row, there: int) -> Iterator[str]:
    """What is wrong with a row on the issues of one year and mint."""
    together = there
    for name, said in _told_by(series, row, there):
        if (
            said
            and not any(_issues_of(series, one) & there for one in said)
            and ";" not in row["id"]
        ):
            yield f"{name} is known on no issue of {row['year']} {row['mint']}"
        facet, _, value = name.partition("=")
        if row["kind"] == "sign" and row["id"].count(f"{facet}=") == 1:
            together &= series.facet_mask(facet, (value,))
    if not together:
        yield f"no issue of {row['year']} {row['mint']} is {row['id']}"


def test_every_row_stands_for_something_in_the_library_or_says_why_not() -> None:
    wrong = [f"{row['row']} {row['name']}: {told}" for row in _rows() for told in _wrong_with(row)]
    assert wrong == []


def test_every_variety_and_sign_of_the_library_has_sound_markers() -> None:
    wrong = [
        f"{series_id} {name}: {told}"
        for series_id in library_ids()
        for series in [load_series(SeriesId(series_id))]
        for name, markers in [
            *((str(v.id), v.markers) for v in series.varieties),
            *((f"{s.facet} {s.value}", s.markers) for s in series.signs),
        ]
        for told in _wrong_markers(markers)
    ]
    assert wrong == []


def test_the_table_has_its_columns_and_each_row_once() -> None:
    rows = _rows()
    assert list(rows[0]) == COLUMNS
    numbers = [row["row"] for row in rows]
    assert numbers == sorted(set(numbers))
    for kind, many in LISTED.items():
        assert sum((r["country"], r["denomination"]) == kind for r in rows) == many


def test_the_table_names_works_and_nobody_else() -> None:
    for row in _rows():
        named = set(re.findall(r"\b[A-Za-z]*[A-Z][A-Za-z]*", row["source"]))
        assert named <= MAY_BE_NAMED, (row["row"], named - MAY_BE_NAMED)


def test_no_variety_of_a_mapped_series_stands_outside_the_table_unless_it_is_named_here() -> None:
    rows = _rows()
    for series_id, own in OWN_VARIETIES.items():
        told = [r["id"] for r in rows if (r["series"], r["kind"]) == (series_id, "variety")]
        mapped = [name for ids in told for name in ids.split("; ")]
        known = [str(v.id) for v in load_series(SeriesId(series_id)).varieties]
        assert Counter(mapped) + Counter(own) == Counter(known), series_id


@pytest.mark.parametrize(
    ("what", "place"),
    [
        # Where the features lie on the coin: coins in hand, common practice.
        ("1955-ddo", {"date": "right", "LIBERTY": "left", "motto": "top"}),
        ("1983-ddr", {"ONE CENT": "bottom", "UNITED STATES OF AMERICA": "top"}),
        ("1998-wide-am", {"A and M of AMERICA": "right", "FG": "right"}),
        ("1944-d-over-s", {"mint mark": "right"}),
    ],
)
def test_spots_lie_where_the_feature_lies_on_a_cent(what: str, place: dict[str, str]) -> None:
    variety = load_series(SeriesId("us-cent-lincoln")).variety(VarietyId(what))
    assert variety is not None
    sides = {"right": (1, 0), "left": (-1, 0), "top": (0, -1), "bottom": (0, 1)}
    for marker in variety.markers:
        if marker.place in place:
            right, down = sides[place[marker.place]]
            assert marker.x * right + marker.y * down > 0.5, marker


@pytest.mark.parametrize(
    ("series_id", "what", "places"),
    [
        # Where the features lie on these coins: coins in hand, common practice.
        ("us-nickel-jefferson", "1954-s-over-d", {"mint mark, right of the house": "right"}),
        ("us-nickel-jefferson", "1944-no-p-counterfeit", {"above the dome": "top"}),
        ("us-nickel-buffalo", "1938-d-over-s", {"mint mark, under FIVE CENTS": "bottom"}),
        ("us-dime-roosevelt", "1953-s-over-s", {"mint mark, left of the torch": "bottom"}),
        ("us-quarter-washington", "1937-ddo", {"IN GOD WE TRUST": "left", "LIBERTY": "top"}),
        ("us-quarter-washington", "1950-s-over-d", {"mint mark, below the wreath": "bottom"}),
        ("us-half-kennedy", "1964-ddo", {"LIBERTY": "top", "date": "bottom"}),
    ],
)
def test_spots_lie_where_the_feature_lies_on_other_coins(
    series_id: str, what: str, places: dict[str, str]
) -> None:
    variety = load_series(SeriesId(series_id)).variety(VarietyId(what))
    assert variety is not None
    sides = {"right": (1, 0), "left": (-1, 0), "top": (0, -1), "bottom": (0, 1)}
    seen = {m.place: (m.x, m.y) for m in variety.markers if m.place in places}
    assert set(seen) == set(places)
    for place, (x, y) in seen.items():
        right, down = sides[places[place]]
        assert x * right + y * down > 0.5, place


def test_mint_mark_lies_below_the_date_on_every_cent() -> None:
    series = load_series(SeriesId("us-cent-lincoln"))
    markers = [m for v in series.varieties for m in v.markers if m.face is Face.OBVERSE]
    dates = {(m.x, m.y) for m in markers if m.place == "date"}
    marks = {(m.x, m.y) for m in markers if m.place == "mint mark"}
    assert len(dates) == 1
    assert all(y > max(low for _, low in dates) for _, y in marks)


def test_seven_cents_of_1982_are_told_by_metal_and_date_size_and_the_eighth_is_a_variety() -> None:
    """COINage Profile: 1982-D Small Date Bronze, COINage magazine."""
    series = load_series(SeriesId("us-cent-lincoln"))
    rows = [r for r in _rows() if r["year"] == "1982" and "date size=" in r["id"]]
    assert len(rows) == 7
    seen = 0
    for row in rows:
        facets = dict(choice.split("=") for choice in row["id"].split("; "))
        asked = facets | {"date": "1982", "mint": row["mint"]}
        (issue,) = series.matching(Description.of(series.id, asked))
        seen |= 1 << issue.number
    assert seen.bit_count() == 7
    (eighth,) = [r for r in _rows() if r["id"] == "1982-d-small-copper"]
    assert (eighth["kind"], eighth["odds"]) == ("variety", "very rare")
