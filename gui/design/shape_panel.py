"""The Shape panel: every part of an arrangement that its form has; each change is told at once."""

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.views import AlbumView
from core.errors import BadEntry
from core.model.arrangement import (
    MOST_BLOCKS,
    MOST_CELLS,
    MOST_ROWS,
    Arrangement,
    ArrangementKind,
    Break,
    Order,
    RowMap,
    SavedArrangement,
    ShowP,
    check_label,
    read_hole,
)
from core.model.issue import Facet, Mint, Series
from gui.design.forms import FormList
from gui.design.kept_box import KeptBox
from gui.design.shape_fields import Choice, Count, LabelField, MapField, MintOrder, TypedText
from gui.form_field import FormField
from gui.leaf.leaf_port import PlainKeys
from gui.segmented import Segmented
from gui.theme import L, M, S
from gui.widgets import Card, Hairline, IconButton, Label, ScrollColumn, column, row

Change = Callable[[Arrangement], Arrangement]
"""What one control does to whatever the arrangement is by then."""

ORDERS = (Order.AS_LISTED, Order.DATE, Order.MINT)
MATRIX_ORDERS = (Order.AS_LISTED, Order.DATE)
BREAKS = (
    ("none", Break.NONE),
    ("every date", Break.DATE),
    ("every decade", Break.DECADE),
    ("every design", Break.DESIGN),
    ("every mint", Break.MINT),
)
PASSED_BY = "Enter takes it: it asks for other slots, and names them first."
SHOW_P = (ShowP.NEVER, ShowP.AS_ON_COIN, ShowP.ALWAYS)


class ShapePanel(Card):
    """Shows an album's arrangement and tells what is to be changed of it."""

    changed = Signal(str, object)
    """Which part (a newer change of it stands for an older one that waits), and a Change."""
    form_chosen = Signal(object)
    present_map_asked = Signal()
    close_asked = Signal()
    left = Signal()
    """Back to the leaf."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, "card", (1, 1, 1, 1), 0)
        self.setAccessibleName("Shape")
        self._shape = Arrangement()
        self._build_head()
        self._scroll = ScrollColumn(self, (L, S, L, L), L)
        self.box.addWidget(self._scroll, 1)
        self._build_form()
        self._build_order()
        self._build_breaks()
        self._build_labels()
        self._build_leaf()
        for typing, field in (
            (self.map_field.typing, self.map_field),
            (self.label.typing, self.label),
            (self.hole_typing, self.hole_field),
        ):
            typing.typed.connect(lambda _text, field=field: self._show_fault_of(field))
        self.kept = KeptBox(self)
        self._add(self.kept)
        self._scroll.box.addStretch(1)
        self.installEventFilter(PlainKeys(self))  # a letter here starts no command of the album

    # ---- building -----------------------------------------------------------------------------

    def _build_head(self) -> None:
        line = row(margins=(L, M, S, S), spacing=S)
        line.addWidget(Label("Shape", "heading", self))
        line.addStretch(1)
        self.close_button = IconButton("x", "Leave designing (Q)", self)
        self.close_button.clicked.connect(self.close_asked)
        line.addWidget(self.close_button)
        self.box.addLayout(line)
        self.box.addWidget(Hairline(self))

    def _add(self, widget: QWidget) -> None:
        self._scroll.box.addWidget(widget)

    def _build_form(self) -> None:
        self.form = FormList(self)
        self.form.chosen.connect(self.form_chosen)
        self.form_field = FormField("Form", self.form, self)
        self.form.passing.connect(
            lambda kind: self.form_field.show_hint("" if kind is None else PASSED_BY)
        )
        self._add(self.form_field)
        sizes = column(spacing=S)
        self.per_row = Count("slots to a row", (1, MOST_CELLS), self)
        self.rows = Count("rows to a leaf", (0, MOST_ROWS), self, "even")
        self.blocks = Count("blocks abreast", (1, MOST_BLOCKS), self)
        for count in (self.per_row, self.rows, self.blocks):
            sizes.addWidget(count)
        self.per_row.chosen.connect(
            lambda n: self._change("per_row", lambda a: replace(a, per_row=n))
        )
        self.rows.chosen.connect(
            lambda n: self._change("rows", lambda a: replace(a, rows_per_leaf=n or None))
        )
        self.blocks.chosen.connect(lambda n: self._change("blocks", lambda a: replace(a, blocks=n)))
        self.sizes_field = FormField("Size", sizes, self)
        self._add(self.sizes_field)
        self.map_field = MapField(self)
        self.map_field.chosen.connect(self._on_map)
        self.map_field.present_asked.connect(self.present_map_asked)
        self._add(self.map_field)

    def _build_order(self) -> None:
        self.order = Segmented(["as listed", "by date", "by mint"], "Order", self)
        for button, tip in zip(
            self.order.buttons,
            ("As the slots stand in the album, moved by hand too", "Date, then mint",
             "Mint, then date"), strict=True,
        ):  # fmt: skip
            button.setToolTip(tip)
        self.order.chosen.connect(
            lambda at: self._change("order", lambda a: replace(a, order=ORDERS[at]))
        )
        self._add(FormField("Order", self.order, self))
        self.mints = MintOrder(self)
        self.mints.chosen.connect(self._on_mints)
        self.mints_field = FormField("Mints, first to last", self.mints, self)
        self._add(self.mints_field)
        self.direction = Segmented(["left to right", "top to bottom"], "Direction", self)
        self.direction.chosen.connect(
            lambda at: self._change("down", lambda a: replace(a, is_down=bool(at)))
        )
        self.direction_field = FormField("Runs", self.direction, self)
        self._add(self.direction_field)
        self.closed = Segmented(["kept", "closed up"], "Places not struck", self)
        self.closed.chosen.connect(
            lambda at: self._change("closed", lambda a: replace(a, is_closed=bool(at)))
        )
        self.closed_field = FormField("Places not struck", self.closed, self)
        self._add(self.closed_field)

    def _build_breaks(self) -> None:
        content = column(spacing=S)
        self.leaf_break = Choice("New leaf at", BREAKS, self)
        self.row_break = Choice("New row at", BREAKS, self)
        content.addWidget(self.leaf_break)
        content.addWidget(self.row_break)
        self.leaf_break.chosen.connect(self._on_leaf_break)
        self.row_break.chosen.connect(self._on_row_break)
        self.breaks_field = FormField("Breaks", content, self)
        self._add(self.breaks_field)

    def _build_labels(self) -> None:
        self.label = LabelField(check_label, self)
        self.label.chosen.connect(
            lambda text: self._change("label", lambda a: replace(a, label=text))
        )
        self._add(self.label)
        self.show_p = Segmented(["never", "as on coin", "always"], "Philadelphia's P", self)
        self.show_p.chosen.connect(
            lambda at: self._change("p", lambda a: replace(a, show_p=SHOW_P[at]))
        )
        self.show_p_field = FormField("Philadelphia's P", self.show_p, self)
        self._add(self.show_p_field)

    def _build_leaf(self) -> None:
        self.hole = QLineEdit(self)
        self.hole.setAccessibleName("Hole size in millimetres")
        self.hole.setPlaceholderText("the coin's own")
        self.hole_typing = TypedText(self.hole)
        self.hole_typing.typed.connect(self._on_hole)
        self.hole_field = FormField("Hole, mm", self.hole, self)
        self._add(self.hole_field)
        self.wide = Segmented(["upright", "lying"], "Leaf", self)
        self.wide.chosen.connect(
            lambda at: self._change("wide", lambda a: replace(a, is_wide=bool(at)))
        )
        self._add(FormField("Leaf on paper", self.wide, self))

    # ---- what is shown ------------------------------------------------------------------------

    def show_album(self, view: AlbumView, misfit: str, sample: str) -> None:
        """Show an album's arrangement; nothing is told."""
        shape = view.album.arrangement
        self._shape = shape
        self.form.asking = asking_forms(view)
        self.form.choose(shape.kind)
        self._show_sizes(shape)
        self.map_field.show_map(shape.row_map, misfit)
        self.order.choose(ORDERS.index(shape.order))
        mints = mints_in(view)
        stops = [b for b in self.order.buttons if b.focusPolicy() != Qt.FocusPolicy.NoFocus]
        self.mints.show_mints(in_their_order(mints, shape.mints), stops[-1])
        self.direction.choose(int(shape.is_down))
        self.closed.choose(int(shape.is_closed))
        self.leaf_break.choose(shape.leaf_break)
        self.row_break.choose(shape.row_break)
        self.label.show_label(shape.label, sample)
        self.show_p.choose(SHOW_P.index(shape.show_p))
        self._show_hole(shape, view)
        self.wide.choose(int(shape.is_wide))
        self._show_what_applies(shape, mints)

    def _show_sizes(self, shape: Arrangement) -> None:
        is_matrix = shape.kind.is_matrix
        self.per_row.choose(shape.per_row)
        rows = shape.rows_per_leaf or (0 if is_matrix else 5)
        self.rows.choose(rows, 0 if is_matrix else 1)
        self.blocks.choose(shape.blocks)

    def _show_what_applies(self, shape: Arrangement, mints: list[Mint]) -> None:
        is_map, is_matrix = shape.kind is ArrangementKind.ROW_MAP, shape.kind.is_matrix
        self.sizes_field.setVisible(not is_map)
        self.per_row.setVisible(not is_matrix)
        self.map_field.setVisible(is_map)
        self.order.buttons[2].setVisible(not is_matrix)
        orders_mints = is_matrix or shape.order is not Order.AS_LISTED
        self.mints_field.setVisible(len(mints) > 1 and orders_mints)
        self.direction_field.setVisible(not is_matrix)
        self.closed_field.setVisible(is_matrix)
        self.breaks_field.setVisible(not is_map)
        self.row_break.setVisible(not is_matrix)
        self.show_p_field.setVisible(any(mint.id == "P" for mint in mints))

    def _show_hole(self, shape: Arrangement, view: AlbumView) -> None:
        if not self.hole_typing.is_waiting and not self.hole_field.fault:
            self.hole_typing.show_text("" if shape.hole_mm is None else f"{shape.hole_mm:g}")
        own = diameter_text(view.series)
        many = "Empty: each coin's own" if view.others else ""
        self.hole_field.show_hint(many or (f"Empty: the coin's own, {own}" if own else ""))

    def show_kept(self, kept: list[SavedArrangement]) -> None:
        """The arrangements kept under a name."""
        self.kept.show_kept(kept)

    def tell_now(self) -> None:
        """What is typed takes effect without waiting for the keys to rest."""
        for typing in (self.map_field.typing, self.label.typing, self.hole_typing):
            typing.tell_now()

    def _show_fault_of(self, field: FormField) -> None:
        """What is wrong with a field stands below it: bring that into sight too."""
        if field.fault:
            QTimer.singleShot(0, field, lambda: self._scroll.ensureWidgetVisible(field))

    def show_first(self) -> None:
        """Back to the top."""
        self._scroll.verticalScrollBar().setValue(0)

    def focus_first(self) -> None:
        """The keys go to the panel."""
        self.show_first()
        self.form.setFocus(Qt.FocusReason.TabFocusReason)

    # ---- what is chosen -----------------------------------------------------------------------

    def _change(self, part: str, change: Change) -> None:
        self.changed.emit(part, change)

    def _on_map(self, row_map: RowMap) -> None:
        self._change("map", lambda a: replace(a, row_map=row_map))

    def _on_mints(self, mints: tuple[str, ...]) -> None:
        self._change("mints", lambda a: replace(a, mints=mints))

    def _on_leaf_break(self, value: Break) -> None:
        self._change("leaf_break", lambda a: replace(a, leaf_break=value))

    def _on_row_break(self, value: Break) -> None:
        self._change("row_break", lambda a: replace(a, row_break=value))

    def _on_hole(self, text: str) -> None:
        try:
            size = read_hole(text) if text.strip() else None
        except BadEntry as fault:
            self.hole_field.show_fault(str(fault))
            return
        self.hole_field.show_fault("")
        self._change("hole", lambda a: replace(a, hole_mm=size))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        if event.key() == Qt.Key.Key_Q and not event.modifiers():
            self.close_asked.emit()
            return
        super().keyPressEvent(event)


def asking_forms(view: AlbumView) -> frozenset[ArrangementKind]:
    """The forms that would ask for other slots first."""
    from core.app.design import needs_other_slots

    shape = replace(view.album.arrangement, kind=ArrangementKind.DATES_ONLY)
    return frozenset({shape.kind} if needs_other_slots(view, shape) else ())


def mints_in(view: AlbumView) -> list[Mint]:
    """The mints whose coins the album's slots ask for, in the order of their series."""
    used = {v.slot.accepts.only(Facet.MINT) for v in view.slots}
    every: dict[str, Mint] = {}
    for series in (view.series, *view.others.values()):
        for mint in series.mints:
            every.setdefault(mint.id, mint)
    return [mint for mint in every.values() if mint.id in used]


def in_their_order(mints: list[Mint], order: tuple[str, ...]) -> list[Mint]:
    """Those that an arrangement names first, as it names them; then the others."""
    places = {mint: at for at, mint in enumerate(order)}
    return sorted(mints, key=lambda mint: places.get(mint.id, len(places)))


def diameter_text(series: Series) -> str:
    """21.2 mm; "" where it is not known."""
    return f"{series.diameter_mm:g} mm" if series.diameter_mm else ""
