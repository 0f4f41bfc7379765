"""Editing an album: what stays, what comes, what goes, and that falling coins are named first."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.album_edit import (
    EditChoice,
    FallingOut,
    edit_album,
    edited_view,
    falling_text,
    plan_edit,
    present_choice,
)
from core.app.collection import Collection
from core.app.operations import (
    order_coin,
    place_coin,
    set_note,
    set_pinned,
    set_target,
    set_wish,
)
from core.app.operations_albums import order_albums, set_album_note
from core.app.views import AlbumView
from core.errors import NotFound, Refused
from core.model.album import AlbumId, AlbumKind, Slot, SlotId, Target, Wish, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import CoinId
from core.model.issue import SeriesId
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties
from tests.cli_material import slotleaf
from tests.collection_material import (
    CENTS,
    DIMES,
    NICKELS,
    TOKENS,
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
    """Nickels 1940–1943 at VF-20; coin 1 in 1941, coin 2 in 1943-D."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        with_coins(collection, "1941 vf20", "1943-D g4")
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        collection.run(place_coin(CoinId(2), slot(collection, "1943-D")))
        yield collection


def view_of(collection: Collection, name: str = "Nickels") -> AlbumView:
    return collection.album_view(collection.find_album(name).id)


def choice_of(collection: Collection, **plan: object) -> EditChoice:
    """The album as it is, but for these parts of its plan."""
    now = present_choice(view_of(collection))
    return replace(now, plan=replace(now.plan, **plan))  # type: ignore[arg-type]  # by name


def slots_of(collection: Collection, name: str = "Nickels") -> list[Slot]:
    return [v.slot for v in view_of(collection, name).slots]


def run(collection: Collection, choice: EditChoice, *agreed: int) -> None:
    album = view_of(collection).album.id
    collection.run(edit_album(album, choice, [CoinId(a) for a in agreed]))


MADE = (
    (NICKELS, AlbumPlan((1940, 1943))),
    (NICKELS, AlbumPlan((1940, 1943), ("P", "S"))),
    (NICKELS, AlbumPlan((1938, 1964), ("D",), Varieties.MAIN)),
    (NICKELS, AlbumPlan((1940, 1950), ANY_MINT)),
    (NICKELS, AlbumPlan(None, (), Varieties.ALL)),
    (NICKELS, AlbumPlan((1965, 1970))),
    (CENTS, AlbumPlan((1955, 1960), (), Varieties.ALL)),
    (CENTS, AlbumPlan((1909, 1909))),
    (DIMES, AlbumPlan((1946, 1950), ANY_MINT)),
    (TOKENS, AlbumPlan()),
)


@pytest.mark.parametrize(("series", "plan"), MADE)
def test_what_an_album_was_made_from_is_read_off_its_slots(
    tmp_path: Path, series: SeriesId, plan: AlbumPlan
) -> None:
    with a_collection(tmp_path) as collection:
        an_album(collection, "Made", series, plan.years, "VF-20", plan.mints,
                 plan.varieties)  # fmt: skip
        read = present_choice(view_of(collection, "Made")).plan
    assert read == replace(plan, target=Target(20))


def test_an_edit_that_asks_for_what_is_there_writes_nothing(jar: Collection) -> None:
    before, entries = jar.content_hash(), len(jar.entries())
    run(jar, choice_of(jar))
    assert jar.content_hash() == before
    assert len(jar.entries()) == entries


def test_slots_that_stay_keep_all_that_is_theirs(jar: Collection) -> None:
    hole = slot(jar, "1941")
    jar.run(set_target([hole], parse_target("XF-40")))
    jar.run(set_wish([hole], Wish.OPTIONAL))
    jar.run(set_note(hole, "the good one"))
    jar.run(set_pinned([hole], True))
    past = jar.slot_card(hole).history
    run(jar, choice_of(jar, years=(1938, 1942)), 2)
    kept = whole_slot(jar, "1941")
    assert (kept.id, kept.target, kept.wish) == (hole, Target(40), Wish.OPTIONAL)
    assert (kept.note, kept.is_pinned) == ("the good one", True)
    assert held(jar, "1941") == 1
    assert jar.slot_card(hole).history == past


def test_new_slots_stand_in_the_order_of_the_dates(jar: Collection) -> None:
    run(jar, choice_of(jar, years=(1938, 1942)), 2)
    slots = slots_of(jar)
    assert [s.position for s in slots] == list(range(len(slots)))
    assert [s.label for s in slots[:4]] == ["1938", "1938-D", "1938-S", "1939"]
    assert slots[-1].label == "1942-S"
    assert {s.target for s in slots} == {Target(20)}


def test_coins_that_would_fall_out_are_named_and_nothing_is_done(jar: Collection) -> None:
    jar.run(set_pinned([slot(jar, "1943-D")], True))
    before = jar.content_hash()
    choice = choice_of(jar, years=(1940, 1942))
    edit = plan_edit(view_of(jar), choice)
    assert falling_text(edit.falling_out) == "1943-D (G-4, pinned)"
    assert [f.coin for f in edit.falling_out] == [CoinId(2)]
    with pytest.raises(Refused, match=r"A coin would fall out of Nickels: 1943-D \(G-4, pinned\)"):
        run(jar, choice)
    with pytest.raises(Refused):
        run(jar, choice, 1)
    assert jar.content_hash() == before


def test_coins_that_fall_out_are_spares_again_and_one_undo_puts_them_back(jar: Collection) -> None:
    before = jar.content_hash()
    heard = Heard(jar)
    run(jar, choice_of(jar, years=(1940, 1942)), 2)
    assert [c.id for c in jar.spares_of(NICKELS)] == [CoinId(2)]
    assert CoinId(2) in heard.changes[0].coins
    with fresh(jar) as other:
        assert differences(jar, other) == []
    after = jar.content_hash()
    jar.undo()
    assert jar.content_hash() == before
    assert held(jar, "1943-D") == 2
    jar.redo()
    assert jar.content_hash() == after


def test_pinned_coins_are_named_first() -> None:
    many = [FallingOut(SlotId(n), str(1900 + n), CoinId(n), "G-4", n == 19) for n in range(20)]
    told = falling_text(many)
    assert told.startswith("1919 (G-4, pinned), 1900 (G-4)")
    assert told.endswith(" and 8 more")


def test_a_new_usual_target_leaves_slots_with_their_own_alone(jar: Collection) -> None:
    own = slot(jar, "1941")
    jar.run(set_target([own], parse_target("MS-63")))
    run(jar, choice_of(jar, target=parse_target("F-12")))
    targets = {s.label: s.target for s in slots_of(jar)}
    assert targets.pop("1941") == Target(63)
    assert set(targets.values()) == {Target(12)}


def test_slots_with_an_order_do_not_go(jar: Collection) -> None:
    jar.run(order_coin(read_coin(jar, "1943-S vf20"), slot(jar, "1943-S")))
    with pytest.raises(Refused, match="A coin is on order for slots of Nickels that would go"):
        run(jar, choice_of(jar, years=(1940, 1942)), 2)


def test_an_edit_may_not_leave_nothing_nor_take_a_name_that_is_taken(jar: Collection) -> None:
    an_album(jar, "Dimes", DIMES, (1946, 1948))
    with pytest.raises(Refused, match="none was struck"):
        plan_edit(view_of(jar), choice_of(jar, years=(1901, 1902)))
    with pytest.raises(Refused, match="called Dimes already"):
        run(jar, replace(choice_of(jar), name="dimes"))


def test_an_overview_loses_no_coin_by_an_edit(jar: Collection) -> None:
    an_album(jar, "Best", kind=AlbumKind.OVERVIEW)
    best = view_of(jar, "Best")
    now = present_choice(best)
    edit = plan_edit(best, replace(now, plan=replace(now.plan, years=(1940, 1942))))
    assert edit.dropped
    assert edit.falling_out == ()
    jar.run(edit_album(best.album.id, replace(now, plan=replace(now.plan, years=(1940, 1942)))))
    assert held(jar, "1943-D") == 2


def test_the_view_before_is_the_view_after(jar: Collection) -> None:
    """What the dialog previews is what the album then is."""
    before = view_of(jar)
    choice = replace(
        choice_of(jar, years=(1939, 1942), varieties=Varieties.ALL),
        arrangement=parse_arrangement("running:6x4"),
        name="War and before",
    )
    preview = edited_view(before, plan_edit(before, choice))
    run(jar, choice, 2)
    after = view_of(jar, "War and before")
    assert [v.label for v in preview.slots] == [v.label for v in after.slots]
    assert [v.held_text for v in preview.slots] == [v.held_text for v in after.slots]
    assert preview.leaves == after.leaves
    assert preview.headline.whole_text == after.headline.whole_text


def test_the_shelf_takes_any_order_and_undo_gives_it_back(jar: Collection) -> None:
    for name in ("Two", "Three"):
        an_album(jar, name)
    ids = [a.id for a in jar.albums()]
    before = jar.content_hash()
    jar.run(order_albums([ids[2], ids[0]]))
    assert [a.id for a in jar.albums()] == [ids[2], ids[0], ids[1]]
    assert [s.album.shelf for s in jar.shelf()] == [0, 1, 2]
    with fresh(jar) as other:
        assert differences(jar, other) == []
    jar.undo()
    assert jar.content_hash() == before
    with pytest.raises(Refused):
        jar.run(order_albums([ids[0], ids[0]]))
    with pytest.raises(NotFound):
        jar.run(order_albums([AlbumId(99)]))


def test_an_albums_note_is_written_and_undone(jar: Collection) -> None:
    album = view_of(jar).album.id
    jar.run(set_album_note(album, " from the jar "))
    assert view_of(jar).album.note == "from the jar"
    jar.undo()
    assert view_of(jar).album.note == ""


# ---- the command line -------------------------------------------------------------------------


@pytest.fixture
def file(jar: Collection) -> Path:
    jar.close()
    return jar.path


def test_the_command_names_what_would_fall_out_and_does_nothing(file: Path) -> None:
    said = slotleaf("album", "edit", file, "nick", "--years", "1940-1942")
    assert said.code == 1
    assert "A coin would fall out of Nickels: 1943-D (G-4)" in said.err
    assert "--drop-coins" in said.err
    with Collection.open(file, read_only=True) as collection:
        assert held(collection, "1943-D") == 2


def test_the_command_drops_coins_when_told(file: Path) -> None:
    said = slotleaf("album", "edit", file, "nick", "--years", "1940-1942", "--drop-coins")
    assert said.code == 0, said
    assert said.out == "Nickels: 9 slots, 3 dropped, 1 coin now a spare; have 1 of 9.\n"


def test_the_command_sets_only_what_is_given(file: Path) -> None:
    said = slotleaf("album", "edit", file, "nick", "--note", "ask aunt", "--name", "War",
                    "--arrange", "running:5x4", "--target", "none")  # fmt: skip
    assert said.code == 0, said
    with Collection.open(file, read_only=True) as collection:
        view = view_of(collection, "War")
    assert (view.album.note, view.album.arrangement.text) == ("ask aunt", "running:5x4")
    assert {v.slot.target for v in view.slots} == {None}
    assert len(view.slots) == 12


def test_the_command_orders_the_shelf(file: Path) -> None:
    with Collection.open(file) as collection:
        an_album(collection, "Dimes", DIMES, (1946, 1948))
        an_album(collection, "Tokens", TOKENS, None)
    assert slotleaf("album", "order", file, "tok", "--up").lines == [
        "1  Nickels",
        "2  Tokens",
        "3  Dimes",
    ]
    assert slotleaf("album", "order", file, "dimes", "--to", "1").lines[0] == "1  Dimes"
    assert slotleaf("album", "order", file, "dimes", "--up").lines[0] == "1  Dimes"
    assert slotleaf("album", "order", file, "dimes", "--to", "4").code == 1
    assert slotleaf("album", "order", file, "dimes").code == 2
    assert slotleaf("album", "order", file, "dimes", "--up", "--down").code == 2
