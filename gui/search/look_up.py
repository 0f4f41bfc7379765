"""The answer to the look-up line of the bar, and what Enter makes of it."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QTimer, Signal
from PySide6.QtWidgets import QFrame, QWidget

from core.app.look_up import Answer, Looked, Scope, UseRule
from core.errors import BadEntry
from core.lookup.commands import Command
from core.lookup.offer_terms import has_terms, split_terms
from core.model.coin import Origin
from gui.desk import Desk
from gui.search.answer_card import AnswerCard
from gui.search.closer_dialog import CloserDialog
from gui.search.line import LineField
from gui.search.sitting import LookingUp, Said
from gui.settings import Settings
from gui.theme import L, M, S
from gui.widgets import ElidedLabel, Label, column, row

if TYPE_CHECKING:
    from core.app.collection import Collection

HINT = "Enter puts it into the collection · Tab completes · Esc leaves"
OFFER_HINT = "Enter notes the offer · Esc leaves"


class QuickLook(LookingUp):
    """Looks up among all albums; a coin kept here is a find of no box."""

    left = Signal()
    told = Signal(str)
    """What became of the coin that Enter put in."""

    def __init__(self, desk: Desk, settings: Settings, field: LineField, over: QWidget) -> None:
        self._settings, self._over = settings, over
        self.drop = QFrame(over)
        self.drop.setProperty("kind", "drawer")
        self.drop.hide()
        box = column(self.drop, (M, M, M, S), S)
        card = AnswerCard(self.drop)
        card.setProperty("kind", "clear")
        card.setMinimumHeight(150)
        box.addWidget(card)
        foot = row(margins=(S, 0, S, 0), spacing=L)
        self.hint = Label(HINT, "small", self.drop)
        foot.addWidget(self.hint)
        self.more = ElidedLabel("", "mute", self.drop)
        foot.addWidget(self.more, 1)
        box.addLayout(foot)
        self.card = card
        self._completions: tuple[str, ...] = ()
        super().__init__(desk, field, card, over)
        card.closer_asked.connect(self._look_closer)
        field.completion_asked.connect(self._complete)
        desk.changed.connect(self._on_changed)

    def begin(self) -> None:
        """Answer what was typed before there was anybody to answer."""
        self._on_typed(self._field.text())

    @property
    def scope(self) -> Scope:
        """All albums, by the collector's rule."""
        try:
            return Scope(rule=UseRule.from_text(self._settings.use_rule))
        except BadEntry:
            return Scope()

    def drop_at(self, corner: QPoint, width_px: int) -> None:
        """Show the answer there."""
        self.drop.move(corner)
        self.drop.setFixedWidth(width_px)
        self.drop.show()
        self.drop.raise_()
        self._fit()

    def _fit(self) -> None:
        """As high as the answer needs, once its labels know their width."""
        QTimer.singleShot(0, self, self._fit_now)

    def _fit_now(self) -> None:
        layout = self.drop.layout()
        assert layout is not None
        layout.activate()
        high = layout.heightForWidth(self.drop.width()) if layout.hasHeightForWidth() else 0
        self.drop.resize(self.drop.width(), max(high, layout.minimumSize().height()))

    def hide(self) -> None:
        """Put the answer away."""
        self.drop.hide()

    def holds(self, widget: QWidget | None) -> bool:
        """Whether a widget is a part of the answer."""
        return widget is not None and self.drop.isAncestorOf(widget)

    def _offer(self, completions: tuple[str, ...]) -> None:
        self._completions = completions
        self.more.show_text(" · ".join(completions[:4]))

    def _complete(self, step: int) -> None:
        if step >= 0 and self._completions:
            self._field.setText(self._completions[0])

    def _on_answer(self, said: Said) -> None:
        super()._on_answer(said)
        self.hint.setText(OFFER_HINT if has_terms(said.text) else HINT)
        self._fit()

    def _decide(self, looked: Looked, is_kept: bool) -> None:
        super()._decide(looked, is_kept)
        self._fit()

    def _on_changed(self, _changes: object) -> None:
        if self.drop.isVisible() and self._field.text().strip():
            self._ask()

    def _show_rest(self) -> None:
        """Nothing is typed: the answer is away until the next letter, after Enter too."""
        super()._show_rest()
        self.drop.hide()

    def _on_done(self) -> None:
        self.told.emit(f"{self._kept_text}. Undo: Ctrl+Z.")

    def look_closer(self) -> None:
        """Show where to look and what to see for the coin on the line."""
        if self.drop.isVisible() and self._card.readings:
            self._look_closer(self._card.readings[0].answer)

    def _look_closer(self, answer: Answer) -> None:
        CloserDialog.ask(self._over, self._desk, answer)

    @staticmethod
    def _look_up(collection: "Collection", text: str, scope: Scope) -> Looked:
        from core.app.offers import look_up_with_offers

        return look_up_with_offers(collection, text, scope)

    def _put_down(self, answer: Answer, is_kept: bool) -> None:
        from dataclasses import replace

        from core.app.compare import kept_coin
        from core.app.offers import note_offer
        from core.app.operations import add_coins

        offered = split_terms(self._field.text())
        if offered is not None:
            self._run(note_offer(answer.entry, offered[1]), f"Offer noted: {answer.name}", ())
            return
        if not is_kept:
            self._card.show_told("", "Counting needs a box: go to Searches (Ctrl+3).")
            return
        coin = replace(kept_coin(answer.entry), origin=Origin.FOUND)
        told = f"{coin.quantity} put in" if coin.quantity > 1 else "Put in"
        self._run(add_coins([coin]), f"{told}: {answer.name}, a spare", (answer,))

    def _do(self, command: Command) -> None:
        told = f"“{command.text}” needs a box: go to Searches (Ctrl+3)."
        self._card.show_told("", told)
