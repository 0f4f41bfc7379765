"""The album through time: the band, its days, what is told under the slots, corrected stays."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.app.collection import Collection
from core.app.operations import set_note, stock_slots
from core.app.work import Progress
from core.arrange.plan import LeafPlan
from gui.album.day_slider import a_month_from
from gui.album.show_since import SinceDialog, quick_days
from gui.album.show_words import FoundBought, Since
from gui.album.time_band import EVENLY, LEAST_STEP_MS, MOST_PLAY_MS, TimeBand
from gui.album.time_mode import TimeMode
from gui.day_words import day_words, local_today, typed_day
from gui.leaf.card_parts import HistoryRow
from gui.leaf.correct_dialog import CorrectDialog
from gui.leaf.leaf_cells import DIM_BIT
from gui.work import InlineRunner, Job, Runner
from tests.gui.past_material import (
    DAYS,
    FIRST,
    FOURTH,
    SECOND,
    THIRD,
    at_noon,
    collection_with_past,
)
from tests.gui.window_material import OpenWindow, close_window, open_window

Key = Qt.Key


@pytest.fixture
def past(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    """A window on the collection with a past."""
    window = open_window(qapp, tmp_path, collection_with_past(tmp_path / "drawer.slotleaf"))
    window.window.activateWindow()
    QTest.qWaitForWindowActive(window.window)
    yield window
    close_window(window)


def mode_of(window: OpenWindow) -> TimeMode:
    mode = window.albums.time.mode
    assert mode is not None
    return mode


def opened_band(window: OpenWindow) -> TimeBand:
    window.albums.focus_leaf()
    QTest.keyClick(window.albums.centre.leaf, Key.Key_Y)
    return mode_of(window).band


def collection_of(window: OpenWindow) -> Collection:
    collection = window.desk._collection
    assert collection is not None
    return collection


def words_of(window: OpenWindow) -> dict[str, str]:
    """The second line under each slot that is drawn in full, by the slot's name."""
    plan, cells = window.view.plan, window.albums.centre.leaf._cells
    return {
        plan.lines[plan.names[cell]]: plan.lines[plan.l2[cell]]
        for cell in range(plan.cells)
        if plan.slot_ids[cell] and not cells.codes[cell] & DIM_BIT
    }


# ---- the band -----------------------------------------------------------------------------------


def test_the_band_opens_by_key_with_a_tick_for_each_day_of_change(past: OpenWindow) -> None:
    band = opened_band(past)
    assert band.isVisible()
    assert band.slider.change_days == DAYS
    assert band.slider.hasFocus()
    assert band.day.text() == "Today"
    assert past.albums.centre.day_button.text() == "Today ▾"


def test_each_day_is_drawn_as_the_collection_tells_it(past: OpenWindow) -> None:
    band = opened_band(past)
    album = past.view.album.id
    for day in (*DAYS, *(day - timedelta(days=1) for day in DAYS[1:])):
        band.slider.go_to(day)
        told = collection_of(past).album_view_on(album, day)
        drawn = past.view.plan
        assert drawn.codes == told.plan.codes, day
        assert [drawn.lines[n] for n in drawn.l1] == [told.plan.lines[n] for n in told.plan.l1]
        assert past.albums.centre.headline.text() == told.headline.text
        assert band.have.text() == told.headline.text
        assert past.albums.centre.day_button.text() == f"{day_words(day)} ▾"
        assert day_words(day) in band.look_only.whole_text
        assert "Look only" in band.look_only.whole_text


def test_a_day_typed_on_the_slider_goes_on_in_the_field(past: OpenWindow) -> None:
    band = opened_band(past)
    text = THIRD.isoformat()
    QTest.keyClicks(band.slider, text[0])
    assert band.field.hasFocus()
    QTest.keyClicks(band.field, text[1:])
    QTest.keyClick(band.field, Key.Key_Return)
    assert mode_of(past).day == THIRD
    assert band.slider.hasFocus()


def test_a_fault_of_a_typed_day_goes_when_one_types_on(past: OpenWindow) -> None:
    band = opened_band(past)
    before = band.look_only.whole_text
    QTest.keyClicks(band.field, "31 feb")
    QTest.keyClick(band.field, Key.Key_Return)
    fault = band.look_only.whole_text
    assert fault != before
    QTest.keyClick(band.field, Key.Key_Backspace)
    assert band.look_only.whole_text == before


def test_the_band_tells_what_changed_that_day(past: OpenWindow) -> None:
    band = opened_band(past)
    stories = {}
    for day in (FIRST, SECOND, THIRD, FOURTH, FOURTH - timedelta(days=1)):
        band.slider.go_to(day)
        stories[day] = band.story.whole_text
    assert stories == {
        FIRST: "1943-D G-4 put in",
        SECOND: "1944-P VF-20 put in",
        THIRD: "1943-D now VF-30, 1945-S put in",
        FOURTH: "1944-P taken out",
        FOURTH - timedelta(days=1): "Nothing changed that day",
    }


def test_keys_step_from_change_to_change_by_months_and_to_the_ends(past: OpenWindow) -> None:
    slider = opened_band(past).slider
    steps = [
        (Key.Key_Left, FOURTH),
        (Key.Key_Left, THIRD),
        (Key.Key_PageDown, date(2024, 12, 20)),
        (Key.Key_Right, THIRD),
        (Key.Key_PageUp, date(2025, 2, 20)),
        (Key.Key_Home, FIRST),
        (Key.Key_Left, FIRST),
        (Key.Key_Right, SECOND),
        (Key.Key_End, slider.last),
    ]
    for key, day in steps:
        QTest.keyClick(slider, key)
        assert slider.day == day, key


def test_a_press_on_the_slider_chooses_the_day_there(past: OpenWindow) -> None:
    slider = opened_band(past).slider
    at = QPoint(round(slider.x_of(SECOND.toordinal())), 10)
    QTest.mouseClick(slider, Qt.MouseButton.LeftButton, pos=at)
    days_a_pixel = (slider.last - slider.first).days // slider.width() + 1
    assert abs((slider.day - SECOND).days) <= days_a_pixel
    assert mode_of(past).day == slider.day


def test_a_typed_day_is_gone_to_and_a_wrong_one_is_told(past: OpenWindow) -> None:
    band = opened_band(past)
    QTest.keyClicks(band.field, "31.2.2025")
    QTest.keyClick(band.field, Key.Key_Return)
    assert band.look_only.whole_text == "There is no day 31.2.2025."
    assert mode_of(past).day is None
    band.field.clear()
    QTest.keyClicks(band.field, "2 June 2024")
    QTest.keyClick(band.field, Key.Key_Return)
    assert mode_of(past).day == date(2024, 6, 2)
    assert band.slider.hasFocus()


def test_a_typed_day_outside_the_history_goes_to_its_nearer_end(past: OpenWindow) -> None:
    band = opened_band(past)
    for typed, day in (("1999-01-01", FIRST), ("2999-01-01", None)):
        band.field.setText(typed)
        QTest.keyClick(band.field, Key.Key_Return)
        assert mode_of(past).day == day


def test_an_album_in_which_nothing_ever_was_says_so(past: OpenWindow) -> None:
    albums = past.albums.shelf.model.albums
    past.albums.open_album(next(a.id for a in albums if a.name == "Later nickels"))
    band = opened_band(past)
    assert not band.slider.isEnabled()
    assert not band.play_button.isEnabled()
    assert band.story.whole_text == "No coin has come or gone before today"
    QTest.keyClick(band.close_button, Key.Key_Escape)
    assert not band.isVisible()


# ---- only to look at ----------------------------------------------------------------------------

EDITING = ("put_in", "take_out", "target", "pin", "verify", "skip", "optional", "order", "arrived",
           "note", "swap", "correct", "fill", "stock", "undo", "redo", "new_album", "rename_album",
           "delete_album")  # fmt: skip


def test_a_past_day_cannot_be_edited_by_command_or_key(past: OpenWindow) -> None:
    before = collection_of(past).content_hash()
    band = opened_band(past)
    band.slider.go_to(SECOND)
    actions = past.duties.actions
    assert [name for name in EDITING if actions[name].isEnabled()] == []
    past.go_to("1943-D")
    leaf = past.albums.centre.leaf
    leaf.setFocus()
    for key in "XOPVCTDANRSFK":
        QTest.keyClicks(leaf, key)
    QTest.keyClick(leaf, Key.Key_Delete)
    QTest.keyClick(past.window, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert mode_of(past).day == SECOND
    assert collection_of(past).content_hash() == before


def test_an_order_given_on_a_past_day_is_refused_with_the_reason(past: OpenWindow) -> None:
    before = collection_of(past).content_hash()
    opened_band(past).slider.go_to(SECOND)
    past.desk.run(set_note(past.slot("1943-D").id, "written in the past"))
    assert "past day" in past.duties.notices.text
    assert collection_of(past).content_hash() == before


def test_escape_returns_to_today_and_everything_may_be_edited_again(past: OpenWindow) -> None:
    today = past.view.plan.codes[:]
    actions = past.duties.actions
    allowed = {name for name in EDITING if actions[name].isEnabled()}
    assert "undo" in allowed
    assert "redo" not in allowed
    for end in ("slider", "leaf"):
        band = opened_band(past)
        band.slider.go_to(FIRST)
        assert past.view.plan.codes != today
        QTest.keyClick(band.slider if end == "slider" else past.albums.centre.leaf, Key.Key_Escape)
        assert not band.isVisible()
        assert past.view.plan.codes == today
        assert {name for name in EDITING if actions[name].isEnabled()} == allowed
        assert past.albums.centre.leaf.hasFocus()
        assert past.albums.centre.day_button.text() == "Today ▾"


def test_the_views_that_the_collection_keeps_stay_as_they_are(past: OpenWindow) -> None:
    collection, album = collection_of(past), past.view.album.id
    kept = collection.album_view(album)
    codes, lines = bytes(kept.plan.codes), [kept.plan.lines[n] for n in kept.plan.l1]
    band = opened_band(past)
    for day in DAYS:
        band.slider.go_to(day)
    past.albums.time.tell(FoundBought())
    assert collection.album_view(album) is kept
    assert bytes(kept.plan.codes) == codes
    assert [kept.plan.lines[n] for n in kept.plan.l1] == lines


def test_a_day_repaints_only_the_cells_that_look_otherwise(
    past: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    band = opened_band(past)
    band.slider.go_to(SECOND)
    leaf = past.albums.centre.leaf
    drawn: list[list[int]] = []
    monkeypatch.setattr(leaf, "update_slots", lambda slots: drawn.append(list(slots)))

    def no_reset(*_args: Any, **_options: Any) -> None:
        raise AssertionError("the whole leaf was laid out anew")

    monkeypatch.setattr(leaf, "show_plan", no_reset)
    band.slider.go_to(THIRD)
    assert drawn == [[int(past.slot(label).id) for label in ("1943-D", "1945-S")]]


def test_the_card_shows_the_slot_as_of_that_day(past: OpenWindow) -> None:
    band = opened_band(past)
    card = past.albums.card
    past.go_to("1943-D")
    assert card._card is not None
    assert dict(card._card.facts)["In the slot"] == "VF-30"
    band.slider.go_to(SECOND)
    past.show_card()
    assert dict(card._card.facts)["In the slot"] == "G-4"
    assert card.as_of.text() == f"As it stood at the end of {day_words(SECOND)}"
    assert [line.text for line in card._card.history] == ["G-4 put in"]
    assert card.primary.isHidden()
    assert not card.wish.isEnabled()
    assert card.note.isReadOnly()
    past.albums.time.close()
    past.show_card()
    assert card.as_of.isHidden()
    assert dict(card._card.facts)["In the slot"] == "VF-30"
    assert card.wish.isEnabled()


def test_the_day_stays_when_another_album_is_chosen_and_goes_with_the_workspace(
    past: OpenWindow,
) -> None:
    band = opened_band(past)
    band.slider.go_to(SECOND)
    names = {album.name: album.id for album in past.albums.shelf.model.albums}
    collection, later = collection_of(past), names["Later nickels"]
    slot = collection.album_view(later).slots[0].slot.id
    collection.run(stock_slots([slot]), at=at_noon(FIRST))
    past.albums.open_album(later)
    assert mode_of(past).day == SECOND
    assert past.view.album.name == "Later nickels"
    assert past.desk.is_read_only
    past.albums.open_album(names["War nickels"])
    assert mode_of(past).day == SECOND
    past.duties.show_workspace("coins")
    assert not mode_of(past).is_open
    assert not past.desk.is_read_only
    past.duties.show_workspace("albums")
    assert past.view.headline.have == 2


def test_a_change_made_today_with_the_band_open_is_a_new_tick(past: OpenWindow) -> None:
    band = opened_band(past)
    assert band.slider.change_days == DAYS
    past.desk.run(stock_slots([past.slot("1942-D").id]))
    assert list(band.slider.change_days) == [*DAYS, local_today()]
    assert band.have.text() == "have 3 of 12" == past.albums.centre.headline.text()


# ---- the worker ---------------------------------------------------------------------------------


class HeldRunner(InlineRunner):
    """Runs jobs at once, or keeps them until they are let go: an answer under way."""

    def __init__(self) -> None:
        super().__init__()
        self.is_holding = False
        self.held: list[Callable[[], object]] = []

    def submit(self, function: Any, then: Any = None, *rest: Any, **more: Any) -> Job:
        if not self.is_holding:
            return super().submit(function, then, *rest, **more)
        job = Job(Progress(None))

        def go() -> None:
            result = function(Progress(None))
            job.is_done = True
            if not job.is_cancelled and then is not None:
                then(result)

        self.held.append(go)
        return job


@pytest.fixture
def held(qapp: QApplication, tmp_path: Path) -> Iterator[tuple[OpenWindow, HeldRunner]]:
    """A window whose worker can be made to wait."""
    runner = HeldRunner()
    path = collection_with_past(tmp_path / "drawer.slotleaf")
    window = open_window(qapp, tmp_path, path, runner)
    yield window, runner
    runner.is_holding = False
    close_window(window)


def test_of_days_asked_for_quickly_only_the_newest_follows(
    held: tuple[OpenWindow, HeldRunner],
) -> None:
    window, runner = held
    band = opened_band(window)
    runner.is_holding = True
    for day in (FOURTH, THIRD, SECOND, FIRST):
        band.slider.go_to(day)
    assert len(runner.held) == 1
    runner.held.pop(0)()
    assert mode_of(window).day == FOURTH
    assert len(runner.held) == 1
    runner.held.pop(0)()
    assert mode_of(window).day == FIRST
    assert runner.held == []
    assert band.slider.day == FIRST


def test_an_answer_that_comes_after_the_band_was_closed_is_dropped(
    held: tuple[OpenWindow, HeldRunner],
) -> None:
    window, runner = held
    today = window.view.plan.codes[:]
    band = opened_band(window)
    runner.is_holding = True
    band.slider.go_to(FIRST)
    late = runner.held.pop(0)
    window.albums.time.close()
    runner.is_holding = False
    while runner.held:
        runner.held.pop(0)()
    late()
    assert window.view.plan.codes == today
    assert mode_of(window).day is None
    assert not window.desk.is_read_only


def test_with_real_threads_the_day_chosen_last_is_the_one_drawn(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path
) -> None:
    unexpected: list[Exception] = []
    path = collection_with_past(tmp_path / "drawer.slotleaf")
    window = open_window(qapp, tmp_path, path, Runner(unexpected.append))
    qtbot.waitUntil(lambda: window.albums.centre.view is not None)
    window.albums.time.toggle()
    band = mode_of(window).band
    qtbot.waitUntil(lambda: band.slider.change_days == DAYS)
    for day in (*DAYS, *reversed(DAYS), THIRD):
        band.slider.go_to(day)
    qtbot.waitUntil(lambda: mode_of(window).day == THIRD and band.story.whole_text != "")
    assert window.desk.runner.wait()
    qapp.processEvents()
    assert mode_of(window).day == THIRD
    assert window.view.headline.have == 3
    window.albums.time.close()
    qtbot.waitUntil(lambda: window.view.headline.have == 2)
    close_window(window)
    assert unexpected == []


# ---- play ---------------------------------------------------------------------------------------


def test_play_runs_through_every_change_and_stops_at_today(past: OpenWindow) -> None:
    band = opened_band(past)
    seen: list[date] = []
    mode_of(past).stood.connect(lambda stood: seen.append(stood.day))
    QTest.keyClick(band.slider, Key.Key_Space)
    assert band.is_playing
    assert band.play_button.text() == "Pause"
    while band.is_playing:
        band._on_tick()
    assert seen == [*DAYS, band.slider.last]
    assert band.play_button.text() == "Play"
    assert mode_of(past).day is None


def test_space_pauses_and_a_key_stops_playing(past: OpenWindow) -> None:
    band = opened_band(past)
    QTest.keyClick(band.slider, Key.Key_Space)
    band._on_tick()
    QTest.keyClick(band.slider, Key.Key_Space)
    assert not band.is_playing
    assert band.slider.day == SECOND
    QTest.keyClick(band.slider, Key.Key_Space)
    QTest.keyClick(band.slider, Key.Key_Home)
    assert not band.is_playing
    assert band.slider.day == FIRST


@pytest.mark.parametrize("changes", [1, 2, 7, 40, 499, 501, 9_000])
@pytest.mark.parametrize("is_even", [False, True])
def test_playing_takes_twenty_seconds_at_most(
    qapp: QApplication, changes: int, is_even: bool
) -> None:
    band = TimeBand()
    today = date(2026, 3, 2)
    band.show_days([today - timedelta(days=3 * n + 1) for n in range(changes)], today)
    band.slider.show_day(today)
    if is_even:
        band.pace.choose(EVENLY)
    band.toggle_play()
    every, ticks = band._timer.interval(), 0
    assert every >= LEAST_STEP_MS
    while band.is_playing:
        band._on_tick()
        ticks += 1
    assert band.slider.day == today
    assert ticks * every <= MOST_PLAY_MS * 1.02
    band.deleteLater()


def test_even_time_goes_evenly(qapp: QApplication) -> None:
    band = TimeBand()
    today = date(2026, 3, 2)
    band.show_days([today - timedelta(days=n) for n in (3000, 2999, 2998, 10)], today)
    band.slider.show_day(today)
    band.pace.choose(EVENLY)
    band.toggle_play()
    days: list[int] = [band.slider.value()]
    while band.is_playing:
        band._on_tick()
        days.append(band.slider.value())
    gaps = {after - before for before, after in pairwise(days)}
    assert max(gaps) - min(gaps) <= 1
    band.deleteLater()


# ---- words under the slots ----------------------------------------------------------------------


def test_changed_since_a_day_bears_words_and_dims_the_rest(past: OpenWindow) -> None:
    past.albums.time.tell(Since(SECOND))
    assert words_of(past) == {"1943-D": "better", "1944-P": "out", "1945-S": "new"}
    line = past.albums.centre.show_line
    assert line is not None
    assert line.isVisible()
    assert line.label.whole_text == "Changed since 1 June 2024: 1 new, 1 better, 1 out"
    assert past.albums.centre.show_button.text() == "Show  changed since 1 June 2024 ▾"
    assert "better since 1 June 2024" in past.state("1943-D")


def test_changed_since_with_the_band_open_compares_with_that_day(past: OpenWindow) -> None:
    past.albums.time.tell(Since(FIRST))
    band = opened_band(past)
    band.slider.go_to(SECOND)
    assert words_of(past) == {"1944-P": "new"}
    band.slider.go_to(THIRD)
    assert words_of(past) == {"1944-P": "new", "1943-D": "better", "1945-S": "new"}
    band.slider.go_to(FIRST)
    assert words_of(past) == {}
    past.albums.time.close()
    assert words_of(past) == {"1944-P": "in and out", "1943-D": "better", "1945-S": "new"}


def test_found_against_bought_bears_words_and_counts_the_rest(past: OpenWindow) -> None:
    past.albums.focus_leaf()
    QTest.keyClick(past.albums.centre.leaf, Key.Key_U)
    assert words_of(past) == {"1943-D": "bought"}
    line = past.albums.centre.show_line
    assert line is not None
    assert line.label.whole_text == "0 found, 1 bought, 1 came otherwise or not known"
    opened_band(past).slider.go_to(SECOND)
    assert words_of(past) == {"1943-D": "found", "1944-P": "bought"}
    assert line.label.whole_text == "1 found, 1 bought"


def test_show_everything_ends_the_words_and_a_chip_does_too(past: OpenWindow) -> None:
    today = past.view.plan.codes[:]
    leaf = past.albums.centre.leaf
    for end in ("key", "chip"):
        past.albums.time.tell(Since(FIRST))
        assert past.view.plan.has_two_lines
        if end == "key":
            past.albums.focus_leaf()
            QTest.keyClick(leaf, Key.Key_E)
        else:
            next(iter(past.albums.centre.legend.states.values())).click()
        assert not past.view.plan.has_two_lines
        assert past.view.plan.codes == today
        assert mode_of(past).telling is None
        line = past.albums.centre.show_line
        assert line is not None
        assert not line.isVisible()
        past.albums.centre.choose_shown(past.albums.centre._show_actions[0][1])


def test_the_words_stay_through_a_change(past: OpenWindow) -> None:
    past.albums.time.tell(Since(FOURTH))
    assert words_of(past) == {}
    past.desk.run(stock_slots([past.slot("1942-D").id]))
    assert words_of(past) == {"1942-D": "new"}


def test_stocking_ends_words_and_band(past: OpenWindow) -> None:
    past.albums.time.tell(Since(FIRST))
    band = opened_band(past)
    past.albums.focus_leaf()
    leaf = past.albums.centre.leaf
    QTest.keyClick(leaf, Key.Key_S)
    assert not band.isVisible()
    assert past.albums.centre.words is None
    QTest.keyClick(leaf, Key.Key_Space)
    QTest.keyClick(leaf, Key.Key_Escape)
    assert past.view.headline.have == 3
    assert not past.view.plan.has_two_lines


def test_the_day_since_when_is_asked_with_quick_choices(
    past: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[tuple[Any, ...]] = []

    def ask(_parent: object, *given: Any) -> date:
        asked.append(given)
        return SECOND

    monkeypatch.setattr(SinceDialog, "ask", ask)
    past.albums.focus_leaf()
    QTest.keyClick(past.albums.centre.leaf, Key.Key_H)
    assert asked == [(DAYS, local_today(), None)]
    assert words_of(past) == {"1943-D": "better", "1944-P": "out", "1945-S": "new"}


def test_the_last_sitting_is_shown_since_the_day_before_it() -> None:
    today = date(2026, 3, 2)
    assert quick_days(DAYS, today) == [
        ("The last sitting, 3 May 2025", date(2025, 5, 2)),
        ("The last 30 days", date(2026, 1, 31)),
        ("This year, 2026", date(2025, 12, 31)),
    ]
    assert quick_days((), today)[0][0] == "The last 30 days"


def test_the_since_dialog_takes_a_typed_day_and_tells_a_wrong_one(qapp: QApplication) -> None:
    dialog = SinceDialog(None, DAYS, date(2026, 3, 2), None)
    for typed, fault in (
        ("", "Type a day"),
        ("yesterday", "is no day"),
        ("2.3.2026", "before today"),
    ):
        dialog.field.setText(typed)
        dialog.give_button.click()
        assert fault in dialog.fault
        assert dialog.day is None
    dialog.field.setText("3 may 2025")
    dialog.give_button.click()
    assert dialog.day == FOURTH
    dialog.quick[0].click()
    assert dialog.day == FOURTH - timedelta(days=1)
    dialog.deleteLater()


# ---- corrected stays ----------------------------------------------------------------------------


def correcting(
    window: OpenWindow, monkeypatch: pytest.MonkeyPatch, do: Callable[[CorrectDialog], None]
) -> None:
    """Press K on a slot, and do something in the dialog."""

    def run(dialog: CorrectDialog) -> int:
        dialog.show()
        do(dialog)
        return dialog.result()

    monkeypatch.setattr(CorrectDialog, "exec", run)
    window.albums.focus_leaf()
    QTest.keyClick(window.albums.centre.leaf, Key.Key_K)


def test_a_stay_is_corrected_on_the_card_and_undone(
    past: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    album = past.view.album.id
    past.go_to("1945-S")

    def correct(dialog: CorrectDialog) -> None:
        assert dialog.since.text() == THIRD.isoformat()
        assert dialog.until.text() == ""
        dialog.since.setText("1 July 2024")
        dialog.give_button.click()

    correcting(past, monkeypatch, correct)
    slot = past.slot("1945-S").id
    stood = collection_of(past).album_view_on(album, date(2024, 7, 1)).by_id[slot]
    assert stood.coin is not None
    past.show_card()
    card = past.albums.card._card
    assert card is not None
    assert card.history[0].day == date(2024, 7, 1)
    past.desk.undo()
    assert collection_of(past).album_view_on(album, date(2024, 7, 1)).by_id[slot].coin is None


def test_a_refused_correction_is_told_in_the_dialog_and_changes_nothing(
    past: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = collection_of(past).content_hash()
    past.go_to("1943-D")
    told: list[list[str]] = []

    def correct(dialog: CorrectDialog) -> None:
        for since, until in (("2024-01-01", ""), ("x", ""), ("2025-02-01", "2025-01-01")):
            dialog.since.setText(since)
            dialog.until.setText(until)
            dialog.give_button.click()
            told.append(dialog.faults)
        dialog.reject()

    correcting(past, monkeypatch, correct)
    assert len(told) == 3
    assert all(len(faults) == 1 for faults in told), told
    assert "is no day" in told[1][0]
    assert collection_of(past).content_hash() == before


def test_each_line_of_the_history_has_its_way_to_correct_it(
    past: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr(
        CorrectDialog, "ask", lambda _p, slot, line, *_rest: asked.append(f"{slot} {line.text}")
    )
    past.go_to("1943-D")
    rows = [row for row in past.albums.card.findChildren(HistoryRow) if not row.isHidden()]
    for line in rows:
        line.button.click()
        line.actions()[0].trigger()
    texts = ["VF-30 put in", "G-4 taken out", "G-4 put in"]
    assert sorted(set(asked)) == sorted(f"1943-D {text}" for text in texts)
    assert len(asked) == 6


# ---- days ---------------------------------------------------------------------------------------


def test_days_are_read_as_people_type_them() -> None:
    today = date(2026, 3, 2)
    for typed in ("3 May 2025", "3. may 2025", "2025-05-03", "3.5.2025", " 3  MAY, 2025 "):
        assert typed_day(typed, today) == date(2025, 5, 3), typed
    assert typed_day("3 may", today) == date(2026, 5, 3)


def test_a_month_on_keeps_to_the_month() -> None:
    assert a_month_from(date(2025, 1, 31), 1) == date(2025, 2, 28)
    assert a_month_from(date(2024, 3, 31), -1) == date(2024, 2, 29)
    assert a_month_from(date(2025, 12, 15), 1) == date(2026, 1, 15)
    assert a_month_from(date(2025, 1, 15), -1) == date(2024, 12, 15)


def test_a_copied_plan_shares_nothing_that_changes(past: OpenWindow) -> None:
    plan: LeafPlan = past.view.plan
    copy = plan.copy()
    cell = plan.cell_of_slot(int(past.slot("1942-D").id))
    before = plan.sentence(cell)
    copy.set_cell(cell, 1, "a new line", "another", "told")
    assert plan.sentence(cell) == before
    assert copy.sentence(cell) != before
    assert "a new line" not in plan.lines
