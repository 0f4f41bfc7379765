"""The budget and the aim: an amount to type or to slide, what is sought, the weights of a mix."""

import html

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from core.errors import BadEntry
from core.model.money import money_text, read_money
from core.planning.aim import GAPS, KEYS, POINTS, TARGETS, Aim, mix
from gui.theme import XL, XS, L, M, S
from gui.upgrades.slider import PlainSlider
from gui.widgets import Card, Label, MenuButton, column, row

AIMS: tuple[tuple[Aim | None, str], ...] = (
    (GAPS, "close gaps first, then targets"),
    (TARGETS, "meet targets first, then gaps"),
    (POINTS, "gain grade points"),
    (KEYS, "key dates first"),
    (None, "a mix of all three"),
)
WEIGHTS = (("a gap closed", 3), ("a target met", 2), ("ten points gained", 1))
MOST_WEIGHT, STEPS = 10, 200
PLACEHOLDER = "no limit"
TIES = "Plans that are equal"
"""From here on an aim tells how ties are broken; the tip has it whole."""


class BudgetCard(Card):
    """Tells a new budget (minor units, None without a limit) or aim as soon as it is chosen."""

    budget_chosen = Signal(object)
    aim_chosen = Signal(object)
    left = Signal()
    """Enter in the amount: on to the table."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (L, M, L, M), S)
        self._currency, self._top = "USD", 1
        self._is_telling = True
        self.aim: Aim = GAPS
        line = row(spacing=XL)
        line.addLayout(self._build_amount())
        self.slider = PlainSlider("Budget", STEPS, self)
        self.slider.setSingleStep(1)
        self.slider.setPageStep(10)
        self.slider.valueChanged.connect(self._on_slid)
        line.addWidget(self.slider, 3)
        aims = column(spacing=XS)
        aims.addWidget(Label("Aim (Alt+A)", "small", self))
        self.aims = MenuButton("Aim", "", self)
        self.aims.setToolTip("What the plan seeks (Alt+A)")
        self.aims.setMinimumWidth(220)
        for aim, words in AIMS:
            action = QAction(words, self.aims.choices)
            action.setCheckable(True)
            action.triggered.connect(lambda _on=False, aim=aim: self._on_aim(aim))
            self.aims.choices.addAction(action)
        aims.addWidget(self.aims)
        line.addLayout(aims, 2)
        self.box.addLayout(line)
        self.box.addWidget(self._build_mix())
        self.words = Label("", "small", self, wraps=True)
        self.box.addWidget(self.words)
        self.show_aim(GAPS)

    def _build_amount(self) -> QVBoxLayout:
        box = column(spacing=0)
        self.name = Label("Budget (Alt+B)", "small", self)
        box.addWidget(self.name)
        self.amount = QLineEdit(self)
        self.amount.setProperty("kind", "line")
        self.amount.setAccessibleName("Budget")
        self.amount.setPlaceholderText(PLACEHOLDER)
        self.amount.setToolTip("What may be spent in all; empty for no limit (Alt+B)")
        self.amount.setMaxLength(16)
        self.amount.setFixedWidth(132)
        self.amount.textEdited.connect(self._on_typed)
        self.amount.editingFinished.connect(self._tidy)
        self.amount.returnPressed.connect(self.left)
        self.fault = Label("", "fault", self, wraps=True)
        self.fault.hide()
        box.addWidget(self.amount)
        box.addWidget(self.fault)
        return box

    def _build_mix(self) -> QWidget:
        self.mix = QWidget(self)
        line = row(self.mix, spacing=L)
        self.weights: list[PlainSlider] = []
        self._weight_words: list[Label] = []
        for name, usual in WEIGHTS:
            box = column(spacing=0)
            words = Label("", "small", self.mix)
            slider = PlainSlider(f"What {name} counts", MOST_WEIGHT, self.mix)
            slider.setValue(usual)
            slider.valueChanged.connect(self._on_weight)
            box.addWidget(words)
            box.addWidget(slider)
            line.addLayout(box, 1)
            self.weights.append(slider)
            self._weight_words.append(words)
        self.mix.hide()
        return self.mix

    # ---- what is shown ------------------------------------------------------------------------

    @property
    def currency(self) -> str:
        """The currency that the budget is told in."""
        return self._currency

    def show_currency(self, currency: str) -> None:
        """The base currency, beside the budget's name."""
        self._currency = currency
        self.name.setText(f"Budget, {currency} (Alt+B)")
        self.amount.setAccessibleName(f"Budget in {currency}")

    def show_top(self, most: int) -> None:
        """The slider's end, in minor units: beyond it nothing more can be bought."""
        self._top = max(1, most)
        self._slide_to(self.budget)

    def show_budget(self, budget: int | None) -> None:
        """Show a budget without telling anyone."""
        self.amount.setText("" if budget is None else money_text(budget, self._currency))
        self._say("")
        self._slide_to(budget)

    @property
    def budget(self) -> int | None:
        """The budget typed, None where none is or it cannot be read."""
        text = self.amount.text().strip()
        try:
            return max(0, read_money(text, self._currency)) if text else None
        except BadEntry:
            return None

    def _slide_to(self, budget: int | None) -> None:
        self._is_telling = False
        share = 1.0 if budget is None else min(1.0, budget / self._top)
        self.slider.setValue(round(share * STEPS))
        self._is_telling = True

    def show_aim(self, aim: Aim) -> None:
        """Show an aim without telling anyone."""
        self.aim = aim
        known = {one.name: words for one, words in AIMS if one is not None}
        is_mix = aim.name not in known
        words = known.get(aim.name, AIMS[-1][1])
        self.aims.setText(f"{words} ▾")
        self.aims.setAccessibleName(f"Aim: {words}")
        for action in self.aims.choices.actions():
            action.setChecked(action.text() == words)
        self.mix.setVisible(is_mix)
        if is_mix and aim.name != self._mixed().name:
            self._show_weights(aim)
        for slider, label, (name, _) in zip(self.weights, self._weight_words, WEIGHTS, strict=True):
            label.setText(f"{name} counts {slider.value()}")
        self.words.setText(aim.words.partition(TIES)[0].rstrip())
        self.words.setToolTip(html.escape(aim.words))

    def _show_weights(self, aim: Aim) -> None:
        weights = aim.name.partition(":")[2].split(",")
        self._is_telling = False
        for slider, weight in zip(self.weights, weights, strict=True):
            slider.setValue(min(MOST_WEIGHT, int(weight)))
        self._is_telling = True

    # ---- what is chosen -----------------------------------------------------------------------

    def _say(self, text: str) -> None:
        self.fault.setText(text)
        self.fault.setVisible(bool(text))

    def _on_typed(self, text: str) -> None:
        try:
            budget = read_money(text, self._currency) if text.strip() else None
            if budget is not None and budget < 0:
                raise BadEntry("A budget is not below zero.")
        except BadEntry as bad:
            self._say(str(bad))
            return
        self._say("")
        self._slide_to(budget)
        self.budget_chosen.emit(budget)

    def _on_slid(self, place: int) -> None:
        if not self._is_telling:
            return
        budget = round_amount(self._top * place // STEPS) if place < STEPS else self._top
        self.amount.setText(money_text(budget, self._currency))
        self._say("")
        self.budget_chosen.emit(budget)

    def _on_aim(self, aim: Aim | None) -> None:
        self.show_aim(self._mixed() if aim is None else aim)
        self.aim_chosen.emit(self.aim)

    def _mixed(self) -> Aim:
        gaps, targets, points = (slider.value() for slider in self.weights)
        return mix(gaps, targets, points) if gaps or targets or points else mix(1, 0, 0)

    def _on_weight(self) -> None:
        if not self._is_telling:
            return
        if not any(slider.value() for slider in self.weights):
            self.weights[0].setValue(1)  # tells again
            return
        self.show_aim(self._mixed())
        self.aim_chosen.emit(self.aim)

    def open_aims(self) -> None:
        """Open the aims; Tab goes on from there to the weights of a mix."""
        self.aims.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.aims.showMenu()

    def _tidy(self) -> None:
        """An amount that was read stands as it is told elsewhere, 250.00."""
        budget = self.budget
        if budget is not None and not self.fault.text():
            self.amount.setText(money_text(budget, self._currency))

    def focus_amount(self) -> None:
        """Give the amount the keys."""
        self.amount.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.amount.selectAll()


def round_amount(minor: int) -> int:
    """An amount as one would name it: two or three figures that count."""
    unit = 1
    while minor // unit > 999:
        unit *= 10
    return minor // unit * unit
