"""What is written into a collection is what is read from it; rules hold; undo takes it all back."""

import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from datetime import UTC, date, datetime
from pathlib import Path
from subprocess import run
from typing import Any

import pytest
from sqlalchemy import event

from core.errors import BadEntry, FileTrouble, NotFound, Refused, UnknownSeries
from core.model.album import AlbumId, SlotId, Target
from core.model.arrangement import Arrangement
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Problem
from core.model.grade import Grade, parse_grade
from core.model.issue import Description, SeriesId, VarietyId
from core.model.search import (
    BoxId,
    CampaignId,
    Claim,
    Find,
    Search,
    SearchId,
    Sighting,
    Weighing,
)
from core.store.mapping import read_grade, write_grade
from core.store.store import Store, open_store
from core.store.unit import Unit
from core.store.write_log import Logged, LogWriter
from core.store.write_prices import PriceWriter
from tests.store_material import (
    CHANGES,
    DAY,
    TOKEN_TEXTS,
    TOKENS,
    Small,
    a_coin,
    a_described,
    a_full_album,
    a_full_coin,
    a_full_slot,
    a_log,
    a_slot,
    a_store,
    an_album,
    fill,
    swap,
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = a_store(tmp_path / "jar.slotleaf")
    yield opened
    opened.close()


@pytest.fixture
def small(store: Store) -> Small:
    return fill(store)


# What is written is what is read


def test_a_coin_comes_back_equal_in_every_field(store: Store, small: Small):
    plain, full = a_coin(), a_full_coin()
    same = [f.name for f in fields(Coin) if getattr(plain, f.name) == getattr(full, f.name)]
    assert same == ["id"]
    with store.operation("Add") as unit:
        ids = unit.add_coins([full, plain])
    with store.reading() as read:
        assert read.coin(ids[0]) == replace(full, id=ids[0])
        assert read.coins(ids) == {ids[0]: read.coin(ids[0]), ids[1]: replace(plain, id=ids[1])}
        assert read.all_coins()[-2:] == [read.coin(one) for one in ids]
        assert read.coin_count() == len(small.coins) + 2


def test_albums_and_slots_come_back_equal_in_every_field(store: Store, small: Small):
    with store.operation("Add") as unit:
        album = unit.add_album(a_full_album())
        slots = unit.add_slots([a_full_slot(album, 3), a_slot(album, 0)])
    with store.reading() as read:
        assert read.album(album) == replace(a_full_album(), id=album)
        want = [a_slot(album, 0, id=slots[1]), replace(a_full_slot(album, 3), id=slots[0])]
        assert read.slots(album) == want
        assert read.slot(slots[0]) == want[1]
        assert read.slots_by_ids([*slots, SlotId(999)]) == {slots[1]: want[0], slots[0]: want[1]}


def test_albums_stand_in_the_order_of_the_shelf(store: Store, small: Small):
    with store.operation("Add") as unit:
        unit.add_album(an_album("Low", 5))
        unit.add_album(an_album("High", -1))
    with store.reading() as read:
        assert [one.name for one in read.albums()] == ["High", "Tokens", "Low"]


def test_series_texts_are_carried_once(store: Store, small: Small):
    with store.operation("Again") as unit:
        unit.add_series(*TOKEN_TEXTS)
    with store.reading() as read:
        (row,) = read.series_texts()
    assert (row.code, row.title, row.series_toml, row.issues_csv) == TOKEN_TEXTS
    assert store.undo_label == "Begin"  # nothing was changed, so nothing is to be undone


def test_the_collection_has_a_name(store: Store):
    with store.reading() as read:
        assert read.name() == "The jar"
    with store.operation("Rename") as unit:
        unit.set_name("Harbour")
        assert unit.read.name() == "Harbour"
    store.undo()
    with store.reading() as read:
        assert read.name() == "The jar"


def test_equal_descriptions_share_a_row_and_an_object(store: Store, small: Small):
    with store.reading() as read:
        before = len(read.descriptions())
    with store.operation("Add") as unit:
        ids = unit.add_coins([a_coin(1901), a_coin(1901), a_coin(1777)])
        unit.add_coins([a_coin(1777)])
    with store.reading() as read:
        assert len(read.descriptions()) == before + 1
        assert read.coin(ids[0]).description is read.coin(ids[1]).description


GRADES = ("vf20", "VF+", "vf-xf", "ms65+ rd fs", "au details", "pf", "pf65 dcam", "p", "g-vg8 bn")


@pytest.mark.parametrize("text", GRADES)
def test_a_grade_is_kept_whole(text: str):
    grade = parse_grade(text)
    assert read_grade(write_grade(grade)) == grade
    foreign = replace(grade, entered="très beau")
    assert read_grade(write_grade(foreign)) == foreign


def test_a_grade_that_could_not_be_read_again_is_refused(store: Store, small: Small):
    odd = Grade(65, 65, strike_words=("FS", "FB"))  # not in their order
    odd_target = Target(65, strike_words=("FS", "FB"))
    with pytest.raises(BadEntry, match="cannot be kept"), store.operation("Add") as unit:
        unit.add_coins([a_coin(grade=""), replace(a_coin(), grade=odd)])
    with pytest.raises(BadEntry, match="cannot be kept"), store.operation("Aim") as unit:
        unit.update_slots([a_slot(small.album, 0, id=small.slots[0], target=odd_target)])
    assert store.undo_label == "Begin"


def test_more_descriptions_than_one_question_holds_are_told_from_those_there(
    store: Store, small: Small
):
    coins = [a_coin(year) for year in range(1000, 1600)]
    with store.operation("Add") as unit:
        unit.add_coins(coins[::2])
    with store.operation("Add") as unit:
        made = unit.add_coins(coins)
    with store.reading() as reader:
        read = reader.coins(made)
        assert len(reader.descriptions()) == len(set(reader.descriptions().values()))
    assert [read[number].description for number in made] == [c.description for c in coins]


def test_a_description_that_could_not_be_read_again_is_refused(store: Store, small: Small):
    odd = Description(TOKENS, (("mint", ("D",)), ("date", ("1901",))))  # not in their order
    with pytest.raises(BadEntry, match="cannot be kept"), store.operation("Add") as unit:
        unit.add_coins([a_coin(description=odd)])


def test_what_cannot_be_text_or_is_too_large_is_refused_plainly(store: Store, small: Small):
    before = store.rows_hash()
    with pytest.raises(BadEntry, match="half of a character"), store.operation("Add") as unit:
        unit.add_coins([a_coin(note="\ud800")])
    with pytest.raises(BadEntry, match="too large"), store.operation("Add") as unit:
        unit.add_coins([a_coin(weight_mg=2**70)])
    with pytest.raises(BadEntry, match="no name of a variety"), store.operation("Add") as unit:
        unit.add_coins([a_coin(varieties=((VarietyId("a;b"), Finding.CONFIRMED),))])
    with pytest.raises(BadEntry, match="arrangement"), store.operation("Add") as unit:
        unit.add_album(an_album(arrangement=Arrangement(rows_per_leaf=99)))
    assert store.rows_hash() == before


# Which coin is where


def test_questions_about_places(store: Store, small: Small):
    slots, coins = small.slots, small.coins
    with store.operation("Move") as unit:
        unit.end_placements([slots[0]], date(2026, 3, 9))
        again = unit.place(slots[0], coins[9], date(2026, 3, 9))
    with store.reading() as read:
        assert read.placed_ids() == {
            coins[9]: slots[0],
            coins[1]: slots[1],
            coins[2]: slots[2],
            coins[3]: slots[3],
        }
        assert {s: c.id for s, c in read.coins_in_album(small.album).items()} == {
            s: c for c, s in read.placed_ids().items()
        }
        assert read.coins_in_album(small.album)[slots[1]] == read.coin(coins[1])
        assert set(read.placements_in_album(small.album)) == set(slots[:4])
        stays = read.placements_of_slot(slots[0])
        assert [(p.coin, p.since, p.until) for p in stays] == [
            (coins[9], date(2026, 3, 9), None),
            (coins[0], DAY, date(2026, 3, 9)),
        ]
        assert stays[0].id == again
        assert read.placements_of_coin(coins[0]) == [stays[1]]
        assert read.slot_of_coin(coins[0]) is None
        assert read.slot_of_coin(coins[9]) == read.slot(slots[0])
        assert read.coin_numbers_all_slots()[coins[9]] == (small.album, "1901")
        assert read.reserved_in_album(small.album) == {slots[4]: read.coin(coins[11])}
        reserved = read.reservation_of_coin(coins[11])
        assert reserved is not None
        assert (reserved.slot, reserved.coin) == (slots[4], coins[11])
        assert read.reservation_of_coin(coins[0]) is None


def test_two_coins_can_change_places_and_back(store: Store, small: Small):
    before = store.rows_hash()
    with store.operation("Swap") as unit:
        swap(unit, small)
    with store.reading() as read:
        assert read.placed_ids()[small.coins[0]] == small.slots[1]
    after = store.rows_hash()
    store.undo()
    assert store.rows_hash() == before
    store.redo()
    assert store.rows_hash() == after


def test_spares_are_grouped_when_alike(store: Store, small: Small):
    with store.operation("Clear") as unit:
        unit.log.delete(Find, [1])
        unit.delete_coins(small.coins)
        alike = unit.add_coins([a_coin(1901, "vf20", note=f"{n}") for n in range(3)])
        lot = unit.add_coins([a_coin(1901, "vf20", quantity=5)])
        better = unit.add_coins([a_coin(1901, "vf30")])
        holed = unit.add_coins([a_coin(1901, "vf20", problems=(Problem.HOLED,))])
        flagged = unit.add_coins([a_coin(1901, "vf20", is_flagged=True)])
        found = ((VarietyId("doubled"), Finding.SUSPECTED),)
        variety = unit.add_coins([a_coin(1901, "vf20", varieties=found)])
        other = unit.add_coins([a_coin(1902, "vf20")])
        unit.add_coins([a_coin(1901, "vf20", is_genuine=False)])
        unit.add_coins([a_coin(1901, "vf20", status=CoinStatus.GONE)])
        unit.add_coins([a_coin(1901, "vf20", status=CoinStatus.ON_ORDER)])
        unit.place(small.slots[0], alike[0], DAY)
    with store.reading() as read:
        groups = read.spare_groups(TOKENS)
        assert [(g.coin.id, g.count) for g in groups] == [
            (alike[1], 7),
            (better[0], 1),
            (holed[0], 1),
            (flagged[0], 1),
            (variety[0], 1),
            (other[0], 1),
        ]
        assert groups[0].coin == read.coin(alike[1])
        assert read.spare_groups(TOKENS, [a_described(1902)]) == groups[-1:]
        assert read.spare_groups(TOKENS, []) == []
        assert read.spare_groups(SeriesId("ferry-token")) == []
        best = read.spares_for([a_described(1901), a_described(1999)], 3)
        assert [one.id for one in best] == [better[0], alike[1], alike[2]]
        held = {one.id for one in read.held_coins(TOKENS)}
        assert alike[0] in held
        assert lot[0] in held
        assert len(held) == 10


def test_an_ungraded_spare_comes_last(store: Store, small: Small):
    with store.operation("Add") as unit:
        ids = unit.add_coins([a_coin(1950), a_coin(1950, "g4"), a_coin(1951, "ms63")])
    with store.reading() as read:
        found = read.spares_for([a_described(1950), a_described(1951)], 9)
    assert [one.id for one in found] == [ids[2], ids[1], ids[0]]


# Rules that the database holds


def refused(store: Store, match: str, *changes: Callable[[Unit], object]) -> None:
    """The last of these changes is refused, and none of them leaves a trace."""

    def attempt() -> None:
        with store.operation("Break a rule") as unit:
            for change in changes:
                change(unit)

    before, label = store.rows_hash(), store.undo_label
    with pytest.raises(Refused, match=match):
        attempt()
    assert store.rows_hash() == before
    assert store.undo_label == label


def test_a_slot_holds_one_coin_and_a_coin_sits_in_one_slot(store: Store, small: Small):
    slots, coins = small.slots, small.coins
    refused(store, "slot already holds", lambda u: u.place(slots[0], coins[8], DAY))
    refused(store, "already sits in a slot", lambda u: u.place(slots[8], coins[0], DAY))
    refused(
        store,
        "slot already holds",
        lambda u: u.place_many([(slots[8], coins[8]), (slots[8], coins[9])], DAY),
    )


def test_other_rules_are_refused_in_plain_words(store: Store, small: Small):
    slots, coins = small.slots, small.coins
    refused(store, "before the day", lambda u: u.end_placements(slots, date(2026, 2, 1)))
    refused(store, "lot of several", lambda u: u.place(slots[8], coins[12], DAY))
    refused(
        store, "cannot become a lot", lambda u: u.update_coins([a_coin(id=coins[0], quantity=3)])
    )
    refused(store, "at least one coin", lambda u: u.add_coins([a_coin(quantity=0)]))
    refused(store, "already meant for that slot", lambda u: u.reserve(slots[4], coins[5]))
    refused(store, "meant for another slot", lambda u: u.reserve(slots[5], coins[11]))
    refused(store, "not in the collection", lambda u: u.add_slots([a_slot(AlbumId(77), 0)]))
    refused(  # what was done before the refusal goes too
        store,
        "slot already holds",
        lambda u: u.add_coins([a_coin()]),
        lambda u: u.place(slots[0], coins[8], DAY),
    )


def test_what_is_not_there_is_named(store: Store, small: Small):
    before = store.rows_hash()
    absent = (
        lambda u: u.place(SlotId(88), small.coins[8], DAY),
        lambda u: u.place(small.slots[8], CoinId(88), DAY),
        lambda u: u.reserve(SlotId(88), small.coins[8]),
        lambda u: u.update_coins([a_coin(id=CoinId(88))]),
        lambda u: u.delete_coins([small.coins[1], CoinId(88)]),
        lambda u: u.update_slots([a_slot(small.album, 0, id=SlotId(88))]),
        lambda u: u.delete_slots([SlotId(88)]),
        lambda u: u.update_album(an_album(id=AlbumId(88))),
        lambda u: u.delete_album(AlbumId(88)),
        lambda u: u.remove_placement(88),
        lambda u: u.read.coin(CoinId(88)),
        lambda u: u.read.slot(SlotId(88)),
        lambda u: u.read.album(AlbumId(88)),
    )
    for act in absent:
        with pytest.raises(NotFound, match="number 88"), store.operation("Miss") as unit:
            act(unit)
    with pytest.raises(UnknownSeries, match="ferry"), store.operation("Miss") as unit:
        unit.add_album(an_album(series=SeriesId("ferry-token")))
    assert store.rows_hash() == before


def test_a_coins_number_is_never_used_again(store: Store, small: Small):
    with store.operation("Add") as unit:
        first = unit.add_coins([a_coin(), a_coin()])
    store.undo()
    with store.operation("Add others") as unit:
        second = unit.add_coins([a_coin()])
        unit.delete_coins(second)
        third = unit.add_coins([a_coin()])
    assert min(second) > max(first)
    assert min(third) > max(second)


# The search log


def test_a_log_comes_back_equal_in_every_field(store: Store, small: Small):
    kept = a_log(small.album, small.coins[9])
    with store.reading() as read:
        log, box = read.log, BoxId(1)
        found: list[Any] = [
            log.campaign(CampaignId(1)), log.search(SearchId(1)), log.box(box), *log.rolls(box),
            *log.finds(box), *log.sightings(box), *log.claims(box), *log.tallies("US 1c"),
            *log.weighings(box), *log.containers(),
        ]  # fmt: skip
        over_all: list[Any] = [
            *log.campaigns(),
            *log.searches(CampaignId(1)),
            *log.boxes(CampaignId(1)),
        ]
        over_all += [*log.all_rolls(), *log.all_finds(), *log.all_sightings(), *log.all_claims()]
        assert [replace(one, id=0) for one in found] == kept
        assert over_all == found[:8]
        assert log.sighting(2) == found[6]
        assert log.coins_found(box) == read.coins([small.coins[9]])
        assert (log.last_place(box), log.last_roll(box)) == (3, 6)
        assert (log.last_place(BoxId(9)), log.finds_of_coins(small.coins)) == (0, [found[4]])


def test_a_coin_that_is_a_find_stays_until_its_find_is_taken_out(store: Store, small: Small):
    with pytest.raises(Refused, match="find of box 32, roll 4"), store.operation("Go") as unit:
        unit.delete_coins([small.coins[9]])
    with store.operation("Take out") as unit:
        unit.log.delete(Find, [1])
        unit.delete_coins([small.coins[9]])
    assert store.check() == []


def test_what_the_log_speaks_of_is_refused_by_name_or_let_go(store: Store, small: Small):
    named: tuple[tuple[str, type[Logged]], ...] = (
        ("search “March”", Search),
        ("coin counted in box 32", Sighting),
        ("claim of box 32", Claim),
        ("pile of box 32", Weighing),
    )
    with store.operation("Go") as unit:
        unit.log.update(Search(SearchId(1), CampaignId(1), "March", DAY))
        unit.log.update(Sighting(1, BoxId(1), 1, 1, counter="foreign"))
        unit.log.delete(Claim, [1])
        unit.log.delete(Weighing, [1])
    whole = a_log(small.album, small.coins[9])
    for message, kind in named:
        with store.operation("Speak of it") as unit:
            unit.log.add(next(one for one in whole if isinstance(one, kind)))
        with pytest.raises(Refused, match=message), store.operation("Go") as unit:
            unit.delete_series(TOKENS)
        store.undo()
    with store.operation("Go") as unit:
        unit.delete_album(small.album)
    with store.reading() as read:
        assert read.log.campaign(CampaignId(1)).album is None


# The journal


def test_the_list_of_changes_holds_all_that_a_unit_can_do():
    of_log = {
        f"log.{name}" for name in vars(LogWriter) if name.startswith(("update", "delete", "let"))
    }
    of_prices = {f"prices.{name}" for name in vars(PriceWriter) if not name.startswith("_")}
    whole = {name for name in vars(Unit) if not name.startswith("_")} | of_log
    whole |= of_prices - {"prices.require_unnamed"}
    twice = {"log.delete the whole", "prices.set_rate anew", "prices.set_choice shown"}
    twice |= {"set_own_code of another", "set_own_code to none"}
    assert set(CHANGES) - twice == whole


@pytest.mark.parametrize("name", sorted(CHANGES))
def test_every_change_is_undone_and_redone_also_after_closing(tmp_path: Path, name: str):
    store = a_store(tmp_path / "jar.slotleaf")
    small = fill(store)
    before = store.rows_hash()
    with store.operation(name) as unit:
        CHANGES[name](unit, small)
    after = store.rows_hash()
    assert after != before
    assert unit.entry == store.history(1)[0].id
    for want, move in ((before, Store.undo), (after, Store.redo), (before, Store.undo)):
        store.close()
        store = open_store(tmp_path / "jar.slotleaf")
        step = move(store)
        assert step is not None
        assert step.label == name
        assert store.rows_hash() == want
    assert (store.undo_label, store.redo_label) == ("Begin", name)
    assert store.check() == []
    store.close()


def test_a_run_is_undone_together_and_one_by_one_when_asked(store: Store, small: Small):
    hashes = [store.rows_hash()]
    number = store.start_run()
    for at in range(5, 8):
        with store.operation("Stock", run_id=number) as unit:
            unit.place(small.slots[at], small.coins[at], DAY)
        hashes.append(store.rows_hash())
    entries = [entry.id for entry in store.history(3)]
    assert {entry.run for entry in store.history(3)} == {entries[-1]}

    one = store.undo(whole_run=False)
    assert one is not None
    assert one.entries == (entries[0],)
    assert store.rows_hash() == hashes[2]
    whole = store.undo()
    assert whole is not None
    assert whole.entries == tuple(entries[1:])
    assert store.rows_hash() == hashes[0]
    again = store.redo()
    assert again is not None
    assert again.entries == tuple(reversed(entries))
    assert store.rows_hash() == hashes[3]


def test_what_comes_between_ends_a_run(store: Store, small: Small):
    def stock(at: int, **run: object) -> None:
        with store.operation(f"Stock {at}", **run) as unit:  # type: ignore[arg-type]  # keywords
            unit.place(small.slots[at], small.coins[at], DAY)

    number = store.start_run()
    stock(5, run_id=number)
    stock(6, run=True)
    with store.operation("Rename") as unit:
        unit.set_name("x")
    stock(7, run_id=number)
    stock(8, run_id=store.start_run())
    stock(9)
    with store.operation("Nothing", run_id=number):
        pass
    undone = []
    while (step := store.undo()) is not None:
        undone.append((step.label, len(step.entries)))
    assert undone == [
        ("Stock 9", 1),
        ("Stock 8", 1),
        ("Stock 7", 1),
        ("Rename", 1),
        ("Stock 5", 2),
        ("Begin", 1),
    ]


def test_taking_back_one_of_a_run_and_going_on_stays_one_undo(store: Store, small: Small):
    before = store.rows_hash()
    number = store.start_run()
    for at in (5, 6):
        with store.operation("Stock", run_id=number) as unit:
            unit.place(small.slots[at], small.coins[at], DAY)
    store.undo(whole_run=False)
    with store.operation("Stock", run_id=number) as unit:
        unit.place(small.slots[7], small.coins[7], DAY)
    assert store.redo_label is None
    step = store.undo()
    assert step is not None
    assert len(step.entries) == 2
    assert store.rows_hash() == before


def test_a_new_operation_forgets_what_was_undone(store: Store, small: Small):
    with store.operation("First") as unit:
        unit.set_name("First")
    store.undo()
    assert store.redo_label == "First"
    with store.operation("Nothing"):
        pass
    assert store.redo_label == "First"
    with store.operation("Second") as unit:
        unit.set_name("Second")
    assert store.redo() is None
    assert [entry.label for entry in store.history(9)] == ["Second", "Begin"]


def test_a_step_names_what_it_touched_and_what_that_belongs_to(store: Store, small: Small):
    with store.operation("Take") as unit:
        unit.end_placements([small.slots[2]], DAY)
    entry = unit.entry
    assert entry is not None
    want = {
        "placement": {3},
        "slot": {small.slots[2]},
        "coin": {small.coins[2]},
        "album": {small.album},
    }
    assert store.changes_of(entry).touched == want
    undone = store.undo()
    assert undone is not None
    assert undone.touched == want
    with store.operation("Delete") as unit:
        unit.delete_album(small.album)
    step = store.undo()
    assert step is not None
    assert step.touched["album"] == {small.album}
    assert step.touched["slot"] == set(small.slots)
    assert step.touched["coin"] == {*small.coins[:4], small.coins[11]}
    with pytest.raises(NotFound, match="entry 999"):
        store.changes_of(999)


def test_the_history_tells_what_was_done_when(tmp_path: Path):
    clock = datetime(2026, 5, 1, 9, 30, tzinfo=UTC)
    store = a_store(tmp_path / "jar.slotleaf", now=lambda: clock)
    fill(store)
    long_ago = datetime.fromisoformat("2024-11-02T23:15:00-05:00")
    with store.operation("Rename", at=long_ago) as unit:
        unit.set_name("x")
    store.undo()
    newest, first = store.history(10)
    assert (newest.label, newest.is_undone, newest.run) == ("Rename", True, None)
    assert newest.at == long_ago
    assert newest.at.tzinfo is UTC
    assert (first.label, first.at, first.is_undone) == ("Begin", clock, False)
    assert store.history(10, before=newest.id) == [first]
    assert store.history(1) == [newest]
    store.close()


def test_operations_do_not_nest(store: Store, small: Small):
    with store.operation("Outer") as unit:
        unit.set_name("x")
        with pytest.raises(RuntimeError, match="inside another"), store.operation("Inner"):
            pass
    assert store.undo_label == "Outer"


def test_an_error_of_the_caller_leaves_no_trace(store: Store, small: Small):
    def fail() -> None:
        with store.operation("Fail") as unit:
            unit.set_name("x")
            raise KeyError("whatever")

    before = store.rows_hash()
    with pytest.raises(KeyError):
        fail()
    assert store.rows_hash() == before
    assert [entry.label for entry in store.history(9)] == ["Begin"]


def test_operations_of_two_threads_take_turns(store: Store, small: Small):
    def work(at: int) -> None:
        for _ in range(5):
            with store.operation(f"Add {at}") as unit:
                unit.add_coins([a_coin(1900 + at)])

    threads = [threading.Thread(target=work, args=(at,)) for at in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as read:
        assert read.coin_count() == len(small.coins) + 15
    assert store.check() == []


def test_readers_see_the_last_commit_while_a_long_import_is_under_way(store: Store, small: Small):
    with store.operation("Import") as unit:
        unit.add_coins([a_coin(1900 + n % 90, note="x" * 200) for n in range(20_000)])
        with store.reading() as read:
            assert read.coin_count() == len(small.coins)
        assert unit.read.coin_count() == len(small.coins) + 20_000
    with store.reading() as read:
        assert read.coin_count() == len(small.coins) + 20_000


def test_only_an_older_file_brings_in_alembic_and_nothing_the_orm(tmp_path: Path):
    code = """
import sys
from pathlib import Path
from core.store.store import create, open_store
create(Path(sys.argv[1]), "x")
store = open_store(Path(sys.argv[1]))
with store.operation("y") as unit:
    unit.set_name("y")
store.undo(), store.check(), store.close()
print(sorted({"sqlalchemy.orm", "alembic"} & set(sys.modules)))
"""
    done = run(
        [sys.executable, "-c", code, str(tmp_path / "jar.slotleaf")],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert done.stdout.strip() == "[]"


def test_the_check_names_what_is_wrong(store: Store, small: Small):
    assert store.check() == []
    with store.operation("Twice") as unit:
        unit.add_slots([a_slot(small.album, 20, label="1901")])
    assert store.check() == ["2 slots of album “Tokens” are called “1901”."]
    journal_off = ("UPDATE journal_now SET entry = 0", "UPDATE journal_now SET entry = NULL")
    with store._writes.begin() as conn:
        conn.exec_driver_sql(journal_off[0])
        conn.exec_driver_sql("UPDATE coin SET status = 'lost' WHERE id = 3")
        conn.exec_driver_sql("UPDATE coin SET quantity = 3 WHERE id = 1")
        conn.exec_driver_sql("UPDATE description SET key = 'ferry-token;date=1901' WHERE id = 7")
        conn.exec_driver_sql("UPDATE slot SET target = 'shiny' WHERE id = 2")
        conn.exec_driver_sql(journal_off[1])
    said = "\n".join(store.check())
    assert "Lot 1 of 3 coins sits in a slot." in said
    assert "Coin 3 holds something this program cannot read ('lost')" in said
    assert "“ferry-token;date=1901” is kept under the series “harbour-token”" in said
    assert "Slot “1902” holds something" in said
    with store.reading() as read, pytest.raises(FileTrouble, match="Coin 3"):
        read.coin(CoinId(3))


def test_undo_refuses_when_rows_were_changed_past_the_journal(store: Store, small: Small):
    with store.operation("Add") as unit:
        ids = unit.add_coins([a_coin()])
    with store._writes.begin() as conn:
        conn.exec_driver_sql("UPDATE journal_now SET entry = 0")
        conn.exec_driver_sql(f"DELETE FROM coin WHERE id = {ids[0]}")
        conn.exec_driver_sql("UPDATE journal_now SET entry = NULL")
    before = store.rows_hash()
    with pytest.raises(Refused, match="past its own history"):
        store.undo()
    assert store.rows_hash() == before
    assert store.undo_label == "Add"


def test_a_full_disk_is_told_and_changes_nothing(store: Store, small: Small):
    before = store.rows_hash()

    def no_room(dbapi: object, *_: object) -> None:
        dbapi.execute("PRAGMA max_page_count=1")  # type: ignore[attr-defined]  # sqlite3

    event.listen(store._writes, "connect", no_room)
    store._writes.dispose()
    with pytest.raises(FileTrouble, match="is full"), store.operation("Add") as unit:
        unit.add_coins([a_coin(note="x" * 2000) for _ in range(200)])
    event.remove(store._writes, "connect", no_room)
    store._writes.dispose()
    assert store.rows_hash() == before
    with store.operation("Add") as unit:
        unit.add_coins([a_coin()])
