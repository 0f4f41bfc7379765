"""Restore a copy: what is offered, what is told of it, and what happens to the collection."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection
from core.app.operations import rename_collection, set_note, stock_slots
from core.store.copies import copies_beside
from gui.restore import PATH_ROLE, Kept, RestoreDialog, kept_copies, outline_facts
from gui.widgets import FactRow
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection


@pytest.fixture
def window(qapp: QApplication, tmp_path: Path) -> Iterator[tuple[OpenWindow, Path]]:
    """A window, and a copy of its collection from before it was renamed and stocked."""
    path = small_collection(tmp_path / "drawer.slotleaf")
    opened = open_window(qapp, tmp_path, path)
    copy = tmp_path / "before.slotleaf"
    collection = opened.desk._collection
    assert collection is not None
    collection.copy_to(copy)
    opened.desk.run(rename_collection("Another drawer"))
    opened.desk.run(stock_slots([opened.slot("1942-D").id]))
    yield opened, copy
    close_window(opened)


def restore(opened: OpenWindow, copy: Path, patch: pytest.MonkeyPatch) -> None:
    """Choose a file and say yes."""

    def yes(dialog: RestoreDialog) -> int:
        dialog.show()
        dialog.choose_file()
        assert dialog.give_button.isEnabled() is (not dialog.fault.isVisible())
        (dialog.give_button if dialog.give_button.isEnabled() else dialog.cancel).click()
        return dialog.result()

    with patch.context() as patched:
        patched.setattr(RestoreDialog, "exec", yes)
        patched.setattr("gui.file_choice.choose_file", lambda *_asked: copy)
        opened.duties.actions["restore"].trigger()


def kept_files(path: Path) -> list[Path]:
    return [kept.path for kept in kept_copies(path) if not kept.is_daily]


def test_a_restored_copy_is_shown_and_the_notice_names_the_kept_file(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, copy = window
    path = opened.desk.path
    assert path is not None
    assert opened.view.headline.have == 2
    restore(opened, copy, monkeypatch)
    assert opened.desk.collection_name == "Kitchen drawer"
    assert opened.desk.path == path
    assert opened.view.headline.have == 1
    (kept,) = kept_files(path)
    assert str(kept) in opened.duties.notices.text
    assert not opened.desk.is_read_only
    opened.desk.run(set_note(opened.slot("1942-D").id, "it can be changed"))
    assert opened.desk.undo_label is not None


def test_restoring_the_kept_file_brings_the_collection_back(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, copy = window
    path = opened.desk.path
    assert path is not None
    restore(opened, copy, monkeypatch)
    restore(opened, kept_files(path)[0], monkeypatch)
    assert opened.desk.collection_name == "Another drawer"
    assert opened.view.headline.have == 2


@pytest.mark.parametrize("damage", ["no file", "no collection", "cut short"])
def test_where_restoring_fails_the_present_collection_is_open_again(
    window: tuple[OpenWindow, Path], damage: str
) -> None:
    opened, copy = window
    bad = copy.with_name("bad.slotleaf")
    if damage == "no collection":
        bad.write_bytes(b"a shopping list" * 400)
    elif damage == "cut short":
        bad.write_bytes(copy.read_bytes()[:9000])
    told: list[str] = []
    opened.desk.failed.connect(told.append)
    opened.desk.restore(bad)
    assert len(told) == 1
    assert opened.desk.collection_name == "Another drawer"
    assert opened.view.headline.have == 2
    assert not opened.desk.is_read_only
    opened.desk.run(set_note(opened.slot("1942-D").id, "still ours"))
    assert opened.desk.undo_label is not None
    assert opened.desk.path is not None
    assert kept_files(opened.desk.path) == []


def test_a_file_that_is_no_collection_is_told_in_the_dialog_and_cannot_be_taken(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, copy = window
    bad = copy.with_name("list.txt")
    bad.write_text("milk, bread")
    restore(opened, bad, monkeypatch)
    assert opened.desk.collection_name == "Another drawer"


def test_copy_and_present_are_told_side_by_side(window: tuple[OpenWindow, Path]) -> None:
    opened, copy = window
    dialog = RestoreDialog(opened.window, opened.desk)
    dialog._add("before", "", copy, 0)
    dialog.list.setCurrentIndex(dialog.model.index(0, 0))

    def facts(side: object) -> dict[str, str]:
        assert isinstance(side, type(dialog.here))
        rows = [row for row in side.findChildren(FactRow) if not row.isHidden()]
        told = [row.value.accessibleName().partition(": ") for row in rows]
        return {name: value for name, _, value in told}

    there, here = facts(dialog.there), facts(dialog.here)
    assert there["Name"] == "Kitchen drawer"
    assert here["Name"] == "Another drawer"
    assert (there["Coins"], here["Coins"]) == ("4", "5")
    assert there["Albums"] == "2: War nickels, Later nickels"
    dialog.deleteLater()


def test_the_copies_of_the_folder_are_offered_newest_first(
    window: tuple[OpenWindow, Path],
) -> None:
    opened, copy = window
    path = opened.desk.path
    assert path is not None
    folder = copies_beside(path)
    folder.mkdir(exist_ok=True)
    for name in ("drawer 2026-03-02", "drawer before 2026-03-02 18.30.05", "drawer 2025-01-09",
                 "drawer before my holiday", "another 2026-04-01"):  # fmt: skip
        (folder / f"{name}.slotleaf").write_bytes(copy.read_bytes())
    dialog = RestoreDialog(opened.window, opened.desk)
    rows = [dialog.model.item(row) for row in range(dialog.model.rowCount())]
    names = [Path(str(row.data(PATH_ROLE))).stem for row in rows]
    assert names[-3:] == ["drawer before 2026-03-02 18.30.05", "drawer 2026-03-02",
                          "drawer 2025-01-09"]  # fmt: skip
    assert "drawer before my holiday" not in names
    assert rows[-3].text() == "Monday, 2 March 2026"
    assert dialog.copy == folder / f"{names[0]}.slotleaf"
    dialog.deleteLater()


def test_without_a_copy_another_file_may_be_chosen(qapp: QApplication, tmp_path: Path) -> None:
    from core.app.collection import make_collection

    make_collection(tmp_path / "new.slotleaf", "New")
    opened = open_window(qapp, tmp_path, tmp_path / "new.slotleaf")
    dialog = RestoreDialog(opened.window, opened.desk)
    assert dialog.pages.currentWidget() is dialog.empty
    assert not dialog.give_button.isEnabled()
    assert dialog.empty.button.text() == "Another file…"
    dialog.deleteLater()
    close_window(opened)


def test_a_past_day_that_is_shown_ends_with_restoring(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, copy = window
    opened.albums.time.toggle()
    restore(opened, copy, monkeypatch)
    mode = opened.albums.time.mode
    assert mode is not None
    assert not mode.is_open
    assert opened.duties.actions["put_in"].isEnabled()


def test_an_outline_names_a_few_albums_and_counts_the_rest(tmp_path: Path) -> None:
    path = small_collection(tmp_path / "drawer.slotleaf")
    with Collection.open(path) as collection:
        outline = collection.outline()
    from dataclasses import replace

    many = replace(outline, albums=("A", "B", "C", "D", "E"), coins=12_345, changed=None)
    assert dict(outline_facts(many)) == {
        "Name": "Kitchen drawer",
        "Changed last": "nothing done yet",
        "Coins": "12,345",
        "Albums": "5: A, B, C, and 2 more",
    }
    assert Kept(path, date(2026, 3, 3), True).title == "Tuesday, 3 March 2026"


def test_what_was_proposed_in_hand_or_being_stocked_ends_with_restoring(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its slots and coins are those of the collection before; in this one they may be others."""
    opened, copy = window
    albums, actions = opened.albums, opened.duties.actions
    actions["fill"].trigger()
    panel = albums._fill_panel
    assert panel is not None
    assert panel.model.lines
    restore(opened, copy, monkeypatch)
    assert not panel.is_on
    assert panel.model.lines == []
    opened.go_to("1943-D")
    actions["move_coin"].trigger()
    assert albums.by_hand is not None
    assert albums.by_hand.mode.is_on
    restore(opened, copy, monkeypatch)
    assert not albums.by_hand.mode.is_on
    actions["stock"].trigger()
    stocking = albums._stocking
    assert stocking is not None
    assert stocking.is_on
    restore(opened, copy, monkeypatch)
    assert not stocking.is_on
    assert not stocking.is_writing
    assert albums.centre.leaf.mode_handler is None


def test_coins_asked_for_while_a_copy_is_restored_are_read_afterwards(
    window: tuple[OpenWindow, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, copy = window
    coins = opened.duties._make_coins()
    real = opened.desk._submit

    def meanwhile(*asked: Any, **more: Any) -> Any:
        if asked[3] == "Restoring the copy":
            opened.duties.show_workspace("coins")
            assert not coins.model.table.rows
        return real(*asked, **more)

    monkeypatch.setattr(opened.desk, "_submit", meanwhile)
    restore(opened, copy, monkeypatch)
    opened.duties.show_workspace("coins")
    assert [row.coin.id for row in coins.model.table.rows] == [1, 2, 3, 4]
