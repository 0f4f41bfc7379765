"""What the window shows at the sorting table, in the words of `scenarios.sitting`."""

import shutil
from pathlib import Path

from gui.search.dashboard_page import DashboardPage
from gui.search.workspace import SearchesWorkspace
from gui.widgets import Label
from scenarios.sitting import Seen, pace, strip_of
from tests.gui.window_material import OpenWindow


def _space(opened: OpenWindow) -> SearchesWorkspace:
    return opened.duties.make_searches()


def seen_at_table(opened: OpenWindow) -> Seen:
    """Read from what is drawn and written, but for the figures behind the painted rows."""
    space = _space(opened)
    now = next(one for one in space.strip.rolls if one.is_now)
    part = space.shelf.parts[0]
    records = [label.text() for label in _labels(space, space.side._records.count())]
    return Seen(
        space.head.title.text(),
        now.shown,
        sum(one.is_opened for one in space.strip.rolls),
        tuple((row.roll, row.label, row.answer) for row in reversed(space.entries.rows.rows)),
        tuple((line.name, line.now, pace(line)) for line in space.side.tally.lines),
        tuple(text for text in records if text != "none yet"),
        strip_of(space.strip.rolls),
        tuple(one.accessibleName() for one in space.side.jar_rows.rows),
        part.stands.whole_text,
        space.card.top.text(),
    )


def _labels(space: SearchesWorkspace, many: int) -> list[Label]:
    shown = (space.side._records.itemAt(at) for at in range(many))
    widgets = (item.widget() for item in shown if item is not None)
    return [widget for widget in widgets if isinstance(widget, Label)]


def in_figures(opened: OpenWindow) -> str:
    """The line above a campaign's page."""
    page = _space(opened).pages.currentWidget()
    assert isinstance(page, DashboardPage)
    return page.told.text()


def as_killed(path: Path, folder: Path) -> Path:
    """The file as a process leaves it that is ended now: a copy of what lies on the disk.

    Whatever a window has not written yet is not in it; nothing of its closing is.
    """
    folder.mkdir()
    for one in path.parent.iterdir():
        if one.is_file() and path.name in one.name and not one.name.endswith(".lock"):
            shutil.copy(one, folder)
    return folder / path.name
