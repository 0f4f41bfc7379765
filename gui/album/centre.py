"""The middle of the albums workspace: title, headline, buttons, the leaf, its key, and zoom."""

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from core.app.views import AlbumView, SlotView
from core.model.album import AlbumKind, SlotId
from core.model.arrangement import ArrangementKind
from gui.actions import Actions
from gui.album.legend_bar import LegendBar
from gui.album.show_overview import overview_reason
from gui.album.shown import CHOICES, EVERYTHING, Shown, changed_cells, shown_cells, take_over
from gui.design.forms import arrangement_words
from gui.icons import icon
from gui.leaf.view import LeafView
from gui.theme import XL, XS, L, M, S, current_palette
from gui.widgets import (
    Band,
    ElidedLabel,
    IconButton,
    Label,
    MenuButton,
    QuietButton,
    column,
    row,
)

if TYPE_CHECKING:
    from datetime import date

    from core.arrange.plan import LeafPlan
    from gui.album.show_line import ShowLine
    from gui.album.show_words import SlotWords

TOLD = ("show_since", "show_origin", "show_gain")
"""What words under the slots can tell, by command."""
HINT = "arrow keys move · type a date to jump · Enter opens the slot · Ctrl + wheel zooms"
DESIGN_HINT = (
    "drag a slot to move it · Shift + R L D M T selects alike · type a date to jump · "
    "Ctrl + wheel zooms"
)
LEAF_MARGIN_PX = 20
"""What the leaf leaves free around its cards at the usual size."""
MOST_INDENT_PX = 72
RUNNING_SIZES = ((8, 6), (9, 5), (10, 8))
"""Slots to a row, rows to a leaf: offered without typing."""


class AlbumCentre(QWidget):
    """Shows one album. What the collector wants done goes out by signals and actions."""

    arrangement_chosen = Signal(object)
    other_size_asked = Signal()
    shown_changed = Signal()
    words_dropped = Signal()
    """The collector chose something else than the words under the slots."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        """Head and leaf; `build_foot` makes it whole, in a turn of its own."""
        super().__init__(parent)
        self._actions = actions
        self.view: AlbumView | None = None
        self._given: AlbumView | None = None
        self.shown = EVERYTHING
        self.words: SlotWords | None = None
        self.show_line: ShowLine | None = None
        box = column(self, (0, L, 0, M), 0)
        self._head = self._build_head()
        self._head.setContentsMargins(XL, 0, XL, 0)
        box.addLayout(self._head)
        box.addSpacing(XS)
        self.bands = column(margins=(XL, XS, XL, 0), spacing=S)
        box.addLayout(self.bands)
        self.nothing_shown = Band(self, "Show everything (E)")
        self.nothing_shown.acted.connect(lambda: self.choose_shown(EVERYTHING))
        self.nothing_shown.hide()
        self.bands.addWidget(self.nothing_shown)
        self.leaf = LeafView(self)
        self._typing = TypingGuard(self.leaf)
        self.leaf.zoom_changed.connect(self._on_zoom_changed)
        self._follows_window = True
        self._fit_timer = QTimer(self)
        self._fit_timer.setSingleShot(True)
        self._fit_timer.timeout.connect(self._fit_reading)
        self._is_fitting = False
        leaf_line = row(margins=(XL - LEAF_MARGIN_PX, 0, 0, 0))
        leaf_line.addWidget(self.leaf)
        box.addLayout(leaf_line, 1)
        self._foot = column(margins=(XL, 0, XL, 0), spacing=0)
        box.addLayout(self._foot)

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> QVBoxLayout:
        head = column(spacing=S)
        first, second = row(spacing=S), row(spacing=S)
        self.title = ElidedLabel("", "title", self)
        first.addWidget(self.title, 1)
        self.show_button = MenuButton("Show", "everything", self)
        self._show_actions: list[tuple[QAction, Shown]] = []
        for (words, shown), key in zip(CHOICES, "EGBW", strict=True):
            action = self.show_button.choices.addAction(f"{words.capitalize()}\t{key}")
            action.setCheckable(True)
            action.triggered.connect(lambda _on=False, shown=shown: self.choose_shown(shown))
            self._show_actions.append((action, shown))
        self.show_button.choices.addSeparator()
        self._told_actions = {command: self._told_action(command) for command in TOLD}
        first.addWidget(self.show_button)
        self.arrange_button = MenuButton("Arrange", "", self)
        self.arrange_button.choices.aboutToShow.connect(self._fill_arrange_menu)
        first.addWidget(self.arrange_button)
        self.day_button = QuietButton("Today ▾", self)
        self.day_button.setToolTip(self._actions["as_of"].toolTip())
        self.day_button.clicked.connect(self._actions["as_of"].trigger)
        self.show_day(None)
        first.addWidget(self.day_button)
        head.addLayout(first)
        self.headline = Label("", "headline", self)
        self.beside = ElidedLabel("", "beside", self)
        second.addWidget(self.headline)
        second.addWidget(self.beside, 1)
        self.buttons: dict[str, QuietButton] = {}
        for command, picture in (("fill", "sparkles"), ("stock", "package-open"),
                                 ("checklist", "clipboard-list"),
                                 ("pictures", "layers")):  # fmt: skip
            second.addWidget(self._command_button(command, picture))
        head.addLayout(second)
        self.note = ElidedLabel("", "small", self)
        self.note.hide()
        head.addWidget(self.note)
        return head

    def _told_action(self, command: str) -> QAction:
        known = self._actions[command]
        text = known.text().removeprefix("Show ").capitalize()
        action = self.show_button.choices.addAction(f"{text}\t{known.shortcut().toString()}")
        action.setCheckable(True)
        action.triggered.connect(lambda _on=False: known.trigger())
        return action

    def _command_button(self, command: str, picture: str) -> QuietButton:
        action = self._actions[command]
        button = QuietButton(f" {action.text()}", self, "quiet")
        button.setAccessibleName(action.text())
        button.setToolTip(action.toolTip())
        button.setProperty("picture", picture)
        button.setIconSize(QSize(15, 15))
        button.clicked.connect(action.trigger)
        action.enabledChanged.connect(partial(self._on_command_allowed, command))
        button.setEnabled(action.isEnabled())
        self.buttons[command] = button
        return button

    def _on_command_allowed(self, command: str, is_allowed: bool) -> None:
        view = self.view
        is_overview = view is not None and view.album.kind is AlbumKind.OVERVIEW
        is_off = is_overview and command in ("fill", "stock")
        self.buttons[command].setEnabled(is_allowed and not is_off)

    def build_foot(self) -> None:
        """What stands under the leaf: legend, hint, zoom."""
        box = self._foot
        box.addSpacing(M)
        self.legend = LegendBar(self)
        self.legend.shown_changed.connect(self.choose_shown)
        box.addWidget(self.legend)
        box.addSpacing(S)
        line = row(spacing=S)
        self.hint = ElidedLabel(HINT, "small", self)
        line.addWidget(self.hint, 1)
        for picture, command in (("zoom-out", "zoom_out"), ("maximize", "zoom_fit"),
                                 ("zoom-in", "zoom_in")):  # fmt: skip
            action = self._actions[command]
            button = IconButton(picture, action.text(), self)
            button.setToolTip(action.toolTip())
            button.clicked.connect(action.trigger)
            line.addWidget(button)
        box.addLayout(line)
        self._actions.bind("zoom_in", lambda: self.leaf.zoom_by(1.2))
        self._actions.bind("zoom_out", lambda: self.leaf.zoom_by(1 / 1.2))
        self._actions.bind("zoom_fit", self.leaf.fit_album)
        self._actions.bind("zoom_one", lambda: self.leaf.set_zoom(1.0))
        for command, (_words, shown) in zip(
            ("show_all", "show_gaps", "show_below", "show_spares"), CHOICES, strict=True
        ):
            self._actions.bind(command, partial(self.choose_shown, shown))
        self.legend.installEventFilter(self)
        self._colour()

    # ---- what is shown ------------------------------------------------------------------------

    def show_view(
        self, view: AlbumView, is_new: bool, words: "SlotWords | None" = None
    ) -> AlbumView:
        """Show an album, or what became of the one shown; the view whose plan is drawn comes back.

        `words` stand under the slots and dim the others. Where only some slots look otherwise,
        those are painted anew: selection and place stay.
        """
        if is_new or words is not None:
            self.shown = EVERYTHING
        self._given, self.words = view, words
        return self._draw(is_new)

    def _draw(self, is_new: bool) -> AlbumView:
        """Draw a plan of our own: one from the collection is kept there and must stay as it is."""
        given, old = self._given, self.view
        assert given is not None
        plan = given.plan if self.words is None else self._told_plan(given)
        cells = changed_cells(old.plan, plan) if old is not None and not is_new else None
        if old is not None and cells is not None:
            take_over(old.plan, plan, cells)
            self.view = view = replace(given, plan=old.plan)
            self._filter()
            self.leaf.update_slots([old.plan.slot_ids[cell] for cell in cells])
        else:
            self.view = view = replace(given, plan=plan.copy())
            self.leaf.show_plan(view.plan, current_palette(), keep_position=not is_new)
            self._filter()
            if is_new:
                self._follows_window = True
            if is_new or self.leaf.runs_off():
                self._fit_reading()
        self._show_words(view)
        self._line_up()
        return view

    def _told_plan(self, view: AlbumView) -> "LeafPlan":
        from gui.album.show_words import told_plan

        assert self.words is not None
        return told_plan(view.plan, self.words)

    def _show_words(self, view: AlbumView) -> None:
        self.title.keeps_end = bool(view.album.volumes)  # the years of a volume
        self.title.show_text(view.album.name)
        line = view.headline
        self.headline.setText(line.text)
        is_overview = view.album.kind is AlbumKind.OVERVIEW
        kind = " · overview: coins wherever they sit" if is_overview else ""
        self.beside.show_text(f"at target {line.at_target}{kind}")
        self._allow_filling(view.album.name, is_overview)
        note = " · ".join(part for part in view.album.note.splitlines() if part.strip())
        if self.note.isHidden() is bool(note):
            self._fit_timer.start()
        self.note.show_text(note)
        self.note.setAccessibleName(f"Note: {note}")
        self.note.setVisible(bool(note))
        self.legend.show_counts(line)
        self.legend.show_overview(is_overview)
        self._show_choice()
        self.arrange_button.show_value(arrangement_words(view.album.arrangement))

    def _allow_filling(self, name: str, is_overview: bool) -> None:
        """Fill and Stock are off in an overview; their tips say why, as their keys do."""
        for command in ("fill", "stock"):
            action, button = self._actions[command], self.buttons[command]
            button.setEnabled(action.isEnabled() and not is_overview)
            button.setToolTip(overview_reason(name) if is_overview else action.toolTip())

    def choose_shown(self, shown: Shown) -> None:
        """Draw only these slots in full; words under the slots go."""
        self.shown = shown
        if self.words is not None and self.view is not None:
            self.words = None
            self._draw(is_new=False)
            self.words_dropped.emit()
        self._filter()
        self._show_choice()
        self.shown_changed.emit()

    def show_designing(self, is_on: bool) -> None:
        """While the leaf is designed the key of its glyphs makes room for it."""
        self.legend.setVisible(not is_on)
        self.hint.show_text(DESIGN_HINT if is_on else HINT)
        self.fit_again()

    def fit_again(self) -> None:
        """A band came or went: the leaf may be larger, or must be smaller."""
        self._fit_timer.start()

    def show_day(self, day: "date | None") -> None:
        """Name the day that is shown on its button; None for today."""
        from gui.day_words import day_words

        text = day_words(day) if day is not None else "Today"
        self.day_button.setText(f"{text} ▾")
        self.day_button.setAccessibleName(f"As of {text[:1].lower()}{text[1:]}")

    def _filter(self) -> None:
        view = self.view
        if view is None:
            return
        if self.words is not None:
            told = self.words.by_slot
            self.leaf.set_shown(bytes(slot in told for slot in view.plan.slot_ids))
            self.nothing_shown.say("")
            return
        cells = shown_cells(self.shown, view, view.plan)
        self.leaf.set_shown(cells)
        is_nothing = cells is not None and not any(cells)
        words = self.shown.words
        what = {"gaps": "has no gaps", "below target": "has nothing below target",
                "spare waiting": "has no slot where a spare would be better"}  # fmt: skip
        said = what.get(words, "has no slot of your choice")
        self.nothing_shown.say(f"{view.album.name} {said}." if is_nothing else "")

    def _show_choice(self) -> None:
        words = self.words
        self.show_button.show_value(words.telling.words if words else self.shown.words)
        for action, shown in self._show_actions:
            action.setChecked(shown == self.shown and words is None)
        for command, action in self._told_actions.items():
            action.setChecked(words is not None and words.telling.command == command)
        self.legend.show_shown(self.shown)
        if words is not None or self.show_line is not None:
            line = self._line_of_words()
            if line.isHidden() is not (words is None):
                self._fit_timer.start()
            line.show_words(words)

    def _line_of_words(self) -> "ShowLine":
        if self.show_line is None:
            from gui.album.show_line import ShowLine

            self.show_line = ShowLine(self)
            self.show_line.other_day_asked.connect(self._actions["show_since"].trigger)
            self.show_line.everything_asked.connect(lambda: self.choose_shown(EVERYTHING))
            self._foot.insertSpacing(1, S)
            self._foot.insertWidget(1, self.show_line)
        return self.show_line

    def _fill_arrange_menu(self) -> None:
        menu = self.arrange_button.choices
        menu.clear()
        if self.view is None:
            return
        now = self.view.album.arrangement
        kinds = ArrangementKind
        choices = [replace(now, kind=kinds.YEARS_BY_MINTS, rows_per_leaf=None)]
        choices += [
            replace(now, kind=kinds.RUNNING, per_row=slots, rows_per_leaf=rows)
            for slots, rows in RUNNING_SIZES
        ]
        for arrangement in choices:
            action = menu.addAction(arrangement_words(arrangement).capitalize())
            action.setCheckable(True)
            action.setChecked(arrangement.text == now.text)
            action.triggered.connect(
                lambda _on=False, chosen=arrangement: self.arrangement_chosen.emit(chosen)
            )
        menu.addSeparator()
        menu.addAction("Running, other size…", self.other_size_asked.emit)
        for action in menu.actions():
            action.setEnabled(self._actions["fill"].isEnabled())
        menu.addSeparator()
        menu.addAction(self._actions["design"])
        menu.addAction(self._actions["edit_album"])

    # ---- slots --------------------------------------------------------------------------------

    def chosen_views(self) -> list[SlotView]:
        """The selected slots, or the current one."""
        view = self.view
        if view is None:
            return []
        slots = self.leaf.selected_slots() or [self.leaf.current_slot()]
        return [view.by_id[SlotId(s)] for s in slots if SlotId(s) in view.by_id]

    # ---- events -------------------------------------------------------------------------------

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._colour()

    def _colour(self) -> None:
        colours = current_palette()
        for button in self.buttons.values():
            button.setIcon(icon(str(button.property("picture")), colours.mute))
        self.leaf.set_palette_colours(colours)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_timer.start()
        self._line_up()
        is_narrow = self.width() < 780
        for command, button in self.buttons.items():
            button.setText("" if is_narrow else f" {self._actions[command].text()}")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and watched is self.legend:
            self._fit_timer.start()  # a line of chips more or less
        return False

    def _fit_reading(self) -> None:
        """Until the collector zooms, leaves are as large as the window's height allows."""
        if self._follows_window and self.view is not None:
            self._is_fitting = True
            self.leaf.fit_reading()
            self._is_fitting = False

    def _on_zoom_changed(self) -> None:
        self._follows_window &= self._is_fitting
        self._line_up()

    def _line_up(self) -> None:
        """The title begins where the first leaf does, unless that stands far in."""
        left = self.leaf.x() + self.leaf.content_left()
        edge = left if L <= left <= MOST_INDENT_PX else XL
        if self._head.contentsMargins().left() != edge:
            for part in (self._head, self._foot):
                part.setContentsMargins(edge, 0, XL, 0)
            self.bands.setContentsMargins(edge, XS, XL, 0)


class TypingGuard(QObject):
    """While a date is being typed, its letter (1943-D) is part of it and no command."""

    def __init__(self, leaf: LeafView) -> None:
        super().__init__(leaf)
        self._since_digit = QElapsedTimer()
        leaf.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent):
            return False
        plain = not event.modifiers() & ~(
            Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier
        )
        text = event.text()
        if event.type() == QEvent.Type.KeyPress and plain and text[:1].isdigit():
            self._since_digit.start()
        is_override = event.type() == QEvent.Type.ShortcutOverride
        is_letter = plain and (text[:1].isalpha() or text[:1] == "-")
        if is_override and is_letter and self._is_typing():
            self._since_digit.start()
            event.accept()
            return True
        return False

    def _is_typing(self) -> bool:
        limit = QApplication.keyboardInputInterval()
        return self._since_digit.isValid() and self._since_digit.elapsed() < limit
