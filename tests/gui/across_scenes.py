"""Pictures of albums across series, volumes on the shelf, and an overview."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtTest import QTest

from core.app.across import add_album_across
from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_coins, apply_fill
from core.app.volumes import split_into_volumes
from core.fill.proposal import propose
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, AlbumKind, Target
from core.model.arrangement import parse_arrangement
from core.model.issue import SeriesId
from core.model.plan_across import AcrossPlan
from core.model.plan_album import AlbumPlan
from gui.app import Program
from gui.portrait import settle

Save = Callable[..., None]
CENTS, NICKELS, DIMES = (
    SeriesId(code) for code in ("us-cent-lincoln", "us-nickel-jefferson", "us-dime-roosevelt")
)
QUARTERS, HALVES = SeriesId("us-quarter-washington"), SeriesId("us-half-franklin")
COINS = {
    CENTS: ("1909 vdb vf20", "1944-D f12", "1962-D au50", "1964-D", "2012 ms65", "1941-S g4"),
    NICKELS: ("1946 vf20", "1964-D g4", "2004 keelboat ms63", "1964 au50", "1938-D f12"),
    DIMES: ("1964-D xf40", "1946-S g4", "1955 vf20", "1964"),
    QUARTERS: ("1964 g4 cleaned", "1776-1976 ms63"),
    HALVES: ("1951-D f12",),
}


def across_file(path: Path) -> Path:
    """Types, a year set, cents in three volumes, and an overview of dimes."""
    if path.exists():
        return path
    make_collection(path, "Harbour museum: the jar")
    with Collection.open(path) as collection:
        every = (CENTS, NICKELS, DIMES, QUARTERS, HALVES)
        vf = Target(20)
        collection.run(add_album_across("Types of five series", AcrossPlan(every, target=vf)))
        year = AcrossPlan(every[:4], 1964, each_mint=True, target=vf)
        collection.run(add_album_across("The year 1964", year))
        shape = parse_arrangement("years-by-mints")
        cents = add_album("Lincoln cents", CENTS, AlbumPlan((1909, 1974), target=vf), shape)
        made = collection.run(cents).made_album
        assert made is not None
        for code, entries in COINS.items():
            series = collection.series(code)
            collection.run(add_coins([parse_entry(entry, [series]).coin for entry in entries]))
        moves = propose(collection.fill_input()).moves
        collection.run(apply_fill([(move.slot, move.coin) for move in moves]))
        found = collection.find_album("Lincoln cents")
        cuts = [collection.find_slot(found, date).id for date in ("1934", "1959")]
        collection.run(split_into_volumes(made, cuts))
        plan = AlbumPlan((1946, 1964), target=vf)
        kind = AlbumKind.OVERVIEW
        collection.run(add_album("Dimes, the best of each", DIMES, plan, shape, kind))
    return path


def albums(program: Program, save: Save) -> None:
    """Each album as it is shown, the shelf folded and unfolded beside it."""
    workspace = program.window.duties.make_albums()
    names = {album.name: album.id for album in workspace.shelf.model.albums}
    volume = next(name for name in names if "volume 2" in name)
    for scene, name, label in (
        ("across-types", "Types of five series", "Wheat ears"),
        ("across-year", "The year 1964", "1964-D dime"),
        ("across-overview", "Dimes, the best of each", "1964-D"),
        ("across-volumes", volume, "1941-S"),
    ):
        _open(program, names[name], label)
        save(program, scene)


def _open(program: Program, album: AlbumId, label: str) -> None:
    workspace = program.window.duties.make_albums()
    workspace.open_album(album)
    settle()
    view = workspace.centre.view
    assert view is not None
    slot = next(v.slot.id for v in view.slots if v.slot.label == label)
    workspace.centre.leaf.go_to_slot(int(slot))
    workspace._ask_card()  # the card as it follows a moment later
    settle()


def dialogs(program: Program, save: Save) -> None:
    """The new album of types and of a year; a year set being edited."""
    from gui.album.edit_album import EditAlbumDialog
    from gui.album.new_album import NewAlbumDialog

    dialog = NewAlbumDialog(program.window, program.desk)
    dialog.show()
    settle()
    dialog.of.buttons[1].click()
    for code in (NICKELS, DIMES, QUARTERS):
        if code not in [series.id for series in dialog.across.chosen]:
            dialog.across.choose(code)
    QTest.qWait(200)
    save(program, "across-new-types", dialog)
    dialog.of.buttons[2].click()
    dialog.across.year.setText("1955")
    dialog.kind.buttons[1].click()
    QTest.qWait(200)
    save(program, "across-new-year", dialog)
    dialog.across.year.setText("1800")
    QTest.qWait(200)
    save(program, "across-new-none", dialog)
    dialog.deleteLater()
    workspace = program.window.duties.make_albums()
    year = next(a.id for a in workspace.shelf.model.albums if a.name == "The year 1964")
    edit = EditAlbumDialog(program.window, program.desk, year)
    edit.show()
    settle()
    edit.across.choose(DIMES)
    QTest.qWait(200)
    save(program, "across-edit", edit)
    edit.deleteLater()
