"""Whatever an album is edited to: coins keep slots that stay, and editing back gives it back."""

import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.album_edit import EditChoice, edit_album, plan_edit, present_choice
from core.app.collection import Collection
from core.app.operations import (
    add_album,
    set_notes,
    set_pinned,
    set_target,
    set_wish,
    stock_slots,
)
from core.app.views import AlbumView
from core.errors import Refused
from core.model.album import AlbumId, Wish, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import CoinId
from core.model.issue import SeriesId
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties
from tests.collection_material import CENTS, NICKELS, a_collection, differences, fresh

YEARS = st.tuples(st.integers(1938, 1946), st.integers(0, 6)).map(lambda p: (p[0], p[0] + p[1]))
MINTS = st.sampled_from([(), ("P",), ("D",), ("P", "D"), ("S", "D"), ANY_MINT])
TARGETS = st.sampled_from(["none", "VF-20", "MS-63"])
SHAPES = st.sampled_from(["years-by-mints", "running:5x4", "running:9x5"])
plans = st.builds(
    lambda years, mints, varieties, target: AlbumPlan(
        years, mints, varieties, parse_target(target)
    ),
    YEARS, MINTS, st.sampled_from([*Varieties]), TARGETS,
)  # fmt: skip
choices = st.tuples(plans, SHAPES, st.sampled_from(["A", "An album"]), st.sampled_from(["", "n"]))


def chosen(parts: tuple[AlbumPlan, str, str, str]) -> EditChoice:
    plan, shape, name, note = parts
    return EditChoice(name, note, plan, parse_arrangement(shape))


def coins_by_hole(view: AlbumView) -> dict[tuple[int, object], CoinId]:
    """Which coin sits in what kind of hole, known by what it takes."""
    return {
        (view.series.may_be(v.slot.accepts), v.slot.variety): v.coin.id
        for v in view.slots
        if v.coin is not None
    }


def theirs(view: AlbumView) -> dict[int, tuple[object, ...]]:
    """What belongs to each slot and not to the plan, by its id."""
    return {
        int(v.slot.id): (v.slot.wish, v.slot.note, v.slot.is_pinned, v.slot.target, v.coin)
        for v in view.slots
    }


def made(folder: str, series: SeriesId, plan: AlbumPlan, every: int) -> tuple[Collection, AlbumId]:
    collection = a_collection(Path(folder), lambda: date(2026, 3, 2))
    order = add_album("An album", series, plan, parse_arrangement("years-by-mints"))
    album = collection.run(order).made_album
    assert album is not None
    slots = [v.slot.id for v in collection.album_view(album).slots]
    collection.run(stock_slots(slots[::every]))
    collection.run(set_target(slots[1::4], parse_target("AU-58")))
    collection.run(set_wish(slots[2::4], Wish.SKIPPED))
    collection.run(set_pinned(slots[::5], True))
    collection.run(set_notes(slots[1::3], "seen"))
    return collection, album


@given(st.sampled_from([NICKELS, CENTS]), plans, choices, st.integers(1, 3))
@settings(max_examples=15, deadline=None)
def test_coins_stay_where_the_slot_stays_and_editing_back_gives_the_album_back(
    series: SeriesId, first: AlbumPlan, parts: tuple[AlbumPlan, str, str, str], every: int
) -> None:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        collection, album = made(folder, series, first, every)
        with collection:
            before, hash_before = collection.album_view(album), collection.content_hash()
            back = present_choice(before)
            choice = chosen(parts)
            try:
                edit = plan_edit(before, choice)
            except Refused:
                return
            falling = [f.coin for f in edit.falling_out]
            if falling:
                try:
                    collection.run(edit_album(album, choice, falling[1:]))
                    raise AssertionError("a coin fell out that nobody agreed to")
                except Refused:
                    assert collection.content_hash() == hash_before
            collection.run(edit_album(album, choice, falling))
            after = collection.album_view(album)
            new_holes = {(after.series.may_be(v.slot.accepts), v.slot.variety) for v in after.slots}
            kept = {h: c for h, c in coins_by_hole(before).items() if h in new_holes}
            assert coins_by_hole(after) == kept
            assert {c for h, c in coins_by_hole(before).items() if h not in new_holes} == {*falling}
            places = {v.coin.id: v.slot.id for v in before.slots if v.coin is not None}
            assert all(places[v.coin.id] == v.slot.id for v in after.slots if v.coin is not None)
            assert after.album.name == choice.name
            usual, own = present_choice(before).plan.target, theirs(before)
            for slot, (wish, note, is_pinned, target, coin) in theirs(after).items():
                if slot in own:
                    new = choice.plan.target if own[slot][3] == usual else own[slot][3]
                    assert (wish, note, is_pinned, coin) == (*own[slot][:3], own[slot][4])
                    assert target == new
                else:
                    assert (note, is_pinned, target, coin) == ("", False, choice.plan.target, None)
            with fresh(collection) as other:
                assert differences(collection, other) == []
            again = present_choice(after)
            assert replace(again.plan, varieties=choice.plan.varieties, years=None, mints=()) == (
                replace(choice.plan, years=None, mints=(), target=again.plan.target)
            )
            now = plan_edit(after, back)
            collection.run(edit_album(album, back, [f.coin for f in now.falling_out]))
            restored = collection.album_view(album)
            assert [v.slot.label for v in restored.slots] == [v.slot.label for v in before.slots]
            assert [v.slot.accepts for v in restored.slots] == [
                v.slot.accepts for v in before.slots
            ]
            assert restored.leaves == before.leaves
            while collection.undo_label == "edit the album":
                collection.undo()
            assert collection.content_hash() == hash_before
