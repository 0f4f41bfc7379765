"""Import and export from the menu: which file, the dialog, the order, the line that tells."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from gui.desk import Desk
from gui.exchange.import_dialog import FILES, ImportDialog

if TYPE_CHECKING:
    from core.app.changes import Changes

CSV = "Sheets of coins (*.csv)"


def ask_import(parent: QWidget, desk: Desk, folder: str, tell: Callable[[str], None]) -> None:
    """Choose a sheet, look at it, take it in; one line tells of it."""
    from core.app.exchange import coming_text, import_coins
    from gui.file_choice import choose_file

    path = choose_file(parent, "Import coins", folder, FILES)
    if path is None:
        return
    draft = ImportDialog.ask(parent, desk, path)
    if draft is None or not draft.is_ready:
        return

    def told(_changes: "Changes") -> None:
        tell(f"Imported {'; '.join(coming_text(draft))}. Ctrl+Z takes it back.")

    desk.run_long(
        lambda progress: import_coins(draft, progress),
        told,
        cancelled=lambda: tell("Stopped; nothing was imported."),
        doing="Taking in the coins",
    )


def ask_export(parent: QWidget, desk: Desk, folder: str, tell: Callable[[str], None]) -> None:
    """Choose a name and write every coin to it; one line tells where."""
    from gui.file_choice import choose_new_file

    start = str(Path(folder) / f"{_file_stem(desk.collection_name)} coins.csv")
    path = choose_new_file(parent, "Export coins", start, CSV, ".csv")
    if path is None:
        return

    def told(rows: int) -> None:
        tell(f"{rows:,} row{'' if rows == 1 else 's'} of coins are in {path}.")

    desk.ask_long(
        lambda collection, progress: collection.export_coins(path, progress),
        told,
        doing="Writing the coins",
    )


def _file_stem(name: str) -> str:
    """A name that every system takes."""
    plain = "".join("-" if c in '<>:"/\\|?*' or not c.isprintable() else c for c in name)
    return plain.strip(" .")[:80] or "My"
