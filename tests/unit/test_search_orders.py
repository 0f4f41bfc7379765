"""Orders of the search log: what each does, what it refuses, and that undo takes it back."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.operations import Operation, delete_album, let_go, place_coin
from core.app.search_orders import (
    add_box,
    add_campaign,
    add_container,
    add_search,
    add_tally,
    add_time,
    add_weighing,
    back_roll,
    claim,
    count_seen,
    delete_box,
    delete_campaign,
    delete_claim,
    delete_container,
    delete_search,
    delete_tally,
    delete_weighing,
    edit_box,
    edit_campaign,
    edit_claim,
    edit_container,
    edit_find,
    edit_search,
    edit_sighting,
    edit_tally,
    finish_box,
    go_to_roll,
    keep_find,
    mark_ender,
    next_roll,
    remove_find,
    remove_sighting,
    reopen_box,
    set_roll_coins,
    set_tallies,
    set_time,
    skip_roll,
)
from core.app.search_views import BoxView
from core.app.volumes import join_volumes, split_into_volumes
from core.errors import CollectionError
from core.model.album import AlbumId
from core.model.coin import CoinId, CoinStatus, Origin
from core.model.grade import parse_grade
from core.model.issue import VarietyId
from core.model.search import (
    Box,
    BoxId,
    Campaign,
    CampaignId,
    Claim,
    Container,
    Looked,
    Search,
    SearchId,
    Sighting,
    Tally,
    TallyRule,
    Weighing,
    parse_rule,
)
from tests.collection_material import (
    CENTS,
    DAY,
    NICKELS,
    a_box,
    a_collection,
    an_album,
    keep,
    read_coin,
    slot,
)

ONE, TWO = BoxId(1), BoxId(2)


@dataclass
class Table:
    """A box of ten rolls at roll 2: kept 1940 (roll 1), counted foreign and 3 x 1941 (roll 2)."""

    collection: Collection

    def run(self, order: Operation):
        return self.collection.run(order)

    @property
    def box(self) -> Box:
        return self.collection.log.box(ONE)

    @property
    def view(self) -> BoxView:
        return self.collection.log.box_view(ONE)

    @property
    def jar(self) -> Container:
        return self.collection.log.containers()[0]

    def seen(self, **more: object) -> Sighting:
        return replace(Sighting(0, ONE, 0, 0, counter="foreign"), **more)  # type: ignore[arg-type]

    def coin(self, entry: str):
        return read_coin(self.collection, entry)


@pytest.fixture
def table(tmp_path: Path) -> Iterator[Table]:
    with a_collection(tmp_path) as collection:
        an_album(collection)
        a_box(collection)
        made = Table(collection)
        keep(collection, ONE, "1940 vf20", answer="Fills a gap")
        made.run(next_roll(ONE))
        made.run(count_seen(ONE, made.seen(text="1962")))
        made.run(count_seen(ONE, made.seen(description=made.coin("1941").description, quantity=3)))
        made.run(claim(ONE, NICKELS, up_to=1959))
        made.run(add_weighing(Weighing(0, ONE, 40, 200_000, NICKELS, "silver", 3, 1)))
        made.run(add_container(Container(0, "the blue jar", 500)))
        yield made


def test_a_kept_coin_is_in_the_collection_at_once_and_named_in_history(table: Table) -> None:
    (number,) = keep(table.collection, ONE, "1943-D f12", is_ender=True, seconds=30)
    coin = table.collection.coin(number)
    assert (coin.status, coin.origin, coin.came_from) == (CoinStatus.HELD, Origin.FOUND, "box 32")
    assert (coin.acquired, coin.grade) == (DAY, parse_grade("f12"))
    line = table.view.finds[-1]
    assert (line.find.coin, line.roll, line.label, line.find.is_ender) == (
        number,
        2,
        "1943-D",
        True,
    )
    assert line.find.place == 4
    assert table.box.seconds == 30
    assert table.collection.undo_label == "keep 1943-D · box 32, roll 2"
    table.collection.undo()
    assert table.collection.coins_by_number([number]) == {}
    assert (len(table.view.finds), table.box.seconds) == (1, 0)


def test_several_alike_are_as_many_coins_and_finds_in_one_entry(table: Table) -> None:
    made = keep(table.collection, ONE, "3 x 1942-D", roll=5)
    assert len(made) == 3
    assert [(f.find.coin, f.find.roll) for f in table.view.finds[1:]] == [(n, 5) for n in made]
    assert {table.collection.coin(n).quantity for n in made} == {1}
    assert (table.box.at_roll, table.box.reached) == (2, 5)
    assert table.collection.undo_label == "keep 3 x 1942-D · box 32, roll 5"
    table.collection.undo()
    assert table.collection.coins_by_number(made) == {}


def test_rolls_go_forth_and_back_past_skipped_ones(table: Table) -> None:
    table.run(skip_roll(ONE, 3))
    table.run(next_roll(ONE))
    assert (table.box.at_roll, table.view.facts.opened) == (4, 3)
    assert table.view.coins_opened == 120
    table.run(set_roll_coins(ONE, 4, 38))
    assert (table.view.coins_opened, table.view.rolls[3].is_told) == (118, True)
    table.run(back_roll(ONE))
    assert (table.box.at_roll, table.box.reached) == (2, 2)  # nothing lay in roll 4
    table.run(go_to_roll(ONE, 9))
    table.run(go_to_roll(ONE, 3))
    assert (table.box.at_roll, table.box.reached, table.view.facts.opened) == (3, 9, 9)
    table.run(back_roll(ONE))
    assert (table.box.at_roll, table.box.reached) == (2, 9)
    table.run(skip_roll(ONE, 7))
    keep(table.collection, ONE, "1943", roll=7)
    assert not table.view.rolls[6].is_skipped
    table.run(skip_roll(ONE, 10))
    table.run(go_to_roll(ONE, 8))
    table.run(skip_roll(ONE, 8))
    assert (table.box.at_roll, table.view.facts.coins_to_come) == (9, 0)
    table.run(set_roll_coins(ONE, 4, 40))
    assert not table.view.rolls[3].is_told


def test_a_box_left_half_way_is_taken_up_on_the_same_roll(table: Table) -> None:
    table.run(finish_box(ONE, seconds=5))
    assert table.box.is_done
    table.run(reopen_box(ONE))
    assert (table.box.is_done, table.box.at_roll, table.box.seconds) == (False, 2, 5)


def test_boxes_run_on_from_those_before_the_log_and_rolls_if_asked(table: Table) -> None:
    plain = Box(BoxId(0), SearchId(1), 0, DAY, "US 5c", 10, 40)
    (second,) = table.run(add_box(plain)).made_log
    assert [box.number for box in table.collection.log.boxes()] == [32, 33]
    campaign = table.view.campaign
    table.run(edit_campaign(replace(campaign, rolls_run_on=True)))
    table.run(go_to_roll(BoxId(second), 4))
    assert table.collection.undo_label == "go to a roll · box 33, roll 14"
    assert [r.shown for r in table.collection.log.box_view(BoxId(second)).rolls][:2] == [11, 12]
    table.run(edit_box(replace(table.box, rolls=12)))
    assert table.collection.log.box_view(BoxId(second)).rolls[0].shown == 13


def test_a_find_taken_out_takes_its_coin_along_but_never_out_of_an_album(table: Table) -> None:
    find = table.view.finds[0]
    table.run(place_coin(find.coin.id, slot(table.collection, "1940")))
    with pytest.raises(CollectionError, match="Coin 1 sits in slot 1940 of Nickels"):
        table.run(remove_find(find.find.id))
    table.collection.undo()
    table.run(remove_find(find.find.id))
    assert table.collection.coin_count() == 0
    assert table.collection.undo_label == "take out a find · 1940, box 32, roll 1"


def test_a_find_whose_coin_went_into_a_lot_takes_one_of_it(table: Table) -> None:
    first, *_ = keep(table.collection, ONE, "1942")
    (lot,) = keep(table.collection, ONE, "1942")
    table.run(edit_find(table.view.finds[2].find, replace(table.collection.coin(lot), quantity=2)))
    table.run(edit_find(replace(table.view.finds[1].find, coin=lot)))
    table.run(let_go([first]))
    table.run(remove_find(table.view.finds[1].find.id))
    assert table.collection.coin(lot).quantity == 1
    assert [line.find.coin for line in table.view.finds] == [CoinId(1), lot]


def test_a_goal_album_that_goes_leaves_the_campaign_without_one(table: Table) -> None:
    album = table.view.campaign.album
    assert album is not None
    assert table.view.goal is not None
    assert table.run(delete_album(album)).is_log
    without = table.view
    assert without.campaign.album is None
    assert without.goal is None
    table.collection.undo()
    assert table.view.campaign.album == album


def test_the_goal_of_a_campaign_is_the_album_into_which_its_volume_was_joined(
    table: Table,
) -> None:
    album = table.view.campaign.album
    assert album is not None
    jar = table.collection
    cuts = [jar.album_view(album).slots[3].slot.id]
    table.run(split_into_volumes(album, cuts))
    second = jar.albums()[1].id
    table.run(edit_campaign(replace(table.view.campaign, album=second)))
    assert table.run(join_volumes([album, second])).is_log
    assert table.view.campaign.album == album
    jar.undo()
    assert table.view.campaign.album == second


def test_tallies_start_with_those_shipped_and_are_saved_when_changed(table: Table) -> None:
    names = [one.name for one in table.collection.log.tallies("US 5c")]
    assert names[:2] == ["Before 1960", "Silver"]
    rule = parse_rule("series=us-nickel-jefferson; years=1950")
    table.run(add_tally(Tally(0, "US 5c", " The  1950s ", rule)))
    kept = table.collection.log.tallies("US 5c")
    assert [one.name for one in kept] == [*names, "The 1950s"]
    table.run(edit_tally(replace(kept[0], name="Early"), named="before 1960"))
    table.run(delete_tally("US 5c", "Silver"))
    table.run(set_tallies("US 5c", table.collection.log.tallies("US 5c")[:2]))
    assert [one.name for one in table.collection.log.tallies("US 5c")] == ["Early", names[2]]
    table.run(set_tallies("US 5c", []))
    assert [one.name for one in table.collection.log.tallies("US 5c")] == names
    assert table.collection.log.tallies("CA $2") == ()


ORDERS: dict[str, Callable[[Table], Operation]] = {
    "campaign": lambda _: add_campaign(Campaign(CampaignId(0), " Dimes ", None)),
    "edit campaign": lambda t: edit_campaign(replace(t.view.campaign, opening_have=7)),
    "search": lambda _: add_search(Search(SearchId(0), CampaignId(1), "April", DAY, (CENTS,))),
    "edit search": lambda t: edit_search(replace(t.view.search, nothing_before=1938)),
    "box": lambda _: add_box(Box(BoxId(0), SearchId(1), 0, DAY, "US 1c")),
    "edit box": lambda t: edit_box(replace(t.box, came_from="the south branch", at_roll=9)),
    "delete box": lambda _: delete_box(ONE),
    "next": lambda _: next_roll(ONE, 4),
    "go": lambda _: go_to_roll(ONE, 7),
    "back": lambda _: back_roll(ONE),
    "skip": lambda _: skip_roll(ONE, 6),
    "short roll": lambda _: set_roll_coins(ONE, 1, 39),
    "keep": lambda t: keep_find(ONE, t.coin("1943-D f12")),
    "keep several": lambda t: keep_find(ONE, t.coin("1943-D f12"), 4),
    "count": lambda t: count_seen(ONE, t.seen(quantity=5), seconds=9),
    "count of a series": lambda t: count_seen(
        ONE, t.seen(description=read_coin(t.collection, "1955", CENTS).description)
    ),
    "edit sighting": lambda t: edit_sighting(replace(t.view.sightings[0].sighting, roll=5)),
    "remove sighting": lambda t: remove_sighting(t.view.sightings[0].sighting.id),
    "edit find": lambda t: edit_find(
        replace(t.view.finds[0].find, roll=4),
        replace(t.view.finds[0].coin, grade=parse_grade("g4")),
    ),
    "ender": lambda t: mark_ender(t.view.finds[0].find.id),
    "remove find": lambda t: remove_find(t.view.finds[0].find.id),
    "time": lambda _: add_time(ONE, 60),
    "set time": lambda _: set_time(ONE, 3600),
    "finish": lambda _: finish_box(ONE, 60),
    "claim": lambda _: claim(ONE, CENTS, 1909, 1958, "all of them"),
    "edit claim": lambda t: edit_claim(replace(t.view.claims[0], up_to=1950)),
    "delete claim": lambda t: delete_claim(t.view.claims[0]),
    "weigh": lambda _: add_weighing(Weighing(0, ONE, 9, 45_000, NICKELS)),
    "forget weighing": lambda t: delete_weighing(t.view.weighings[0]),
    "tally": lambda _: add_tally(Tally(0, "US 5c", "S", TallyRule.of(facets={"mint": "S"}))),
    "container": lambda _: add_container(Container(0, "a cup", 100)),
    "fill container": lambda t: edit_container(replace(t.jar, eighths=8)),
    "forget container": lambda t: delete_container(t.jar.id),
}


def test_an_order_is_one_entry_that_undo_and_redo_carry_back_and_forth(table: Table) -> None:
    for name, order in ORDERS.items():
        carry_back_and_forth(table.collection, name, order(table))
    assert table.collection.check() == []


def log_of(collection: Collection) -> tuple[dict[BoxId, BoxView], object]:
    """Every box as it is shown; what the lists of campaigns, boxes and containers hold."""
    views = {box.id: collection.log.box_view(box.id) for box in collection.log.boxes()}
    campaigns = collection.log.campaigns()
    listed = [(c.campaign, c.searches, [b.search for b in c.boxes]) for c in campaigns]
    return views, (listed, collection.log.containers(), collection.log.tallies("US 5c"))


def standing(collection: Collection) -> int:
    """How many entries of the journal are not undone."""
    return sum(not entry.is_undone for entry in collection.entries())


def carry_back_and_forth(collection: Collection, name: str, order: Operation) -> None:
    entries, before = standing(collection), collection.rows_hash()
    old, old_lists = log_of(collection)
    rows = {row.coin.id: row for row in collection.coin_rows()}
    changes = collection.run(order)
    after = collection.rows_hash()
    assert (after != before, standing(collection)) == (True, entries + 1), name
    assert not changes.is_nothing, name
    new, new_lists = log_of(collection)
    different = {b for b in old.keys() | new.keys() if old.get(b) != new.get(b)}
    assert different <= changes.boxes, name
    assert changes.is_log or old_lists == new_lists, name
    now = {row.coin.id: row for row in collection.coin_rows()}
    assert {c for c in rows.keys() | now.keys() if rows.get(c) != now.get(c)} <= changes.coins
    told = collection.undo_label
    assert told is not None
    assert told.split(" · ")[0] == order.label == changes.label
    collection.undo()
    assert (collection.rows_hash(), log_of(collection)) == (before, (old, old_lists)), name
    collection.redo()
    assert collection.rows_hash() == after, name
    collection.undo()


NOTHING: dict[str, Callable[[Table], Operation]] = {
    "campaign": lambda t: edit_campaign(t.view.campaign),
    "search": lambda t: edit_search(t.view.search),
    "box": lambda t: edit_box(t.box),
    "roll": lambda t: go_to_roll(ONE, 2),
    "skip": lambda _: skip_roll(ONE, 4, is_skipped=False),
    "coins": lambda _: set_roll_coins(ONE, 4, 40),
    "sighting": lambda t: edit_sighting(t.view.sightings[0].sighting),
    "find": lambda t: edit_find(t.view.finds[0].find, t.view.finds[0].coin),
    "ender": lambda t: mark_ender(t.view.finds[0].find.id, is_ender=False),
    "time": lambda _: add_time(ONE, 0),
    "claim": lambda t: edit_claim(t.view.claims[0]),
    "container": lambda t: edit_container(t.jar),
    "tallies": lambda _: set_tallies("US 5c", []),
}


def test_a_change_that_changes_nothing_writes_nothing(table: Table) -> None:
    entries = table.collection.entries()
    for name, order in NOTHING.items():
        assert table.run(order(table)).is_nothing, name
    assert table.collection.entries() == entries


REFUSED: dict[str, tuple[Callable[[Table], Operation], str]] = {
    "no name": (lambda _: add_campaign(Campaign(CampaignId(0), " ")), "needs a name"),
    "a name twice": (
        lambda _: add_campaign(Campaign(CampaignId(0), "nickels TO 1943")),
        "called Nickels to 1943 already",
    ),
    "a goal that is not there": (
        lambda t: edit_campaign(replace(t.view.campaign, album=AlbumId(9))),
        "no album number 9",
    ),
    "more than wanted": (
        lambda t: edit_campaign(replace(t.view.campaign, opening_have=9, opening_wanted=8)),
        "9 of 8",
    ),
    "below none": (
        lambda t: edit_campaign(replace(t.view.campaign, opening_boxes=-1)),
        "boxes is -1",
    ),
    "a campaign with boxes": (lambda _: delete_campaign(CampaignId(1)), "box 32 of the campaign"),
    "a search with boxes": (lambda _: delete_search(SearchId(1)), "box 32 of the search “March”"),
    "a search of no campaign": (
        lambda _: add_search(Search(SearchId(0), CampaignId(9), "x", DAY)),
        "no campaign number 9",
    ),
    "a year that is none": (
        lambda t: edit_search(replace(t.view.search, nothing_before=0)),
        "0 is none",
    ),
    "a number twice": (
        lambda _: add_box(Box(BoxId(0), SearchId(1), 32, DAY, "US 5c")),
        "a box 32 of this campaign",
    ),
    "no rolls": (lambda _: add_box(Box(BoxId(0), SearchId(1), 0, DAY, "US 5c", 0)), "not 0"),
    "101 rolls": (lambda _: add_box(Box(BoxId(0), SearchId(1), 0, DAY, "US 5c", 101)), "not 101"),
    "rolls of nothing": (
        lambda _: add_box(Box(BoxId(0), SearchId(1), 0, DAY, "US 5c", 50, 0)),
        "not 0; count one",
    ),
    "fewer than opened": (lambda t: edit_box(replace(t.box, rolls=1)), "Roll 2 of box 32 is"),
    "a box that is not there": (lambda _: next_roll(TWO), "no box number 2"),
    "past the last": (lambda _: go_to_roll(ONE, 11), "rolls 1 to 10; there is no roll 11"),
    "before the first": (lambda _: go_to_roll(ONE, 0), "no roll 0"),
    "a roll of nothing": (lambda _: set_roll_coins(ONE, 2, 0), "Roll 2 cannot have 0 coins"),
    "skip what was searched": (lambda _: skip_roll(ONE, 1), "kept or counted in roll 1"),
    "keep none": (lambda t: keep_find(ONE, t.coin("1943"), 0), "not 0"),
    "keep too many": (lambda t: keep_find(ONE, t.coin("1943"), 1001), "not 1,001"),
    "keep nowhere": (lambda t: keep_find(ONE, t.coin("1943"), roll=50), "no roll 50"),
    "never struck": (
        lambda t: keep_find(
            ONE,
            replace(
                t.coin("1943"), description=t.coin("1943").description.with_facet("date", "1900")
            ),
        ),
        "none was struck with date 1900",
    ),
    "count nothing": (lambda t: count_seen(ONE, t.seen(counter=" ")), "needs a date"),
    "count none": (lambda t: count_seen(ONE, t.seen(quantity=0)), "not 0"),
    "looked at nothing": (
        lambda t: count_seen(ONE, t.seen(looked=Looked.NOT_IT)),
        "which variety",
    ),
    "an unknown variety": (
        lambda t: count_seen(
            ONE, t.seen(description=t.coin("1943").description, variety=VarietyId("upside"))
        ),
        "no variety “upside”",
    ),
    "no such find": (lambda _: remove_find(99), "no find number 99"),
    "no such sighting": (lambda _: remove_sighting(99), "no sighting number 99"),
    "another coin": (
        lambda t: edit_find(t.view.finds[0].find, replace(t.coin("1943"), id=CoinId(9))),
        "Coin 9 is not the coin of this find",
    ),
    "time back": (lambda _: add_time(ONE, -1), "below 0"),
    "a negative time": (lambda _: set_time(ONE, -1), "below 0"),
    "taking up an open box": (lambda _: reopen_box(ONE), "not finished"),
    "a claim turned round": (lambda _: claim(ONE, NICKELS, 1950, 1940), "end before they begin"),
    "a claim of no series": (lambda t: edit_claim(Claim(1, ONE, CENTS, -3)), "-3 is none"),
    "a pile of none": (
        lambda _: add_weighing(Weighing(0, ONE, 0, 1, NICKELS)),
        "pile of 0 coins",
    ),
    "a pile of no weight": (lambda _: add_weighing(Weighing(0, ONE, 5, 0, NICKELS)), "above 0 g"),
    "a jar of nothing": (lambda _: add_container(Container(0, "cup", 0)), "0 cannot be"),
    "over the brim": (lambda _: add_container(Container(0, "cup", 9, 9)), "eighths, 0 to 8; 9"),
    "a jar twice": (lambda _: add_container(Container(0, "The blue jar", 9)), "blue jar already"),
    "a tally without name": (lambda _: add_tally(Tally(0, "US 5c", "", TallyRule())), "a name"),
    "a tally twice": (
        lambda _: add_tally(Tally(0, "US 5c", "silver", TallyRule())),
        "called silver already",
    ),
    "no such tally": (lambda _: delete_tally("US 5c", "Gold"), "no tally “Gold” here. Tallies: Be"),
}


def test_what_cannot_be_is_refused_by_name_and_changes_nothing(table: Table) -> None:
    before = table.collection.rows_hash()
    faults = []
    for name, (order, message) in REFUSED.items():
        try:
            table.run(order(table))
        except CollectionError as error:
            if message not in str(error):
                faults.append(f"{name}: {error}")
        else:
            faults.append(f"{name}: was not refused")
    assert faults == []
    assert table.collection.rows_hash() == before


def test_a_finished_box_takes_nothing_more_until_it_is_taken_up_again(table: Table) -> None:
    table.run(go_to_roll(ONE, 10))
    with pytest.raises(CollectionError, match="Roll 10 is the last of box 32"):
        table.run(next_roll(ONE))
    table.run(go_to_roll(ONE, 1))
    with pytest.raises(CollectionError, match="Roll 1 is the first of box 32"):
        table.run(back_roll(ONE))
    table.run(finish_box(ONE))
    before = table.collection.rows_hash()
    for order in (
        next_roll(ONE),
        back_roll(ONE),
        go_to_roll(ONE, 3),
        skip_roll(ONE, 4),
        keep_find(ONE, table.coin("1943")),
        count_seen(ONE, table.seen()),
        finish_box(ONE),
    ):
        with pytest.raises(CollectionError, match="Box 32 is finished"):
            table.run(order)
    assert table.collection.rows_hash() == before
    table.run(mark_ender(table.view.finds[0].find.id))  # the list can still be put right
    table.run(remove_sighting(table.view.sightings[0].sighting.id))


def test_empty_campaigns_and_searches_can_be_deleted(table: Table) -> None:
    table.run(delete_box(ONE))
    assert table.collection.coin(CoinId(1)).came_from == "box 32"
    table.run(delete_search(SearchId(1)))
    table.run(delete_campaign(CampaignId(1)))
    assert table.collection.log.campaigns() == ()
