"""Edit n coins: what is typed holds for all of them, what is left blank stays as each has it."""

from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog, QGridLayout, QHBoxLayout, QLineEdit, QWidget

from core.app.operations_coins import CoinChange
from core.errors import CollectionError
from core.model.coin import CoinId, Origin
from gui.coins.many import VARIOUS, Field, ManyDraft, Shared, hint_of, read_many
from gui.desk import Desk
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.theme import XL, L, M, S
from gui.widgets import KeyHint, Label, MenuButton, PrimaryButton, QuietButton, column, row

SAVE_KEY = "Ctrl+Return"
AS_IT_IS = "leave as each is"
_YES_NO: tuple[bool | None, ...] = (None, True, False)
HINTS = {
    Field.GRADE: "vf20, MS-64 FS",
    Field.PROBLEMS: "cleaned, bent: all of them; +bent adds one, -bent takes one off",
}
_WHOLE_ROW = (Field.PROBLEMS, Field.NOTE)


def _state(now: bool | None) -> str:
    return VARIOUS if now is None else ("all are" if now else "none is")


class ManyDialog(QDialog):
    """Orders one change to all the coins; faults stand beside their fields and nothing is lost."""

    def __init__(
        self, parent: QWidget | None, desk: Desk, coins: list[CoinId], common: Shared
    ) -> None:
        super().__init__(parent)
        self._desk, self._coins, self._common = desk, coins, common
        self._origin: Origin | None = None
        self.setWindowTitle(f"Edit {common.count:,} coins")
        self.setMinimumWidth(608)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label(f"Edit {common.count:,} coins", "heading", self))
        words = "What you leave blank stays as each coin has it. Write none to empty a field."
        box.addWidget(Label(words, "mute", self, wraps=True))
        box.addSpacing(M)
        box.addLayout(self._build_fields())
        box.addSpacing(M)
        self.trouble = Label("", "fault", self, wraps=True)
        self.trouble.hide()
        box.addWidget(self.trouble)
        box.addLayout(self._build_foot())
        self._on_typed()
        self.lines[Field.GRADE].setFocus(Qt.FocusReason.OtherFocusReason)

    def _build_fields(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(L)
        grid.setVerticalSpacing(M)
        grid.setColumnStretch(0, 1)
        grid.setColumnStretch(1, 1)
        self.lines: dict[Field, QLineEdit] = {}
        self.fields: dict[Field, FormField] = {}
        at = 0
        for which in (Field.GRADE, Field.ACQUIRED, Field.PROBLEMS, Field.CAME_FROM, Field.PLACE,
                      Field.PAID, Field.WEIGHT, Field.NOTE):  # fmt: skip
            field = self._field(which)
            is_whole = which in _WHOLE_ROW
            if is_whole and at % 2:
                at += 1
            cell = column(spacing=0)  # an alignment in the grid would forget what wraps
            cell.addWidget(field)
            cell.addStretch(1)
            grid.addLayout(cell, at // 2, at % 2, 1, 2 if is_whole else 1)
            at += 2 if is_whole else 1
        self.flagged = self._choice("To verify", self._common.is_flagged)
        self.genuine = self._choice("Genuine", self._common.is_genuine)
        for place, (name, now, choice) in enumerate(
            (
                ("To verify", self._common.is_flagged, self.flagged),
                ("Genuine", self._common.is_genuine, self.genuine),
            )
        ):
            field = FormField(f"{name} ({_state(now)})", choice, self)
            grid.addWidget(field, (at + 1) // 2, place)
        return grid

    def _field(self, which: Field) -> FormField:
        line = QLineEdit(self)
        line.setMaxLength(2000 if which is Field.NOTE else 400)
        line.setPlaceholderText(hint_of(self._common, which))
        line.setAccessibleName(f"{which} of all: {hint_of(self._common, which)}")
        line.textChanged.connect(lambda _text: self._on_typed())
        self.lines[which] = line
        if which is Field.CAME_FROM:
            content = row(spacing=S)
            content.addWidget(self._build_origin())
            content.addWidget(line, 1)
            field = FormField(str(which), content, self)
        else:
            field = FormField(str(which), line, self, HINTS.get(which, ""))
        self.fields[which] = field
        return field

    def _build_origin(self) -> MenuButton:
        now = self._common.origin
        self._origin_now = VARIOUS if now is None else f"{now} (all)"
        self.origin = MenuButton("", self._origin_now, self)
        for origin in (None, *Origin):
            action = QAction(str(origin) if origin else AS_IT_IS, self.origin.choices)
            action.triggered.connect(partial(self._set_origin, origin))
            self.origin.choices.addAction(action)
        self._set_origin(None)
        return self.origin

    def _set_origin(self, origin: Origin | None, _is_checked: bool = False) -> None:
        self._origin = origin
        value = str(origin) if origin else self._origin_now
        self.origin.setText(f"{value} ▾")
        self.origin.setAccessibleName(f"How they came: {value}")
        if hasattr(self, "give_button"):
            self._on_typed()

    def _choice(self, name: str, now: bool | None) -> Segmented:
        choice = Segmented(["leave", "yes", "no"], f"{name}, {_state(now)}", self)
        choice.choose(0)
        choice.chosen.connect(lambda _place: self._on_typed())
        return choice

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self._summary = Label("", "small", self)
        cancel = QuietButton("Cancel", self)
        cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton(f"Change {self._common.count:,} coins", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.give)
        shortcut = QShortcut(QKeySequence(SAVE_KEY), self)
        shortcut.activated.connect(self.give)
        foot.addWidget(self._summary)
        foot.addStretch(1)
        foot.addWidget(KeyHint("Esc", self))
        foot.addWidget(cancel)
        foot.addWidget(KeyHint("Enter", self))
        foot.addWidget(self.give_button)
        return foot

    @property
    def draft(self) -> ManyDraft:
        """What stands in the dialog now."""
        return ManyDraft(
            {which: line.text() for which, line in self.lines.items() if line.text().strip()},
            self._origin,
            _YES_NO[max(0, self.flagged.choice())],
            _YES_NO[max(0, self.genuine.choice())],
        )

    def _read(self) -> CoinChange | None:
        change, faults = read_many(self.draft, self._common.currency, self._common.issuer)
        told = {fault.field: fault.text for fault in faults}
        for which, field in self.fields.items():
            field.show_fault(told.get(which, ""))
        QTimer.singleShot(0, self, self._make_room)
        return None if faults else change

    def _make_room(self) -> None:
        """Grow where sentences below the fields need it; what wraps asks for no height itself."""
        box = self.layout()
        if box is not None:
            box.activate()
            needed = box.totalHeightForWidth(self.width())
            self.resize(self.width(), max(self.height(), needed))

    def _on_typed(self) -> None:
        """Faults that stand are looked at again; a new one is told when the change is given."""
        if any(field.fault for field in self.fields.values()):
            self._read()
        count = len(self.draft.texts) + sum(
            value is not None
            for value in (self._origin, self.draft.is_flagged, self.draft.is_genuine)
        )
        many = "nothing to change yet" if not count else f"{count} to change"
        self._summary.setText(many)
        self.give_button.setEnabled(count > 0)

    def give(self) -> None:
        """Order the change; the dialog stays where it is refused."""
        change = self._read()
        if change is None:
            first = next(w for w, field in self.fields.items() if field.fault)
            self.lines[first].setFocus(Qt.FocusReason.OtherFocusReason)
            return
        if change.is_nothing:
            return
        from core.app.operations_coins import change_coins

        self.trouble.hide()
        self.give_button.setEnabled(False)
        self._desk.run(
            change_coins(self._coins, change), lambda _changes: self.accept(), failed=self._refused
        )

    def _refused(self, error: Exception) -> None:
        self.give_button.setEnabled(True)
        if isinstance(error, CollectionError):
            self.trouble.setText(f"Nothing was changed. {error}")
            self.trouble.show()
            QTimer.singleShot(0, self, self._make_room)
        else:
            self._desk.show_failure(error)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk, coins: list[CoinId], common: Shared) -> bool:
        """Whether the coins were changed."""
        dialog = cls(parent, desk, coins, common)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        dialog.deleteLater()
        return is_given
