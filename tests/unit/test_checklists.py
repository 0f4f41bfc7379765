"""Checklists: which slots each list holds, and what stands in a line."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.app.checklists import (
    ListGroup,
    ListName,
    day_text,
    left_out_text,
    list_columns,
    listed,
    mintage_told,
    state_counts,
)
from core.app.collection import Collection
from core.app.operations import (
    add_coins,
    order_coin,
    place_coin,
    rearrange_album,
    set_note,
    set_wish,
    stock_slots,
)
from core.errors import BadEntry
from core.glyph.codes import GlyphCode
from core.model.album import Wish
from core.model.arrangement import parse_arrangement
from core.model.grade import parse_grade
from core.model.issue import Description, Release
from core.model.plan_album import Varieties
from core.model.state import SlotState
from core.printing.checklist import Checklist, LeftOut, ListColumn, ListKind, Paper
from tests.collection_material import (
    CENTS,
    NICKELS,
    a_collection,
    an_album,
    read_coin,
    slot,
    with_coins,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943: one coin filled, one below, one hole filler, one to verify, one ordered,
    one skipped, six gaps."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        for entry, label in (
            ("1940 vf20", "1940"),
            ("1940-D g4", "1940-D"),
            ("1940-S vf20 bent", "1940-S"),
            ("1941 ? f12", "1941-S"),
        ):
            (number,) = with_coins(collection, entry)
            collection.run(place_coin(number, slot(collection, label)))
        collection.run(order_coin(read_coin(collection, "1942-D"), slot(collection, "1942-D")))
        collection.run(set_wish([slot(collection, "1943-S")], Wish.SKIPPED))
        yield collection


def checklist(jar: Collection, which: ListName, album: str = "Nickels") -> Checklist:
    return jar.checklist(jar.find_album(album).id, which)


def labels(listing: Checklist) -> list[str]:
    return [row.label for leaf in listing.leaves for row in leaf.rows]


def test_each_list_holds_the_states_it_is_named_for(jar: Collection) -> None:
    below = ["1940-D", "1940-S", "1941-S"]
    assert labels(checklist(jar, ListName.BELOW)) == below
    gaps = labels(checklist(jar, ListName.GAPS))
    assert gaps == ["1941", "1941-D", "1942", "1942-S", "1943-P", "1943-D"]
    assert sorted(labels(checklist(jar, ListName.OPEN))) == sorted(gaps + below)
    assert len(labels(checklist(jar, ListName.ALL))) == 12


def test_lists_follow_the_order_of_the_album(jar: Collection) -> None:
    view = jar.album_view(jar.find_album("Nickels").id)
    for which in (ListName.GAPS, ListName.BELOW, ListName.OPEN, ListName.ALL):
        assert labels(checklist(jar, which)) == [v.slot.label for v in listed(view, which)]


def test_a_line_says_what_is_held_and_wanted_and_the_note(jar: Collection) -> None:
    jar.run(set_note(slot(jar, "1940-D"), "ask at the fair"))
    rows = {r.label: r for leaf in checklist(jar, ListName.ALL).leaves for r in leaf.rows}
    assert (rows["1940-D"].held, rows["1940-D"].wanted) == ("G-4", "VF-20")
    assert rows["1940-D"].note == "ask at the fair"
    assert rows["1940-S"].held == "bent"
    assert rows["1941-S"].held == "P, D or S?"
    assert (rows["1941"].held, rows["1941"].code & 15) == ("", GlyphCode.GAP)


def test_an_optional_variety_stands_in_its_own_column(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1955, 1955), target="none", varieties=Varieties.ALL)
    rows = [r for leaf in checklist(jar, ListName.ALL, "Cents").leaves for r in leaf.rows]
    extra = [row for row in rows if row.is_optional]
    assert extra
    assert all(row.variety and not row.label.endswith(row.variety) for row in extra)
    assert {row.label for row in extra} <= {"1955", "1955-D", "1955-S"}
    assert not [row for row in rows if not row.is_optional and row.variety]


def test_the_head_tells_the_album_the_day_the_counts_and_the_collection(jar: Collection) -> None:
    listing = checklist(jar, ListName.OPEN)
    assert listing.title == "Nickels"
    assert listing.list_name == "Gaps and upgrades"
    assert listing.headline == "have 4 of 11 · at target 1"
    assert (listing.day, listing.day_text) == (date(2026, 3, 2), "2 March 2026")
    assert listing.footer == "The jar"
    assert {text for _, text in listing.counts} >= {"6 gaps", "1 on order", "1 skipped"}


def test_the_legend_counts_every_state_that_occurs_once(jar: Collection) -> None:
    view = jar.album_view(jar.find_album("Nickels").id)
    told = [int(text.split()[0]) for _, text in state_counts(view)]
    assert sum(told) == len(view.slots)
    assert len(told) == len({v.state for v in view.slots})


def test_every_leaf_brings_its_small_map_with_crosses_where_nothing_was_struck(
    jar: Collection,
) -> None:
    an_album(jar, "Later", years=(1949, 1952))
    (leaf,) = checklist(jar, ListName.ALL, "Later").leaves
    assert leaf.map is not None
    assert leaf.map.row_heads == ("1949", "1950", "1951", "1952")
    flat = [code for row in leaf.map.codes for code in row]
    assert flat.count(GlyphCode.NOT_STRUCK) == 1  # no nickel of 1950 bears an S
    assert flat.count(GlyphCode.GAP) == 11


def test_the_map_of_runs_side_by_side_has_them_under_each_other_each_with_its_date(
    jar: Collection,
) -> None:
    album = jar.find_album("Nickels")
    jar.run(rearrange_album(album.id, parse_arrangement("years-by-mints:2; blocks=2")))
    (leaf,) = checklist(jar, ListName.ALL).leaves
    assert leaf.map is not None
    assert leaf.map.row_heads == ("1940", "1941", "1942", "1943")
    assert [len(row) for row in leaf.map.codes] == [3, 3, 3, 3]
    jar.run(rearrange_album(album.id, parse_arrangement("by-decade:5x5")))
    (leaf,) = checklist(jar, ListName.ALL).leaves
    assert leaf.map is not None
    assert leaf.map.row_heads == ("1940s", "", "")


def test_a_leaf_with_nothing_to_list_says_so(jar: Collection) -> None:
    view = jar.album_view(jar.find_album("Nickels").id)
    jar.run(stock_slots([v.slot.id for v in view.slots if v.coin is None], parse_grade("vf20")))
    told = {leaf.empty_text for leaf in checklist(jar, ListName.GAPS).leaves}
    assert told == {"no gaps"}
    assert labels(checklist(jar, ListName.GAPS)) == []


def test_spares_are_listed_with_their_numbers_and_places(jar: Collection) -> None:
    coins = [
        replace(read_coin(jar, "1943-P vf20"), place="tray B4", note="nice"),
        read_coin(jar, "12 x 1938"),
        read_coin(jar, "1938 f12 bent"),
        replace(read_coin(jar, "1939"), came_from="tea tin"),
    ]
    jar.run(add_coins(coins))
    listing = checklist(jar, ListName.SPARES)
    assert listing.kind is ListKind.SPARES
    assert listing.headline == "15 spares"
    (leaf,) = listing.leaves
    told = [(row.label, row.held, row.count, row.note) for row in leaf.rows]
    assert told == [
        ("1938", "F-12, bent", 1, ""),
        ("1938", "no grade yet", 12, ""),
        ("1939", "no grade yet", 1, "tea tin"),
        ("1943-P", "VF-20", 1, "tray B4, nice"),
    ]


def test_spares_alike_are_one_line_and_none_is_said_plainly(jar: Collection) -> None:
    assert checklist(jar, ListName.SPARES).leaves == ()
    assert checklist(jar, ListName.SPARES).headline == "0 spares"
    with_coins(jar, "1943-P vf20", "1943-P vf20")
    (leaf,) = checklist(jar, ListName.SPARES).leaves
    assert [row.count for row in leaf.rows] == [2]
    assert leaf.title == jar.series(NICKELS).title


def test_states_that_need_nothing_are_in_no_list_but_all(jar: Collection) -> None:
    view = jar.album_view(jar.find_album("Nickels").id)
    states = {v.state for v in listed(view, ListName.OPEN)}
    assert not states & {SlotState.FILLED, SlotState.SKIPPED, SlotState.ON_ORDER}


def rows_by_group(listing: Checklist) -> dict[str, list[str]]:
    return {leaf.title: [row.label for row in leaf.rows] for leaf in listing.leaves}


def test_decades_are_groups_with_their_counts_and_without_maps(jar: Collection) -> None:
    an_album(jar, "Long", years=(1938, 1951))
    album = jar.find_album("Long").id
    listing = jar.checklist(album, ListName.ALL, group=ListGroup.DECADE)
    groups = rows_by_group(listing)
    assert list(groups) == ["1930s", "1940s", "1950s"]
    assert groups["1930s"] == ["1938", "1938-D", "1938-S", "1939", "1939-D", "1939-S"]
    assert [leaf.map for leaf in listing.leaves] == [None] * 3
    jar.run(stock_slots([slot(jar, "1938", "Long")], parse_grade("vf30")))
    again = jar.checklist(album, ListName.GAPS, group=ListGroup.DECADE)
    assert again.leaves[0].subtitle == "have 1 of 6 · at target 1"
    assert [row.label for row in again.leaves[0].rows] == groups["1930s"][1:]


def test_mints_are_groups_in_the_order_of_the_series(jar: Collection) -> None:
    album = jar.find_album("Nickels").id
    groups = rows_by_group(jar.checklist(album, ListName.ALL, group=ListGroup.MINT))
    assert list(groups) == ["Philadelphia (P)", "Denver (D)", "San Francisco (S)"]
    assert groups["Denver (D)"] == ["1940-D", "1941-D", "1942-D", "1943-D"]


def test_a_slot_for_any_mint_stands_in_a_last_group(jar: Collection) -> None:
    an_album(jar, "Dates", years=(1940, 1942), mints=("any",))
    groups = rows_by_group(
        jar.checklist(jar.find_album("Dates").id, ListName.ALL, group=ListGroup.MINT)
    )
    assert groups == {"More than one mint": [f"{year} any mint" for year in (1940, 1941, 1942)]}


@pytest.mark.parametrize("which", [ListName.OPEN, ListName.GAPS, ListName.BELOW, ListName.ALL])
@pytest.mark.parametrize("group", ListGroup)
def test_every_grouping_holds_the_same_rows_in_the_order_of_the_album(
    jar: Collection, group: ListGroup, which: ListName
) -> None:
    album = jar.find_album("Nickels").id
    by_leaf = [r for leaf in jar.checklist(album, which).leaves for r in leaf.rows]
    grouped = jar.checklist(album, which, group=group).leaves
    assert sorted(r.label for leaf in grouped for r in leaf.rows) == sorted(
        r.label for r in by_leaf
    )
    place = {row.label: at for at, row in enumerate(by_leaf)}
    for leaf in grouped:
        assert [place[r.label] for r in leaf.rows] == sorted(place[r.label] for r in leaf.rows)


def test_spares_are_grouped_with_their_numbers(jar: Collection) -> None:
    jar.run(add_coins([read_coin(jar, "1943-P vf20"), read_coin(jar, "12 x 1938"),
                       read_coin(jar, "1941 ? f12")]))  # fmt: skip
    album = jar.find_album("Nickels").id
    decades = jar.checklist(album, ListName.SPARES, group=ListGroup.DECADE).leaves
    assert [(leaf.title, leaf.subtitle) for leaf in decades] == [
        ("1930s", "12 spares"),
        ("1940s", "2 spares"),
    ]
    mints = jar.checklist(album, ListName.SPARES, group=ListGroup.MINT).leaves
    told = {leaf.title: [row.mintage for row in leaf.rows] for leaf in mints}
    assert told["More than one mint"] == ["date or mint open"]


def test_a_row_tells_its_mintage_or_that_it_is_not_known(jar: Collection) -> None:
    rows = {r.label: r for leaf in checklist(jar, ListName.ALL).leaves for r in leaf.rows}
    series = jar.series(NICKELS)
    for label, row in rows.items():
        date_, _, mint = label.partition("-")  # 1942 was struck in two metals, both for its slot
        struck = [
            i.mintage
            for i in series.issues
            if i.release is Release.BANKS and (i.date, i.mint) == (date_, mint or "P")
        ]
        assert struck
        assert row.mintage == f"{sum(n or 0 for n in struck):,}"
    assert rows["1940-D"].mintage == "43,540,000"


def test_a_total_that_is_not_split_says_what_it_is_of(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1982, 1982), target="none", varieties=Varieties.ALL)
    rows = [r for leaf in checklist(jar, ListName.ALL, "Cents").leaves for r in leaf.rows]
    told = {(row.label, row.variety): row.mintage for row in rows}
    assert all("6,012,979,368" in m for (label, _), m in told.items() if "1982-D" in label)
    series = jar.series(CENTS)
    zinc = Description.of(CENTS, {"date": "1982", "mint": "D", "composition": "zinc"})
    assert mintage_told(series, series.may_be(zinc)) == "6,012,979,368 of all 1982-D"
    ordinary = Description.of(CENTS, {"date": "1955", "mint": "P"})
    assert mintage_told(series, series.may_be(ordinary), "1955").endswith(" of all 1955")
    assert mintage_told(series, 0) == "not known"


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        ("mintage,price", (ListColumn.MINTAGE, ListColumn.PRICE)),
        (" Price , mintage,", (ListColumn.MINTAGE, ListColumn.PRICE)),
        ("none", ()),
    ],
)
def test_columns_are_read_as_written(text: str, columns: tuple[ListColumn, ...]) -> None:
    assert list_columns(text) == columns


@pytest.mark.parametrize(("text", "told"), [("price,colour", "“colour” is no column"), (",", "No")])
def test_what_is_no_column_is_refused_with_those_there_are(text: str, told: str) -> None:
    with pytest.raises(BadEntry, match=f"{told}.*variety, mintage, held"):
        list_columns(text)


def test_columns_without_room_are_told() -> None:
    missing = LeftOut((ListColumn.HELD,), (ListColumn.MINTAGE, ListColumn.NOTE), ())
    assert left_out_text(missing, Paper.INDEX_CARD) == (
        "No room on Index card for held: choose fewer columns, or larger paper. "
        "On a line below for want of room: mintage, note."
    )
    assert left_out_text(LeftOut(not_filled=(ListColumn.VARIETY,)), Paper.A4) == ""


def test_a_day_is_written_out() -> None:
    assert day_text(date(2026, 11, 5)) == "5 November 2026"
