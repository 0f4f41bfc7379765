"""The band across the leaf that goes through an album's history: a day, what changed, play."""

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from core.errors import CollectionError
from gui.album.day_slider import DaySlider
from gui.day_words import day_words, long_day, typed_day
from gui.segmented import Segmented
from gui.theme import XS, L, M, set_style
from gui.widgets import Card, ElidedLabel, IconButton, Label, QuietButton, column, row

MOST_PLAY_MS, LEAST_STEP_MS, MOST_STEP_MS, EVEN_STEP_MS = 20_000, 40, 700, 50
EVEN_DAY_MS = 60
"""In even time a day takes this long, less where the history is long."""
BY_CHANGE, EVENLY = range(2)
NOTHING = "Nothing changed that day"


class TimeBand(Card):
    """Shows a day and asks for another; what is drawn of it is told by `show_day`."""

    day_chosen = Signal(object)
    close_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "band", (L, M, M, M), XS)
        self.setAccessibleName("The album through time")
        self.slider = DaySlider(self)
        self.slider.chosen.connect(self._on_chosen)
        self.slider.play_asked.connect(self.toggle_play)
        self.slider.escaped.connect(self.close_asked)
        self.slider.typed.connect(self._on_figure)
        self.play_button = QuietButton("Play", self)
        self.play_button.setToolTip("Run through the history up to today (Space)")
        self.play_button.clicked.connect(self.toggle_play)
        self.field = QLineEdit(self)
        self.field.setAccessibleName("Go to a day")
        self.field.setPlaceholderText("3 May 2025")
        self.field.setToolTip("Type a day and press Enter: 3 May 2025, 2025-05-03 or 3.5.2025.")
        self.field.setFixedWidth(132)
        self.field.returnPressed.connect(self._on_typed)
        self.field.textEdited.connect(lambda _text: self._say_fault(""))
        self.close_button = IconButton("x", "Back to today (Esc)", self)
        self.close_button.clicked.connect(self.close_asked)
        self.pace = Segmented(["By change", "Even time"], "Play", self)
        self.pace.choose(BY_CHANGE)
        self.pace.setToolTip("How it plays: a change at a time, or in even time")
        self.pace.chosen.connect(self._on_pace)
        self.day = Label("", "strong", self)
        self.have = Label("", "body", self)
        self.story = ElidedLabel("", "small", self)
        self.look_only = ElidedLabel("", "small", self)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._on_tick)
        self._is_ticking = False
        self._said, self._said_look = "", "small"
        self._stride, self._goes_to, self._day_stride = 1, 0.0, 1.0
        self._build()
        self.hide()

    def _build(self) -> None:
        top = row(spacing=M)
        top.addWidget(self.play_button)
        top.addWidget(self.slider, 1)
        top.addWidget(self.field)
        top.addWidget(self.close_button)
        words = row(spacing=M)
        words.addWidget(self.day)
        words.addWidget(self.have)
        words.addWidget(self.story, 1)
        told = column(spacing=0)
        told.addLayout(words)
        told.addWidget(self.look_only)
        below = row(spacing=M)
        below.addLayout(told, 1)
        below.addWidget(self.pace, 0, Qt.AlignmentFlag.AlignTop)
        self.box.addLayout(top)
        self.box.addLayout(below)
        for part in (self.play_button, self.field, self.close_button):
            top.setAlignment(part, Qt.AlignmentFlag.AlignTop)

    # ---- what is shown ------------------------------------------------------------------------

    def show_days(self, days: Sequence[date], today: date) -> None:
        """The album's days of change, and today."""
        self.slider.show_days(days, today)
        has_past = bool(days) and days[0] < today
        self.slider.setEnabled(has_past)
        self.play_button.setEnabled(has_past)
        self.field.setEnabled(has_past)
        self.pace.setEnabled(has_past)

    def show_day(self, day: date, have: str, story: str) -> None:
        """Tell a day whose leaf is drawn now."""
        slider = self.slider
        is_today = day >= slider.last
        self.day.setText("Today" if is_today else long_day(day))
        self.have.setText(have)
        if is_today and story == NOTHING:
            story = "Nothing changed today"
        self.story.show_text(
            story if slider.isEnabled() else "No coin has come or gone before today"
        )
        stood = f"As it stood at the end of {day_words(day)}, with today's targets. "
        keys = "Left and right step from change to change, Space plays, a typed day jumps there."
        self._said = keys if is_today else f"{stood}Look only; Esc returns to today."
        self._said_look = "small" if is_today else "strong_small"
        self._say_fault("")

    def focus_slider(self) -> None:
        """The keys act on the slider."""
        place = self.slider if self.slider.isEnabled() else self.close_button
        place.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def has_keys(self) -> bool:
        """Whether the keys act on the band."""
        focus = QApplication.focusWidget()
        return focus is not None and self.isAncestorOf(focus)

    def _say_fault(self, text: str) -> None:
        """Say what is wrong with a day typed; "" says again what stands there."""
        self.look_only.show_text(text or self._said)
        set_style(self.look_only, "look", "fault" if text else self._said_look)

    # ---- going --------------------------------------------------------------------------------

    def _on_figure(self, figure: str) -> None:
        """Go on in the field with a day whose first figure was typed on the slider."""
        self.field.setText(figure)
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)
        self.field.end(False)

    def _on_chosen(self, day: date) -> None:
        if not self._is_ticking:
            self.stop()
        self.day_chosen.emit(day)

    def _on_typed(self) -> None:
        try:
            day = typed_day(self.field.text(), self.slider.last)
        except CollectionError as error:
            self._say_fault(str(error))
            return
        self.stop()
        self.field.clear()
        slider = self.slider
        slider.show_day(min(max(day, slider.first), slider.last))
        self.day_chosen.emit(slider.day)
        slider.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def is_playing(self) -> bool:
        """Whether it runs through the history now."""
        return self._timer.isActive()

    def toggle_play(self) -> None:
        """Run on from this day, from the first where it is today; or stop."""
        if self.is_playing:
            self.stop()
            return
        slider = self.slider
        if not slider.isEnabled():
            return
        if slider.day >= slider.last:
            slider.go_to(slider.first)
        if self.pace.choice() == EVENLY:
            days = slider.last.toordinal() - slider.value()
            steps = max(1.0, min(MOST_PLAY_MS, days * EVEN_DAY_MS) / EVEN_STEP_MS)
            self._goes_to, self._day_stride = float(slider.value()), days / steps
            self._timer.start(EVEN_STEP_MS)
        else:
            left = sum(day > slider.day for day in slider.change_days) + 1
            self._stride = -(-left * LEAST_STEP_MS // MOST_PLAY_MS)
            every = MOST_PLAY_MS * self._stride // left
            self._timer.start(min(MOST_STEP_MS, max(LEAST_STEP_MS, every)))
        self.play_button.setText("Pause")

    def _on_pace(self) -> None:
        if self.is_playing:
            self.stop()
            self.toggle_play()

    def stop(self) -> None:
        """Stay on the day shown."""
        self._timer.stop()
        self.play_button.setText("Play")

    def _on_tick(self) -> None:
        slider = self.slider
        self._is_ticking = True
        if self.pace.choice() == EVENLY:
            self._goes_to += self._day_stride
            slider.go_to(date.fromordinal(min(slider.maximum(), round(self._goes_to))))
        else:
            slider.go_to(slider.change_after(self._stride))
        self._is_ticking = False
        if slider.day >= slider.last:
            self.stop()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_asked.emit()
        elif event.key() == Qt.Key.Key_Space:
            self.toggle_play()
        else:
            super().keyPressEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:
        self.stop()
        super().hideEvent(event)
