"""The choices beside the preview: what, which file, how large, which colours, since when."""

from collections.abc import Callable
from datetime import date, timedelta

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QIntValidator
from PySide6.QtWidgets import QButtonGroup, QLineEdit, QPushButton, QWidget

from core.app.picture_order import Kind, PictureOrder, What
from core.errors import BadEntry
from core.printing.checklist import Paper
from gui.checklist.preview import default_paper
from gui.day_words import local_today, typed_day
from gui.form_field import FormField
from gui.pictures.real_choices import RealChoices
from gui.segmented import Segmented, let_keys_follow
from gui.theme import L, S
from gui.widgets import Chip, Label, QuietButton, ScrollColumn, SectionLabel, column, row

LEAF, ALBUM, CARD, REAL = "leaf", "album", "card", "real"
WHATS = {LEAF: "This leaf", ALBUM: "Whole album", CARD: "16:9 card", REAL: "Real size"}
HINTS = {
    LEAF: "The leaf of the slot you are on.",
    ALBUM: "Every leaf, as on the screen.",
    CARD: "The album in small, its counts and what is new, ready to post.",
    REAL: "Holes as large as the coins, to lay coins on or to cut out.",
}
PAPERS = (Paper.A4, Paper.LETTER, Paper.A5)
KINDS = (Kind.PNG, Kind.SVG, Kind.PDF)
THEMES = ("light", "dark", "paper")
SCALES = (1.0, 2.0, 3.0)
AGOS = {"30 days": 30, "A year": 365}
TYPING_MS = 350
FIELD_PX = 76
MOST_WIDTH = 99_999


class Choices(ScrollColumn):
    """Emits `changed` whenever another picture is wanted."""

    changed = Signal()

    def __init__(self, parent: QWidget, leaf: int | None) -> None:
        super().__init__(parent, (0, 0, L, 0), S)
        self._leaf = leaf
        self._since: date | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(TYPING_MS)
        self._timer.timeout.connect(self.take_typed)
        self.box.addWidget(Label("Picture or leaf sheets", "title", self.inside, wraps=True))
        self.album = Label("", "mute", self.inside, wraps=True)
        self.box.addWidget(self.album)
        self.box.addSpacing(S)
        self._build_whats()
        self._build_kinds()
        self.real = RealChoices(self.inside, leaf is not None)
        self.real.changed.connect(self.changed)
        self.box.addWidget(self.real)
        self._build_size()
        self._build_colours()
        self._build_since()
        self.box.addStretch(1)
        self._show_fitting()

    # --- building

    def _build_whats(self) -> None:
        self.box.addWidget(SectionLabel("What", self.inside))
        self._group = QButtonGroup(self)
        let_keys_follow(self._group)
        self.whats: dict[str, QPushButton] = {}
        lines = column(spacing=2)
        for place, (what, text) in enumerate(WHATS.items()):
            button = QuietButton(text, self.inside, "choice")
            button.setCheckable(True)
            button.setToolTip(HINTS[what])
            self._group.addButton(button, place)
            lines.addWidget(button)
            self.whats[what] = button
        self.whats[LEAF].setEnabled(self._leaf is not None)
        self.whats[ALBUM].setChecked(True)
        self._group.idToggled.connect(lambda _place, is_on: self._on_choice() if is_on else None)
        self.box.addLayout(lines)
        self._hint = Label(HINTS[ALBUM], "small", self.inside, wraps=True)
        self.box.addWidget(self._hint)
        self.box.addSpacing(S)

    def _build_kinds(self) -> None:
        self._as = SectionLabel("As", self.inside)
        self.box.addWidget(self._as)
        self.kind = self._segmented(["PNG", "SVG", "PDF"], "File")
        self.paper = self._segmented([paper.shown_name for paper in PAPERS], "Paper")
        self.paper.choose(PAPERS.index(default_paper()))
        self.box.addSpacing(S)

    def _build_size(self) -> None:
        self.scale = Segmented(["1×", "2×", "3×"], "Size", self.inside)
        self.scale.choose(1)
        self.scale.chosen.connect(self._on_scale)
        self.width_px = QLineEdit(self.inside)
        self.width_px.setPlaceholderText("pixels")
        self.width_px.setToolTip("Width in pixels")
        self.width_px.setFixedWidth(FIELD_PX)
        self.width_px.setAccessibleName("Width in pixels")
        self.width_px.setValidator(QIntValidator(1, MOST_WIDTH, self.width_px))
        self.width_px.textEdited.connect(self._on_width)
        lines = row(spacing=S)
        lines.addWidget(self.scale, 1)
        lines.addWidget(self.width_px)
        self.size_field = FormField("Size", lines, self.inside)
        self.box.addWidget(self.size_field)
        self.box.addSpacing(S)

    def _build_colours(self) -> None:
        self.theme = Segmented(["Light", "Dark", "Black"], "Colours", self.inside)
        self.theme.choose(0)
        self.theme.chosen.connect(lambda _place: self._on_choice())
        self.clear = Chip("Clear ground", None, self.inside)
        self.clear.setToolTip("Leave what lies around the leaves transparent")
        self.clear.toggled.connect(lambda _on: self._on_choice())
        lines = column(spacing=S)
        lines.addWidget(self.theme)
        beside = row(spacing=S)
        beside.addWidget(self.clear)
        beside.addStretch(1)
        lines.addLayout(beside)
        self.colours_field = FormField("Colours", lines, self.inside)
        self.box.addWidget(self.colours_field)
        self.box.addSpacing(S)

    def _build_since(self) -> None:
        self.since = QLineEdit(self.inside)
        self.since.setPlaceholderText("no day")
        self.since.setAccessibleName("Changed since")
        self.since.textEdited.connect(lambda _text: self._timer.start())
        self.since.editingFinished.connect(self.take_typed)
        lines = row(spacing=S)
        lines.addWidget(self.since, 1)
        self.agos: dict[str, QPushButton] = {}
        for text, days in AGOS.items():
            button = QuietButton(text, self.inside)
            button.setAccessibleName(f"Changed since: {text.lower()} ago")
            button.clicked.connect(self._ago(days))
            lines.addWidget(button)
            self.agos[text] = button
        hint = "Slots that changed after this day are ringed, and named on the card."
        self.since_field = FormField("Changed since", lines, self.inside, hint)
        self.box.addWidget(self.since_field)

    def _segmented(self, names: list[str], label: str) -> Segmented:
        choice = Segmented(names, label, self.inside)
        choice.choose(0)
        choice.chosen.connect(lambda _place: self._on_choice())
        self.box.addWidget(choice)
        return choice

    # --- what is chosen

    @property
    def what(self) -> str:
        """LEAF, ALBUM or CARD."""
        return list(WHATS)[max(0, self._group.checkedId())]

    @property
    def is_sheets(self) -> bool:
        """Whether pages of paper are asked for."""
        return self.order().kind is Kind.PDF and self.what != CARD

    @property
    def day(self) -> date | None:
        """Since when changes are told."""
        return self._since

    def order(self) -> PictureOrder:
        """The picture asked for."""
        if self.what == REAL:
            return self._real_order()
        kind = KINDS[max(0, self.kind.choice())]
        width = self.width_px.text().strip()
        return PictureOrder(
            kind,
            What.CARD if self.what == CARD else What.ALBUM,
            self._leaf if self.what == LEAF else None,
            THEMES[max(0, self.theme.choice())],
            int(width) if width and kind is Kind.PNG else None,
            SCALES[max(0, self.scale.choice())] if kind is Kind.PNG else 1.0,
            self.clear.isChecked(),
            PAPERS[max(0, self.paper.choice())],
        )

    def _real_order(self) -> PictureOrder:
        return PictureOrder(
            Kind.PDF,
            leaf=self._leaf if self.real.is_this_leaf else None,
            paper=PAPERS[max(0, self.paper.choice())],
            real=self.real.order(),
        )

    @property
    def fault(self) -> str:
        """Why nothing can be drawn, "" where it can."""
        return self.real.fault if self.what == REAL else ""

    @property
    def typed_fields(self) -> tuple[QLineEdit, ...]:
        """The lines where Enter takes over what was typed."""
        return self.since, self.width_px, self.real.hole, self.real.clearance

    def _on_choice(self) -> None:
        self._hint.setText(HINTS[self.what])
        self._show_fitting()
        self.changed.emit()

    def _on_scale(self, _place: int) -> None:
        self.width_px.clear()
        self._on_choice()

    def _on_width(self, text: str) -> None:
        self.scale.choose(-1 if text else 1)
        self._timer.start()

    def _ago(self, days: int) -> Callable[[], None]:
        def choose() -> None:
            self.since.setText((local_today() - timedelta(days=days)).isoformat())
            self.take_typed()

        return choose

    def take_typed(self) -> None:
        """Take over what was typed: the width, and the day where it is one."""
        self._timer.stop()
        if self.what == REAL:
            self.real.take_typed()
            return
        typed = self.since.text().strip()
        try:
            day = typed_day(typed, local_today()) if typed else None
            if day is not None and day > local_today():
                raise BadEntry("That day is still to come.")
        except BadEntry as fault:
            self.since_field.show_fault(str(fault))
            return
        self.since_field.show_fault("")
        self._since = day
        self.changed.emit()

    def _show_fitting(self) -> None:
        """Only what has a meaning for the file asked for."""
        order = self.order()
        is_sheets = order.kind is Kind.PDF and order.what is not What.CARD
        is_real = self.what == REAL
        self.real.setVisible(is_real)
        self.kind.setVisible(not is_real)
        self._as.setText("PAPER" if is_real else "AS")
        self.since_field.setVisible(not is_real)
        self.paper.setVisible(is_sheets)
        self.size_field.setVisible(order.kind is Kind.PNG)
        self.colours_field.setVisible(not is_sheets)
