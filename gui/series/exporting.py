"""Writes the two files of a series into a folder that one chooses."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from core.app.work import Progress
from core.model.issue import Series
from gui.desk import Desk


def ask_export(
    parent: QWidget,
    desk: Desk,
    series: Series,
    told: Callable[[list[Path]], None],
    failed: Callable[[Exception], None],
) -> None:
    """Ask where, and write a folder named by the series' id there; `told` learns the files."""
    from gui.file_choice import choose_folder

    start = str(desk.path.parent) if desk.path else str(Path.home())
    folder = choose_folder(parent, f"A folder for {series.title}", start)
    if folder is None:
        return
    target = folder / str(series.id)

    def work(_progress: Progress) -> list[Path]:
        from core.app.own_series import export_series

        return export_series(series, target)

    desk.runner.submit_drawing(work, told, failed)
