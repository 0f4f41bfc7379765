"""The silver and copper in the coins held or the spares: weight, worth, share of the estimate."""

from decimal import Decimal
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from core.model.money import money_text
from core.model.prices import PriceRules, SpotPrice
from gui.day_words import day_words
from gui.desk import Desk
from gui.search.plain_table import PlainTable
from gui.segmented import Segmented
from gui.theme import L, M, S
from gui.widgets import EmptyState, Label, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection
    from core.app.metals import MetalRow, Metals

WHOSE = ("All coins", "Spares")
CHOICE_PX = 200
NO_COINS = (
    "No coins yet",
    "Ctrl+K looks the first one up; its silver and copper is told here then.",
)
NO_SPARES = ("No spares", "Every coin you hold sits in a slot. Alt+A tells the metal of all coins.")
NO_SPOT = "No price of metal is entered yet: Alt+M sets one."
NOT_KNOWN = "not known"


class MetalPage(QWidget):
    """Reads itself anew when it is shown, and when `read` is called."""

    spot_asked = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._job: Job | None = None
        self.found: Metals | None = None
        box = column(self, (M, M, M, M), M)
        line = row(spacing=L)
        self.whose = Segmented(WHOSE, "Whose metal", self)
        self.whose.setMinimumWidth(CHOICE_PX)
        self.whose.choose(0)
        self.whose.chosen.connect(lambda _place: self.read())
        for button in self.whose.buttons:
            button.setToolTip("Alt+A changes it")
        line.addWidget(self.whose)
        self.spots = Label("", "mute", self, wraps=True)
        line.addWidget(self.spots, 1)
        box.addLayout(line)
        self.pages = QStackedWidget(self)
        self.table = PlainTable("Metal by series", self)
        self.table.setProperty("kind", "lines")
        self.empty = EmptyState(*NO_COINS, parent=self)
        self.pages.addWidget(self.table)
        self.pages.addWidget(self.empty)
        box.addWidget(self.pages, 1)
        below = column(spacing=S)
        self.sum = Label("", "strong", self, wraps=True)
        self.notes = Label("", "small", self, wraps=True)
        below.addWidget(self.sum)
        below.addWidget(self.notes)
        box.addLayout(below)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.read()

    def turn(self) -> None:
        """All coins, or the spares alone."""
        self.whose.choose(1 - self.whose.choice())
        self.read()

    def read(self) -> None:
        """Count anew."""
        only_spares = self.whose.choice() == 1
        if self._job is not None:
            self._job.cancel()

        def question(collection: "Collection") -> "tuple[Metals, PriceRules]":
            from core.app.metals import metals

            return metals(collection, only_spares), collection.price_book().rules

        job = self._desk.ask(question, self._show)
        self._job = None if job is None or job.is_done else job

    def _show(self, read: "tuple[Metals, PriceRules]") -> None:
        found, rules = read
        self._job, self.found = None, found
        silver, copper = _spot_words("Silver", rules.silver), _spot_words("copper", rules.copper)
        said = [f"{silver}; {copper}."]
        if found.spots.without_rate:
            codes = ", ".join(found.spots.without_rate)
            said.append(f"No rate of {codes}: Alt+R sets it.")
        has_spot = rules.silver is not None or rules.copper is not None
        self.spots.setText(" ".join(said) if has_spot else NO_SPOT)
        heads = (
            "Series", "Metal", "Pieces", "Silver, oz t", "Copper, g", f"Worth, {rules.base}",
            "Of the estimate",
        )  # fmt: skip
        self.table.show_rows(heads, [metal_cells(one, rules.base) for one in found.rows], texts=2)
        self.pages.setCurrentWidget(self.table if found.rows else self.empty)
        self.empty.say(*(NO_SPARES if self.whose.choice() else NO_COINS))
        pieces = sum(one.coins for one in found.rows if one.worth.minor is not None)
        self.sum.setText(
            f"{money_text(found.minor, rules.base)} {rules.base} together, as struck, in "
            f"{pieces:,} pieces. An estimate, not an offer."
            if found.minor
            else ""
        )
        self.sum.setVisible(bool(found.minor))
        self.notes.setText("\n".join(metal_notes(found)))
        self.notes.setVisible(bool(self.notes.text()))


def metal_cells(one: "MetalRow", base: str) -> tuple[str, ...]:
    """What stands in the row of a metal."""
    worth, share = one.worth.minor, one.share
    of = "" if one.priced == one.coins else f" of {one.priced:,} priced"
    return (
        one.series.title,
        one.composition.title,
        f"{one.coins:,}",
        _weight(one.silver_ozt, 4),
        _weight(one.copper_g, 1),
        "—" if worth is None else money_text(worth, base),
        "—" if share is None else f"{share:,} %{of}" if share else f"under 1 %{of}",
    )


def _weight(weight: Decimal | None, places: int) -> str:
    if weight is None:
        return NOT_KNOWN
    return f"{weight:,.{places}f}" if weight else "none"


def metal_notes(found: "Metals") -> list[str]:
    """What has to be said below the table."""
    notes = list(found.cautions)
    if found.left_out:
        are = "coin may be of several metals and is" if found.left_out == 1 else (
            "coins may be of several metals and are"
        )  # fmt: skip
        notes.append(f"{found.left_out:,} {are} left out.")
    if found.minor:
        notes.append(
            "Weights are those of new coins; worn ones weigh less. The share is that of the list's "
            "prices for the same coins."
        )
    return notes


def _spot_words(metal: str, spot: SpotPrice | None) -> str:
    """Silver 30.00 USD a troy ounce on 3 May 2025."""
    if spot is None:
        return f"{metal} not entered"
    amount = f"{money_text(spot.minor, spot.currency)} {spot.currency}"
    return f"{metal} {amount} {spot.weight.words} on {day_words(spot.day)}"
