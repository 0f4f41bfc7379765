"""Designing an album: what moves, comes and goes, and that coins keep their slots through it."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.album_edit import edit_album, plan_edit, present_choice
from core.app.arrangement_files import arrangement_of, read_arrangement, write_arrangement
from core.app.collection import Collection
from core.app.design import (
    ExtraSlot,
    Likeness,
    add_slot,
    arrange_album,
    extra_slots,
    falling_out,
    forget_arrangement,
    keep_arrangement,
    misfit_of,
    move_slots,
    needs_other_slots,
    portable,
    relabel_slot,
    select_like,
    set_leads,
    take_as_map,
    take_out_slots,
)
from core.app.operations import Operation, order_coin, place_coin, rearrange_album
from core.app.views import AlbumView
from core.errors import BadEntry, CatalogueFault, CollectionError, NotFound, Refused
from core.model.album import AlbumId, SlotId, Wish
from core.model.arrangement import Lead, Order, parse_arrangement
from core.model.coin import CoinId
from core.model.issue import Description
from tests.collection_material import (
    CENTS,
    NICKELS,
    Heard,
    a_collection,
    an_album,
    differences,
    fresh,
    held,
    read_coin,
    slot,
    whole_slot,
    with_coins,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943, running four to a row; coin 1 in 1941, coin 2 in 1943-D."""
    with a_collection(tmp_path) as collection:
        an_album(collection, arrangement="running:4x2")
        with_coins(collection, "1941 vf20", "1943-D g4")
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        collection.run(place_coin(CoinId(2), slot(collection, "1943-D")))
        yield collection


def view_of(jar: Collection) -> AlbumView:
    return jar.album_view(AlbumId(1))


def shown(jar: Collection) -> list[str]:
    """The labels as they are read, leaf by leaf."""
    view = view_of(jar)
    cells = (c.slot for leaf in view.leaves for row in leaf.rows for c in row.cells)
    return [view.slots[at].slot.label for at in cells if at is not None]


def at(jar: Collection, *labels: str) -> list[SlotId]:
    return [slot(jar, label) for label in labels]


def lead(jar: Collection, label: str, lead: Lead) -> Operation:
    return set_leads(AlbumId(1), {slot(jar, label): lead})


ALL = ["1940", "1940-D", "1940-S", "1941", "1941-D", "1941-S", "1942", "1942-P", "1942-D",
       "1942-S", "1943-P", "1943-D", "1943-S"]  # fmt: skip


def usual(jar: Collection) -> list[str]:
    return [v.slot.label for v in view_of(jar).slots]


def test_slots_move_before_another_and_to_the_end(jar: Collection) -> None:
    before = usual(jar)
    jar.run(move_slots(AlbumId(1), at(jar, "1943-S", "1940"), slot(jar, "1941")))
    rest = [label for label in before if label not in ("1943-S", "1940")]
    where = rest.index("1941")
    assert shown(jar) == [*rest[:where], "1943-S", "1940", *rest[where:]]
    jar.run(move_slots(AlbumId(1), at(jar, "1941"), None))
    assert shown(jar)[-1] == "1941"
    assert (held(jar, "1941"), held(jar, "1943-D")) == (CoinId(1), CoinId(2))


def test_labels_follow_where_philadelphias_p_is_shown_otherwise(jar: Collection) -> None:
    jar.run(relabel_slot(slot(jar, "1941"), "Mine"))
    jar.run(add_slot(AlbumId(1), ExtraSlot(whole_slot(jar, "1943-P").accepts), None))
    before, war = view_of(jar).slots, usual(jar).index("1943-P")
    heard = Heard(jar)
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("running:4x2; p=never")))
    assert (usual(jar)[war], usual(jar)[-1]) == ("1943", "1943 (2)")
    touched = {
        v.slot.id for v in before if v.slot.label != view_of(jar).by_id[v.slot.id].slot.label
    }
    assert heard.changes[-1].slots == touched
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("running:4x2; p=always")))
    assert usual(jar)[:4] == ["1940-P", "1940-D", "1940-S", "Mine"]
    assert "1943-P (2)" in usual(jar)
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("running:4x2")))
    assert view_of(jar).slots == before
    jar.undo()
    assert usual(jar)[0] == "1940-P"


def test_an_album_that_is_edited_keeps_its_letters(jar: Collection) -> None:
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("running:4x2; p=always")))
    jar.run(relabel_slot(slot(jar, "1941-P"), "Mine"))
    choice = present_choice(view_of(jar))
    jar.run(edit_album(AlbumId(1), replace(choice, plan=replace(choice.plan, years=(1939, 1943)))))
    assert usual(jar)[0] == "1939-P"
    assert "1942-P" in usual(jar)


def test_a_map_that_does_not_fit_is_kept_as_it_is(jar: Collection) -> None:
    jar.run(lead(jar, "1941", Lead(1)))
    shape = parse_arrangement("map:9 9")
    jar.run(rearrange_album(AlbumId(1), shape))
    assert portable(view_of(jar)) == shape


def test_what_is_moved_in_is_the_order_that_is_shown(jar: Collection) -> None:
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("running:4x2; order=mint; mints=S,D,P")))
    by_mint = shown(jar)
    assert by_mint[:4] == ["1940-S", "1941-S", "1942-S", "1943-S"]
    jar.run(move_slots(AlbumId(1), at(jar, by_mint[-1]), slot(jar, by_mint[0])))
    assert shown(jar) == [by_mint[-1], *by_mint[:-1]]
    assert view_of(jar).album.arrangement.order is Order.AS_LISTED


def test_gaps_stand_before_their_slot_in_every_shape(jar: Collection) -> None:
    jar.run(lead(jar, "1941", Lead(2, new_leaf=True)))
    for text in ("running:4x2", "running:6x9", "running:3x3; order=date"):
        jar.run(rearrange_album(AlbumId(1), parse_arrangement(text)))
        leaf, row, place = view_of(jar).places[slot(jar, "1941")]
        assert (leaf, row, place) == (2, 1, 3)
    assert portable(view_of(jar)).kind.word == "map"
    plain = view_of(jar).places
    jar.run(rearrange_album(AlbumId(1), portable(view_of(jar))))
    assert view_of(jar).places == plain
    assert misfit_of(view_of(jar)) is None


@pytest.mark.parametrize(
    "text",
    [
        "years-by-mints:3",
        "years-by-mints; mints=S,P,D",
        "years-by-mints; blocks=2",
        "running:3x2; blocks=2",
        "running:4x2; down",
        "running:4x2; order=mint; down",
        "by-decade:3x4; blocks=2; order=mint",
    ],
)
def test_the_present_shape_taken_as_a_map_moves_no_slot(jar: Collection, text: str) -> None:
    jar.run(take_out_slots(AlbumId(1), at(jar, "1942-D")))
    jar.run(rearrange_album(AlbumId(1), parse_arrangement(text)))
    seen = places_of_slots(view_of(jar))
    jar.run(take_as_map(view_of(jar)))
    taken = view_of(jar)
    assert taken.album.arrangement.kind.word == "map"
    assert (places_of_slots(taken), misfit_of(taken)) == (seen, None)
    assert (held(jar, "1941"), held(jar, "1943-D")) == (CoinId(1), CoinId(2))
    jar.undo()
    assert view_of(jar).album.arrangement == parse_arrangement(text)
    assert places_of_slots(view_of(jar)) == seen


def places_of_slots(view: AlbumView) -> list[tuple[int, int, int, SlotId]]:
    """Leaf, row, place in the row (from 0) and slot of every slot."""
    return [
        (leaf_no, row_no, place, view.slots[cell.slot].slot.id)
        for leaf_no, leaf in enumerate(view.leaves)
        for row_no, row in enumerate(leaf.rows)
        for place, cell in enumerate(row.cells)
        if cell.slot is not None
    ]


def test_a_slot_added_stands_after_another_and_takes_what_it_says(jar: Collection) -> None:
    second = ExtraSlot(whole_slot(jar, "1941").accepts)
    changes = jar.run(add_slot(AlbumId(1), second, slot(jar, "1941")))
    labels = shown(jar)
    assert labels[labels.index("1941") + 1] == "1941 (2)"
    assert whole_slot(jar, "1941 (2)").wish is Wish.OPTIONAL
    assert len(changes.slots) == len(labels) - labels.index("1941") - 1
    named = replace(second, label="the best one", wish=Wish.WANTED)
    jar.run(add_slot(AlbumId(1), named, None))
    assert shown(jar)[-1] == "the best one"
    assert whole_slot(jar, "the best one").has_own_label


def test_suggestions_name_what_has_no_slot_yet(jar: Collection) -> None:
    with_coins(jar, "1955", series=CENTS)
    an_album(jar, "Cents", CENTS, (1954, 1956))
    view = jar.album_view(jar.find_album("Cents").id)
    near = slot(jar, "1955", "Cents")
    words = dict(extra_slots(view, near))
    assert "another 1955 (a second coin)" in words
    assert "1955 doubled die obverse" in words
    assert "any 1955" in words
    assert any(text.startswith("any date of") for text in words)
    for text, extra in extra_slots(view, near)[1:]:
        jar.run(add_slot(view.album.id, extra, near))
        left = dict(extra_slots(jar.album_view(view.album.id), near))
        assert text not in left, "what was added is not offered again"


def test_slots_are_taken_out_once_their_coins_are_agreed_to(jar: Collection) -> None:
    going = at(jar, "1941", "1940-D")
    falling = falling_out(view_of(jar), going)
    assert [f.coin for f in falling] == [CoinId(1)]
    with pytest.raises(Refused, match=r"A coin would fall out of Nickels: 1941 \(VF-20\)"):
        jar.run(take_out_slots(AlbumId(1), going))
    heard = Heard(jar)
    jar.run(take_out_slots(AlbumId(1), going, [CoinId(1)]))
    assert not {"1941", "1940-D"} & set(shown(jar))
    assert {CoinId(1)} == heard.changes[0].coins
    jar.undo()
    assert held(jar, "1941") == CoinId(1)


def test_a_label_of_ones_own_outlives_a_new_plan(jar: Collection) -> None:
    jar.run(relabel_slot(slot(jar, "1943-D"), "  grandfather's   nickel "))
    jar.run(relabel_slot(slot(jar, "1940"), "first"))
    jar.run(add_slot(AlbumId(1), ExtraSlot(whole_slot(jar, "1941").accepts), slot(jar, "1941")))
    now = present_choice(view_of(jar))
    choice = replace(now, plan=replace(now.plan, years=(1940, 1945)))
    edit = plan_edit(view_of(jar), choice)
    assert edit.dropped == ()
    jar.run(edit_album(AlbumId(1), choice))
    labels = shown(jar)
    assert {"grandfather's nickel", "first", "1941 (2)", "1945-S"} <= set(labels)
    assert labels[labels.index("1941") + 1] == "1941 (2)"
    assert labels[-3:] == ["1945-P", "1945-D", "1945-S"]
    jar.run(relabel_slot(slot(jar, "first"), ""))
    assert shown(jar)[0] == "1940"


def test_what_was_moved_by_hand_stays_there_when_years_come(jar: Collection) -> None:
    jar.run(move_slots(AlbumId(1), at(jar, "1943-S"), slot(jar, "1940")))
    now = present_choice(view_of(jar))
    jar.run(edit_album(AlbumId(1), replace(now, plan=replace(now.plan, years=(1939, 1944)))))
    labels = shown(jar)
    assert labels.index("1943-S") < labels.index("1940")
    assert {"1939", "1944-P"} <= set(labels)


def test_slots_alike_are_chosen_together(jar: Collection) -> None:
    near = slot(jar, "1941-D")

    def chosen(what: Likeness) -> list[str]:
        ids = select_like(view_of(jar), near, what)
        return [view_of(jar).by_id[s].slot.label for s in ids]

    assert chosen(Likeness.MINT) == ["1940-D", "1941-D", "1942-D", "1943-D"]
    assert chosen(Likeness.ROW) == ["1941-D", "1941-S", *usual(jar)[6:8]]
    assert chosen(Likeness.LEAF) == usual(jar)[:8]
    assert chosen(Likeness.DECADE) == chosen(Likeness.ALL) == usual(jar)
    assert set(chosen(Likeness.DESIGN)) == set(usual(jar))


def test_dates_only_asks_before_coins_fall_out(jar: Collection) -> None:
    shape = parse_arrangement("dates-only:5x5")
    assert needs_other_slots(view_of(jar), shape)
    with pytest.raises(Refused, match="2 coins would fall out"):
        jar.run(arrange_album(view_of(jar), shape))
    jar.run(arrange_album(view_of(jar), shape, [CoinId(1), CoinId(2)]))
    assert len(shown(jar)) == 4
    assert not needs_other_slots(view_of(jar), shape)


def test_a_map_that_does_not_fit_says_where(jar: Collection) -> None:
    many = len(usual(jar))
    jar.run(rearrange_album(AlbumId(1), parse_arrangement("map:4 4 / 3")))
    wrong = misfit_of(view_of(jar))
    assert wrong is not None
    assert wrong.over == many - 11
    assert wrong.label == usual(jar)[11]
    assert len(shown(jar)) == many


REFUSALS: dict[str, tuple[Callable[[Collection], Operation], str]] = {
    "move what is not there": (lambda j: move_slots(AlbumId(1), [SlotId(99)], None), "99"),
    "move before what is not there": (
        lambda j: move_slots(AlbumId(1), at(j, "1941"), SlotId(99)),
        "99",
    ),
    "take out all": (
        lambda j: take_out_slots(AlbumId(1), [v.slot.id for v in view_of(j).slots]),
        "No slot would be left",
    ),
    "take out what is waited for": (
        lambda j: take_out_slots(AlbumId(1), at(j, "1943-S")),
        "on order for slots of Nickels",
    ),
    "a label that is taken": (lambda j: relabel_slot(slot(j, "1941"), "1943-d"), "1943-D"),
    "a label too long": (lambda j: relabel_slot(slot(j, "1941"), "x" * 61), "at most 60"),
    "a slot for nothing": (
        lambda j: add_slot(AlbumId(1), ExtraSlot(Description.of(NICKELS, {"date": "1900"})), None),
        "no issue is like that",
    ),
    "an arrangement without a name": (
        lambda j: keep_arrangement("  ", parse_arrangement("running:2x2")),
        "needs a name",
    ),
    "more spacers than places": (lambda j: lead(j, "1941", Lead(61)), "put at most 60"),
    "forget what is not kept": (lambda j: forget_arrangement(7), "7"),
}


@pytest.mark.parametrize("name", REFUSALS)
def test_a_refusal_says_why_and_changes_nothing(jar: Collection, name: str) -> None:
    jar.run(order_coin(read_coin(jar, "1943-S vf20"), slot(jar, "1943-S")))
    make, told = REFUSALS[name]
    before = jar.rows_hash()
    with pytest.raises(CollectionError, match=".*" + told):
        jar.run(make(jar))
    assert jar.rows_hash() == before


ORDERS: dict[str, Callable[[Collection], Operation]] = {
    "move": lambda j: move_slots(AlbumId(1), at(j, "1943-S", "1941"), slot(j, "1940")),
    "lead": lambda j: lead(j, "1941", Lead(1, new_row=True)),
    "add": lambda j: add_slot(AlbumId(1), ExtraSlot(whole_slot(j, "1941").accepts), None),
    "take out": lambda j: take_out_slots(AlbumId(1), at(j, "1941", "1940"), [CoinId(1)]),
    "relabel": lambda j: relabel_slot(slot(j, "1941"), "mine"),
    "keep": lambda j: keep_arrangement("mine", parse_arrangement("by-decade")),
    "arrange": lambda j: arrange_album(view_of(j), parse_arrangement("by-type:3x3; down")),
    "letters": lambda j: arrange_album(view_of(j), parse_arrangement("running:4x2; p=always")),
}


@pytest.mark.parametrize("name", ORDERS)
def test_each_is_undone_and_redone_exactly_and_tells_all_that_changed(
    jar: Collection, name: str
) -> None:
    before = jar.rows_hash()
    view_of(jar)
    jar.run(ORDERS[name](jar))
    after = jar.rows_hash()
    assert before != after
    with fresh(jar) as other:
        assert differences(jar, other) == []
    jar.undo()
    assert jar.rows_hash() == before
    jar.redo()
    assert jar.rows_hash() == after


SHAPES = (
    "map:9 9 4__4 / 10 10",
    "by-decade:8x4; p=never; order=mint; mints=S,-,D; down; blocks=2; hole=19.05; label={date}; .",
    "years-by-mints:7; closed; leaf-break=decade; row-break=design; wide",
    "by-design",
)


@pytest.mark.parametrize("text", SHAPES)
def test_an_arrangements_file_reads_back(tmp_path: Path, text: str) -> None:
    shape = parse_arrangement(text)
    path = tmp_path / "x.arrangement.toml"
    write_arrangement(path, "The folder, “old”", shape)
    assert read_arrangement(path) == ("The folder, “old”", shape)


def test_every_fault_of_an_arrangements_file_is_told_with_its_line() -> None:
    text = 'form = "map"\nleaves = ["9 9", "q"]\norder = "x"\nblocks = 99\nlabel = "{year}"\n'
    with pytest.raises(CatalogueFault) as told:
        arrangement_of(text, "mine.toml")
    lines = str(told.value).split("\n")
    where = [f"mine.toml line {number}" for number in (1, 2, 3, 4, 5)]
    assert [line.split(":")[0] for line in lines] == where
    assert "there is no name" in str(told.value)
    with pytest.raises(CatalogueFault, match="cannot be read"):
        arrangement_of("name = [", "mine.toml")


def test_a_kept_arrangement_serves_another_album(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1909, 1915))
    jar.run(keep_arrangement("mine", parse_arrangement("map:2 3 / 4_4")))
    (kept,) = jar.saved_arrangements()
    cents = jar.find_album("Cents").id
    jar.run(rearrange_album(cents, kept.arrangement))
    assert jar.album_view(cents).album.arrangement == kept.arrangement
    jar.run(keep_arrangement("mine", parse_arrangement("running:2x2")))
    assert [one.arrangement.text for one in jar.saved_arrangements()] == ["running:2x2"]


def test_bad_labels_and_missing_slots_are_errors_of_their_kind(jar: Collection) -> None:
    with pytest.raises(BadEntry):
        jar.run(relabel_slot(slot(jar, "1941"), "x" * 100))
    with pytest.raises(NotFound):
        jar.run(set_leads(AlbumId(1), {SlotId(99): Lead(1)}))
