"""A campaign in figures: the table first, what a slot took, a picture with its table, trends."""

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAction, QColor, QFont, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from core.model.search import CampaignId
from core.search.dashboard import FEWEST_FOR_TREND, Row
from core.search.tally import FEWEST_BOXES
from gui.desk import Desk
from gui.search.dashboard_reading import (
    BoxBar,
    CampaignPage,
    Series,
    per_slot_text,
    rate_text,
    rate_tip,
    read_page,
    so_far_text,
    trend_row,
)
from gui.search.plain_table import PlainTable
from gui.search.tally_card import figure
from gui.style_sheet import mix
from gui.theme import XL, L, M, S, current_palette
from gui.widgets import (
    Card,
    EmptyState,
    FactRow,
    Label,
    MenuButton,
    QuietButton,
    ScrollColumn,
    SectionLabel,
    clear_layout,
    column,
    row,
)

CHART_PX = 190
MOST_LABELS = 24


class BoxBars(QWidget):
    """A bar a box, with the usual and its band; boxes that are not usual are drawn hollow."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._series: Series | None = None
        self.setFixedHeight(CHART_PX)

    def show_series(self, series: Series) -> None:
        """Show a tally over the boxes."""
        self._series = series
        told = ", ".join(f"box {bar.number} {series.count_text(bar)}" for bar in series.boxes)
        self.setAccessibleName(f"{series.name}: {told}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(600, CHART_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        series = self._series
        if series is None or not series.boxes:
            return
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            font = QFont(self.font())
            font.setPixelSize(11)
            painter.setFont(font)
            most = max([bar.count for bar in series.boxes] + [1.0, *(series.band or ())])
            left, right, top, bottom = 40.0, self.width() - 8.0, 12.0, CHART_PX - 24.0

            def y(value: float) -> float:
                return bottom - (bottom - top) * value / most

            self._ground(painter, series, (left, right), y)
            step = (right - left) / len(series.boxes)
            wide = min(step * 0.66, 32)
            every = -(-len(series.boxes) // MOST_LABELS)
            for place, bar in enumerate(series.boxes):
                x = left + step * (place + 0.5)
                self._bar(painter, bar, x, wide, (y(bar.count), bottom))
                if place % every == 0:
                    painter.setPen(QColor(colours.mute))
                    self._centred(painter, x, bottom + 16, str(bar.number))
            painter.setPen(QColor(colours.mute))
            for value in (0.0, most):
                painter.drawText(
                    QRectF(0, y(value) - 8, left - S, 16),
                    int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter),
                    figure(value),
                )
        finally:
            painter.end()

    @staticmethod
    def _ground(
        painter: QPainter, series: Series, ends: tuple[float, float], y: Callable[[float], float]
    ) -> None:
        colours = current_palette()
        left, right = ends
        if series.band is not None:
            low, high = series.band
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(mix(colours.card, colours.line, 0.6)))
            painter.drawRect(QRectF(left, y(high), right - left, max(2.0, y(low) - y(high))))
        painter.setPen(QPen(QColor(colours.line), 1))
        painter.drawLine(QPointF(left, y(0)), QPointF(right, y(0)))
        if series.usual is not None:
            painter.setPen(QPen(QColor(colours.mute), 1, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(left, y(series.usual)), QPointF(right, y(series.usual)))

    @staticmethod
    def _bar(
        painter: QPainter, bar: BoxBar, x: float, wide: float, ends: tuple[float, float]
    ) -> None:
        colours = current_palette()
        accent = QColor(colours.accent)
        painter.setPen(QPen(accent, 1.5))
        is_solid = bar.is_usual and bar.is_done
        painter.setBrush(accent if is_solid else QColor(colours.card))
        painter.drawRect(QRectF(x - wide / 2, ends[0], wide, max(0.5, ends[1] - ends[0])))

    @staticmethod
    def _centred(painter: QPainter, x: float, base: float, text: str) -> None:
        wide = painter.fontMetrics().horizontalAdvance(text)
        painter.drawText(QPointF(x - wide / 2, base), text)


class DashboardPage(QWidget):
    """Shows a campaign; Esc or Back goes to the box in hand."""

    left = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._page: CampaignPage | None = None
        self._chosen = ""
        outer = column(self, (XL, L, L, L), M)
        head = row(spacing=M)
        self.title = Label("", "title", self)
        self.told = Label("", "mute", self)
        head.addWidget(self.title)
        head.addWidget(self.told, 1)
        self.back = QuietButton("Back to the box", self)
        self.back.setToolTip("Esc")
        self.back.clicked.connect(self.left)
        head.addWidget(self.back)
        outer.addLayout(head)
        self._scroll = ScrollColumn(self, (0, 0, M, 0), L)
        outer.addWidget(self._scroll, 1)
        self._build()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def _card(self, title: str, hint: str = "") -> Card:
        card = Card(self._scroll.inside, "card", (L, L, L, L), S)
        card.box.addWidget(SectionLabel(title, card))
        if hint:
            card.box.addWidget(Label(hint, "small", card, wraps=True))
        self._scroll.box.addWidget(card)
        return card

    def _build(self) -> None:
        card = self._card("A box on average", "Counts a box, of usual boxes only.")
        self.table = PlainTable("A box on average", card)
        card.box.addWidget(self.table)
        self.so_far = Label("", "small", card, wraps=True)
        card.box.addWidget(self.so_far)
        self._slot_card = self._card("What a new slot took")
        self._slots = column(spacing=S)
        self._slot_card.box.addLayout(self._slots)
        card = self._card("Box by box")
        line = row(spacing=M)
        self.which = MenuButton("Show", "", card)
        self.which.setToolTip("Which tally the picture shows (Alt+P)")
        self.which.setShortcut("Alt+P")
        line.addWidget(self.which)
        key = "solid: a usual box · hollow: another, or not done · dashed: usual · ground: 10–90 %"
        line.addWidget(Label(key, "small", card))
        line.addStretch(1)
        self.behind = QuietButton("The table behind it", card, "quiet")
        self.behind.setCheckable(True)
        self.behind.setShortcut("Alt+H")
        self.behind.setToolTip("Show it, or put it away (Alt+H)")
        self.behind.toggled.connect(self._show_behind)
        line.addWidget(self.behind)
        card.box.addLayout(line)
        self.bars = BoxBars(card)
        card.box.addWidget(self.bars)
        self.behind_table = PlainTable("The table behind the picture", card)
        self.behind_table.hide()
        card.box.addWidget(self.behind_table)
        card = self._card(
            "Trends",
            f"Change of the count a coin from box to box. Nothing is said under "
            f"{FEWEST_FOR_TREND} finished boxes.",
        )
        self.trends = PlainTable("Trends", card)
        card.box.addWidget(self.trends)
        self.empty = EmptyState("No box in this campaign yet", "", parent=self._scroll.inside)
        self._scroll.box.addWidget(self.empty)
        self._scroll.box.addStretch(1)

    # --- what is shown

    def show_campaign(self, campaign: CampaignId) -> None:
        """Read and show a campaign, by its id."""
        self._desk.ask(lambda collection: read_page(collection, campaign), self._show)

    @property
    def campaign(self) -> CampaignId | None:
        """The campaign shown."""
        return self._page.view.campaign.id if self._page else None

    def _show(self, page: CampaignPage) -> None:
        self._page = page
        self.title.setText(page.view.campaign.name)
        coins = f"{page.board.coins_in_all:,} coins searched"
        self.told.setText(f"{page.view.text} · {coins}")
        has_boxes = bool(page.view.boxes)
        for card in self._scroll.inside.findChildren(
            Card, options=Qt.FindChildOption.FindDirectChildrenOnly
        ):
            card.setVisible(has_boxes)
        self.empty.setVisible(not has_boxes)
        if not has_boxes:
            return
        self._show_table(page)
        self._show_slots(page)
        rows = [trend_row(one) for one in page.board.trends]
        self.trends.show_rows(("Tally", "Boxes", "Change a box", "Interval"), rows)
        self.trends.fit_height()
        self.which.choices.clear()
        for one in page.series:
            action = QAction(one.name.replace("&", "&&"), self.which.choices)
            action.triggered.connect(lambda _on=False, name=one.name: self.choose(name))
            self.which.choices.addAction(action)
        self.choose(self._chosen or page.series[0].name)

    def _show_table(self, page: CampaignPage) -> None:
        names = [rate.name for rate in page.board.whole.rates]
        has_slots = any(name == page.board.whole.slots.name for name in names)
        heads = ["", "Boxes", "Coins", *names]
        heads += [] if has_slots else [page.board.whole.slots.name]

        def texts(one: Row, group: str) -> list[str]:
            told = [group, f"{one.boxes:,}", f"{one.coins:,}", *map(rate_text, one.rates)]
            return told if has_slots else [*told, rate_text(one.slots)]

        def tips(one: Row) -> list[str]:
            slots = [] if has_slots else [one.slots]
            return ["", "", "", *map(rate_tip, (*one.rates, *slots))]

        shown = [page.board.whole]
        rows = [texts(page.board.whole, "All boxes")]
        kinds = (
            ("from {}", "branch not said", page.board.by_branch),
            ("{}", "wrapper not said", page.board.by_wrapper),
        )
        for word, unsaid, group in kinds:
            if len(group) > 1 or (group and group[0].group):
                rows += [texts(o, word.format(o.group) if o.group else unsaid) for o in group]
                shown += group
        self.table.show_rows(heads, rows, tips=[tips(one) for one in shown])
        self.table.fit_height()
        self.so_far.setText(so_far_text(page.board))
        self.so_far.setVisible(bool(page.board.open_boxes))

    def _show_slots(self, page: CampaignPage) -> None:
        clear_layout(self._slots)
        told = [*page.board.cost_per_slot]
        if page.board.hours_per_slot is not None:
            told.append(page.board.hours_per_slot)
        for one in told:
            name, value = per_slot_text(one)
            self._slots.addWidget(FactRow(name, value, self._slot_card))
        if not told:
            text = "Neither fees nor time are known of these boxes."
            self._slots.addWidget(Label(text, "mute", self._slot_card))
        elif page.board.open_boxes:
            so_far = so_far_text(page.board)
            self._slots.addWidget(Label(so_far, "small", self._slot_card, wraps=True))

    def choose(self, name: str) -> None:
        """Show a tally in the picture."""
        page = self._page
        if page is None:
            return
        one = next((s for s in page.series if s.name == name), page.series[0])
        self._chosen = one.name
        usual = f"usual {figure(one.usual)}" if one.usual is not None else ""
        self.which.show_value(one.name)
        self.bars.show_series(one)
        self.bars.setToolTip(usual or f"Usual is told from {FEWEST_BOXES} finished boxes on")
        rows = [(f"Box {bar.number}", f"{bar.coins:,}", one.count_text(bar)) for bar in one.boxes]
        self.behind_table.show_rows(("Box", "Coins", one.name), rows)
        self.behind_table.fit_height()

    def _show_behind(self, is_on: bool) -> None:
        self.behind_table.setVisible(is_on)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        bar = self._scroll.verticalScrollBar()
        page = bar.pageStep()
        steps = {
            Qt.Key.Key_Down: XL, Qt.Key.Key_Up: -XL,
            Qt.Key.Key_PageDown: page, Qt.Key.Key_PageUp: -page,
        }  # fmt: skip
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            self.left.emit()
        elif key in steps:
            bar.setValue(bar.value() + steps[key])
        else:
            super().keyPressEvent(event)
