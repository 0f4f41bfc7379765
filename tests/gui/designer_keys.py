"""Everything the designer can do, by keys alone: one run that a test and the pictures share.

`DesignerKeys.run` gives key after key, each when the one before it is shown, and checks what came
of it. `frame` is called at the end of each step with its words.
"""

from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtWidgets import QAbstractButton, QWidget

from core.app.views import AlbumView
from core.model.album import Target, Wish
from core.model.arrangement import Arrangement, ArrangementKind, Break, Lead, Order, ShowP
from gui.design.mode import DesignMode
from scenarios.designing import Stroke, drawn_rows
from tests.gui.strokes import focused
from tests.gui.window_material import OpenWindow

Keys = Iterator[Stroke]
MOST_TABS = 60


def keys(*names: str) -> Keys:
    """Keys by name."""
    return (Stroke(name) for name in names)


def typed(text: str) -> Keys:
    """Every letter of a text."""
    return (Stroke(letter, is_letter=True) for letter in text)


def name_of(widget: QWidget) -> str:
    """What a control is called aloud."""
    words = widget.text() if isinstance(widget, QAbstractButton) else ""
    return widget.accessibleName() or words


def tab_to(name: str, key: str = "Tab") -> Keys:
    """Tab on until a control has the keys."""
    for _ in range(MOST_TABS):
        if name_of(focused()).startswith(name):
            return
        yield Stroke(key)
    raise AssertionError(f"{key} does not come to {name}")


class DesignerKeys:
    """One run over an open window on `small_collection`."""

    def __init__(
        self, opened: OpenWindow, folder: Path, frame: Callable[[str], None] = lambda _words: None
    ) -> None:
        self._opened, self._folder, self._frame = opened, folder, frame

    @property
    def _view(self) -> AlbumView:
        return self._opened.view

    @property
    def _shape(self) -> Arrangement:
        return self._view.album.arrangement

    @property
    def _mode(self) -> DesignMode:
        mode = self._opened.albums.design.mode
        assert mode is not None
        return mode

    def _has(self, **parts: object) -> None:
        """The shape has these parts now."""
        found = {part: getattr(self._shape, part) for part in parts}
        assert found == parts

    def _rows(self) -> list[str]:
        return [row for leaf in drawn_rows(self._opened.albums.centre.leaf._plan) for row in leaf]

    def _labels(self) -> list[str]:
        return [v.slot.label for v in self._view.slots]

    def _lead(self, label: str) -> Lead:
        return self._opened.slot(label).lead

    def _selected(self) -> list[str]:
        names = {int(v.slot.id): v.slot.label for v in self._view.slots}
        return [names[slot] for slot in self._opened.albums.centre.leaf.selected_slots()]

    # ---- the run ------------------------------------------------------------------------------

    def run(self) -> Keys:
        """Every step; ends as it began, all taken back."""
        start = self._rows(), self._shape, self._view.slots
        yield from keys("Q")
        assert self._opened.albums.design.is_on
        self._frame("Q: the leaf is designed")
        yield from self._matrix()
        yield from self._forms()
        yield from self._panel_of_a_matrix()
        yield from self._panel_of_running()
        yield from self._kept()
        yield from self._on_the_leaf()
        yield from self._slots_come_and_go()
        yield from self._selections()
        yield from self._row_map()
        for _ in range(150):
            if (self._rows(), self._shape, self._view.slots) == start:
                break
            yield from keys("Ctrl+Z")
        assert (self._rows(), self._shape, self._view.slots) == start
        self._frame("Ctrl+Z: step by step all of it is taken back")
        yield from keys("Escape")
        assert not self._opened.albums.design.is_on
        self._frame("Esc: done")

    def _matrix(self) -> Keys:
        before = self._rows()
        yield from keys("Ctrl+Home", "Ctrl+Down")
        assert self._rows()[1:3] == [before[2], before[1]]
        self._frame("Ctrl+Down: a row moves down")
        yield from keys("Ctrl+Right")
        assert self._rows()[0] == "(D, P, S)"
        self._frame("Ctrl+Right: a column of mints moves")
        yield from keys("Ctrl+Z", "Ctrl+Z")
        assert self._rows() == before

    # ---- the Shape panel ----------------------------------------------------------------------

    def _forms(self) -> Keys:
        yield from keys("Return")
        assert name_of(focused()) == "Form"
        self._frame("Enter: the keys go to the Shape panel")
        for kind in (
            ArrangementKind.RUNNING,
            ArrangementKind.BY_DECADE,
            ArrangementKind.BY_TYPE,
            ArrangementKind.BY_DESIGN,
        ):
            yield from keys("Down")
            self._has(kind=kind)
            self._frame(f"Down: {kind.value}")
        yield from keys("End")
        self._has(kind=ArrangementKind.ROW_MAP)
        self._frame("End: a row map of the present leaves")
        yield from keys("Up")
        assert not self._mode.band.is_asking
        self._frame("Up: dates only is passed by, as it would ask first")
        yield from keys("Up")
        self._has(kind=ArrangementKind.BY_DESIGN)
        yield from keys("Down", "Return")
        assert self._mode.band.is_asking
        self._has(kind=ArrangementKind.BY_DESIGN)
        self._frame("Enter: dates only asks for other slots first")
        yield from keys("Escape")
        assert not self._mode.band.is_asking
        assert len(self._labels()) == 12
        yield from tab_to_panel()
        yield from keys("Home")
        self._has(kind=ArrangementKind.YEARS_BY_MINTS)
        self._frame("Home: years by mints again")

    def _panel_of_a_matrix(self) -> Keys:
        yield from tab_to("rows to a leaf")
        yield from keys("Up")
        yield from typed("2")
        yield from keys("Return")
        self._has(rows_per_leaf=2)
        self._frame("rows to a leaf: 2")
        yield from tab_to("blocks abreast")
        yield from keys("Up")
        self._has(blocks=2)
        self._frame("Up: two blocks abreast")
        yield from keys("Down")
        yield from tab_to("Philadelphia: Left")
        yield from keys("Right")
        assert self._shape.mints[:2] == ("D", "P")
        self._frame("Right on a mint: its column moves")
        yield from tab_to("Places not struck")
        yield from keys("Right")
        yield from keys("Space")
        assert self._shape.is_closed
        self._frame("places not struck closed up")

    def _panel_of_running(self) -> Keys:
        yield from tab_to("Form", "Shift+Tab")
        yield from keys("Home", "Down")
        self._has(kind=ArrangementKind.RUNNING)
        yield from tab_to("slots to a row")
        yield from keys("Ctrl+A")
        yield from typed("4")
        yield from keys("Return")
        yield from tab_to("rows to a leaf")
        yield from keys("Down", "Down")
        assert (self._shape.per_row, self._shape.rows_per_leaf) == (4, 3)
        self._frame("running, 4 to a row, 3 rows to a leaf")
        yield from tab_to("Order")
        yield from keys("Right", "Right", "Space")
        self._has(order=Order.MINT)
        self._frame("order: by mint")
        yield from keys("Left", "Left", "Space")
        self._has(order=Order.AS_LISTED)
        yield from tab_to("Direction")
        yield from keys("Right", "Space")
        assert self._shape.is_down
        self._frame("runs from top to bottom")
        yield from keys("Left", "Space")
        yield from tab_to("New leaf at")
        yield from keys("Return", "Down")
        self._frame("Enter: where a new leaf begins")
        yield from keys("Return")
        self._has(leaf_break=Break.DATE)
        self._frame("a new leaf every date")
        yield from keys("Return", "Up", "Return")
        self._has(leaf_break=Break.NONE)
        yield from tab_to("New row at")
        yield from keys("Return", "Down", "Return")
        self._has(row_break=Break.DATE)
        self._frame("a new row every date")
        yield from keys("Return", "Up", "Return")
        self._has(row_break=Break.NONE)
        yield from self._labels_and_leaf()

    def _labels_and_leaf(self) -> Keys:
        yield from tab_to("Text of the labels")
        yield from typed("{date")
        yield from keys("Return")
        assert self._mode.panel.label.fault
        self._frame("a brace is not closed: told below the field")
        yield from typed("}")
        yield from keys("Return")
        self._has(label="{date}")
        yield from tab_to("Insert the field mark")
        yield from keys("Space")
        self._has(label="{date}{mark}")
        self._frame("labels of date and mark")
        yield from tab_to("Text of the labels", "Shift+Tab")
        yield from keys("Ctrl+A", "Delete", "Return")
        self._has(label="")
        yield from tab_to("Philadelphia's P")
        yield from keys("Right", "Right", "Space")
        self._has(show_p=ShowP.ALWAYS)
        self._frame("Philadelphia's P always")
        yield from keys("Left", "Space")
        self._has(show_p=ShowP.AS_ON_COIN)
        yield from tab_to("Hole size")
        yield from typed("700")
        yield from keys("Return")
        assert self._mode.panel.hole_field.fault
        self._frame("no such hole: told below the field")
        yield from keys("Ctrl+A")
        yield from typed("21,5")
        yield from keys("Return")
        self._has(hole_mm=21.5)
        self._frame("a hole of 21.5 mm")
        yield from tab_to("Leaf")
        yield from keys("Right", "Space")
        assert self._shape.is_wide
        self._frame("the leaf lies on its long side")

    def _kept(self) -> Keys:
        path = self._folder / "War nickels.arrangement.toml"
        yield from tab_to("Keep as…")
        yield from keys("Return", "Ctrl+A")
        yield from typed("Four")
        self._frame("keep the shape under a name")
        yield from keys("Return")
        yield from tab_to("Export…")
        yield from keys("Return")
        self._frame("export it to a small file")
        yield from keys("Return")
        assert path.is_file()
        shape = self._shape
        yield from keys("Ctrl+Z")
        assert self._shape == shape  # what was kept is forgotten first
        yield from tab_to("Import…")
        yield from keys("Return")
        yield from typed(path.name)
        self._frame("import it again")
        yield from keys("Return")
        yield from tab_to("Form", "Shift+Tab")
        yield from keys("Home")
        yield from tab_to("Use")
        yield from keys("Return")
        self._frame("use a kept shape")
        yield from keys("Return")
        self._has(text=shape.text)
        yield from tab_to("Forget")
        yield from keys("Return", "Return")
        assert not self._mode.panel.kept.forget.isEnabled()
        self._frame("forget it")

    # ---- on the leaf --------------------------------------------------------------------------

    def _on_the_leaf(self) -> Keys:
        yield from keys("Escape")
        yield from typed("1943d")
        self._frame("Esc, a date typed: the leaf again")
        order = self._labels()
        yield from keys("Ctrl+Left")
        at = order.index("1943-D")
        assert self._labels()[at - 1] == "1943-D", (
            self._labels(),
            self._mode.band.words.whole_text,
            self._rows(),
        )
        self._frame("Ctrl+Left: a slot moves")
        yield from keys("Ctrl+Down")
        self._frame("Ctrl+Down: a row on")
        yield from keys("Ctrl+Z", "Ctrl+Z")
        assert self._labels() == order
        yield from keys("Space", "Space", "Backspace")
        assert self._lead("1943-D") == Lead(1)
        self._frame("Space, Space, Backspace: one spacer before it")
        yield from keys("R")
        assert self._lead("1943-D") == Lead(1, new_row=True)
        self._frame("R: a row begins here")
        yield from keys("L")
        assert self._lead("1943-D") == Lead(1, new_leaf=True)
        self._frame("L: a leaf begins here")
        yield from keys("L", "Backspace")
        assert self._lead("1943-D") == Lead()

    def _slots_come_and_go(self) -> Keys:
        count = len(self._labels())
        yield from keys("Insert", "Down")
        self._frame("Ins: what could be added here")
        yield from typed("1950d")
        yield from tab_to("Label")
        yield from typed("Key date")
        yield from tab_to("Sought")
        yield from keys("Right", "Space")
        self._frame("in one's own words, with a label, wanted")
        yield from tab_to("Add the slot")
        yield from keys("Return")
        assert len(self._labels()) == count + 1
        assert self._opened.slot("Key date").wish is Wish.WANTED
        self._frame("the slot is added")
        yield from keys("F2")
        yield from typed("No mark")
        self._frame("F2: a label of its own")
        yield from keys("Return")
        assert "No mark" in self._labels()
        yield from keys("Ctrl+Z", "Left", "Delete")
        assert self._mode.band.is_asking
        self._frame("Del: a coin would fall out, so it asks")
        yield from keys("Escape")
        assert len(self._labels()) == count + 1
        yield from keys("Delete", "Return")
        assert "1943-D" not in self._labels()
        self._frame("Enter: the slot is out")
        yield from keys("Ctrl+Z")
        assert "1943-D" in self._labels()
        self._frame("Ctrl+Z: slot and coin are back")

    def _selections(self) -> Keys:
        yield from typed("1943d")
        yield from keys("Right", "Left")  # another key ends the date
        for key, what in (("R", "row"), ("L", "leaf"), ("D", "decade"), ("M", "mint"),
                          ("T", "design")):  # fmt: skip
            yield from keys(f"Shift+{key}")
            assert "1943-D" in self._selected()
            assert len(self._selected()) > 1
            self._frame(f"Shift+{key}: select the {what}")
        yield from keys("Ctrl+A")
        assert len(self._selected()) == len(self._labels())
        yield from keys("T")
        yield from typed("xf40")
        self._frame("T: a target for all selected")
        yield from keys("Return")
        assert {v.slot.target for v in self._view.slots} == {Target(40)}
        for key, wish in (("O", Wish.OPTIONAL), ("X", Wish.SKIPPED), ("W", Wish.WANTED)):
            yield from keys(key)
            assert {v.slot.wish for v in self._view.slots} == {wish}
            self._frame(f"{key}: all {wish.value}")
        yield from tab_to("Slots", "Shift+Tab")
        self._frame("Shift+Tab: the menus above the leaf")
        yield from keys("Return", "Down", "Down")
        self._frame("Enter: all that can be done with slots")
        yield from keys("Escape")
        yield from tab_to("Select", "Shift+Tab")
        yield from keys("Return", "Down", "Return")
        self._frame("select from the menu")

    def _row_map(self) -> Keys:
        yield from keys("Escape")
        assert focused() is self._opened.albums.centre.leaf
        yield from keys("Return", "End")
        self._has(kind=ArrangementKind.ROW_MAP)
        yield from tab_to("Row map")
        yield from keys("Ctrl+A")
        yield from typed("4 4")
        yield from keys("Return")
        yield from typed("2_2")
        yield from keys("Ctrl+Return")
        assert self._mode.panel.map_field.fault.startswith("1 slot is over")
        self._frame("a row map that does not fit")
        yield from typed(" 1")
        yield from keys("Ctrl+Return")
        assert not self._mode.panel.map_field.fault
        self._frame("it fits")
        yield from tab_to("Take the present shape")
        yield from keys("Escape")
        yield from typed("1943d")
        yield from keys("Right", "Left")
        fits = "map:4 4 / 2_2 1"
        for key, words, text in (
            ("Space", "a spacer in the map", "map:4 _4 / 2_2 1"),
            ("Backspace", "", fits),
            ("R", "its row joins the one above", "map:8 / 2_2 1"),
            ("R", "", fits),
            ("L", "a leaf of the map begins", "map:4 / 4 / 2_2 1"),
            ("L", "", fits),
        ):
            yield from keys(key)
            assert self._shape.text.startswith(text)
            if words:
                self._frame(f"{key}: {words}")


def tab_to_panel() -> Keys:
    """From the leaf to the list of forms."""
    yield Stroke("Return")
    assert name_of(focused()) == "Form"
