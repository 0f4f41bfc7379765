"""Where the dialogs for files begin."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from gui.file_choice import choose_file, choose_new_file


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Where each dialog began; all answer with a name that has no ending."""
    starts: list[str] = []

    def answer(_parent: object, _title: str, start: str, _kinds: str) -> tuple[str, str]:
        starts.append(start)
        return str(Path(start).parent / "chosen"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", answer)
    return starts


def test_a_folder_that_is_gone_begins_at_the_one_above(tmp_path: Path, begun: list[str]) -> None:
    gone = tmp_path / "Documents" / "coins"
    choose_new_file(None, "Save", str(gone / "list.pdf"), "PDF (*.pdf)", ".pdf")
    choose_file(None, "Open", str(gone), "")
    assert begun == [str(tmp_path / "list.pdf"), str(tmp_path)]


def test_a_name_without_an_ending_gets_it(tmp_path: Path, begun: list[str]) -> None:
    path = choose_new_file(None, "Save", str(tmp_path / "x.pdf"), "", ".pdf")
    assert path == tmp_path / "chosen.pdf"
