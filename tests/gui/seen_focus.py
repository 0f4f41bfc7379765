"""Whether one sees on the screen where the keys go: rings are looked for in what is drawn."""

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QMenu, QPushButton, QWidget
from shiboken6 import isValid

from gui.leaf.view import LeafView
from gui.theme import current_palette
from tests.gui.strokes import focused

RING, NO_RING = 0.6, 0.3
"""Which share of an edge is in the ring's colour with the focus at least, and without at most."""
DEPTH_PX, CORNER_PX, STEP_PX, NEAR = 4, 10, 5, 48


class FocusWatch:
    """Looks after each stroke; raises where the focus cannot be seen, or a ring stays behind."""

    def __init__(self) -> None:
        self._last: tuple[QWidget, QColor] | None = None
        self.looks = 0
        self.names: set[str] = set()
        """What had the focus so far, by its spoken name."""

    def look(self) -> None:
        """Find the ring now, and none where the focus was before."""
        holder = focused()
        self.looks += 1
        if isinstance(holder, QMenu):
            assert is_line_seen(holder), "no line of the menu stands out"
            return
        name = holder.accessibleName() or getattr(holder, "text", lambda: "")()
        self.names.add(name or type(holder).__name__)
        colour = ring_colour(holder)
        share = ring_share(shown(holder), colour)
        assert share >= RING, f"{told(holder)} has the keys, and {share:.0%} of a ring"
        if self._last is not None and self._last[0] is not holder:
            self._look_back(*self._last)
        self._last = holder, colour

    @staticmethod
    def _look_back(before: QWidget, colour: QColor) -> None:
        if not isValid(before) or not before.isVisible() or before.visibleRegion().isEmpty():
            return
        if QApplication.activeModalWidget() not in (None, before.window()):
            return  # the window below may keep its ring
        share = ring_share(shown(before), colour)
        assert share <= NO_RING, f"{told(before)} lost the keys and keeps {share:.0%} of its ring"


def told(widget: QWidget) -> str:
    """A widget by its name, for a failure."""
    return f"{type(widget).__name__} {widget.accessibleName()!r}"


def ring_colour(widget: QWidget) -> QColor:
    """The colour of the ring: ink on the leaf, and where the button itself has the accent's."""
    is_primary = isinstance(widget, QPushButton) and widget.property("kind") == "primary"
    palette = current_palette()
    return QColor(palette.ink if is_primary or isinstance(widget, LeafView) else palette.accent)


def shown(widget: QWidget) -> QImage:
    """What is drawn of a widget; of the leaf its current cell. All of it must lie in sight."""
    if isinstance(widget, LeafView):
        port, rect = widget.viewport(), widget.slot_rect(widget.current_slot())
        if rect.isEmpty():
            rect = widget._cell_rect(widget.current_cell())  # a place without a slot
        assert not rect.isEmpty(), "the leaf has the keys and no current cell"
    else:
        port, rect = widget, widget.rect()
    in_sight = port.visibleRegion().boundingRect()
    assert in_sight.intersected(rect) == rect, f"{told(widget)} is cut: {rect} in {in_sight}"
    return port.grab(rect).toImage()


def ring_share(image: QImage, colour: QColor) -> float:
    """The share of the four edges, corners left out, at which a colour is drawn near the edge."""
    width, height = image.width(), image.height()
    corner = min(CORNER_PX, width // 4, height // 4)
    hits = total = 0
    for at in range(corner, width - corner, STEP_PX):
        for side in range(2):
            total += 1
            rows = (side * (height - 1) + (1 - 2 * side) * d for d in range(DEPTH_PX))
            hits += any(_is_near(image.pixelColor(at, y), colour) for y in rows)
    for at in range(corner, height - corner, STEP_PX):
        for side in range(2):
            total += 1
            columns = (side * (width - 1) + (1 - 2 * side) * d for d in range(DEPTH_PX))
            hits += any(_is_near(image.pixelColor(x, at), colour) for x in columns)
    return hits / max(1, total)


def _is_near(one: QColor, other: QColor) -> bool:
    return (
        abs(one.red() - other.red())
        + abs(one.green() - other.green())
        + abs(one.blue() - other.blue())
    ) <= NEAR


def is_line_seen(menu: QMenu) -> bool:
    """Whether the line of a menu that Enter would take looks otherwise than the others."""
    active = menu.activeAction()
    if active not in menu.actions() or not menu.isVisible():
        return False
    image = menu.grab().toImage()
    ground = {action: _ground(image, menu.actionGeometry(action)) for action in menu.actions()
              if not action.isSeparator()}  # fmt: skip
    others = [colour for action, colour in ground.items() if action is not active]
    return not others or all(not _is_near(ground[active], colour) for colour in others)


def _ground(image: QImage, line: QRect) -> QColor:
    """The colour behind a line's words, at its right end."""
    ratio = image.devicePixelRatio()
    return image.pixelColor(round((line.right() - 4) * ratio), round(line.center().y() * ratio))
