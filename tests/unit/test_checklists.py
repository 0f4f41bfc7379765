"""Checklists: which slots each list holds, and what stands in a line."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.app.checklists import ListName, day_text, listed, state_counts
from core.app.collection import Collection
from core.app.operations import (
    add_coins,
    order_coin,
    place_coin,
    set_note,
    set_wish,
    stock_slots,
)
from core.glyph.codes import GlyphCode
from core.model.album import Wish
from core.model.grade import parse_grade
from core.model.plan_album import Varieties
from core.model.state import SlotState
from core.printing.checklist import Checklist, ListKind
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


def test_a_day_is_written_out() -> None:
    assert day_text(date(2026, 11, 5)) == "5 November 2026"
