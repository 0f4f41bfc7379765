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


@pytest.mark.parametrize(
    ("typed", "ending", "given"),
    [
        ("card.svg", ".png", "card.png"),
        ("card.PNG", ".png", "card.PNG"),
        ("Nickels 1.5", ".pdf", "Nickels 1.5.pdf"),
        ("coins.txt", ".csv", "coins.txt"),
        ("mine.db", ".slotleaf", "mine.db"),
    ],
)
def test_a_picture_bears_the_ending_of_what_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str, ending: str, given: str
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_all: (str(tmp_path / typed), ""))
    assert choose_new_file(None, "Save", str(tmp_path / "x"), "", ending) == tmp_path / given


def test_a_file_that_the_ending_leads_to_is_asked_for_by_its_whole_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "out.csv").write_text("old")
    starts: list[str] = []

    def answer(_parent: object, _title: str, start: str, _kinds: str) -> tuple[str, str]:
        starts.append(Path(start).name)
        return str(tmp_path / ("out" if len(starts) == 1 else "out.csv")), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)
    assert choose_new_file(None, "Save", str(tmp_path / "x"), "", ".csv") == tmp_path / "out.csv"
    assert starts == ["x", "out.csv"]
