"""The budget curve: money across, what it buys upwards, in steps; a click or a key chooses.

Corners and ticks are those of `core.planning.drawn`, which the page on paper is drawn from too.
"""

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from core.model.money import money_text
from core.planning.drawn import Drawn, Stair, counted, figure_at
from gui.theme import current_palette

if TYPE_CHECKING:
    from gui.upgrades.plot import Plot

HIGH_PX, FONT_PX = 268, 11
NOTHING = Drawn()
_DRAWS_ANEW = (
    QEvent.Type.PaletteChange, QEvent.Type.FontChange, QEvent.Type.DevicePixelRatioChange,
)  # fmt: skip


def warm() -> None:
    """Read in, away from the window, what the first curve is drawn with: it takes a moment."""
    import gui.upgrades.plot  # noqa: F401 (only to have it read)


class BudgetChart(QWidget):
    """Draws one curve, and another dashed beside it; the budget is a dot with a plumb line.

    One that is not `is_choosing` is only looked at: of months, or of what is supposed.
    """

    chosen = Signal(object)
    """An amount in minor units."""

    def __init__(
        self,
        name: str,
        parent: QWidget | None = None,
        high_px: int = HIGH_PX,
        is_choosing: bool = True,
    ) -> None:
        super().__init__(parent)
        self._name, self._is_choosing = name, is_choosing
        self.drawn = NOTHING
        self._plot: Plot | None = None
        self._budget: int | None = None
        self._has_mark = False
        self.setMinimumHeight(high_px)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        if is_choosing:
            self.setCursor(Qt.CursorShape.PointingHandCursor)
            self.setToolTip("A click chooses the budget; Left and Right go from step to step")
        self._tell()

    def show_curve(self, drawn: Drawn) -> None:
        """Show a curve, with what is beside it."""
        self.drawn = drawn
        self._tell()
        self._draw()

    def show_budget(self, budget: int | None) -> None:
        """Mark the budget; None: as much as it takes."""
        self._budget, self._has_mark = budget, True
        self._tell()
        self._draw()

    @property
    def marked(self) -> float:
        """Where the mark stands: the budget, or without one the last step."""
        if self._budget is not None:
            return self._budget
        return self.drawn.stairs[-1].across if self.drawn.stairs else 0

    def _tell(self) -> None:
        drawn = self.drawn
        if len(drawn.stairs) < 2 and len(drawn.beside) < 2:
            self.setAccessibleName(f"{self._name}: nothing to draw")
            return
        last = drawn.stairs[-1]
        if drawn.unit == "months":
            told = f"{counted(last.figure, drawn.figure)} in {last.across} months"
        else:
            here = round(self.marked)
            told = "; at most ".join(
                f"{counted(drawn.figure_at(at), drawn.figure)} for {money_text(at, drawn.unit)}"
                for at in dict.fromkeys((here, last.across))
            )
        if drawn.beside:
            now = counted(figure_at(drawn.beside, self.marked), drawn.figure)
            told += f"; beside it, dashed: {now}"
        self.setAccessibleName(f"{self._name}: {told}")

    def sizeHint(self) -> QSize:
        return QSize(400, self.minimumHeight())

    # ---- drawing ------------------------------------------------------------------------------

    def _draw(self) -> None:
        """Draw what there is; pyqtgraph comes in with the first curve."""
        has_curve = len(self.drawn.stairs) > 1 or len(self.drawn.beside) > 1
        if has_curve and self._plot is None:
            from gui.upgrades.plot import Plot, in_layout

            self._plot = Plot(self)
            in_layout(self._plot, self)
        if self._plot is None:
            return
        self._plot.widget.setVisible(has_curve)
        if has_curve:
            font = QFont(self.font())
            font.setPixelSize(FONT_PX)
            may_mark = self._has_mark and self.marked >= self.drawn.stairs[0].across
            mark = self.marked if may_mark else None
            self._plot.draw(self.drawn, mark, current_palette(), font)

    def points(self, is_beside: bool = False) -> list[QPointF]:
        """The corners of the curve, or of that beside it, in dots of the widget."""
        corners = self.drawn.corners_beside if is_beside else self.drawn.corners
        plot = self._plot
        return [plot.at(*corner) for corner in corners] if plot is not None else []

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.hasFocus():
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(current_palette().accent), 2))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 8, 8)
            painter.end()

    def event(self, event: QEvent) -> bool:
        if event.type() in _DRAWS_ANEW:
            self._draw()
        return super().event(event)

    # ---- choosing -----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        plot = self._plot
        if self._may_choose() and plot and event.button() == Qt.MouseButton.LeftButton:
            self._choose(plot.across_at(event.position().x()))

    def _may_choose(self) -> bool:
        return self._is_choosing and bool(self.drawn.stairs)

    def _choose(self, money: float) -> None:
        """The least amount that buys as much."""
        at = bisect_right(self.drawn.stairs, money, key=_money) - 1
        self.chosen.emit(self.drawn.stairs[max(0, at)].across)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        moneys = [stair.across for stair in self.drawn.stairs] if self._is_choosing else []
        key = event.key()
        if moneys and key in (Qt.Key.Key_Right, Qt.Key.Key_Up):
            at = bisect_right(moneys, self.marked)
            self.chosen.emit(moneys[min(at, len(moneys) - 1)])
        elif moneys and key in (Qt.Key.Key_Left, Qt.Key.Key_Down):
            self.chosen.emit(moneys[max(0, bisect_left(moneys, self.marked) - 1)])
        elif moneys and key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.chosen.emit(moneys[0 if key == Qt.Key.Key_Home else -1])
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()


def _money(stair: Stair) -> int:
    return stair.across
