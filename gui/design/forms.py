"""The forms an album's leaves may have: each with its words and a tiny picture of it."""

from dataclasses import dataclass

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QIcon,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import (
    QComboBox,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from core.model.arrangement import Arrangement, ArrangementKind
from gui.icons import icon
from gui.theme import S, current_palette

PICTURE_W, PICTURE_H = 28, 20
LINE_PX = 28
ARROW_PX = 16
_TAKING = frozenset({Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space})


@dataclass(frozen=True, slots=True)
class Form:
    """A form: its name, and what it does in one sentence."""

    kind: ArrangementKind
    name: str
    tip: str


FORMS = (
    Form(ArrangementKind.YEARS_BY_MINTS, "years × mints", "A row a year, a column a mint."),
    Form(ArrangementKind.RUNNING, "running", "Slots one after another, so many to a row."),
    Form(ArrangementKind.BY_DECADE, "by decade", "A block a decade, running inside."),
    Form(ArrangementKind.BY_TYPE, "by type", "A block a design, running inside."),
    Form(ArrangementKind.BY_DESIGN, "one row a design", "A row a design, a column a mint."),
    Form(ArrangementKind.DATES_ONLY, "dates only", "One slot a date, whatever the mint."),
    Form(ArrangementKind.ROW_MAP, "row map", "Row by row as you count them on the folder."),
)
_BY_KIND = {form.kind: form for form in FORMS}


def form_of(kind: ArrangementKind) -> Form:
    """A kind's name and tip."""
    return _BY_KIND[kind]


def arrangement_words(shape: Arrangement) -> str:
    """years × mints; running 9 × 5; row map of 52."""
    name = form_of(shape.kind).name
    if shape.kind is ArrangementKind.RUNNING:
        return f"{name} {shape.per_row} × {shape.rows_per_leaf or 5}"
    if shape.kind is ArrangementKind.ROW_MAP and shape.row_map:
        holes = sum(sum(cells) for leaf in shape.row_map for cells in leaf)
        return f"{name} of {holes}"
    return name


# ---- the tiny pictures ------------------------------------------------------------------------

_DOT, _STEP = 1.7, 5.0
_DASH = 3.6

_Mark = tuple[str, float, float]
"""What is drawn and where, in units of the picture: a dot, a faint one, or a dash."""

_ROWS = (4.5, 10.0, 15.5)


def _dots(y: float, xs: tuple[float, ...], kind: str = "dot") -> list[_Mark]:
    return [(kind, x, y) for x in xs]


_PICTURES: dict[ArrangementKind, list[_Mark]] = {
    ArrangementKind.YEARS_BY_MINTS: [
        *(("head", x, 2.2) for x in (12.0, 18.0, 24.0)),
        *(("dash", 4.5, y) for y in (7.0, 12.0, 17.0)),
        *_dots(7.0, (12.0, 18.0, 24.0)),
        *_dots(12.0, (12.0, 24.0)),
        ("faint", 18.0, 12.0),
        *_dots(17.0, (12.0, 18.0, 24.0)),
    ],
    ArrangementKind.RUNNING: [
        *_dots(4.5, (4.0, 9.0, 14.0, 19.0, 24.0)),
        *_dots(10.0, (4.0, 9.0, 14.0, 19.0, 24.0)),
        *_dots(15.5, (4.0, 9.0, 14.0)),
    ],
    ArrangementKind.BY_DECADE: [
        ("dash", 4.5, 2.5),
        *_dots(6.5, (4.0, 9.0, 14.0, 19.0, 24.0)),
        ("dash", 4.5, 12.0),
        *_dots(16.5, (4.0, 9.0, 14.0)),
    ],
    ArrangementKind.BY_TYPE: [
        ("ring", 4.0, 4.5),
        *_dots(4.5, (10.0, 15.0, 20.0)),
        ("square", 4.0, 15.0),
        *_dots(12.5, (10.0, 15.0, 20.0, 25.0)),
        *_dots(17.5, (10.0, 15.0)),
    ],
    ArrangementKind.BY_DESIGN: [
        *(("head", x, 2.2) for x in (12.0, 18.0, 24.0)),
        ("ring", 4.0, 7.0),
        ("square", 4.0, 12.0),
        ("dash", 4.0, 17.0),
        *_dots(7.0, (12.0, 18.0, 24.0)),
        *_dots(12.0, (12.0, 18.0)),
        *_dots(17.0, (12.0, 24.0)),
    ],
    ArrangementKind.DATES_ONLY: [
        mark
        for y in (4.5, 14.5)
        for x in (5.0, 14.0, 23.0)
        for mark in (("dot", x, y - 1.0), ("dash", x, y + 3.0))
    ],
    ArrangementKind.ROW_MAP: [
        *_dots(4.5, (6.5, 11.5, 16.5, 21.5)),
        *_dots(10.0, (4.0, 9.0, 19.0, 24.0)),
        ("faint", 14.0, 10.0),
        *_dots(15.5, (9.0, 14.0, 19.0)),
    ],
}


def paint_form(painter: QPainter, kind: ArrangementKind, rect: QRectF, colour: str) -> None:
    """Draw a form's picture into the middle of a rectangle."""
    painter.save()
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(rect.center() - QPointF(PICTURE_W / 2, PICTURE_H / 2))
        full, faint = QColor(colour), QColor(colour)
        faint.setAlpha(90)
        for what, x, y in _PICTURES[kind]:
            _paint_mark(painter, what, QPointF(x, y), full, faint)
    finally:
        painter.restore()


def _paint_mark(painter: QPainter, what: str, at: QPointF, full: QColor, faint: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(full)
    match what:
        case "dot":
            painter.drawEllipse(at, _DOT, _DOT)
        case "faint":
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(faint, 1))
            painter.drawEllipse(at, _DOT - 0.4, _DOT - 0.4)
        case "head" | "dash":
            painter.setBrush(faint)
            half = _DASH / 2 if what == "head" else _DASH
            painter.drawRect(QRectF(at.x() - half, at.y() - 0.6, 2 * half, 1.2))
        case "ring" | "square":
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(full, 1.2))
            if what == "ring":
                painter.drawEllipse(at, 2.2, 2.2)
            else:
                painter.drawRect(QRectF(at.x() - 2, at.y() - 2, 4, 4))


def form_icon(kind: ArrangementKind, colour: str, ratio: float) -> QIcon:
    """A form's picture as an icon."""
    pixmap = QPixmap(QSize(PICTURE_W, PICTURE_H) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        paint_form(painter, kind, QRectF(0, 0, PICTURE_W, PICTURE_H), colour)
    finally:
        painter.end()
    return QIcon(pixmap)


# ---- to choose among them ---------------------------------------------------------------------


class _FormLines(QStyledItemDelegate):
    """A picture and a name a line."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        return QSize(120, LINE_PX)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        colours = current_palette()
        rect: QRect = option.rect
        is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            is_passed = False
            if isinstance(forms := self.parent(), FormList):
                is_passed = is_chosen and forms.is_passing
                is_chosen = forms.is_chosen(index.row())
            if is_chosen or is_passed or option.state & QStyle.StateFlag.State_MouseOver:
                painter.setPen(QPen(QColor(colours.mute), 1) if is_passed else Qt.PenStyle.NoPen)
                painter.setBrush(QColor(colours.select if is_chosen else colours.hover))
                painter.drawRoundedRect(QRectF(rect).adjusted(2.5, 1.5, -2.5, -1.5), 6, 6)
            picture = QRectF(rect.left() + S, rect.top(), PICTURE_W, rect.height())
            kind = FORMS[index.row()].kind
            paint_form(painter, kind, picture, colours.accent if is_chosen else colours.ink)
            font = painter.font()
            font.setBold(is_chosen)
            painter.setFont(font)
            painter.setPen(QColor(colours.ink))
            words = rect.adjusted(2 * S + PICTURE_W + S, 0, -S, 0)
            painter.drawText(words, int(Qt.AlignmentFlag.AlignVCenter), str(index.data()))
        finally:
            painter.restore()


class FormList(QListWidget):
    """All forms one below the other; `chosen` tells an ArrangementKind.

    The arrow keys pass by those of `asking`, which ask something first: Enter or Space takes them.
    While they ask, what the album has stays the one chosen.
    """

    chosen = Signal(object)
    passing = Signal(object)
    """The form on which the keys stand without having taken it; None for none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.asking: frozenset[ArrangementKind] = frozenset()
        self._is_by_keys, self._passed, self._shown = False, False, FORMS[0].kind
        self.setAccessibleName("Form")
        self.setItemDelegate(_FormLines(self))
        self.setMouseTracking(True)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for form in FORMS:
            item = QListWidgetItem(form.name)
            item.setToolTip(form.tip)
            self.addItem(item)
        self.setFixedHeight(LINE_PX * len(FORMS) + 2 * 4)
        self.currentRowChanged.connect(self._on_row)
        self.itemClicked.connect(lambda _item: self._take_passed())

    @property
    def is_passing(self) -> bool:
        """Whether the keys stand on a form that they have not taken."""
        return self._passed

    def is_chosen(self, place: int) -> bool:
        """Whether the form at a place is the one taken."""
        return FORMS[place].kind is self._shown if self._passed else place == self.currentRow()

    def choose(self, kind: ArrangementKind) -> None:
        """Show a form without telling anyone; keys that are passing by stand where they are."""
        self._shown = kind
        if self._passed and self.hasFocus():
            return
        self._pass(None)
        self.blockSignals(True)
        self.setCurrentRow(FORMS.index(form_of(kind)))
        self.blockSignals(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Q:
            event.ignore()  # the panel's: no form begins with it
            return
        if self._passed and event.key() in _TAKING:
            self._take_passed()
            return
        self._is_by_keys = True
        try:
            super().keyPressEvent(event)
        finally:
            self._is_by_keys = False

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if self._passed:
            self.choose(self._shown)

    def _on_row(self, row: int) -> None:
        if row < 0:
            return
        kind = FORMS[row].kind
        is_passed = self._is_by_keys and kind in self.asking
        self._pass(kind if is_passed else None)
        if not is_passed:
            self._take(kind)

    def _take_passed(self) -> None:
        if self._passed:
            self._pass(None)
            self._take(FORMS[self.currentRow()].kind)

    def _take(self, kind: ArrangementKind) -> None:
        """Tell that a form is taken; one that asks first is not the album's meanwhile."""
        asks = kind in self.asking
        self.chosen.emit(kind)
        if asks and kind in self.asking:
            self.choose(self._shown)

    def _pass(self, kind: ArrangementKind | None) -> None:
        if self._passed or kind is not None:
            self._passed = kind is not None
            self.passing.emit(kind)


class FormBox(QComboBox):
    """The same forms where there is room for one line only; `chosen` tells an ArrangementKind."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._drawn_in = ""
        self.setIconSize(QSize(PICTURE_W, PICTURE_H))
        self.setItemDelegate(_FormLines(self))
        self.view().setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for form in FORMS:
            self.addItem(form.name, form.kind)
        for place, form in enumerate(FORMS):
            self.setItemData(place, form.tip, Qt.ItemDataRole.ToolTipRole)
        self._colour()
        self.activated.connect(lambda place: self.chosen.emit(FORMS[place].kind))

    def choose(self, kind: ArrangementKind) -> None:
        """Show a form without telling anyone."""
        self.setCurrentIndex(FORMS.index(form_of(kind)))

    def pick(self, kind: ArrangementKind) -> None:
        """Choose a form as the collector does."""
        self.choose(kind)
        self.chosen.emit(kind)

    def choice(self) -> ArrangementKind:
        """The form shown."""
        return FORMS[max(0, self.currentIndex())].kind

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        place = QRect(
            self.width() - S - ARROW_PX, (self.height() - ARROW_PX) // 2, ARROW_PX, ARROW_PX
        )
        painter = QPainter(self)
        try:
            icon("chevron-down", current_palette().mute).paint(painter, place)
        finally:
            painter.end()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and self.count() == len(FORMS):
            self._colour()

    def _colour(self) -> None:
        ink = current_palette().ink
        if ink == self._drawn_in:
            return
        self._drawn_in = ink
        for place, form in enumerate(FORMS):
            self.setItemIcon(place, form_icon(form.kind, ink, self.devicePixelRatioF()))
