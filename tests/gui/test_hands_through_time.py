"""The hands of the stories reach the past through the window alone."""

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from tests.gui.past_material import DAYS, FIRST, SECOND, THIRD, collection_with_past
from tests.gui.window_hands import WindowHands


def test_hands_go_through_time_correct_and_go_back(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = collection_with_past(tmp_path / "drawer.slotleaf")
    hands = WindowHands(qapp, tmp_path, path, monkeypatch)
    copy = tmp_path / "copy.slotleaf"
    hands.save_copy(copy)
    assert hands.change_days() == list(DAYS)
    today = hands.state("1943-D"), hands.headline()
    hands.go_to_day(SECOND)
    assert hands.state("1943-D") == "below target"
    assert hands.headline() == "have 2 of 12 · at target 1"
    hands.go_to_day(None)
    assert (hands.state("1943-D"), hands.headline()) == today
    assert hands.changed_since(SECOND) == {"1943-D": "better", "1944-P": "out", "1945-S": "new"}
    assert hands.found_against_bought() == {"1943-D": "bought"}
    assert hands.correct("1945-S", 0, FIRST, None) == ""
    assert "came in" in hands.correct("1943-D", 0, date(2025, 2, 1), THIRD)
    hands.go_to_day(FIRST)
    assert hands.state("1945-S") == "below target"
    hands.go_to_day(None)
    listed = hands.entries()
    assert "Correct from when until when a coin sat in a slot" in listed[0]
    hands.undo_back_to(1)
    assert hands.entries()[0].endswith("undone")
    hands.take_out("1945-S")
    kept = hands.restore(copy)
    assert kept is not None
    assert kept.is_file()
    assert (hands.state("1943-D"), hands.headline()) == today
    hands.close()
