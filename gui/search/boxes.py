"""The shelf of the searches: each campaign with its goal and its boxes, and the way to new ones."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QPushButton, QSizePolicy, QWidget

from core.app.search_views import BoxLine, CampaignView
from core.model.search import BoxId
from gui.main_window import SHELF_PX
from gui.search.box_head import NEW_BOX_KEY, NEW_CAMPAIGN_KEY
from gui.theme import XL, XS, L, M, S, current_palette
from gui.widgets import (
    ElidedLabel,
    IconButton,
    KeyHint,
    Label,
    QuietButton,
    ScrollColumn,
    clear_layout,
    column,
    row,
)

BOX_PX = 54
MOST_BOXES = 6
"""So many boxes of a campaign are listed before the rest is asked for."""


class BoxButton(QPushButton):
    """A box: its number over what stands of it."""

    def __init__(self, line: BoxLine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line = line
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setProperty("kind", "box")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.show_line(line)

    def show_line(self, line: BoxLine) -> None:
        """Show what stands of the box now."""
        self.line = line
        self.setAccessibleName(f"Box {line.box.number}, {line.text}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(120, BOX_PX)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() == Qt.Key.Key_Down:
            self.focusNextChild()
        elif event.key() == Qt.Key.Key_Up:
            self.focusPreviousChild()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        colours = current_palette()
        painter = QPainter(self)
        try:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            rect = self.rect().adjusted(1, 1, -1, -1)
            if self.isChecked() or self.underMouse() or self.hasFocus():
                edge = colours.accent if self.hasFocus() else colours.line
                painter.setPen(QPen(QColor(edge), 2 if self.hasFocus() else 1))
                ground = colours.card if self.isChecked() else colours.hover
                painter.setBrush(QColor(ground))
                painter.drawRoundedRect(rect, 8, 8)
            font = QFont(self.font())
            font.setPixelSize(14)
            font.setBold(self.isChecked())
            painter.setFont(font)
            painter.setPen(QColor(colours.ink))
            inner = rect.adjusted(M - 1, S, -S, -S)
            left = int(Qt.AlignmentFlag.AlignLeft)
            painter.drawText(
                inner, left | int(Qt.AlignmentFlag.AlignTop), f"Box {self.line.box.number}"
            )
            font.setPixelSize(12)
            font.setBold(False)
            painter.setFont(font)
            painter.setPen(QColor(colours.mute))
            text = painter.fontMetrics().elidedText(
                self.line.text, Qt.TextElideMode.ElideRight, inner.width()
            )
            painter.drawText(inner, left | int(Qt.AlignmentFlag.AlignBottom), text)
        finally:
            painter.end()


class CampaignPart(QWidget):
    """A campaign: its name, where it stands, its boxes."""

    box_chosen = Signal(int)
    new_box_asked = Signal(int)
    page_asked = Signal(int)
    edit_asked = Signal(int)

    def __init__(self, view: CampaignView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = view
        self._chosen: BoxId | None = None
        number = int(view.campaign.id)
        box = column(self, spacing=2)
        head = row(margins=(M, 0, 0, 0), spacing=XS)
        word = Label("CAMPAIGN", "section", self)
        name = ElidedLabel(view.campaign.name, "section", self)
        head.addWidget(word)
        head.addSpacing(XS)
        head.addWidget(name, 1)
        edit = IconButton("pencil", f"Edit the campaign {view.campaign.name}", self)
        edit.clicked.connect(lambda: self.edit_asked.emit(number))
        head.addWidget(edit)
        box.addLayout(head)
        told = column(margins=(M, 0, S, 0), spacing=0)
        self.stands = ElidedLabel("", "strong_small", self)
        self.before = ElidedLabel("", "small", self)
        told.addWidget(self.stands)
        told.addWidget(self.before)
        box.addLayout(told)
        page = QuietButton("All boxes in figures", self, "link")
        page.setToolTip("Finds and slots a box, cost, trends")
        page.clicked.connect(lambda: self.page_asked.emit(number))
        self.page_button = page
        box.addSpacing(S)
        self._boxes = column(spacing=S)
        box.addLayout(self._boxes)
        self.rest = QuietButton("", self, "link")
        self.rest.clicked.connect(self._show_all)
        box.addWidget(self.rest)
        self._is_whole = False
        self.buttons: dict[BoxId, BoxButton] = {}
        foot = row(spacing=S)
        new = QuietButton("+  New box", self, "link")
        new.clicked.connect(lambda: self.new_box_asked.emit(number))
        foot.addWidget(new)
        foot.addStretch(1)
        self.key = KeyHint(NEW_BOX_KEY, self)
        foot.addWidget(self.key)
        box.addSpacing(XS)
        box.addLayout(foot)
        figures = row(spacing=S)
        figures.addWidget(page)
        figures.addStretch(1)
        self.page_key = KeyHint("Alt+A", self)
        figures.addWidget(self.page_key)
        box.addLayout(figures)
        self.show_view(view)

    def show_view(self, view: CampaignView) -> None:
        """Show how the campaign stands now."""
        self.view = view
        campaign = view.campaign
        self.stands.show_text(_stands(view))
        before = campaign.opening_boxes
        told = f"{before} box{'' if before == 1 else 'es'} before this log" if before else ""
        self.before.show_text(told)
        self.before.setVisible(bool(told))
        shown = view.boxes if self._is_whole else view.boxes[:MOST_BOXES]
        more = len(view.boxes) - len(shown)
        self.rest.setText(f"{more} earlier {'box' if more == 1 else 'boxes'}")
        self.rest.setVisible(more > 0)
        if [line.box.id for line in shown] != list(self.buttons):
            clear_layout(self._boxes)
            self.buttons = {}
            for line in shown:
                button = BoxButton(line, self)
                button.clicked.connect(
                    lambda _on=False, number=int(line.box.id): self.box_chosen.emit(number)
                )
                self.buttons[line.box.id] = button
                self._boxes.addWidget(button)
        for line in shown:
            self.buttons[line.box.id].show_line(line)
        self.page_button.setVisible(bool(view.boxes))

    def _show_all(self) -> None:
        self._is_whole = True
        self.show_view(self.view)
        self.choose(self._chosen)

    def choose(self, box: BoxId | None) -> None:
        """Mark the box in hand; one that is not among those listed brings all of them."""
        self._chosen = box
        is_mine = any(line.box.id == box for line in self.view.boxes)
        if is_mine and box not in self.buttons:
            self._show_all()
            return
        for number, button in self.buttons.items():
            button.setChecked(number == box)
        for key in (self.key, self.page_key):
            key.setVisible(box in self.buttons)


def _stands(view: CampaignView) -> str:
    """box 33 · have 88 of 140."""
    told = [f"box {view.boxes[0].box.number}"] if view.boxes else []
    if view.have is not None and view.wanted is not None:
        told.append(f"have {view.have:,} of {view.wanted:,}")
    elif view.goal_name:
        told.append(view.goal_name)
    return " · ".join(told) or "no box yet"


class BoxShelf(QFrame):
    """All campaigns, one below the other."""

    box_chosen = Signal(int)
    new_box_asked = Signal(int)
    new_campaign_asked = Signal()
    page_asked = Signal(int)
    edit_asked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "shelf")
        self.setFixedWidth(SHELF_PX)
        outer = column(self, (M, L, M, M), S)
        self._scroll = ScrollColumn(self, (0, 0, 0, 0), XL)
        self._parts = column(spacing=XL)
        self._scroll.box.addLayout(self._parts)
        self._scroll.box.addStretch(1)
        outer.addWidget(self._scroll, 1)
        self.new_campaign = QuietButton("+  New campaign", self, "link")
        self.new_campaign.setToolTip("A goal album and the boxes searched for it (Ctrl+Shift+B)")
        self.new_campaign.clicked.connect(self.new_campaign_asked)
        foot = row(spacing=S)
        foot.addWidget(self.new_campaign)
        foot.addStretch(1)
        foot.addWidget(KeyHint(NEW_CAMPAIGN_KEY, self))
        outer.addLayout(foot)
        self.parts: list[CampaignPart] = []

    def show_campaigns(self, campaigns: Sequence[CampaignView], box: BoxId | None) -> None:
        """Show the campaigns; the one of the box in hand comes first."""
        ordered = sorted(
            campaigns,
            key=lambda one: (all(line.box.id != box for line in one.boxes), -one.campaign.id),
        )
        same = [p.view.campaign.id for p in self.parts] == [c.campaign.id for c in ordered]
        names = [p.view.campaign.name for p in self.parts] == [c.campaign.name for c in ordered]
        if same and names:
            for part, view in zip(self.parts, ordered, strict=True):
                part.show_view(view)
        else:
            clear_layout(self._parts)
            self.parts = [self._part(view) for view in ordered]
        for part in self.parts:
            part.choose(box)

    def _part(self, view: CampaignView) -> CampaignPart:
        part = CampaignPart(view, self._scroll.inside)
        part.box_chosen.connect(self.box_chosen)
        part.new_box_asked.connect(self.new_box_asked)
        part.page_asked.connect(self.page_asked)
        part.edit_asked.connect(self.edit_asked)
        self._parts.addWidget(part)
        return part
