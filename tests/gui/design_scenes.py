"""Pictures of the arrangement designer: 12, 250 and 2,000 slots, maps, questions, dialogs."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QDialog

from core.app.collection import Collection, make_collection
from core.app.design import extra_slots
from core.app.operations import add_album, add_and_place
from core.lookup.parse import parse_entry
from core.model.album import SlotId, Target
from core.model.arrangement import Arrangement, parse_arrangement
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from gui.app import Program
from gui.design.add_slot import AddSlotDialog
from gui.design.label_dialog import LabelDialog
from gui.design.mode import DesignMode
from gui.portrait import settle
from scenarios.big_collection import write_big_collection

Save = Callable[..., None]
LONG = "The folder from the attic, rebuilt hole for hole"


def design_file(path: Path) -> Path:
    """An album of 12 slots and one of some 250."""
    if path.exists():
        return path
    make_collection(path, "Harbour museum: the jar")
    with Collection.open(path) as collection:
        war = AlbumPlan(years=(1942, 1945), target=Target(20))
        made = collection.run(
            add_album("War nickels", SeriesId("us-nickel-jefferson"), war, Arrangement())
        ).made_album
        assert made is not None
        cents = AlbumPlan((1909, 2008), (), Varieties.NONE)
        shape = parse_arrangement("by-decade:10x8")
        collection.run(add_album(LONG, SeriesId("us-cent-lincoln"), cents, shape))
        view = collection.album_view(made)
        for entry in ("1943-D vg8", "1943-P f12", "1944-S vf20", "1942 xf40"):
            coin = parse_entry(entry, [view.series]).coin
            label = entry.split()[0]
            slot = next(v.slot for v in view.slots if v.slot.label == label)
            collection.run(add_and_place(coin, slot.id))
    return path


def big_file(path: Path) -> Path:
    """One album of 2,000 slots."""
    if not path.exists():
        write_big_collection(path, 2_500, (2_000,))
    return path


def begin(program: Program) -> DesignMode:
    """Design the album that is shown."""
    design = program.window.duties.make_albums().design
    design.toggle()
    settle(60)
    assert design.mode is not None
    return design.mode


def labelled(mode: DesignMode, label: str) -> SlotId:
    """A slot by its label."""
    assert mode.view is not None
    return next(v.slot.id for v in mode.view.slots if v.slot.label == label)


def scene_few(program: Program, save: Save) -> None:
    """12 slots: a matrix, then running with spacers, a drag, a question, a map that is short."""
    mode = begin(program)
    leaf = program.window.duties.make_albums().centre.leaf
    save(program, "design-12")
    mode.reshape(lambda _a: parse_arrangement("running:5x3"))
    leaf.go_to_slot(int(labelled(mode, "1943-D")))
    for command in ("spacer", "spacer", "row_break"):
        mode.do(command)
    leaf.go_to_slot(int(labelled(mode, "1944-S")))
    mode.do("leaf_break")
    settle(60)
    save(program, "design-12-spacers")
    slots = [labelled(mode, name) for name in ("1942", "1942-D")]
    leaf.select_slots([int(slot) for slot in slots])
    rect = leaf.slot_rect(int(labelled(mode, "1943-S")))
    mode._hold(QPoint(rect.right() - 3, rect.center().y()))
    save(program, "design-12-dragged")
    mode._hold(None)
    leaf.selectAll()
    mode.do("take_out")
    save(program, "design-12-question")
    mode._drop_question()
    leaf.go_to_slot(int(labelled(mode, "1943-D")))
    view = mode.view
    assert view is not None
    slot = labelled(mode, "1943-D")
    add = AddSlotDialog(program.window, view.series, "1943-D", extra_slots(view, slot))
    _save_dialog(program, save, "design-add", add)
    add.words.setText("1950-Q")
    _save_dialog(program, save, "design-add-fault", add)
    _save_dialog(
        program, save, "design-label", LabelDialog(program.window, "1943-D", True, ["1943"])
    )


def scene_some(program: Program, save: Save) -> None:
    """250 slots: by decade, and a map with too few places."""
    mode = begin(program)
    save(program, "design-250")
    bar = mode.panel._scroll.verticalScrollBar()
    settle(30)
    bar.setValue(bar.maximum())
    save(program, "design-250-foot")
    bar.setValue(0)
    mode.reshape(lambda _a: parse_arrangement("map:9 9 9_ _8_ / 10 10 9 / 9*6"), "map")
    settle(60)
    save(program, "design-map-over")


def scene_many(program: Program, save: Save) -> None:
    """2,000 slots."""
    mode = begin(program)
    mode.do("select_row")
    save(program, "design-2000")


def _save_dialog(program: Program, save: Save, name: str, dialog: QDialog) -> None:
    dialog.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    dialog.show()
    settle(60)
    save(program, name, dialog)
    dialog.hide()
