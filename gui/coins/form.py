"""One coin's form: what it is in chips built from its series, its grade, where it came from."""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import (
    QApplication,
    QCompleter,
    QLineEdit,
    QPlainTextEdit,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from core.errors import BadEntry
from core.model.coin import Coin, Finding, Origin, Problem
from core.model.issue import Description, Series, VarietyId
from core.model.label import describe
from gui.coins.draft import (
    CoinDraft,
    FieldFault,
    dates_text,
    draft_of,
    facet_choices,
    read_draft,
    toggled,
    with_dates,
)
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.theme import XS, L, M, S
from gui.widgets import (
    Card,
    Chip,
    ElidedLabel,
    Hairline,
    IconButton,
    KeyHint,
    Label,
    MenuButton,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    clear_layout,
    column,
    row,
)

WIDTH_PX = 376
SAVE_KEY = "Ctrl+Enter"
_TOP = Qt.AlignmentFlag.AlignTop
NOT_LOOKED = "not looked at"
MOST_VARIETIES = 40
_MORE = (
    Qt.KeyboardModifier.ControlModifier
    | Qt.KeyboardModifier.ShiftModifier
    | Qt.KeyboardModifier.MetaModifier
)


class CoinForm(Card):
    """Edits one coin; `saved` gives it as typed, `left` tells that nothing is to change."""

    saved = Signal(object)
    """The Coin as it shall be."""
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (0, L, 0, L), M)
        self.setFixedWidth(WIDTH_PX)
        self.setAccessibleName("Edit a coin")
        self._coin: Coin | None = None
        self._series: Series | None = None
        self._draft: CoinDraft | None = None
        self.facet_chips: dict[tuple[str, str], Chip] = {}
        self.findings: dict[VarietyId, MenuButton] = {}
        self._build()

    # --- building

    def _build(self) -> None:
        head = row(margins=(L, 0, L, 0), spacing=S)
        self._title = Label("", "heading", self)
        close = IconButton("x", "Leave without saving (Esc)", self)
        close.clicked.connect(self.left)
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(close)
        self.box.addLayout(head)
        told = column(margins=(L, 0, L, 0), spacing=2)
        self._reads = ElidedLabel("", "strong", self)
        self._series_name = ElidedLabel("", "small", self)
        told.addWidget(self._reads)
        told.addWidget(self._series_name)
        self.box.addLayout(told)
        self.box.addWidget(Hairline(self))
        self._scroll = ScrollColumn(self, (L, 0, L, S), L)
        self._build_coin(self._scroll.inside)
        self._build_condition(self._scroll.inside)
        self._build_origin(self._scroll.inside)
        self._scroll.box.addStretch(1)
        self.box.addWidget(self._scroll, 1)
        self.box.addWidget(Hairline(self))
        self.box.addLayout(self._build_foot())

    def _add(self, field: FormField) -> FormField:
        self._scroll.box.addWidget(field)
        return field

    def _line(self, parent: QWidget, hint: str = "") -> QLineEdit:
        field = QLineEdit(parent)
        field.setMaxLength(400)
        field.setPlaceholderText(hint)
        return field

    def _build_coin(self, parent: QWidget) -> None:
        self.date = self._line(parent, "not known")
        self._dates = QStringListModel(self)
        completer = QCompleter(self._dates, self.date)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.date.setCompleter(completer)
        self.date.textChanged.connect(self._on_date)
        self.date_field = self._add(FormField("Date", self.date, parent))
        self._facets = column(spacing=L)
        self._scroll.box.addLayout(self._facets)
        self.description_fault = Label("", "fault", parent, wraps=True)
        self.description_fault.hide()
        self._scroll.box.addWidget(self.description_fault)

    def _build_condition(self, parent: QWidget) -> None:
        self.grade = self._line(parent, "no grade yet")
        self.grade_field = self._add(FormField("Grade", self.grade, parent))
        content = column(spacing=S)
        self._problem_chips = FlowLayout(spacing_x=XS, spacing_y=XS)
        self.problem_menu = MenuButton("Add a problem", "", parent)
        for problem in Problem:
            action = QAction(str(problem), self.problem_menu.choices)
            action.triggered.connect(partial(self._set_problem, problem, True))
            self.problem_menu.choices.addAction(action)
        content.addLayout(self._problem_chips)
        line = row()
        line.addWidget(self.problem_menu)
        line.addStretch(1)
        content.addLayout(line)
        self._add(FormField("Problems", content, parent))
        marks = FlowLayout(spacing_x=S, spacing_y=S)
        self.flagged = Chip("to verify", None, parent)
        self.not_genuine = Chip("not genuine", None, parent)
        marks.addWidget(self.flagged)
        marks.addWidget(self.not_genuine)
        self._add(FormField("Marks", marks, parent))
        self._variety_rows = column(spacing=XS)
        self._variety_field = self._add(FormField("Varieties", self._variety_rows, parent))

    def _build_origin(self, parent: QWidget) -> None:
        pair = row(spacing=M)
        self.weight = self._line(parent, "g")
        self.quantity = QSpinBox(parent)
        self.quantity.setRange(1, 999_999)
        self.quantity.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.weight_field = FormField("Weight, grams", self.weight, parent)
        self.quantity_field = FormField("How many", self.quantity, parent)
        pair.addWidget(self.weight_field, 1, _TOP)
        pair.addWidget(self.quantity_field, 1, _TOP)
        self._scroll.box.addLayout(pair)
        self.origin = MenuButton("", "", parent)
        for origin in Origin:
            action = QAction(str(origin), self.origin.choices)
            action.triggered.connect(partial(self._set_origin, origin))
            self.origin.choices.addAction(action)
        how = row(spacing=S)
        self.came_from = self._line(parent, "where or from whom")
        self.came_from.setAccessibleName("Came from")
        how.addWidget(self.origin)
        how.addWidget(self.came_from, 1)
        self._add(FormField("Came from", how, parent))
        where = row(spacing=M)
        self.acquired = self._line(parent, "2026-03-02")
        self.place = self._line(parent, "tray, box, tube")
        self.acquired_field = FormField("Acquired", self.acquired, parent)
        where.addWidget(self.acquired_field, 1, _TOP)
        where.addWidget(FormField("Where it lies", self.place, parent), 1, _TOP)
        self._scroll.box.addLayout(where)
        paid = row(spacing=M)
        self.paid = self._line(parent, "12.50")
        self.currency = self._line(parent, "USD")
        self.currency.setMaxLength(8)
        self.paid_field = FormField("Paid", self.paid, parent)
        paid.addWidget(self.paid_field, 1, _TOP)
        paid.addWidget(FormField("Currency", self.currency, parent), 1, _TOP)
        self._scroll.box.addLayout(paid)
        self.note = QPlainTextEdit(parent)
        self.note.setTabChangesFocus(True)
        self.note.setFixedHeight(72)
        self._add(FormField("Note", self.note, parent))

    def _build_foot(self) -> QVBoxLayout:
        foot = column(margins=(L, 0, L, 0), spacing=S)
        self._trouble = Label("", "fault", self, wraps=True)
        self._trouble.hide()
        foot.addWidget(self._trouble)
        line = row(spacing=S)
        self.save_button = PrimaryButton("Save", self)
        self.save_button.clicked.connect(self.save)
        self.cancel_button = QuietButton("Cancel", self)
        self.cancel_button.clicked.connect(self.left)
        line.addWidget(KeyHint(SAVE_KEY, self))
        line.addWidget(KeyHint("Esc", self))
        line.addStretch(1)
        line.addWidget(self.cancel_button)
        line.addWidget(self.save_button)
        foot.addLayout(line)
        return foot

    # --- showing a coin

    def show_coin(self, coin: Coin, series: Series, is_placed: bool = False) -> None:
        """Begin to edit a coin; one that sits in a slot cannot become a lot."""
        self._coin, self._series = coin, series
        draft = self._draft = draft_of(coin)
        self._title.setText(f"Coin {coin.id}")
        self._series_name.show_text(series.title)
        self._dates.setStringList([date for date, _ in series.dates])
        self._set_text(self.date, dates_text(draft.description))
        for field, text in (
            (self.grade, draft.grade),
            (self.weight, draft.weight),
            (self.came_from, draft.came_from),
            (self.acquired, draft.acquired),
            (self.place, draft.place),
            (self.paid, draft.paid),
            (self.currency, draft.currency),
        ):
            self._set_text(field, text)
        self.note.setPlainText(draft.note)
        self.quantity.setValue(draft.quantity)
        self.quantity.setEnabled(not is_placed)
        self.quantity.setToolTip("A coin in a slot is one piece." if is_placed else "")
        self.flagged.setChecked(draft.is_flagged)
        self.not_genuine.setChecked(not draft.is_genuine)
        self._show_origin()
        self._show_problems()
        self._show_description()
        self._show_faults([])
        self._scroll.verticalScrollBar().setValue(0)
        self.grade.setFocus(Qt.FocusReason.OtherFocusReason)
        self.grade.selectAll()

    @staticmethod
    def _set_text(field: QLineEdit, text: str) -> None:
        field.blockSignals(True)
        field.setText(text)
        field.blockSignals(False)

    @property
    def coin(self) -> Coin | None:
        """The coin being edited, as it is in the collection."""
        return self._coin

    @property
    def draft(self) -> CoinDraft:
        """What stands in the form now."""
        assert self._draft is not None
        return replace(
            self._draft,
            grade=self.grade.text(),
            is_flagged=self.flagged.isChecked(),
            is_genuine=not self.not_genuine.isChecked(),
            weight=self.weight.text(),
            quantity=self.quantity.value(),
            came_from=self.came_from.text(),
            acquired=self.acquired.text(),
            place=self.place.text(),
            paid=self.paid.text(),
            currency=self.currency.text(),
            note=self.note.toPlainText(),
        )

    # --- what it is

    def _on_date(self, text: str) -> None:
        if self._draft is None or self._series is None:
            return
        try:
            description = with_dates(self._series, self._draft.description, text)
        except BadEntry as fault:
            self.date_field.show_fault(str(fault))
            return
        self.date_field.show_fault("")
        self._describe(description)

    def _describe(self, description: Description) -> None:
        assert self._draft is not None
        self._draft = replace(self._draft, description=description)
        self._show_description()

    def _show_description(self) -> None:
        series, draft = self._series, self._draft
        if series is None or draft is None:
            return
        self._reads.show_text(describe(series, draft.description))
        try:
            series.require(draft.description)
        except BadEntry as fault:
            self._say_description(str(fault))
        else:
            self._say_description("")
        had_focus = next((key for key, c in self.facet_chips.items() if c.hasFocus()), None)
        clear_layout(self._facets)
        self.facet_chips = {}
        for choice in facet_choices(series, draft.description):
            chips = FlowLayout(spacing_x=S, spacing_y=S)
            for value, words in choice.values:
                chip = Chip(words, None, self._scroll.inside)
                chip.setChecked(value in choice.chosen)
                chip.setToolTip("Ctrl and a click: it may be either")
                chip.clicked.connect(partial(self._on_facet, choice.name, value))
                chips.addWidget(chip)
                self.facet_chips[choice.name, value] = chip
            self._facets.addWidget(FormField(choice.name.capitalize(), chips, self._scroll.inside))
        if had_focus in self.facet_chips:
            self.facet_chips[had_focus].setFocus(Qt.FocusReason.OtherFocusReason)
        self._show_varieties()

    def _say_description(self, text: str) -> None:
        self.description_fault.setText(text)
        self.description_fault.setVisible(bool(text))

    def _on_facet(self, name: str, value: str, _is_checked: bool = False) -> None:
        assert self._draft is not None
        is_more = bool(QApplication.keyboardModifiers() & _MORE)
        self._describe(toggled(self._draft.description, name, value, is_more))

    # --- problems, varieties, origin

    def _set_problem(self, problem: Problem, is_there: bool, _is_checked: bool = False) -> None:
        assert self._draft is not None
        others = tuple(p for p in self._draft.problems if p is not problem)
        problems = (*others, problem) if is_there else others
        self._draft = replace(self._draft, problems=problems)
        self._show_problems()

    def _show_problems(self) -> None:
        assert self._draft is not None
        clear_layout(self._problem_chips)
        for problem in self._draft.problems:
            chip = Chip(f"{problem}  ×", None, self)
            chip.setChecked(True)
            chip.setAccessibleName(f"{problem}, take off")
            chip.clicked.connect(partial(self._set_problem, problem, False))
            self._problem_chips.addWidget(chip)
        for action, problem in zip(self.problem_menu.choices.actions(), Problem, strict=True):
            action.setVisible(problem not in self._draft.problems)

    def _show_varieties(self) -> None:
        assert self._draft is not None
        assert self._series is not None
        clear_layout(self._variety_rows)
        self.findings = {}
        series, draft = self._series, self._draft
        mask = series.may_be(draft.description)
        found = dict(draft.varieties)
        known = [
            v for v in series.varieties_open_to(mask) if len(series.matching(draft.description))
        ]
        if not draft.description.values("date"):
            known = []  # a coin without a date would list every variety of the series
        known += [v for code in found if (v := series.variety(code)) and v not in known]
        for variety in known[:MOST_VARIETIES]:
            line = row(spacing=S)
            name = ElidedLabel(variety.name, "body", self._scroll.inside)
            button = self._finding_button(variety.id, variety.name, found.get(variety.id))
            line.addWidget(name, 1)
            line.addWidget(button)
            holder = QWidget(self._scroll.inside)
            holder.setLayout(line)
            self._variety_rows.addWidget(holder)
        self._variety_field.setVisible(bool(known))

    def _finding_button(self, code: VarietyId, name: str, finding: Finding | None) -> MenuButton:
        button = MenuButton("", "", self._scroll.inside)
        self._say_finding(button, name, finding)
        for choice in (None, *Finding):
            action = QAction(str(choice) if choice else NOT_LOOKED, button.choices)
            action.triggered.connect(partial(self._set_finding, code, choice))
            button.choices.addAction(action)
        self.findings[code] = button
        return button

    @staticmethod
    def _say_finding(button: MenuButton, name: str, finding: Finding | None) -> None:
        text = str(finding) if finding else NOT_LOOKED
        button.setText(f"{text} ▾")
        button.setAccessibleName(f"{name}: {text}")

    def _set_finding(self, code: VarietyId, finding: Finding | None, _is: bool = False) -> None:
        assert self._draft is not None
        assert self._series is not None
        found = {v: f for v, f in self._draft.varieties if v != code}
        if finding is not None:
            found[code] = finding
        self._draft = replace(self._draft, varieties=tuple(sorted(found.items())))
        variety = self._series.variety(code)
        self._say_finding(self.findings[code], variety.name if variety else str(code), finding)

    def _set_origin(self, origin: Origin, _is_checked: bool = False) -> None:
        assert self._draft is not None
        self._draft = replace(self._draft, origin=origin)
        self._show_origin()

    def _show_origin(self) -> None:
        assert self._draft is not None
        self.origin.setText(f"{self._draft.origin} ▾")
        self.origin.setAccessibleName(f"How it came: {self._draft.origin}")

    # --- saving

    def save(self) -> None:
        """Give the coin, or say beside each field what is wrong."""
        if self._coin is None or self._series is None or self._draft is None:
            return
        coin, faults = read_draft(self.draft, self._coin, self._series)
        self._show_faults(faults)
        if faults or self.date_field.fault:
            return
        self.saved.emit(coin)

    def _show_faults(self, faults: list[FieldFault]) -> None:
        told = {fault.field: fault.text for fault in faults}
        fields = {
            "grade": self.grade_field,
            "weight": self.weight_field,
            "acquired": self.acquired_field,
            "paid": self.paid_field,
        }
        for name, field in fields.items():
            field.show_fault(told.get(name, ""))
        self.show_trouble("")
        first = next((fields[f.field] for f in faults if f.field in fields), None)
        if first is not None:
            self._scroll.ensureWidgetVisible(first)

    def show_trouble(self, text: str) -> None:
        """Why the coin was not saved."""
        self._trouble.setText(text)
        self._trouble.setVisible(bool(text))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        is_in_note = self.note.hasFocus()
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif is_enter and (is_ctrl or not is_in_note):
            self.save()
        else:
            super().keyPressEvent(event)
