"""Windows for the tests that need one whole."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from core.app.demo import ensure_demo
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo, made once; copy it before it is opened."""
    path = tmp_path_factory.mktemp("demo") / "demo.slotleaf"
    ensure_demo(path)
    return path


@pytest.fixture
def opened(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    """A window on the small collection."""
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    yield window
    close_window(window)


@pytest.fixture
def unopened(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    """A window at its first start."""
    window = open_window(qapp, tmp_path, None)
    yield window
    close_window(window)
