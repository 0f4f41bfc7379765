"""Above the table: title, what is said of the prices, albums, parts, sort, search."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLineEdit, QWidget

from core.model.album import AlbumId
from gui.coins.bar import shorten
from gui.flow_layout import FlowLayout
from gui.theme import M, S
from gui.upgrades.lines import Order, Part
from gui.widgets import Chip, Label, MenuButton, QuietButton, column, row

LONGEST_NAME = 18


class UpgradesHead(QWidget):
    """The title with the albums looked at, and the way to the prices."""

    albums_chosen = Signal(object)
    """A tuple of AlbumId; empty for all."""
    prices_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        line = row(spacing=S)
        self.title = Label("What to buy next", "title", self)
        line.addWidget(self.title)
        line.addStretch(1)
        self.tools = row(spacing=S)
        line.addLayout(self.tools)
        self.albums = MenuButton("Albums", "all", self)
        self.albums.setToolTip("Which albums are looked at (Alt+L)")
        line.addWidget(self.albums)
        self.prices = QuietButton("Prices and offers", self)
        self.prices.setToolTip("Your list, offers, rates, rules (Alt+P)")
        self.prices.clicked.connect(self.prices_asked)
        line.addWidget(self.prices)
        box.addLayout(line)
        self.told = Label("", "small", self, wraps=True)
        box.addWidget(self.told)
        self._chosen: tuple[AlbumId, ...] = ()
        self._all: tuple[tuple[AlbumId, str], ...] = ()

    def show_albums(self, albums: Sequence[tuple[AlbumId, str]], chosen: Sequence[AlbumId]) -> None:
        """The albums that can be looked at, and those that are; none chosen stands for all."""
        self._all = tuple(albums)
        self._chosen = tuple(a for a, _ in albums if a in set(chosen))
        menu = self.albums.choices
        menu.clear()
        every = QAction("All albums", menu)
        every.setCheckable(True)
        every.setChecked(not self._chosen)
        every.triggered.connect(lambda _on=False: self._choose(()))
        menu.addAction(every)
        menu.addSeparator()
        for number, name in albums:
            action = QAction(shorten(name).replace("&", "&&"), menu)
            action.setCheckable(True)
            action.setChecked(number in self._chosen)
            action.triggered.connect(lambda _on=False, number=number: self._turn(number))
            menu.addAction(action)
        names = [name for number, name in albums if number in self._chosen]
        value = "all" if not names else _short(names[0]) if len(names) == 1 else str(len(names))
        self.albums.show_value(value.replace("&", "&&"))

    def _turn(self, number: AlbumId) -> None:
        others = [one for one in self._chosen if one != number]
        self._choose(tuple(others) if number in self._chosen else (*self._chosen, number))

    def _choose(self, chosen: tuple[AlbumId, ...]) -> None:
        self.show_albums(self._all, chosen)
        self.albums_chosen.emit(self._chosen)


class UpgradesBar(QWidget):
    """Which lines are shown, in which order; search and sort stand in the head's line of tools."""

    changed = Signal()

    def __init__(self, tools: QHBoxLayout, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = column(self, spacing=S)
        chips = FlowLayout(spacing_x=S, spacing_y=S)
        self._group = QButtonGroup(self)
        self.chips: dict[Part, Chip] = {}
        for place, part in enumerate(Part):
            chip = Chip(str(part), None, self)
            self._group.addButton(chip, place)
            chips.addWidget(chip)
            self.chips[part] = chip
        self.chips[Part.OPEN].setChecked(True)
        self._group.idClicked.connect(lambda _place: self.changed.emit())
        self.priced = Chip("priced only", None, self)
        self.priced.setToolTip("Leave out what has no price (Alt+O)")
        self.priced.setShortcut("Alt+O")
        self.priced.toggled.connect(lambda _on: self.changed.emit())
        chips.addWidget(self.priced)
        self.order = Order.PLAN
        self.sort = MenuButton("Sort", str(self.order), self)
        self.sort.setToolTip("Sort (Alt+S)")
        for order in Order:
            action = QAction(str(order), self.sort.choices)
            action.setCheckable(True)
            action.setChecked(order is self.order)
            action.triggered.connect(lambda _on=False, order=order: self.choose_order(order))
            self.sort.choices.addAction(action)
        self.filter = QLineEdit(self)
        self.filter.setProperty("kind", "search")
        self.filter.setPlaceholderText("Find")
        self.filter.setToolTip("All words you type (Ctrl+F)")
        self.filter.setAccessibleName("Find slots")
        self.filter.setMinimumWidth(96)
        self.filter.setMaximumWidth(M * 14)
        self.filter.textChanged.connect(lambda _text: self.changed.emit())
        tools.addWidget(self.filter)
        tools.addWidget(self.sort)
        box.addLayout(chips)

    @property
    def part(self) -> Part:
        """Which lines are shown."""
        return tuple(Part)[max(0, self._group.checkedId())]

    def choose(self, part: Part) -> None:
        """Show another part."""
        self.chips[part].setChecked(True)
        self.changed.emit()

    def choose_order(self, order: Order) -> None:
        """Sort in another way."""
        self.order = order
        self.sort.show_value(str(order))
        for action in self.sort.choices.actions():
            action.setChecked(action.text() == str(order))
        self.changed.emit()

    def show_counts(self, counts: Mapping[Part, int]) -> None:
        """How many lines each part has; a part without any is not offered, unless it is shown."""
        for part, chip in self.chips.items():
            chip.show_text(f"{part}  {counts[part]:,}")
            chip.setVisible(bool(counts[part]) or chip.isChecked() or part is Part.ALL)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"
