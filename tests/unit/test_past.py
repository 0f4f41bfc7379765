"""The leaf as of a past day, what changed since one, and correcting from when until when."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from core.app.operations import (
    Operation,
    add_and_place,
    clear_slots,
    edit_coins,
    let_go,
    order_coin,
    place_coin,
    rearrange_album,
    set_target,
)
from core.app.operations_past import correct_placement, meets, span_text
from core.app.past import AlbumPast, CameBy, SlotChange, days_of, origin_of, stands_on
from core.errors import NotFound, Refused
from core.model.album import AlbumId, AlbumKind, Placement, SlotId, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import CoinId, Origin
from tests.builders import a_coin
from tests.collection_material import (
    DAY,
    NICKELS,
    Clock,
    Heard,
    a_collection,
    an_album,
    differences,
    fresh,
    read_coin,
    slot,
    view_of,
)


def on(number: int) -> date:
    """A day of the jar's past: 1 is its first."""
    return DAY + timedelta(number - 1)


class Jar:
    """A collection of one album whose clock a test moves on."""

    def __init__(self, folder: Path) -> None:
        self.clock = Clock()
        self.collection = a_collection(folder, self.clock)
        self.album = an_album(self.collection)

    def do(self, number: int, order: Operation) -> None:
        """Carry an order out on that day."""
        self.clock.day = on(number)
        self.collection.run(order)

    def enter(self, number: int, label: str, entry: str) -> CoinId:
        self.do(number, add_and_place(read_coin(self.collection, entry), self.at(label)))
        coin = self.coins_on(number)[label]
        return CoinId(coin)

    def at(self, label: str) -> SlotId:
        return slot(self.collection, label)

    def coins_on(self, number: int, album: AlbumId | None = None) -> dict[str, int]:
        """Slot to coin as the leaf shows it at that day's end."""
        view = self.collection.album_view_on(album or self.album, on(number))
        return {s.slot.label: int(s.coin.id) for s in view.slots if s.coin is not None}

    def since(self, number: int) -> dict[str, str]:
        """Slot to what became of it since that day."""
        found = self.collection.changed_since(self.album, on(number))
        labels = {s.slot.id: s.slot.label for s in self.collection.album_view(self.album).slots}
        return {labels[slot_id]: change.value for slot_id, change in found.items()}

    def stay(self, label: str, back: int = 0) -> int:
        """A slot's stay by its number, the newest unless told how far back."""
        lines = self.collection.slot_card(self.at(label)).history
        ids = list(dict.fromkeys(line.placement for line in lines))
        found = ids[back]
        assert found is not None
        return found

    def correct(self, label: str, since: int, until: int | None, back: int = 0) -> None:
        day = None if until is None else on(until)
        self.collection.run(correct_placement(self.stay(label, back), on(since), day))


@pytest.fixture
def jar(tmp_path: Path) -> Jar:
    return Jar(tmp_path)


# ---- as of ------------------------------------------------------------------------------------


def test_a_coin_stands_from_its_day_until_the_day_before_it_leaves() -> None:
    stay = Placement(1, SlotId(1), CoinId(1), on(3), on(5))
    assert [stands_on(stay, on(n)) for n in range(1, 7)] == [False, False, True, True, False, False]
    still = Placement(1, SlotId(1), CoinId(1), on(3))
    assert [stands_on(still, on(n)) for n in (2, 3, 99)] == [False, True, True]


def test_days_are_those_on_which_something_came_or_went(jar: Jar) -> None:
    assert jar.collection.past_days(jar.album) == ()
    jar.enter(2, "1941", "1941 vf20")
    jar.enter(2, "1941-D", "1941-D g4")
    jar.do(5, clear_slots([jar.at("1941")]))
    assert jar.collection.past_days(jar.album) == (on(2), on(5))
    assert days_of([]) == ()


def test_the_leaf_as_of_a_day_shows_what_stood_at_its_end(jar: Jar) -> None:
    first = jar.enter(2, "1941", "1941 g4")
    jar.do(5, add_and_place(read_coin(jar.collection, "1941 vf20"), jar.at("1941")))
    second = jar.coins_on(5)["1941"]
    jar.do(8, clear_slots([jar.at("1941")]))
    assert [jar.coins_on(n) for n in (1, 2, 4, 5, 7, 8)] == [
        {},
        {"1941": first},
        {"1941": first},
        {"1941": second},
        {"1941": second},
        {},
    ]


def test_what_came_and_went_on_one_day_never_stood(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.do(2, clear_slots([jar.at("1941")]))
    jar.clock.day = on(9)
    assert [jar.coins_on(n) for n in (1, 2, 3)] == [{}, {}, {}]
    assert jar.collection.past_days(jar.album) == (on(2),)


def test_a_moved_coin_is_seen_in_both_slots_each_on_its_days(jar: Jar) -> None:
    coin = jar.enter(2, "1941", "1941-? g4")
    jar.do(4, place_coin(coin, jar.at("1941-D")))
    assert jar.coins_on(3) == {"1941": coin}
    assert jar.coins_on(4) == {"1941-D": coin}


def test_the_past_has_todays_targets_and_arrangement(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 f12")
    jar.do(6, set_target([jar.at("1941")], parse_target("G-4")))
    jar.do(6, rearrange_album(jar.album, parse_arrangement("running:4x3")))
    jar.do(7, clear_slots([jar.at("1941")]))
    jar.clock.day = on(9)
    then = jar.collection.album_view_on(jar.album, on(3))
    now = jar.collection.album_view(jar.album)
    assert then.by_id[jar.at("1941")].state.value == "filled"
    assert then.leaves == now.leaves
    assert then.places == now.places
    assert then.plan.has_two_lines
    assert then.headline.text == "have 1 of 12"
    assert now.headline.text == "have 0 of 12"


def test_the_past_says_nothing_of_todays_spares_and_orders(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.do(6, clear_slots([jar.at("1941")]))
    jar.do(6, order_coin(read_coin(jar.collection, "1940-D vf20"), jar.at("1940-D")))
    jar.do(7, add_and_place(read_coin(jar.collection, "1940 vf20"), jar.at("1940")))
    then = jar.collection.album_view_on(jar.album, on(1))
    now = jar.collection.album_view_on(jar.album, on(7))
    seen = jar.at("1940-D"), jar.at("1941")
    assert [then.by_id[s].state.value for s in seen] == ["gap", "gap"]
    assert [sorted(then.by_id[s].marks) for s in seen] == [[], []]
    assert [now.by_id[s].state.value for s in seen] == ["on order", "gap"]
    assert [m.value for m in now.by_id[jar.at("1941")].marks] == ["spare waiting"]


def test_as_of_today_is_the_album_as_it_is(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.enter(4, "1942-D", "1942-D vf20")
    kept = jar.collection.album_view(jar.album)
    assert jar.collection.album_view_on(jar.album, on(4)) is kept
    assert jar.collection.album_view_on(jar.album, on(40)) is kept


def test_a_past_view_is_what_a_view_of_those_coins_would_be(jar: Jar) -> None:
    """Against the program's own view, taken on that day while it was today."""
    looked = {}
    jar.enter(2, "1941", "1941 g4")
    looked[2] = view_of(jar.collection.album_view(jar.album, with_marks=False))
    jar.enter(4, "1941-D", "1941-D vf20")
    looked[4] = view_of(jar.collection.album_view(jar.album, with_marks=False))
    jar.enter(6, "1940", "1940 bent")
    past = jar.collection.album_past(jar.album)
    assert {n: view_of(past.view_on(on(n))) for n in looked} == looked


def test_the_past_is_not_kept_as_the_present(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.enter(4, "1941-D", "1941-D vf20")
    before = jar.collection.album_view(jar.album)
    jar.collection.album_view_on(jar.album, on(2))
    assert jar.collection.album_view(jar.album) is before


def test_an_overview_shows_the_best_of_what_sat_in_albums_then(jar: Jar) -> None:
    overview = an_album(jar.collection, "All", kind=AlbumKind.OVERVIEW)
    jar.enter(2, "1941", "1941 g4")
    an_album(jar.collection, "Better", years=(1941, 1941))
    jar.do(
        4,
        add_and_place(
            read_coin(jar.collection, "1941 vf20"), slot(jar.collection, "1941", "Better")
        ),
    )
    jar.clock.day = on(9)
    assert [jar.coins_on(n, overview) for n in (1, 2, 4)] == [{}, {"1941": 1}, {"1941": 2}]
    assert jar.collection.past_days(overview) == (on(2), on(4))
    found = jar.collection.changed_since(overview, on(2))
    assert list(found.values()) == [SlotChange.BETTER]


# ---- changed since ----------------------------------------------------------------------------


def test_what_became_of_each_slot_since_a_day(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.enter(2, "1941-D", "1941-D vf20")
    out = jar.enter(2, "1941-S", "1941-S g4")
    jar.enter(2, "1940", "1940 g4")
    assert jar.since(2) == {}
    jar.enter(4, "1941", "1941 vf20")
    jar.enter(4, "1941-D", "1941-D g4")
    jar.do(4, clear_slots([jar.at("1941-S")]))
    jar.enter(4, "1940-D", "1940-D g4")
    jar.enter(5, "1940-S", "1940-S g4")
    jar.do(6, clear_slots([jar.at("1940-S")]))
    assert jar.since(2) == {
        "1940-D": "new",
        "1940-S": "in and out",
        "1941": "better",
        "1941-D": "other coin",
        "1941-S": "out",
    }
    jar.do(7, place_coin(out, jar.at("1941-S")))
    assert jar.since(2)["1941-S"] == "in and out"
    assert jar.since(4) == {"1940-S": "in and out", "1941-S": "new"}
    assert jar.since(7) == {}


def test_a_coin_that_came_out_on_the_day_itself_is_no_change_after_it(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.do(5, clear_slots([jar.at("1941")]))
    assert jar.since(4) == {"1941": "out"}
    assert jar.since(5) == {}


def test_found_against_bought() -> None:
    by = {o: origin_of(a_coin(origin=o)) for o in Origin}
    assert by == {
        Origin.FOUND: CameBy.FOUND,
        Origin.BOUGHT: CameBy.BOUGHT,
        Origin.GIVEN: CameBy.OTHER,
        Origin.ALREADY_OWNED: CameBy.OTHER,
        Origin.UNKNOWN: CameBy.OTHER,
    }


# ---- correcting -------------------------------------------------------------------------------


def test_history_lines_carry_their_stay(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.enter(5, "1941", "1941 vf20")
    lines = jar.collection.slot_card(jar.at("1941")).history
    told = [(line.text, line.placement, line.since, line.until) for line in lines]
    assert told == [
        ("VF-20 put in", 2, on(5), None),
        ("G-4 taken out", 1, on(2), on(5)),
        ("G-4 put in", 1, on(2), on(5)),
    ]


def test_a_corrected_day_is_where_the_leaf_says_it(jar: Jar) -> None:
    coin = jar.enter(6, "1941", "1941 g4")
    jar.correct("1941", 2, None)
    jar.clock.day = on(9)
    assert [jar.coins_on(n) for n in (1, 2, 6)] == [{}, {"1941": coin}, {"1941": coin}]
    assert jar.collection.past_days(jar.album) == (on(2),)


def test_a_correction_is_one_undo_and_exact(jar: Jar) -> None:
    jar.enter(6, "1941", "1941 g4")
    before = jar.collection.content_hash()
    jar.correct("1941", 2, 4)
    after = jar.collection.content_hash()
    assert after != before
    assert jar.collection.undo() == "correct from when until when a coin sat in a slot · 1941"
    assert jar.collection.content_hash() == before
    jar.collection.redo()
    assert jar.collection.content_hash() == after


def test_the_same_days_again_write_nothing(jar: Jar) -> None:
    jar.enter(6, "1941", "1941 g4")
    label = jar.collection.undo_label
    jar.correct("1941", 6, None)
    assert jar.collection.undo_label == label


def test_a_stay_may_end_by_correction_and_its_coin_is_a_spare(jar: Jar) -> None:
    coin = jar.enter(2, "1941", "1941 g4")
    jar.clock.day = on(9)
    jar.collection.shelf()
    heard = Heard(jar.collection)
    jar.correct("1941", 2, 5)
    assert jar.coins_on(9) == {}
    assert [c.id for c in jar.collection.spares_of(NICKELS)] == [coin]
    (told,) = heard.changes
    assert told.slots == {jar.at("1941")}
    assert told.coins == {coin}
    with fresh(jar.collection) as other:
        assert differences(jar.collection, other) == []


def test_a_stay_may_go_on_by_correction(jar: Jar) -> None:
    coin = jar.enter(2, "1941", "1941 g4")
    jar.do(5, clear_slots([jar.at("1941")]))
    jar.clock.day = on(9)
    jar.collection.shelf()
    jar.correct("1941", 2, None)
    assert jar.coins_on(9) == {"1941": coin}
    with fresh(jar.collection) as other:
        assert differences(jar.collection, other) == []


def refused(jar: Jar, label: str, since: int, until: int | None, back: int = 0) -> str:
    """What a correction is refused with; nothing was changed by it."""
    before = jar.collection.content_hash()
    with pytest.raises(Refused) as caught:
        jar.correct(label, since, until, back)
    assert jar.collection.content_hash() == before
    return str(caught.value)


def test_a_stay_cannot_end_before_it_began(jar: Jar) -> None:
    jar.enter(6, "1941", "1941 g4")
    said = refused(jar, "1941", 5, 4)
    assert said.startswith("A coin cannot leave its slot before it came in (from 2026-03-06 until")


@pytest.mark.parametrize(("since", "until"), [(7, None), (6, 7), (7, 8)])
def test_a_day_to_come_is_refused(jar: Jar, since: int, until: int | None) -> None:
    jar.enter(6, "1941", "1941 g4")
    said = refused(jar, "1941", since, until)
    assert "is still to come; today is 2026-03-07" in said


@pytest.mark.parametrize(("since", "until"), [(1, 3), (1, None), (4, 5), (3, None), (2, 5), (3, 3)])
def test_a_slot_holds_one_coin_at_a_time(jar: Jar, since: int, until: int | None) -> None:
    other = jar.enter(2, "1941", "1941 g4")
    jar.do(5, clear_slots([jar.at("1941")]))
    jar.enter(8, "1941", "1941 vf20")
    jar.clock.day = on(20)
    said = refused(jar, "1941", since, until)
    assert f"Slot 1941 held coin {other} from 2026-03-03 until 2026-03-06" in said
    assert "correct that stay first" in said


@pytest.mark.parametrize(("since", "until"), [(5, None), (5, 5), (1, 2), (1, 1), (2, 2), (6, 30)])
def test_on_the_day_one_ends_the_other_may_begin(jar: Jar, since: int, until: int | None) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.do(5, clear_slots([jar.at("1941")]))
    jar.enter(8, "1941", "1941 vf20")
    jar.clock.day = on(40)
    jar.correct("1941", since, until)


def test_a_coin_is_in_one_slot_at_a_time(jar: Jar) -> None:
    coin = jar.enter(2, "1941", "1941-? g4")
    jar.do(5, place_coin(coin, jar.at("1941-D")))
    said = refused(jar, "1941-D", 4, None)
    assert f"Coin {coin} sat in slot 1941 of Nickels from 2026-03-03 until 2026-03-06" in said
    said = refused(jar, "1941", 2, None)
    assert f"Coin {coin} sat in slot 1941-D of Nickels from 2026-03-06 on" in said


def test_a_stay_cannot_go_on_where_the_slot_is_taken(jar: Jar) -> None:
    jar.enter(2, "1941", "1941 g4")
    coin = jar.enter(5, "1941", "1941 vf20")
    said = refused(jar, "1941", 2, None, back=1)
    assert f"held coin {coin} from 2026-03-06 on" in said


def test_a_coin_that_is_gone_or_a_lot_cannot_go_back(jar: Jar) -> None:
    gone = jar.enter(2, "1941", "1941 g4")
    many = jar.enter(2, "1941-D", "1941-D g4")
    jar.do(5, let_go([gone]))
    jar.do(5, clear_slots([jar.at("1941-D")]))
    jar.do(5, edit_coins([replace(jar.collection.coin(many), quantity=3)]))
    assert "only a coin you hold can be placed" in refused(jar, "1941", 2, None)
    assert f"Number {many} is a lot of 3 coins now" in refused(jar, "1941-D", 2, None)
    jar.correct("1941", 1, 4)  # its past may still be corrected


def test_a_stay_that_is_not_there_is_not_found(jar: Jar) -> None:
    with pytest.raises(NotFound, match="is not in this collection any more"):
        jar.collection.run(correct_placement(77, on(1), None))


def test_spans_meet_by_half_open_days() -> None:
    stay = Placement(1, SlotId(1), CoinId(1), on(3), on(5))
    cases = {(1, 3): False, (1, 4): True, (5, 6): False, (4, 9): True, (4, 4): True, (3, 3): False}
    assert {span: meets(stay, on(span[0]), on(span[1])) for span in cases} == cases
    assert span_text(on(3), None) == "from 2026-03-04 on"


def test_past_is_an_object_that_reads_no_more(jar: Jar, monkeypatch: pytest.MonkeyPatch) -> None:
    jar.enter(2, "1941", "1941 g4")
    jar.enter(4, "1941", "1941 vf20")
    jar.clock.day = on(9)
    past: AlbumPast = jar.collection.album_past(jar.album)
    jar.collection.close()
    assert past.view_on(on(3)).headline.text == "have 1 of 12"
    assert list(past.changed_since(on(3)).values()) == [SlotChange.BETTER]
