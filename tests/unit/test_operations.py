"""Operations on coins and slots: what each does, what it refuses, and that undo takes it back."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.keep_supposed import keep_supposed
from core.app.operations import (
    Operation,
    add_and_place,
    add_coins,
    apply_fill,
    cancel_order,
    clear_slots,
    coin_arrived,
    edit_coins,
    let_go,
    move_coin,
    order_coin,
    place_coin,
    set_flagged,
    set_note,
    set_notes,
    set_pinned,
    set_target,
    set_wish,
    stock_slots,
    swap_slots,
    unstock_slot,
)
from core.app.operations_coins import CoinChange, change_coins
from core.app.supposed import Kept
from core.errors import CollectionError
from core.model.album import AlbumKind, SlotId, Target, Wish, parse_target
from core.model.coin import CoinId, CoinStatus, Origin, Problem
from core.model.grade import parse_grade
from core.model.plan_album import Varieties
from tests.collection_material import (
    CENTS,
    Clock,
    Heard,
    a_collection,
    an_album,
    held,
    marks,
    read_coin,
    slot,
    state,
    whole_slot,
    with_coins,
)


@dataclass
class Desk:
    """Nickels 1940–1943 at VF-20; spares: 1 is 1941 VF-20, 2 G-4, 3 1941-D, 4 a lot of three."""

    collection: Collection
    clock: Clock

    def run(self, order: Operation) -> None:
        self.collection.run(order)

    def put(self, coin: int, label: str) -> None:
        self.run(place_coin(CoinId(coin), slot(self.collection, label)))

    def at(self, label: str) -> SlotId:
        return slot(self.collection, label)

    def coin(self, number: int):
        return self.collection.coin(CoinId(number))


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    clock = Clock()
    with a_collection(tmp_path, clock) as collection:
        an_album(collection)
        an_album(collection, "Shown", kind=AlbumKind.OVERVIEW)
        with_coins(collection, "1941 vf20", "1941 g4", "1941-D f12 bent", "3 x 1942-D vf30")
        yield Desk(collection, clock)


# ---- coins ------------------------------------------------------------------------------------


def test_adding_coins_makes_spares_with_fresh_numbers(desk: Desk) -> None:
    made = desk.collection.run(
        add_coins([read_coin(desk.collection, text) for text in ("1943-P", "5 x 1940")])
    ).made_coins
    assert made == (5, 6)
    rows = {row.coin.id: row for row in desk.collection.coin_rows()}
    assert (rows[CoinId(5)].state, rows[CoinId(6)].state) == ("spare", "lot")
    assert desk.collection.undo_label == "add 6 coins"


def test_editing_a_coin_keeps_it_in_its_slot(desk: Desk) -> None:
    desk.put(1, "1941")
    desk.run(edit_coins([replace(desk.coin(1), grade=parse_grade("g4"), note="worn rim")]))
    assert held(desk.collection, "1941") == 1
    assert state(desk.collection, "1941") == "below target"
    assert desk.coin(1).note == "worn rim"


def test_a_coin_let_go_leaves_its_slot_and_stays_as_history(desk: Desk) -> None:
    desk.put(1, "1941")
    desk.run(let_go([CoinId(1)]))
    assert state(desk.collection, "1941") == "gap"
    assert desk.coin(1).status is CoinStatus.GONE
    told = [line.text for line in desk.collection.slot_card(desk.at("1941")).history]
    assert told == ["VF-20 taken out", "VF-20 put in"]


def test_a_coin_on_order_that_is_let_go_frees_its_slot(desk: Desk) -> None:
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    desk.run(let_go([CoinId(5)]))
    assert state(desk.collection, "1943-S") == "gap"


def test_many_coins_at_once_leave_their_slots_too(desk: Desk) -> None:
    desk.put(1, "1941")
    desk.put(3, "1941-D")
    many = with_coins(desk.collection, *["1940 g4"] * 60)
    changes = desk.collection.run(let_go([CoinId(1), CoinId(3), *many]))
    assert [state(desk.collection, label) for label in ("1941", "1941-D")] == ["gap", "gap"]
    assert {desk.at("1941"), desk.at("1941-D")} <= changes.slots
    assert desk.collection.undo_label == "let go of 62 coins"


# ---- placements -------------------------------------------------------------------------------


def test_a_placed_coin_fills_its_slot_and_is_no_spare(desk: Desk) -> None:
    desk.put(1, "1941")
    assert (held(desk.collection, "1941"), state(desk.collection, "1941")) == (1, "filled")
    assert CoinId(1) not in [
        c.id for c in desk.collection.spares_of(desk.coin(1).description.series)
    ]


def test_placing_over_a_coin_sends_the_old_one_to_the_spares(desk: Desk) -> None:
    desk.put(2, "1941")
    assert state(desk.collection, "1941") == "below target"
    assert "spare waiting" in marks(desk.collection, "1941")
    desk.put(1, "1941")
    assert held(desk.collection, "1941") == 1
    assert marks(desk.collection, "1941") == set()
    assert [s.coin for s in desk.collection.slot_card(desk.at("1941")).spares] == [2]


def test_a_coin_from_another_slot_moves(desk: Desk) -> None:
    an_album(desk.collection, "Second", target="none")
    desk.put(1, "1941")
    desk.run(place_coin(CoinId(1), slot(desk.collection, "1941", "Second")))
    assert held(desk.collection, "1941") is None
    assert held(desk.collection, "1941", "Second") == 1


def test_a_lot_gives_one_coin_and_keeps_the_rest(desk: Desk) -> None:
    desk.put(4, "1942-D")
    assert held(desk.collection, "1942-D") == 5
    assert (desk.coin(4).quantity, desk.coin(5).quantity) == (2, 1)
    assert desk.coin(5).grade == desk.coin(4).grade
    desk.collection.undo()
    assert (held(desk.collection, "1942-D"), desk.coin(4).quantity) == (None, 3)


def test_the_last_of_a_lot_is_placed_itself(desk: Desk) -> None:
    desk.run(edit_coins([replace(desk.coin(4), quantity=1)]))
    desk.put(4, "1942-D")
    assert held(desk.collection, "1942-D") == 4


def test_a_coin_that_only_may_fit_may_be_placed_and_shows_to_verify(desk: Desk) -> None:
    with_coins(desk.collection, "1943 ?")
    desk.put(5, "1943-D")
    assert state(desk.collection, "1943-D") == "to verify"


def test_a_wrong_coin_is_placed_only_when_that_is_said(desk: Desk) -> None:
    desk.run(place_coin(CoinId(1), desk.at("1943-D"), may_be_wrong=True))
    card = desk.collection.slot_card(desk.at("1943-D"))
    assert card.view.state.value == "to verify"
    assert "does not fit" in card.why


def test_taking_coins_out_makes_gaps(desk: Desk) -> None:
    desk.put(1, "1941")
    desk.put(3, "1941-D")
    desk.run(clear_slots([desk.at("1941"), desk.at("1941-D"), desk.at("1940")]))
    assert [state(desk.collection, label) for label in ("1941", "1941-D")] == ["gap", "gap"]
    assert desk.collection.undo_label == "take out coins · 1941, 1941-D"


def test_swapping_exchanges_what_two_slots_hold(desk: Desk) -> None:
    an_album(desk.collection, "Second", target="none")
    desk.put(1, "1941")
    desk.run(place_coin(CoinId(2), slot(desk.collection, "1941", "Second")))
    desk.run(swap_slots(desk.at("1941"), slot(desk.collection, "1941", "Second")))
    assert held(desk.collection, "1941") == 2
    assert held(desk.collection, "1941", "Second") == 1


def test_swapping_with_an_empty_slot_moves_the_coin(desk: Desk) -> None:
    an_album(desk.collection, "Second", target="none")
    desk.put(1, "1941")
    desk.run(swap_slots(slot(desk.collection, "1941", "Second"), desk.at("1941")))
    assert held(desk.collection, "1941") is None
    assert held(desk.collection, "1941", "Second") == 1


@pytest.mark.parametrize("make", [move_coin, swap_slots])
@pytest.mark.parametrize("is_full", [False, True])
def test_a_coin_carried_over_is_one_entry_with_all_it_touched(
    desk: Desk, make: Callable[[SlotId, SlotId], Operation], is_full: bool
) -> None:
    an_album(desk.collection, "Second", target="none")
    desk.put(1, "1941")
    there = slot(desk.collection, "1941", "Second")
    if is_full:
        desk.run(place_coin(CoinId(2), there))
    before, entries = desk.collection.rows_hash(), len(desk.collection.entries())
    if is_full and make is move_coin:
        with pytest.raises(CollectionError, match="Slot 1941 holds a coin; swap"):
            desk.run(make(desk.at("1941"), there))
        return
    changes = desk.collection.run(make(desk.at("1941"), there))
    assert changes.slots == {desk.at("1941"), there}
    assert changes.coins == ({CoinId(1), CoinId(2)} if is_full else {CoinId(1)})
    assert len(changes.albums) == 2
    assert len(desk.collection.entries()) == entries + 1
    assert held(desk.collection, "1941", "Second") == 1
    assert held(desk.collection, "1941") == (2 if is_full else None)
    desk.collection.undo()
    assert desk.collection.rows_hash() == before


def test_a_coin_can_be_entered_straight_into_a_slot(desk: Desk) -> None:
    order = add_and_place(read_coin(desk.collection, "1943-S xf40"), desk.at("1943-S"))
    assert desk.collection.run(order).made_coins == (5,)
    assert held(desk.collection, "1943-S") == 5
    desk.collection.undo()
    assert len(desk.collection.coin_rows()) == 4


def test_fill_moves_all_its_coins_at_once(desk: Desk) -> None:
    desk.put(2, "1941")
    pairs = [(desk.at("1941"), CoinId(1)), (desk.at("1942-D"), CoinId(4))]
    desk.run(apply_fill(pairs))
    assert (held(desk.collection, "1941"), held(desk.collection, "1942-D")) == (1, 5)
    assert desk.collection.undo_label == "fill 2 slots"
    desk.collection.undo()
    assert (held(desk.collection, "1941"), held(desk.collection, "1942-D")) == (2, None)


def test_fill_may_send_coins_round_in_a_ring(desk: Desk) -> None:
    an_album(desk.collection, "Second", target="none")
    second = slot(desk.collection, "1941", "Second")
    desk.put(1, "1941")
    desk.run(place_coin(CoinId(2), second))
    desk.run(apply_fill([(desk.at("1941"), CoinId(2)), (second, CoinId(1))]))
    assert (held(desk.collection, "1941"), held(desk.collection, "1941", "Second")) == (2, 1)


def test_placements_carry_their_days(desk: Desk) -> None:
    desk.put(2, "1941")
    desk.clock.day = date(2026, 4, 1)
    desk.put(1, "1941")
    lines = desk.collection.slot_card(desk.at("1941")).history
    told = [(line.day.isoformat(), line.text) for line in lines]
    assert told == [
        ("2026-04-01", "VF-20 put in"),
        ("2026-04-01", "G-4 taken out"),
        ("2026-03-02", "G-4 put in"),
    ]


# ---- on order ---------------------------------------------------------------------------------


def test_an_ordered_coin_shows_and_then_arrives_in_its_slot(desk: Desk) -> None:
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    assert state(desk.collection, "1943-S") == "on order"
    assert desk.coin(5).status is CoinStatus.ON_ORDER
    desk.clock.day = date(2026, 3, 9)
    desk.run(coin_arrived(desk.at("1943-S")))
    assert (held(desk.collection, "1943-S"), state(desk.collection, "1943-S")) == (5, "filled")
    assert desk.coin(5).acquired == date(2026, 3, 9)


def test_an_order_for_a_filled_slot_is_a_mark_and_arrives_as_a_spare(desk: Desk) -> None:
    desk.put(2, "1941")
    desk.run(order_coin(read_coin(desk.collection, "1941 xf40"), desk.at("1941")))
    assert "better coin on order" in marks(desk.collection, "1941")
    desk.run(coin_arrived(desk.at("1941")))
    assert held(desk.collection, "1941") == 2
    assert "spare waiting" in marks(desk.collection, "1941")


def test_a_cancelled_order_leaves_a_gap(desk: Desk) -> None:
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    desk.run(cancel_order(desk.at("1943-S")))
    assert state(desk.collection, "1943-S") == "gap"
    assert desk.coin(5).status is CoinStatus.GONE


# ---- slots ------------------------------------------------------------------------------------


def test_slots_get_targets_wishes_pins_and_notes(desk: Desk) -> None:
    slots = [desk.at("1941"), desk.at("1941-D")]
    desk.run(set_target(slots, parse_target("MS-65 FS")))
    desk.run(set_wish(slots, Wish.OPTIONAL))
    desk.run(set_pinned(slots, True))
    desk.run(set_note(slots[0], "  seen at the fair "))
    hole = whole_slot(desk.collection, "1941")
    assert hole.target is not None
    assert (hole.target.text, hole.wish, hole.is_pinned) == ("MS-65 FS", Wish.OPTIONAL, True)
    assert hole.note == "seen at the fair"
    assert whole_slot(desk.collection, "1941-D").note == ""


def test_a_flagged_coin_is_to_verify_until_the_flag_is_taken_off(desk: Desk) -> None:
    desk.put(1, "1941")
    desk.run(set_flagged([CoinId(1)], True))
    assert state(desk.collection, "1941") == "to verify"
    desk.run(set_flagged([CoinId(1)], False))
    assert state(desk.collection, "1941") == "filled"


# ---- stocking ---------------------------------------------------------------------------------


def test_stocking_makes_a_coin_of_each_slots_own_issue(desk: Desk) -> None:
    slots = [desk.at("1940"), desk.at("1940-S")]
    made = desk.collection.run(stock_slots(slots, parse_grade("f12"), is_flagged=True)).made_coins
    assert len(made) == 2
    coin = desk.collection.coin(made[1])
    assert coin.description == whole_slot(desk.collection, "1940-S").accepts
    assert (coin.grade, coin.is_flagged) == (parse_grade("f12"), True)
    assert coin.origin is Origin.ALREADY_OWNED


def test_stocking_a_slot_of_any_mint_leaves_the_mint_open(desk: Desk) -> None:
    an_album(desk.collection, "Either", mints=("any",), target="none")
    desk.run(stock_slots([slot(desk.collection, "1941 any mint", "Either")]))
    number = held(desk.collection, "1941 any mint", "Either")
    assert number is not None
    assert desk.collection.coin(number).description.values("mint") == ()
    assert state(desk.collection, "1941 any mint", "Either") == "filled"


def test_stocking_a_variety_slot_confirms_the_variety(desk: Desk) -> None:
    an_album(desk.collection, "Cents", CENTS, (1955, 1955), target="none", varieties=Varieties.ALL)
    hole = next(
        v.slot
        for v in desk.collection.album_view(desk.collection.find_album("Cents").id).slots
        if v.slot.variety is not None
    )
    desk.run(stock_slots([hole.id]))
    assert state(desk.collection, hole.label, "Cents") == "filled"


def test_stocking_a_slot_that_holds_a_coin_sets_its_grade(desk: Desk) -> None:
    desk.put(2, "1941")
    done = desk.collection.run(stock_slots([desk.at("1941")], parse_grade("xf40")))
    assert done.made_coins == ()
    assert (held(desk.collection, "1941"), state(desk.collection, "1941")) == (2, "filled")
    assert desk.coin(2).grade == parse_grade("xf40")


def test_a_slot_just_stocked_is_taken_back_as_if_it_had_never_been(desk: Desk) -> None:
    before = desk.collection.rows_hash()
    made = desk.collection.run(stock_slots([desk.at("1940")])).made_coins
    desk.run(unstock_slot(desk.at("1940"), made[0]))
    assert state(desk.collection, "1940") == "gap"
    assert len(desk.collection.coin_rows()) == 4
    desk.collection.undo()
    desk.collection.undo()
    assert desk.collection.rows_hash() == before


def test_a_run_of_stocking_is_one_undo(desk: Desk) -> None:
    before = desk.collection.rows_hash()
    run = desk.collection.start_run()
    for label in ("1940", "1940-D", "1940-S"):
        desk.collection.run(stock_slots([desk.at(label)]), run_id=run)
    after = desk.collection.rows_hash()
    desk.collection.undo()
    assert desk.collection.rows_hash() == before
    desk.collection.redo()
    assert desk.collection.rows_hash() == after


# ---- what every operation keeps ---------------------------------------------------------------

ORDERS: dict[str, Callable[[Desk], Operation]] = {
    "add": lambda d: add_coins([read_coin(d.collection, "1943-P vf20")]),
    "edit": lambda d: edit_coins([replace(d.coin(2), problems=(Problem.HOLED,))]),
    "change": lambda d: change_coins(
        [CoinId(1), CoinId(2)], CoinChange(grade=None, place="tray 7")
    ),
    "let go": lambda d: let_go([CoinId(1), CoinId(2)]),
    "enter": lambda d: add_and_place(read_coin(d.collection, "1940"), d.at("1940")),
    "place": lambda d: place_coin(CoinId(2), d.at("1941")),
    "place of a lot": lambda d: place_coin(CoinId(4), d.at("1942-D")),
    "clear": lambda d: clear_slots([d.at("1941")]),
    "fill": lambda d: apply_fill([(d.at("1942-D"), CoinId(4)), (d.at("1941"), CoinId(2))]),
    "order": lambda d: order_coin(read_coin(d.collection, "1940-D"), d.at("1940-D")),
    "arrive": lambda d: coin_arrived(d.at("1943-S")),
    "cancel": lambda d: cancel_order(d.at("1943-S")),
    "target": lambda d: set_target([d.at("1940")], None),
    "wish": lambda d: set_wish([d.at("1940")], Wish.SKIPPED),
    "suppose": lambda d: keep_supposed(Kept(((Target(4), (d.at("1940"),)),), (d.at("1941"),))),
    "pin": lambda d: set_pinned([d.at("1940")], True),
    "note": lambda d: set_note(d.at("1940"), "ask again"),
    "notes": lambda d: set_notes([d.at("1940"), d.at("1941")], "ask again"),
    "flag": lambda d: set_flagged([CoinId(1)], True),
    "stock": lambda d: stock_slots([d.at("1940"), d.at("1941")], parse_grade("vf20")),
}


@pytest.mark.parametrize("name", ORDERS)
def test_an_operation_is_one_entry_that_undo_and_redo_carry_back_and_forth(
    desk: Desk, name: str
) -> None:
    desk.put(1, "1941")
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    entries = len(desk.collection.entries())
    before = desk.collection.rows_hash()
    heard = Heard(desk.collection)
    order = ORDERS[name](desk)
    changes = desk.collection.run(order)
    after = desk.collection.rows_hash()
    assert after != before
    assert len(desk.collection.entries()) == entries + 1
    told = desk.collection.undo_label
    assert told is not None
    assert told.split(" · ")[0] == order.label == changes.label
    assert desk.collection.undo() == told
    assert desk.collection.rows_hash() == before
    assert desk.collection.redo() == told
    assert desk.collection.rows_hash() == after
    assert heard.changes[0] == changes
    assert [c.is_everything for c in heard.changes] == [False, True, True]


@pytest.mark.parametrize("name", ORDERS)
def test_changes_name_every_slot_that_looks_different(desk: Desk, name: str) -> None:
    desk.put(1, "1941")
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    album = desk.collection.find_album("Nickels").id
    old = desk.collection.album_view(album).by_id
    changes = desk.collection.run(ORDERS[name](desk))
    new = desk.collection.album_view(album).by_id
    different = {s for s in new if (old[s].coin, old[s].slot) != (new[s].coin, new[s].slot)}
    assert different <= changes.slots
    if different:
        assert album in changes.albums


@pytest.mark.parametrize("name", ORDERS)
def test_changes_name_every_coin_whose_row_looks_different(desk: Desk, name: str) -> None:
    desk.put(1, "1941")
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    old = {row.coin.id: row for row in desk.collection.coin_rows()}
    changes = desk.collection.run(ORDERS[name](desk))
    new = {row.coin.id: row for row in desk.collection.coin_rows()}
    assert {c for c in old.keys() | new.keys() if old.get(c) != new.get(c)} <= changes.coins


REFUSALS: dict[str, tuple[Callable[[Desk], Operation], str]] = {
    "a slot's coin again": (lambda d: place_coin(CoinId(1), d.at("1941")), "1941 already"),
    "of another date": (lambda d: place_coin(CoinId(2), d.at("1940")), "it is 1941"),
    "not genuine": (lambda d: place_coin(CoinId(7), d.at("1940-D")), "not genuine"),
    "of another series": (lambda d: place_coin(CoinId(8), d.at("1940")), "another series"),
    "gone": (lambda d: place_coin(CoinId(6), d.at("1940")), "Coin 6 is gone"),
    "on order": (lambda d: place_coin(CoinId(5), d.at("1943-S")), "Coin 5 is on order"),
    "no such coin": (lambda d: place_coin(CoinId(99), d.at("1940")), "99"),
    "no such slot": (lambda d: place_coin(CoinId(1), SlotId(999)), "999"),
    "an overview": (
        lambda d: place_coin(CoinId(2), slot(d.collection, "1941", "Shown")),
        "is an overview",
    ),
    "entered wrong": (
        lambda d: add_and_place(read_coin(d.collection, "1942"), d.at("1940")),
        "does not fit slot 1940",
    ),
    "an empty slot": (lambda d: clear_slots([d.at("1940")]), "1940 is empty"),
    "empty slots": (lambda d: clear_slots([d.at("1940"), d.at("1940-D")]), "are empty"),
    "a slot with itself": (lambda d: swap_slots(d.at("1941"), d.at("1941")), "itself"),
    "two empty slots": (lambda d: swap_slots(d.at("1940"), d.at("1942")), "both slots are empty"),
    "a swap with an overview": (
        lambda d: swap_slots(d.at("1941"), slot(d.collection, "1941", "Shown")),
        "is an overview",
    ),
    "a move of nothing": (lambda d: move_coin(d.at("1940"), d.at("1941")), "1940 is empty"),
    "a move to where it is": (lambda d: move_coin(d.at("1941"), d.at("1941")), "1941 already"),
    "a move that does not fit": (lambda d: move_coin(d.at("1941"), d.at("1940")), "it is 1941"),
    "a move into an overview": (
        lambda d: move_coin(d.at("1941"), slot(d.collection, "1941", "Shown")),
        "is an overview",
    ),
    "a swap that does not fit": (lambda d: swap_slots(d.at("1941"), d.at("1940")), "does not fit"),
    "a lot into a slot": (
        lambda d: edit_coins([replace(d.coin(1), quantity=4)]),
        "sits in slot 1941",
    ),
    "a placed coin gone by hand": (
        lambda d: edit_coins([replace(d.coin(1), status=CoinStatus.GONE)]),
        "take it out before making it gone",
    ),
    "an ordered coin held by hand": (
        lambda d: edit_coins([replace(d.coin(5), status=CoinStatus.HELD)]),
        "on order for slot 1943-S",
    ),
    "an impossible coin": (
        lambda d: edit_coins(
            [replace(d.coin(2), description=d.coin(2).description.with_facet("date", "1900"))]
        ),
        "none was struck with date 1900",
    ),
    "a lot of none": (lambda d: edit_coins([replace(d.coin(2), quantity=0)]), "1 or more"),
    "let go twice": (lambda d: let_go([CoinId(6)]), "Coin 6 is gone already"),
    "let go of nothing": (lambda d: let_go([CoinId(98)]), "98"),
    "flag nothing": (lambda d: set_flagged([CoinId(98)], True), "98"),
    "a second order": (
        lambda d: order_coin(read_coin(d.collection, "1943-S"), d.at("1943-S")),
        "on order for slot 1943-S already",
    ),
    "an order that does not fit": (
        lambda d: order_coin(read_coin(d.collection, "1943-S"), d.at("1940")),
        "does not fit slot 1940",
    ),
    "arrival of nothing": (lambda d: coin_arrived(d.at("1940")), "No coin is on order"),
    "cancelling nothing": (lambda d: cancel_order(d.at("1940")), "No coin is on order"),
    "a target of no slot": (lambda d: set_target([SlotId(999)], None), "999"),
    "a fill of nothing": (lambda d: apply_fill([]), "nothing to fill"),
    "a fill twice into one slot": (
        lambda d: apply_fill([(d.at("1941"), CoinId(1)), (d.at("1941"), CoinId(2))]),
        "same slot",
    ),
    "a fill that fits no more": (
        lambda d: apply_fill([(d.at("1940"), CoinId(2))]),
        "no longer surely fits slot 1940",
    ),
    "a fill with a coin that is gone": (
        lambda d: apply_fill([(d.at("1940"), CoinId(6))]),
        "Coin 6 is gone",
    ),
    "a coin twice in one fill": (
        lambda d: apply_fill([(d.at("1941"), CoinId(2)), (SlotId(999), CoinId(2))]),
        "999",
    ),
    "taking back a coin with a past": (
        lambda d: unstock_slot(d.at("1941"), CoinId(1)),
        "sat elsewhere",
    ),
    "stocking an overview": (
        lambda d: stock_slots([slot(d.collection, "1940", "Shown")]),
        "is an overview",
    ),
}


@pytest.fixture
def busy_desk(desk: Desk) -> Desk:
    """The same with coin 1 in 1941 a second time, an order, a coin gone and two strange ones."""
    desk.put(1, "1941")
    desk.run(clear_slots([desk.at("1941")]))
    desk.put(1, "1941")
    desk.run(order_coin(read_coin(desk.collection, "1943-S vf20"), desk.at("1943-S")))
    with_coins(desk.collection, "1940 vf20", "1940-D vf20 counterfeit")
    with_coins(desk.collection, "1940 vf20", series=CENTS)
    desk.run(let_go([CoinId(6)]))
    return desk


@pytest.mark.parametrize("name", REFUSALS)
def test_a_refusal_says_why_and_changes_nothing(busy_desk: Desk, name: str) -> None:
    make, told = REFUSALS[name]
    desk = busy_desk
    before, entries = desk.collection.rows_hash(), len(desk.collection.entries())
    heard = Heard(desk.collection)
    with pytest.raises(CollectionError) as refusal:
        desk.run(make(desk))
    assert told.casefold() in str(refusal.value).casefold()
    assert str(refusal.value).endswith(".")
    assert desk.collection.rows_hash() == before
    assert len(desk.collection.entries()) == entries
    assert heard.changes == []


IDLE: dict[str, Callable[[Desk], Operation]] = {
    "edit": lambda d: edit_coins([d.coin(1)]),
    "target": lambda d: set_target([d.at("1940")], parse_target("VF-20")),
    "wish": lambda d: set_wish([d.at("1940")], Wish.WANTED),
    "pin": lambda d: set_pinned([d.at("1940")], False),
    "note": lambda d: set_note(d.at("1940"), " "),
    "flag": lambda d: set_flagged([CoinId(1)], False),
    "stock": lambda d: stock_slots([d.at("1941")]),
}


@pytest.mark.parametrize("name", IDLE)
def test_a_change_that_changes_nothing_leaves_no_entry_and_keeps_redo(
    desk: Desk, name: str
) -> None:
    desk.put(1, "1941")
    desk.run(set_note(desk.at("1943-P"), "seen"))
    desk.collection.undo()
    before = [entry.id for entry in desk.collection.entries()]
    desk.run(IDLE[name](desk))
    assert [entry.id for entry in desk.collection.entries()] == before
    assert desk.collection.redo_label == "write a note · 1943-P"
