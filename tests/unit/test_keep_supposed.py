"""What was supposed is kept by one order: all of it or nothing, and one undo takes it back."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.keep_supposed import keep_supposed
from core.app.operations import set_target, set_wish
from core.app.supposed import Kept
from core.app.upgrade_varieties import missing_varieties
from core.app.upgrades import plan_input
from core.errors import NotFound, Refused
from core.model.album import SlotId, Wish, parse_target
from core.model.issue import VarietyId
from tests.collection_material import (
    NICKELS,
    a_collection,
    an_album,
    differences,
    fresh,
    slot,
    whole_slot,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943 at VF-20; 1942-D is optional and wants XF-40."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        collection.run(set_wish([slot(collection, "1942-D")], Wish.OPTIONAL))
        collection.run(set_target([slot(collection, "1942-D")], parse_target("xf40")))
        yield collection


def supposed(jar: Collection) -> Kept:
    found = plan_input(jar)
    missing = missing_varieties(found, {NICKELS: jar.series(NICKELS)})
    assert {row.slot.slot.label for row, _ in missing} >= {"1942-D", "1943-P"}
    target = parse_target("g4")
    assert target is not None
    return Kept(
        ((target, (slot(jar, "1940-D"), slot(jar, "1941-S"))),),
        (slot(jar, "1940-S"),),
        tuple((row.album, row.slot.slot.id, variety.id) for row, variety in missing),
    )


def test_targets_wishes_and_varieties_are_kept_by_one_order(jar: Collection) -> None:
    kept = supposed(jar)
    before = plan_input(jar).rows
    hash_before = jar.content_hash()
    undo_before = jar.undo_label
    done = jar.run(keep_supposed(kept))
    assert jar.undo_label == "keep what was supposed"
    assert whole_slot(jar, "1940-D").target == kept.targets[0][0]
    assert whole_slot(jar, "1940-S").wish is Wish.SKIPPED
    view = jar.album_view(before[0].album)
    slots = [one.slot for one in view.slots]
    assert len(slots) == len(before) + len(kept.varieties)
    assert [one.position for one in slots] == list(range(len(slots)))
    assert len({one.label for one in slots}) == len(slots)
    by_id = {one.id: one for one in slots}
    for _, beside, variety in kept.varieties:
        new = next(one for one in slots if one.variety == variety)
        assert 0 < new.position - by_id[beside].position <= len(kept.varieties)
        assert new.wish is by_id[beside].wish
        assert new.target == by_id[beside].target
        assert new.id in done.slots
    assert any(one.variety and one.wish is Wish.OPTIONAL for one in slots)
    assert differences(jar, fresh(jar)) == []
    hash_after = jar.content_hash()
    jar.undo()
    assert (jar.content_hash(), jar.undo_label) == (hash_before, undo_before)
    jar.redo()
    assert jar.content_hash() == hash_after


def test_what_cannot_be_kept_changes_nothing(jar: Collection) -> None:
    before = jar.content_hash()
    with pytest.raises(Refused, match="Nothing that is supposed"):
        keep_supposed(Kept())
    kept = supposed(jar)
    album, beside, variety = kept.varieties[0]
    for wrong in (
        Kept(kept.targets, (SlotId(999),)),
        Kept(kept.targets, varieties=((album, SlotId(999), variety),)),
        Kept(kept.targets, varieties=((album, beside, VarietyId("no such thing")),)),
    ):
        with pytest.raises((NotFound, Refused)):
            jar.run(keep_supposed(wrong))
        assert jar.content_hash() == before
    jar.run(keep_supposed(Kept(varieties=kept.varieties[:1])))
    with pytest.raises(Refused, match="by now; nothing was changed"):
        jar.run(keep_supposed(kept))


def test_a_variety_whose_slot_is_skipped_is_not_supposed_again(jar: Collection) -> None:
    *_, one_more = supposed(jar).varieties
    jar.run(keep_supposed(Kept(varieties=(one_more,))))
    slots = [one.slot for one in jar.album_view(one_more[0]).slots]
    jar.run(set_wish([one.id for one in slots if one.variety == one_more[2]], Wish.SKIPPED))
    again = supposed(jar).varieties
    assert one_more not in again
    jar.run(keep_supposed(Kept(varieties=again)))
    assert len(jar.album_view(one_more[0]).slots) == len(slots) + len(again)


def test_what_would_be_kept_is_told_in_words(jar: Collection) -> None:
    kept = supposed(jar)
    many = len(kept.varieties)
    assert kept.words == (
        "2 key dates ask for less, 1 optional slot is skipped, "
        f"{many} slots for varieties are added"
    )
    assert Kept((), (), kept.varieties[:1]).words == "1 slot for varieties is added"
