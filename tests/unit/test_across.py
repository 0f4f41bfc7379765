"""Albums across series, volumes and overviews."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.across import add_album_across
from core.app.album_edit import edit_album, edited_view, plan_edit, present_choice
from core.app.checklists import ListGroup, ListName
from core.app.collection import Collection
from core.app.design import (
    ExtraSlot,
    add_slot,
    arrange_album,
    needs_other_slots,
    relabel_slot,
    take_out_slots,
)
from core.app.operations import apply_fill, clear_slots, delete_album, move_album, place_coin
from core.app.operations_albums import order_albums
from core.app.shelf_entries import moved_entry, shelf_entries
from core.app.views import AlbumView
from core.app.volumes import join_volumes, set_volumes, split_into_volumes
from core.errors import NotFound, Refused
from core.fill.proposal import propose
from core.model.album import AlbumId, AlbumKind, SlotId, parse_target
from core.model.arrangement import parse_arrangement
from core.model.issue import Description, SeriesId
from core.model.plan_across import (
    AcrossPlan,
    plan_across,
    plan_types,
    plan_year,
    short_names,
    without_that_year,
)
from tests.builders import cents, dimes, nickels, quarters, tokens
from tests.collection_material import (
    CENTS,
    DIMES,
    NICKELS,
    Clock,
    a_collection,
    an_album,
    differences,
    fresh,
    held,
    slot,
    with_coins,
)

QUARTERS = SeriesId("us-quarter-washington")
TYPES = AcrossPlan((CENTS, NICKELS), target=parse_target("VF-20"))
YEAR = AcrossPlan((CENTS, NICKELS, DIMES), 1946, each_mint=True)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    with a_collection(tmp_path) as collection:
        yield collection


def made(jar: Collection, plan: AcrossPlan, name: str = "Across", **more: object) -> AlbumView:
    done = jar.run(add_album_across(name, plan, **more))  # type: ignore[arg-type]  # as named
    assert done.made_album is not None
    return jar.album_view(done.made_album)


def labels(view: AlbumView) -> list[str]:
    return [shown.slot.label for shown in view.slots]


def rows(view: AlbumView) -> list[tuple[str, list[str]]]:
    return [
        (row.head, [cell.name for cell in row.cells if cell.name])
        for leaf in view.leaves
        for row in leaf.rows
    ]


# ---- plans ------------------------------------------------------------------------------------


def test_a_type_album_has_one_slot_a_design_in_the_order_of_their_first_years() -> None:
    slots = plan_types([nickels(), cents()])
    assert [(s.accepts.series, s.label) for s in slots[:5]] == [
        (NICKELS, "Monticello"),
        (NICKELS, "Peace medal"),
        (NICKELS, "Keelboat"),
        (NICKELS, "American bison"),
        (NICKELS, "Ocean in view"),
    ]
    assert [s.position for s in slots] == list(range(len(slots)))
    per_series = {code: [s for s in slots if s.accepts.series == code] for code in (CENTS, NICKELS)}
    for series in (cents(), nickels()):
        designs = {i.design for i in series.issues if series.is_usual(i)}
        assert len(per_series[series.id]) == len(designs)
        taken = [series.may_be(s.accepts) for s in per_series[series.id]]
        usual = sum(1 << i.number for i in series.issues if series.is_usual(i))
        assert sum(taken) == usual  # each usual issue belongs to exactly one of them


def test_designs_called_alike_name_their_series() -> None:
    other = replace(quarters(), id=SeriesId("other"), title="Other quarters", words=("two bits",))
    assert [s.label for s in plan_types([quarters(), other])] == [
        "Eagle, quarter", "Drummer, quarter", "Eagle, bits", "Drummer, bits",
    ]  # fmt: skip


def test_a_year_set_has_a_slot_a_series_or_one_a_mint() -> None:
    three = [cents(), nickels(), dimes()]
    assert [s.label for s in plan_year(three, 1946)] == ["1946 nickel", "1946 dime"]
    assert [s.label for s in plan_year(three, 1946, each_mint=True)] == [
        "1946 nickel", "1946-D nickel", "1946-S nickel",
        "1946 dime", "1946-D dime", "1946-S dime",
    ]  # fmt: skip
    assert without_that_year(three, 1946) == [cents()]
    assert [s.label for s in plan_year([nickels(), quarters()], 1976)] == ["1776-1976 quarter"]
    assert next(s.label for s in plan_year([tokens(), cents()], 1910)) == "Tide 18 token"


def test_series_of_one_name_go_by_their_titles() -> None:
    other = replace(cents(), id=SeriesId("other"), title="Other cents")
    assert short_names([cents(), dimes(), other]) == {
        CENTS: "Lincoln cents", DIMES: "dime", "other": "Other cents",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        (AcrossPlan(()), "choose at least one"),
        (AcrossPlan((NICKELS, DIMES), 1950), r"in 1950. The nearest years are 1946 and 1958"),
        (AcrossPlan((NICKELS,), 1900), "The nearest year is 1938."),
    ],
)  # fmt: skip
def test_a_plan_without_slots_says_why(plan: AcrossPlan, words: str) -> None:
    with pytest.raises(Refused, match=words):
        plan_across([nickels(), dimes()], plan)


# ---- what is drawn ----------------------------------------------------------------------------


def test_types_stand_in_a_block_a_series(jar: Collection) -> None:
    view = made(jar, TYPES)
    titles = [head for head, _ in rows(view) if head]
    assert titles == ["Lincoln cents", "Jefferson nickels"]
    assert view.series_title == "Lincoln cents and another series"
    assert [s.id for s in view.all_series] == [CENTS, NICKELS]
    assert present_choice(view).across == TYPES


def test_a_row_a_design_is_headed_by_title_and_series(jar: Collection) -> None:
    view = made(jar, TYPES, arrangement=parse_arrangement("by-design:20"))
    heads = [(row.head, row.differs) for row in view.leaves[0].rows]
    assert heads[:2] == [("VDB", "Lincoln cents"), ("Wheat ears", "Lincoln cents")]
    assert heads[-1][1] == "Jefferson nickels"


def test_a_year_set_has_a_row_a_series_and_a_column_a_mint(jar: Collection) -> None:
    view = made(jar, YEAR)
    assert rows(view) == [
        ("Cent", ["1946 cent", "1946-D cent", "1946-S cent"]),
        ("Nickel", ["1946 nickel", "1946-D nickel", "1946-S nickel"]),
        ("Dime", ["1946 dime", "1946-D dime", "1946-S dime"]),
    ]
    by_mint = parse_arrangement("years-by-mints; order=mint")
    edit = edit_album(view.album.id, replace(present_choice(view), arrangement=by_mint))
    jar.run(edit)
    assert rows(jar.album_view(view.album.id)) == rows(view)


def test_a_mint_that_struck_none_of_a_series_that_year_is_not_struck(jar: Collection) -> None:
    view = made(jar, AcrossPlan((CENTS, DIMES, SeriesId("us-half-franklin")), 1950, True))
    cells = {
        row.head: [(c.name, c.is_struck) for c in row.cells]
        for leaf in view.leaves for row in leaf.rows
    }  # fmt: skip
    assert cells["Half"][2] == ("Half-S", False)
    assert cells["Dime"][2] == ("1950-S dime", True)


def test_states_cards_lists_and_finds_are_those_of_each_slots_series(jar: Collection) -> None:
    view = made(jar, TYPES)
    (cent,) = with_coins(jar, "1943-D vf20", series=CENTS)
    (nickel,) = with_coins(jar, "2004-D keelboat ms65")
    for coin, label in ((cent, "Wheat ears"), (nickel, "Keelboat")):
        found = jar.places_for_coin(coin).places
        assert [(p.label, p.text) for p in found] == [(label, "fills the gap, meets target")]
        hole = slot(jar, label, "Across")
        assert [c.coin for c in jar.coins_for_slot(hole).coins] == [coin]
        assert "spare waiting" in {m.value for m in jar.album_view(view.album.id).by_id[hole].marks}
        jar.run(place_coin(coin, hole))
        card = jar.slot_card(hole)
        assert card.series.id == jar.coin(coin).description.series
        assert card.view.state.value == "filled"
        assert not card.why
    with pytest.raises(Refused, match="of another series"):
        jar.run(place_coin(cent, slot(jar, "Peace medal", "Across")))
    listed = jar.checklist(view.album.id, ListName.ALL, group=ListGroup.MINT)
    assert "Wheat ears, cent" in [row.label for leaf in listed.leaves for row in leaf.rows]
    with_coins(jar, "1944 f12", series=CENTS)
    spares = jar.checklist(view.album.id, ListName.SPARES)
    assert [leaf.title for leaf in spares.leaves] == ["Lincoln cents"]


def test_fill_across_series_fills_what_separate_fills_would(jar: Collection) -> None:
    view = made(jar, YEAR)
    with_coins(jar, "1946 g4", "1946 vf20", "1946-D f12")
    with_coins(jar, "1946-S au50", "1948", series=DIMES)
    proposal = propose(jar.fill_input([view.album.id]))
    moves = {
        (jar.album_view(view.album.id).by_id[m.slot].slot.label, int(m.coin))
        for m in proposal.moves
    }
    assert moves == {("1946 nickel", 2), ("1946-D nickel", 3), ("1946-S dime", 4)}
    jar.run(apply_fill([(m.slot, m.coin) for m in proposal.moves]))
    assert jar.album_view(view.album.id).headline.text == "have 3 of 9"


def test_an_album_across_goes_out_and_comes_back_by_sheet(jar: Collection, tmp_path: Path) -> None:
    from core.app.exchange import import_coins

    made(jar, YEAR)
    view = made(jar, TYPES, "Kinds")
    (dime,) = with_coins(jar, "1946-D f12", series=DIMES)
    (nickel,) = with_coins(jar, "2005-D bison ms65")
    jar.run(place_coin(dime, slot(jar, "1946-D dime", "Across")))
    jar.run(place_coin(nickel, slot(jar, "Bison", "Kinds")))
    sheet = tmp_path / "coins.csv"
    jar.export_coins(sheet)
    before = jar.content_hash()
    for hole in (slot(jar, "1946-D dime", "Across"), slot(jar, "Bison", "Kinds")):
        jar.run(clear_slots([hole]))
    text = sheet.read_text(encoding="utf-8")
    folder = tmp_path / "other"
    folder.mkdir()
    with a_collection(folder) as other:
        made(other, YEAR)
        made(other, TYPES, "Kinds")
        draft = other.read_sheet(text)
        assert not draft.faults
        other.run(import_coins(draft))
        assert held(other, "1946-D dime", "Across") == dime
        assert held(other, "Bison", "Kinds") == nickel
        assert other.content_hash() == before
    assert view.album.name == "Kinds"


# ---- editing ----------------------------------------------------------------------------------


def test_a_series_that_is_dropped_names_its_coins_first(jar: Collection) -> None:
    view = made(jar, YEAR)
    (dime,) = with_coins(jar, "1946-D f12", series=DIMES)
    jar.run(place_coin(dime, slot(jar, "1946-D dime", "Across")))
    view = jar.album_view(view.album.id)
    now = present_choice(view)
    assert now.across == YEAR
    assert now.across is not None
    choice = replace(now, across=replace(now.across, series=(CENTS, NICKELS)))
    edit = plan_edit(view, choice)
    assert [f.text for f in edit.falling_out] == ["1946-D dime (F-12)"]
    assert labels(edited_view(view, edit)) == [
        label for label in labels(view) if "dime" not in label
    ]
    with pytest.raises(Refused, match="1946-D dime"):
        jar.run(edit_album(view.album.id, choice))
    jar.run(edit_album(view.album.id, choice, [dime]))
    assert [s.id for s in jar.album_view(view.album.id).all_series] == [CENTS, NICKELS]
    assert jar.slot_of_coin(dime) is None
    assert not differences(jar, fresh(jar))


def test_a_series_and_a_year_are_changed(jar: Collection) -> None:
    view = made(jar, YEAR)
    now = present_choice(view)
    assert now.across is not None
    wider = replace(now, across=replace(now.across, series=(*YEAR.series, QUARTERS)))
    quarter = jar.series(QUARTERS)
    assert len(edited_view(view, plan_edit(view, wider, more=[quarter]), [quarter]).slots) == 12
    jar.run(edit_album(view.album.id, wider))
    assert labels(jar.album_view(view.album.id))[-1] == "1946-S quarter"
    later = replace(wider, across=replace(wider.across or YEAR, year=1964, each_mint=False))
    jar.run(edit_album(view.album.id, later))
    assert labels(jar.album_view(view.album.id)) == [
        "1964 cent", "1964 nickel", "1964 dime", "1964 quarter",
    ]  # fmt: skip
    first = replace(later, across=replace(later.across or YEAR, series=(QUARTERS, DIMES)))
    jar.run(edit_album(view.album.id, first))
    assert jar.album_view(view.album.id).series.id == DIMES
    for _ in range(3):
        jar.undo()
    assert jar.album_view(view.album.id).slots == view.slots


def test_what_was_done_by_hand_stays_while_its_series_does(jar: Collection) -> None:
    view = made(jar, YEAR)
    extra = ExtraSlot(Description.of(DIMES, {"date": "1946", "mint": "S", "strike": "circulation"}))
    jar.run(add_slot(view.album.id, extra, slot(jar, "1946-S dime", "Across")))
    assert "1946-S dime (2)" in labels(jar.album_view(view.album.id))
    jar.run(relabel_slot(slot(jar, "1946-D dime", "Across"), "mine"))
    jar.run(relabel_slot(slot(jar, "mine", "Across"), ""))
    now = present_choice(jar.album_view(view.album.id))
    assert now.across == YEAR
    any_mint = replace(now, across=replace(YEAR, each_mint=False))
    jar.run(edit_album(view.album.id, any_mint))
    assert labels(jar.album_view(view.album.id)) == [
        "1946 cent", "1946 nickel", "1946 dime", "1946-S dime (2)",
    ]  # fmt: skip


# ---- volumes ----------------------------------------------------------------------------------


def volumes(jar: Collection) -> list[list[str]]:
    return [[a.name for a in entry.albums] for entry in shelf_entries(jar.albums())]


def test_an_album_is_split_and_joined_and_keeps_its_coins(jar: Collection) -> None:
    an_album(jar, "Above")
    album = an_album(jar, "Dimes", DIMES, (1946, 1949), arrangement="running:5x2")
    an_album(jar, "Below")
    coins = with_coins(jar, "1946-D f12", "1948-S vf20", "1949 g4", series=DIMES)
    for coin, label in zip(coins, ("1946-D", "1948-S", "1949"), strict=True):
        jar.run(place_coin(coin, slot(jar, label, "Dimes")))
    before, whole = jar.content_hash(), jar.album_view(album)
    jar.run(split_into_volumes(album, [slot(jar, "1949", "Dimes"), slot(jar, "1948", "Dimes")]))
    assert volumes(jar) == [
        ["Above"],
        ["Dimes, volume 1 (1946–1947)", "Dimes, volume 2 (1948)", "Dimes, volume 3 (1949)"],
        ["Below"],
    ]
    heads = [jar.album_view(a.id).headline.text for a in jar.albums()[1:4]]
    assert heads == ["have 1 of 6", "have 1 of 3", "have 1 of 3"]
    assert jar.album_view(jar.albums()[3].id).slots[0].slot.position == 0
    assert not differences(jar, fresh(jar))
    split = jar.content_hash()
    jar.run(join_volumes([a.id for a in reversed(jar.albums()[1:4])]))
    assert volumes(jar) == [["Above"], ["Dimes"], ["Below"]]
    assert jar.album_view(album).slots == whole.slots
    assert jar.content_hash() == before
    assert not differences(jar, fresh(jar))
    jar.undo()
    assert jar.content_hash() == split
    jar.undo()
    assert jar.content_hash() == before


def test_a_volume_that_is_split_numbers_the_run_anew(jar: Collection) -> None:
    album = an_album(jar, "Dimes", DIMES, (1946, 1949))
    jar.run(split_into_volumes(album, [slot(jar, "1948", "Dimes")]))
    jar.run(split_into_volumes(album, [slot(jar, "1947", "Dimes, volume 1 (1946–1947)")]))
    assert volumes(jar) == [
        ["Dimes, volume 1 (1946)", "Dimes, volume 2 (1947)", "Dimes, volume 3 (1948–1949)"]
    ]


def test_a_row_map_is_cut_between_its_leaves_only(jar: Collection) -> None:
    album = an_album(jar, "Dimes", DIMES, (1946, 1949), arrangement="map:4 2 / 6")
    with pytest.raises(Refused, match="1947 stands within one"):
        jar.run(split_into_volumes(album, [slot(jar, "1947", "Dimes")]))
    jar.run(split_into_volumes(album, [slot(jar, "1948", "Dimes")]))
    shapes = [a.arrangement.text for a in jar.albums()]
    assert shapes == ["map:4 2", "map:6"]
    jar.run(join_volumes([a.id for a in jar.albums()]))
    assert jar.albums()[0].arrangement.text == "map:4 2 / 6"


def test_what_cannot_be_split_or_joined_is_refused(jar: Collection) -> None:
    album = an_album(jar)
    shown = an_album(jar, "Shown", kind=AlbumKind.OVERVIEW)
    first = jar.album_view(album).slots[0].slot.id
    for order, kind, words in (
        (split_into_volumes(album, [first]), Refused, "Nothing would be cut off"),
        (split_into_volumes(album, [SlotId(999)]), NotFound, "no slot number 999"),
        (join_volumes([album]), Refused, "Only one album"),
        (join_volumes([album, shown]), Refused, "cannot be joined"),
    ):
        with pytest.raises(kind, match=words):
            jar.run(order)


def test_volumes_are_gathered_and_leave_behind_their_run(jar: Collection) -> None:
    ids = [an_album(jar, name) for name in "ABCDE"]
    jar.run(set_volumes([ids[0], ids[2]], "Run"))
    assert volumes(jar) == [["A", "C"], ["B"], ["D"], ["E"]]
    jar.run(set_volumes([ids[4]], "Run"))
    assert volumes(jar) == [["A", "C", "E"], ["B"], ["D"]]
    jar.run(set_volumes([ids[2]], ""))
    assert volumes(jar) == [["A", "E"], ["C"], ["B"], ["D"]]
    choice = replace(present_choice(jar.album_view(ids[3])), volumes="Run")
    jar.run(edit_album(ids[3], choice))
    assert volumes(jar) == [["A", "E", "D"], ["C"], ["B"]]
    assert not differences(jar, fresh(jar))


def test_volumes_stay_together_however_the_shelf_is_ordered(jar: Collection) -> None:
    ids = [an_album(jar, name) for name in "ABCD"]
    jar.run(set_volumes([ids[1], ids[2]], "Run"))
    jar.run(move_album(ids[3], 2))  # into the run
    assert volumes(jar) == [["A"], ["B", "C"], ["D"]]
    jar.run(move_album(ids[2], 0))  # a volume to the top takes the others along
    assert volumes(jar) == [["C", "B"], ["A"], ["D"]]
    jar.run(order_albums([ids[3], ids[1]]))
    assert volumes(jar) == [["D"], ["B", "C"], ["A"]]


def test_dates_only_takes_the_mints_out_of_a_year_set(jar: Collection) -> None:
    view = made(jar, YEAR)
    shape = parse_arrangement("dates-only:5x5")
    assert needs_other_slots(view, shape)
    jar.run(arrange_album(view, shape))
    assert labels(jar.album_view(view.album.id)) == ["1946 cent", "1946 nickel", "1946 dime"]


def test_an_album_whose_first_series_went_is_of_the_next(jar: Collection) -> None:
    view = made(jar, YEAR)
    gone = [v.slot.id for v in view.slots if v.slot.accepts.series == CENTS]
    jar.run(take_out_slots(view.album.id, gone))
    assert [s.id for s in jar.album_view(view.album.id).all_series] == [NICKELS, DIMES]
    assert not differences(jar, fresh(jar))


def test_a_volume_moves_in_its_run_and_at_its_end_the_run_moves(jar: Collection) -> None:
    ids = [an_album(jar, name) for name in "ABCD"]
    jar.run(set_volumes([ids[1], ids[2]], "Run"))
    albums = jar.albums()

    def after(album: AlbumId, down: int) -> str:
        names = {a.id: a.name for a in albums}
        return "".join(names[a] for a in moved_entry(albums, album, down))

    assert after(ids[1], 1) == "ACBD"
    assert after(ids[2], 1) == "ADBC"
    assert after(ids[1], -1) == "BCAD"
    assert after(ids[0], 1) == "BCAD"
    assert after(ids[0], -1) == "ABCD"


# ---- overviews --------------------------------------------------------------------------------


def test_an_overview_across_series_shows_the_best_of_each_wherever_it_sits(
    tmp_path: Path,
) -> None:
    clock = Clock()
    with a_collection(tmp_path, clock) as jar:
        album = an_album(jar, "Dimes", DIMES, (1946, 1949))
        view = made(jar, YEAR, kind=AlbumKind.OVERVIEW)
        start = clock.day
        clock.day = start.replace(day=start.day + 5)
        best, _worse = with_coins(jar, "1946-D au50", "1946-D f12", series=DIMES)
        (nickel,) = with_coins(jar, "1946 g4")
        jar.run(place_coin(best, slot(jar, "1946-D", "Dimes")))
        shown = {v.slot.label: v.coin.id for v in jar.album_view(view.album.id).slots if v.coin}
        assert shown == {"1946-D dime": best, "1946 nickel": nickel}
        assert jar.past_days(view.album.id) == (clock.day,)
        assert jar.album_view_on(view.album.id, start).headline.have == 0
        with pytest.raises(Refused, match="overview"):
            jar.run(place_coin(nickel, slot(jar, "1946 nickel", "Across")))
        assert view.album.id not in jar.fill_input().albums
        jar.run(delete_album(album))
        assert not differences(jar, fresh(jar))
