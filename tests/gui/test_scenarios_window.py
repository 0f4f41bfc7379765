"""The stories of `scenarios/` once more, walked through the window."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from core.app.demo import write_demo
from tests.gui.window_hands import WindowHands
from tests.test_scenarios import STORIES, partner, steps_of


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.slotleaf"
    write_demo(path)
    return path


@pytest.fixture
def hands(
    qapp: QApplication, written: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[WindowHands]:
    path = Path(shutil.copy(written, tmp_path / "jar.slotleaf"))
    at_the_window = WindowHands(qapp, tmp_path, path, monkeypatch)
    yield at_the_window
    at_the_window.close()


@pytest.mark.parametrize("story", STORIES)
def test_a_story_is_walked_through_the_window(story: str, hands: WindowHands) -> None:
    told: list[int] = []
    partner(story).walk(hands, told.append)
    assert told == steps_of(story)
