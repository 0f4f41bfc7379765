"""What the start does not do before the window's first paint, and where each first word leads."""

import subprocess
import sys
from pathlib import Path

import pytest

from core.app.collection import make_collection
from gui.__main__ import _is_command, has_screen

HEAVY = ("sqlalchemy", "alembic", "numpy", "scipy", "reportlab", "pydantic", "pypdfium2", "click",
         "pyqtgraph")  # fmt: skip

_START = """
import sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from gui.app import Program
from gui.settings import Settings
app = QApplication([])
program = Program(app, Settings(Path(sys.argv[1])))
seen = []
def painted():
    seen.extend(sorted({name.partition(".")[0] for name in sys.modules}))
program.window.first_painted.connect(painted)
def opened():
    program.window.close()
    print(" ".join(seen))
    app.quit()
program.desk.opened.connect(opened)
program.start(Path(sys.argv[2]))
app.exec()
"""


def test_nothing_heavy_is_imported_before_the_first_paint(tmp_path: Path) -> None:
    path = tmp_path / "empty.slotleaf"
    make_collection(path, "Empty")
    command = [sys.executable, "-c", _START, str(tmp_path / "window.ini"), str(path)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    seen = done.stdout.split()
    assert "PySide6" in seen, done.stderr
    assert not [name for name in HEAVY if name in seen]
    assert "core" in seen


@pytest.mark.parametrize("word", ["albums", "checklist", "fill", "--help", "undo"])
def test_a_first_word_that_is_a_command_is_a_command(word: str) -> None:
    assert _is_command(word)


@pytest.mark.parametrize("word", ["my coins.slotleaf", "drawer/albums", "coins.db", "drawer"])
def test_any_other_first_word_is_a_file(word: str) -> None:
    assert not _is_command(word)


@pytest.mark.parametrize(
    ("settings", "is_there"),
    [
        ({"DISPLAY": ":0"}, True),
        ({"WAYLAND_DISPLAY": "wayland-0"}, True),
        ({}, False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, False),
        ({"QT_QPA_PLATFORM": "minimal:enable_fonts"}, False),
        ({"QT_QPA_PLATFORM": "xcb"}, True),
    ],
)
def test_a_screen_is_known_by_the_environment(
    settings: dict[str, str], is_there: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in settings.items():
        monkeypatch.setenv(name, value)
    assert has_screen() is is_there


@pytest.mark.slow
def test_without_a_screen_the_demo_is_drawn_and_its_files_are_named(
    user_folders: Path, tmp_path: Path
) -> None:
    import os

    root = str(Path(__file__).parents[2])
    environment = os.environ | {"QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": root}
    command = [sys.executable, "-m", "gui", "--start-demo"]
    done = subprocess.run(
        command, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=280,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "No display" in done.stdout
    for name in ("out/first-album.png", "out/gap-checklist.pdf"):
        assert name in done.stdout
        assert (tmp_path / name).stat().st_size > 10_000
