"""The table of slots: tick, glyph, what it holds, what comes in, a bar for the gain, money."""

import html
from collections.abc import Sequence
from enum import IntEnum

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from core.model.money import money_text
from gui.paint import paint_glyph
from gui.theme import L, M, S, current_palette
from gui.upgrades.lines import Choice, Line

ROW_PX, GLYPH_PX, TICK_PX, BAR_PX = 44, 20, 16, 10
MOST_POINTS = 40
"""A bar this long is full; most gains are of fewer points."""
Index = QModelIndex | QPersistentModelIndex


class At(IntEnum):
    """The columns."""

    TICK = 0
    SLOT = 1
    HOLDS = 2
    TARGET = 3
    BUY = 4
    GAIN = 5
    COST = 6
    FREES = 7
    NET = 8


HEADS = ("", "slot", "holds", "target", "buy", "gain", "cost", "frees", "net")
_WIDE = {
    At.TICK: 34, At.HOLDS: 84, At.TARGET: 72, At.BUY: 118, At.GAIN: 92, At.COST: 92,
    At.FREES: 68, At.NET: 76,
}  # fmt: skip
TIPS = {
    At.GAIN: f"hatched: closes a gap · full: grade points gained, {MOST_POINTS} or more the whole",
    At.COST: "by your list or an offer; spares and freed coins cost nothing",
    At.FREES: "what the coin there may bring: a share of its price, set once under Prices (Alt+P)",
    At.NET: "cost less what the freed coin may bring",
}
_MONEY = (At.COST, At.FREES, At.NET)
_LEAST_SLOT_PX, MOST_SLOT_PX = 130, 300
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)


class LineModel(QAbstractTableModel):
    """Lines as rows; the texts are those a screen reader hears."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.lines: list[Line] = []
        self.currency = ""
        self.has_albums = False

    def show(self, lines: Sequence[Line], currency: str, has_albums: bool) -> None:
        """Show these lines; `has_albums`: name the album of each slot."""
        self.beginResetModel()
        self.lines, self.currency, self.has_albums = list(lines), currency, has_albums
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (as Qt has it)
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 (as Qt has it)
        return 0 if parent.isValid() else len(HEADS)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            line, at = self.lines[index.row()], At(index.column())
            is_heard = role == Qt.ItemDataRole.AccessibleTextRole and at is At.COST
            marks = line.price_marks if is_heard else ""
            return f"{self.text(line, at)}, {marks}" if marks else self.text(line, at)
        if role == Qt.ItemDataRole.ToolTipRole and index.column() == At.SLOT:
            row = self.lines[index.row()].row
            return html.escape(f"{row.slot.label}, {row.album_name}")
        return None

    def text(self, line: Line, at: At) -> str:
        """What stands in a cell."""
        match at:
            case At.TICK:
                other = f": {line.plan_buys}" if line.plan_buys else ""
                return f"in the plan{other}" if line.is_in_plan else str(line.choice)
            case At.SLOT:
                return line.row.slot.label
            case At.HOLDS:
                return line.holds
            case At.TARGET:
                return line.target
            case At.BUY:
                return line.buys
            case At.GAIN:
                return _gain_text(line)
            case At.COST:
                return self._cost(line)
            case At.FREES:
                return self._frees(line)
            case At.NET:
                return self._money(line.net) if line.step or line.is_move else ""

    def _cost(self, line: Line) -> str:
        if line.is_move:
            return "spare" if line.doing and line.doing.moved and (
                line.doing.moved.from_slot is None
            ) else "freed coin"  # fmt: skip
        if line.step is None:
            if line.cost == 0:
                return "spare"
            return "not priced" if line.row.is_open and not line.row.is_priced else ""
        if line.cost is None:
            return "no rate"
        return self._money(line.cost)

    def _frees(self, line: Line) -> str:
        if line.goes:
            return "moves on"
        return self._money(line.brings) if line.step or line.is_move else ""

    def _money(self, minor: int | None) -> str:
        if minor is None:
            return ""
        return money_text(minor, self.currency).replace("-", "−")

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole and section < len(HEADS):
            return HEADS[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if section in _MONEY else _LEFT
        if role == Qt.ItemDataRole.ToolTipRole:
            return TIPS.get(At(section))
        return None


def _gain_text(line: Line) -> str:
    if line.step is None and not line.is_move:
        return ""
    return "closes the gap" if line.closes_gap else f"+{line.gain}"


class LineDelegate(QStyledItemDelegate):
    """Draws each cell; a tick and a bar are drawn, all else is text."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        model = index.model()
        assert isinstance(model, LineModel)
        line, at = model.lines[index.row()], At(index.column())
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        colours = current_palette()
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(colours.select))
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.drawLine(rect.left(), rect.bottom(), rect.right(), rect.bottom())
        if at is At.TICK:
            _paint_tick(painter, rect, line)
        elif at is At.SLOT:
            _paint_slot(painter, rect, line, model.has_albums)
        elif at is At.GAIN:
            _paint_bar(painter, rect, line)
        elif at is At.BUY:
            _paint_buy(painter, rect, line)
        else:
            _paint_text(painter, rect, line, at, model.text(line, at))
        painter.restore()


def _font(painter: QPainter, px: int, is_bold: bool = False) -> None:
    font = QFont(painter.font())
    font.setPixelSize(px)
    font.setBold(is_bold)
    painter.setFont(font)


def _paint_tick(painter: QPainter, rect: QRect, line: Line) -> None:
    colours = current_palette()
    if not line.is_in_plan and line.step is None:
        return
    box = QRectF(0, 0, TICK_PX, TICK_PX)
    box.moveCenter(QRectF(rect).center())
    if line.is_in_plan:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.accent))
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(QPen(QColor(colours.accent_ink), 2))
        x, y = box.left(), box.top()
        painter.drawPolyline([_at(x + 4, y + 8), _at(x + 7, y + 11), _at(x + 12, y + 5)])
        return
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colours.mute), 1.5))
    painter.drawRoundedRect(box, 4, 4)
    if line.choice is Choice.FORBIDDEN:
        painter.drawLine(_at(box.left() + 4, box.top() + 4), _at(box.right() - 4, box.bottom() - 4))
        painter.drawLine(_at(box.right() - 4, box.top() + 4), _at(box.left() + 4, box.bottom() - 4))


def _at(x: float, y: float) -> QPointF:
    return QPointF(x, y)


def _paint_slot(painter: QPainter, rect: QRect, line: Line, has_albums: bool) -> None:
    colours = current_palette()
    middle = rect.center().y()
    paint_glyph(painter, line.row.slot.code, rect.left() + 18, middle, GLYPH_PX, colours)
    left = rect.left() + 36
    room = rect.right() - S - left
    _font(painter, 14, True)
    painter.setPen(QColor(colours.ink))
    name = line.row.slot.label + ("\N{NO-BREAK SPACE}★" if line.row.is_key else "")
    above = QRect(left, rect.top() + 4, room, ROW_PX // 2 - 3) if has_albums else (
        QRect(left, rect.top(), room, rect.height())
    )  # fmt: skip
    elide = Qt.TextElideMode.ElideRight
    told = painter.fontMetrics().elidedText(name, elide, room)
    if told != name and not has_albums:  # the album's line is free
        painter.drawText(above, _LEFT | int(Qt.TextFlag.TextWordWrap), name)
    else:
        painter.drawText(above, _LEFT, told)
    if has_albums:
        _font(painter, 11)
        painter.setPen(QColor(colours.mute))
        below = QRect(left, rect.top() + ROW_PX // 2, room, ROW_PX // 2 - 5)
        text = painter.fontMetrics().elidedText(line.row.album_name, elide, room)
        painter.drawText(below, _LEFT, text)


def _paint_bar(painter: QPainter, rect: QRect, line: Line) -> None:
    if line.step is None and not line.is_move:
        return
    colours = current_palette()
    room = rect.width() - L - M
    share = 1.0 if line.closes_gap else min(1.0, line.gain / MOST_POINTS)
    bar = QRectF(rect.left() + S, rect.center().y() - BAR_PX / 2, max(2.0, room * share), BAR_PX)
    accent = QColor(colours.accent)
    painter.setPen(QPen(accent, 1))
    if line.closes_gap:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(bar)
        painter.setClipRect(bar)
        step = 6
        for x in range(int(bar.left()) - BAR_PX, int(bar.right()) + 1, step):
            painter.drawLine(_at(x, bar.bottom()), _at(x + BAR_PX, bar.top()))
        painter.setClipping(False)
    elif line.gain:
        painter.setBrush(accent)
        painter.drawRect(bar)


def _paint_buy(painter: QPainter, rect: QRect, line: Line) -> None:
    colours = current_palette()
    room = rect.width() - M
    many = len(line.row.steps)
    _font(painter, 13, line.is_in_plan)
    painter.setPen(QColor(colours.ink if line.buys else colours.mute))
    offer = line.step is not None and line.step.buy.offer is not None and not line.is_move
    below = " · ".join(
        part
        for part in (
            _choice(line),
            "offer" if offer else "",
            f"plan: {line.plan_buys}" if line.plan_buys else "",
            _grades(line)
            if many > 1 and not line.is_move and not line.choice and not line.plan_buys
            else "",
        )
        if part
    )
    elide = Qt.TextElideMode.ElideRight
    top = QRect(rect.left() + S, rect.top() + 4, room, ROW_PX // 2 - 3) if below else (
        QRect(rect.left() + S, rect.top(), room, rect.height())
    )  # fmt: skip
    painter.drawText(top, _LEFT, painter.fontMetrics().elidedText(line.buys, elide, room))
    if below:
        _font(painter, 11, bool(line.choice))
        painter.setPen(QColor(colours.mute))
        under = QRect(rect.left() + S, rect.top() + ROW_PX // 2, room, ROW_PX // 2 - 5)
        painter.drawText(under, _LEFT, painter.fontMetrics().elidedText(below, elide, room))


def _choice(line: Line) -> str:
    """pinned; forbidden; of which grade where the plan moves another coin in."""
    if not line.is_move or not line.choice or line.step is None:
        return str(line.choice)
    grade = line.step.buy.coin.grade
    return f"{grade.text if grade else 'no grade'} {line.choice}"


def _grades(line: Line) -> str:
    many = len(line.row.steps)
    return f"{line.forbidden} of {many} forbidden" if line.forbidden else f"of {many} grades"


def _paint_text(painter: QPainter, rect: QRect, line: Line, at: At, text: str) -> None:
    colours = current_palette()
    _font(painter, 13, at is At.NET)
    is_quiet = at in (At.HOLDS, At.TARGET, At.FREES) or (
        at is At.COST and (line.is_old or line.cost is None)
    )
    painter.setPen(QColor(colours.mute if is_quiet else colours.ink))
    if at is At.COST and (line.is_move or (line.step is None and line.cost == 0)):
        painter.setPen(QColor(colours.order))
    inside = rect.adjusted(S, 0, -S, 0)
    if at is At.COST and line.price_marks:
        painter.drawText(inside.adjusted(0, 4, 0, -ROW_PX // 2 + 1), _RIGHT, text)
        _font(painter, 11)
        painter.setPen(QColor(colours.mute))
        marks = painter.fontMetrics().elidedText(
            line.price_marks, Qt.TextElideMode.ElideRight, inside.width()
        )
        painter.drawText(inside.adjusted(0, ROW_PX // 2, 0, -5), _RIGHT, marks)
        return
    shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, inside.width())
    painter.drawText(inside, _RIGHT if at in _MONEY else _LEFT, shown)


class LineTable(QTableView):
    """Tells what its keys and clicks ask for; the workspace does it."""

    tick_asked = Signal()
    pin_asked = Signal()
    forbid_asked = Signal()
    bought_asked = Signal()
    worth_asked = Signal()
    grade_asked = Signal(int)
    """Look at another grade: -1 the one before, 1 the next."""
    go_asked = Signal()
    up_asked = Signal()
    line_changed = Signal()
    menu_asked = Signal(object)
    """Where, in the view's own place."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model_ = LineModel(self)
        self.setModel(self.model_)
        self.setItemDelegate(LineDelegate(self))
        self.setAccessibleName("Slots, with what would better them")
        self.setProperty("kind", "lines")
        self.setShowGrid(False)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setTabKeyNavigation(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(self.menu_asked.emit)
        rows, head = self.verticalHeader(), self.horizontalHeader()
        rows.hide()
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(ROW_PX)
        head.setHighlightSections(False)
        head.setSectionsClickable(False)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head.setMinimumSectionSize(24)
        self.selectionModel().currentRowChanged.connect(lambda *_: self.line_changed.emit())
        self.doubleClicked.connect(self._on_double)

    def show_lines(self, lines: Sequence[Line], currency: str, has_albums: bool) -> None:
        """Show these lines; the one that was current stays so."""
        here, at = self.current, self.currentIndex().row()
        self.model_.show(lines, currency, has_albums)
        places = {line.slot: place for place, line in enumerate(self.model_.lines)}
        place = places.get(here.slot, -1) if here else -1
        if place < 0 and lines:
            place = min(max(at, 0), len(lines) - 1)
        if place >= 0:
            self.setCurrentIndex(self.model_.index(place, At.SLOT))
        self.line_changed.emit()

    @property
    def current(self) -> Line | None:
        """The line that keys act on."""
        at = self.currentIndex().row()
        return self.model_.lines[at] if 0 <= at < len(self.model_.lines) else None

    def go_to(self, slot: int) -> bool:
        """Stand on a slot's line; whether it is there."""
        for place, line in enumerate(self.model_.lines):
            if line.slot == slot:
                self.setCurrentIndex(self.model_.index(place, At.SLOT))
                return True
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())

    def _lay_out(self) -> None:
        """Target and net make way where there is little room."""
        room = self.viewport().width()
        hidden = [
            at
            for at, least in ((At.TARGET, 800), (At.FREES, 640), (At.GAIN, 600), (At.NET, 570))
            if room < least
        ]
        left = room - sum(wide for at, wide in _WIDE.items() if at not in hidden)
        more = max(0, left - MOST_SLOT_PX) // 2
        for at in At:
            self.setColumnHidden(at, at in hidden)
            if at is At.SLOT:
                self.setColumnWidth(at, max(_LEAST_SLOT_PX, left - 2 * more))
            elif at not in hidden:
                self.setColumnWidth(at, _WIDE[at] + (more if at in (At.BUY, At.GAIN) else 0))

    def _on_double(self, index: QModelIndex) -> None:
        if index.column() != At.TICK:
            self.go_asked.emit()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        index = self.indexAt(event.position().toPoint())
        is_left = event.button() == Qt.MouseButton.LeftButton
        if is_left and index.isValid() and index.column() == At.TICK:
            self.tick_asked.emit()

    def event(self, event: QEvent) -> bool:
        """P, X, B and W are its own, not those of the albums."""
        is_asked = event.type() == QEvent.Type.ShortcutOverride
        if is_asked and isinstance(event, QKeyEvent) and _is_own(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, held = event.key(), event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if held:
            super().keyPressEvent(event)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.grade_asked.emit(1 if key == Qt.Key.Key_Right else -1)
        elif key == Qt.Key.Key_Up and self.currentIndex().row() <= 0:
            self.up_asked.emit()
        elif key in _KEYS:
            getattr(self, _KEYS[Qt.Key(key)]).emit()
        else:
            super().keyPressEvent(event)


_KEYS = {
    Qt.Key.Key_P: "pin_asked",
    Qt.Key.Key_X: "forbid_asked",
    Qt.Key.Key_B: "bought_asked",
    Qt.Key.Key_W: "worth_asked",
    Qt.Key.Key_Space: "tick_asked",
    Qt.Key.Key_Return: "go_asked",
    Qt.Key.Key_Enter: "go_asked",
}


def _is_own(event: QKeyEvent) -> bool:
    return not event.modifiers() and event.key() in _KEYS
