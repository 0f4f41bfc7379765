"""The one style sheet, made from a palette. Lengths come from the scale 4, 8, 12, 16, 24, 32."""

from functools import lru_cache
from string import Template

from core.glyph.palette import Palette, channels

_SHEET = Template("""
* { outline: none; }
QWidget#window, QDialog { background: $paper; }
QWidget[kind="bar"], QWidget[kind="shelf"] { background: $shelf; }
QWidget[kind="paper"] { background: $paper; }
QLabel { background: transparent; color: $ink; }

QLabel[look="title"] { font-size: 23px; font-weight: 700; }
QLabel[look="heading"] { font-size: 17px; font-weight: 700; }
QLabel[look="strong"] { font-size: 14px; font-weight: 700; }
QLabel[look="verdict"] { font-size: 28px; font-weight: 700; }
QLabel[look="sentence"] { font-size: 14px; }
QLabel[look="beside_small"] { font-size: 14px; color: $mute; }
QLabel[look="said"] { font-size: 12px; font-weight: 700; color: $mute; }
QLabel[look="headline"] { font-size: 15px; font-weight: 700; }
QLabel[look="beside"] { font-size: 15px; color: $mute; }
QLabel[look="small"] { font-size: 12px; color: $mute; }
QLabel[look="strong_small"] { font-weight: 700; }
QLabel[look="fault"] { font-size: 12px; color: $below; }
QLabel[look="mute"] { color: $mute; }
QLabel[look="fault"] { font-size: 12px; color: $fault; }
QLabel[look="section"] { font-size: 11px; font-weight: 700; color: $mute; }
QLabel[look="accent"] { font-size: 12px; font-weight: 700; color: $accent; }
QLabel[look="hint"] {
    background: $card; color: $ink; border: 1px solid $accent; border-radius: 6px;
    padding: 4px 8px; font-size: 12px; font-weight: 700;
}
QLabel[look="key"] {
    font-size: 11px; color: $mute; background: $paper;
    border: 1px solid $line; border-radius: 4px; padding: 1px 5px;
}

QFrame[kind="card"] { background: $card; border: 1px solid $line; border-radius: 10px; }
QFrame[kind="line_card"] { background: $card; border: 2px solid $mute; border-radius: 10px; }
QFrame[kind="line_card"][state="on"] { border: 2px solid $ink; }
QFrame[kind="card"][state="asks"] { border: 2px solid $accent; }
QFrame[kind="inset"] { background: $paper; border: 1px solid $line; border-radius: 8px; }
QFrame[kind="line"] { background: $line; border: none; }
QFrame[kind="band"] { background: $select; border: 1px solid $accent; border-radius: 8px; }
QFrame[kind="band"] QLabel, QFrame[kind="fault_band"] QLabel { color: $ink; }
QFrame[kind="fault_band"] { background: $card; border: 1px solid $below; border-radius: 8px; }
QFrame[kind="drawer"] {
    background: $card; border: 1px solid $line; border-radius: 10px;
}

QPushButton, QToolButton {
    background: $card; color: $ink; border: 1px solid $line; border-radius: 8px;
    padding: 6px 12px; min-height: 18px;
}
QPushButton:hover, QToolButton:hover { background: $hover; }
QPushButton:pressed, QToolButton:pressed { background: $select; }
QPushButton:focus, QToolButton:focus { border: 2px solid $accent; padding: 5px 11px; }
QPushButton:disabled, QToolButton:disabled { color: $mute; background: $paper; }
QPushButton::menu-indicator, QToolButton::menu-indicator { image: none; width: 0; }

QPushButton[kind="primary"] {
    background: $accent; color: $accent_ink; border: 1px solid $accent; font-weight: 700;
    padding: 8px 16px;
}
QPushButton[kind="primary"]:hover { background: $accent_hover; border-color: $accent_hover; }
QPushButton[kind="primary"]:pressed { background: $accent_press; border-color: $accent_press; }
QPushButton[kind="primary"]:focus { border: 2px solid $ink; padding: 7px 15px; }
QPushButton[kind="primary"]:disabled {
    background: $paper; color: $mute; border: 1px solid $line;
}

QPushButton[kind="quiet"], QToolButton[kind="quiet"] {
    background: transparent; border: 1px solid transparent; padding: 6px 8px;
}
QPushButton[kind="quiet"]:hover, QToolButton[kind="quiet"]:hover { background: $hover; }
QPushButton[kind="quiet"]:focus, QToolButton[kind="quiet"]:focus {
    border: 2px solid $accent; padding: 5px 7px;
}
QPushButton[kind="link"] {
    background: transparent; color: $shelf_accent; border: 1px solid transparent;
    padding: 6px 8px; text-align: left;
}
QPushButton[kind="link"]:hover { background: $hover; }
QPushButton[kind="link"]:focus { border: 2px solid $accent; padding: 5px 7px; }
QPushButton[kind="link"]:disabled { color: $mute; background: transparent; }

QPushButton[kind="workspace"] {
    background: transparent; color: $mute; border: 1px solid transparent; border-radius: 16px;
    padding: 6px 16px; font-size: 14px;
}
QPushButton[kind="workspace"]:hover { color: $ink; }
QPushButton[kind="workspace"]:checked {
    background: $card; color: $ink; border: 1px solid $line; font-weight: 700;
}
QPushButton[kind="workspace"]:focus { border: 2px solid $accent; padding: 5px 15px; }

QToolButton[kind="chip"], QToolButton[kind="glyph_chip"] {
    background: $card; border: 1px solid $line; border-radius: 16px; padding: 5px 12px;
    min-height: 20px;
}
QToolButton[kind="glyph_chip"] { padding: 5px 4px 5px 8px; text-align: left; }
QToolButton[kind="chip"]:hover, QToolButton[kind="glyph_chip"]:hover { background: $hover; }
QToolButton[kind="chip"]:checked, QToolButton[kind="glyph_chip"]:checked {
    background: $select; border: 1px solid $accent;
}
QToolButton[kind="chip"]:focus { border: 2px solid $accent; padding: 4px 11px; }
QToolButton[kind="glyph_chip"]:focus { border: 2px solid $accent; padding: 4px 3px 4px 7px; }
QToolButton[kind="chip"]:disabled, QToolButton[kind="glyph_chip"]:disabled {
    color: $mute; background: $paper;
}

QToolButton[kind="icon"] {
    background: transparent; border: 1px solid transparent; padding: 4px; border-radius: 6px;
    min-width: 20px; min-height: 20px;
}
QToolButton[kind="icon"]:hover { background: $hover; }
QToolButton[kind="icon"]:checked { background: $select; }
QToolButton[kind="icon"]:focus { border: 2px solid $accent; padding: 3px; }

QPushButton[kind="choice"] {
    background: transparent; border: 1px solid transparent; border-radius: 8px;
    padding: 6px 12px; text-align: left;
}
QPushButton[kind="choice"]:hover { background: $hover; }
QPushButton[kind="choice"]:checked {
    background: $card; border: 1px solid $line; font-weight: 700;
}
QPushButton[kind="choice"]:focus { border: 2px solid $accent; padding: 5px 11px; }

QPushButton[kind="segment"] {
    background: transparent; color: $mute; border: 1px solid transparent; border-radius: 6px;
    padding: 4px 8px;
}
QPushButton[kind="segment"]:hover { color: $ink; }
QPushButton[kind="segment"]:checked {
    background: $select; color: $ink; border: 1px solid $mute; font-weight: 700;
}
QPushButton[kind="segment"]:focus { border: 2px solid $accent; padding: 3px 7px; }

QPushButton[kind="counter"] {
    background: transparent; color: $mute; border: 1px solid transparent; border-radius: 6px;
    padding: 1px 4px; font-size: 12px;
}
QPushButton[kind="counter"]:hover { background: $hover; color: $ink; }
QPushButton[kind="counter"]:focus { border: 2px solid $accent; padding: 0 3px; }

QPushButton[kind="box"], QPushButton[kind="box"]:focus { min-height: 54px; padding: 0; }
QPushButton[kind="pick"] { text-align: left; padding: 6px 8px; }
QPushButton[kind="pick"]:focus { padding: 5px 7px; }

QPushButton[kind="value"] {
    background: transparent; color: $ink; border: 1px solid transparent; border-radius: 6px;
    padding: 1px 4px; text-align: right;
}
QPushButton[kind="value"]:hover { background: $hover; color: $accent; }
QPushButton[kind="value"]:focus { border: 2px solid $accent; padding: 0 3px; }
QPushButton[kind="value"]:disabled { color: $mute; background: transparent; }
QPushButton[kind="small_field"] { padding: 2px 8px; border-radius: 6px; font-size: 12px; }
QPushButton[kind="small_field"]:focus { padding: 1px 7px; }

QPushButton[kind="inset"] {
    background: $paper; border: 1px solid $line; border-radius: 8px; text-align: left;
}
QPushButton[kind="inset"]:hover { background: $hover; border-color: $accent; }
QPushButton[kind="inset"]:focus { border: 2px solid $accent; }
QPushButton[kind="tile"] {
    background: $card; border: 1px solid $line; border-radius: 10px; padding: 0;
    min-height: 168px; text-align: left;
}
QPushButton[kind="tile"]:hover { background: $hover; border-color: $accent; }
QPushButton[kind="tile"]:focus { border: 2px solid $accent; }

QLineEdit, QPlainTextEdit, QTextEdit, QSpinBox, QDateEdit, QComboBox {
    background: $card; color: $ink; border: 1px solid $line; border-radius: 8px;
    padding: 6px 8px; min-height: 18px;
    selection-background-color: $accent; selection-color: $accent_ink;
}
QPlainTextEdit, QTextEdit { padding: 4px; }
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus, QSpinBox:focus, QDateEdit:focus,
QComboBox:focus { border: 2px solid $accent; padding: 5px 7px; }
QPlainTextEdit:focus, QTextEdit:focus { padding: 3px; }
QLineEdit:disabled, QPlainTextEdit:disabled, QSpinBox:disabled { background: $paper; color: $mute; }
QLineEdit[kind="line"], QLineEdit[kind="line"]:focus {
    background: transparent; border: none; padding: 0; font-size: 24px; font-weight: 700;
}
QLineEdit[kind="search"] { border-radius: 16px; padding: 6px 16px; }
QLineEdit[kind="search"]:focus { padding: 5px 15px; }
QSpinBox::up-button, QSpinBox::down-button { width: 0; border: none; }

QMenu {
    background: $card; color: $ink; border: 1px solid $line; padding: 8px 4px;
}
QMenu::item { padding: 6px 24px 6px 12px; border-radius: 6px; margin: 0 4px; }
QMenu::item:selected { background: $select; }
QMenu::item:disabled { color: $mute; background: transparent; }
QMenu::separator { height: 1px; background: $line; margin: 8px 12px; }
QMenu::icon { padding-left: 8px; }
QMenu::indicator { width: 14px; height: 14px; padding-left: 8px; }

QToolTip {
    background: $card; color: $ink; border: 1px solid $line; padding: 6px 8px; font-size: 12px;
}

QTableView, QTreeView, QListView {
    background: $card; color: $ink; border: 1px solid $line; border-radius: 10px;
    gridline-color: $line; selection-background-color: $select; selection-color: $ink;
    alternate-background-color: $card;
}
QTableView::item { padding: 4px 8px; border: none; border-bottom: 1px solid $line; }
QTableView::item:selected { background: $select; color: $ink; }
QTableView:focus, QListView:focus, QTreeView:focus { border: 2px solid $accent; }
QHeaderView { background: transparent; border: none; }
QHeaderView::section {
    background: transparent; color: $mute; border: none; border-bottom: 1px solid $line;
    padding: 8px 11px; font-size: 12px; font-weight: 700;
}
QHeaderView::section:vertical { padding: 0 8px; font-weight: 400; }
QTableCornerButton::section {
    background: transparent; border: none; border-bottom: 1px solid $line;
}
QTableView[kind="leaf"], QTableView[kind="leaf"]:focus {
    background: transparent; border: none; border-radius: 0;
}

QAbstractItemView[kind="choices"] { padding: 4px; }
QAbstractItemView[kind="choices"]::item { padding: 2px 4px; }
QAbstractItemView[kind="choices"]::indicator {
    width: 10px; height: 10px; border: 2px solid $mute; border-radius: 4px; background: $card;
}
QAbstractItemView[kind="choices"]::indicator:checked {
    background: $accent; border-color: $accent;
}

QAbstractItemView[kind="lines"], QAbstractItemView[kind="lines"]:focus {
    background: transparent; border: none; border-radius: 0;
}

QScrollArea { background: transparent; border: none; }
QScrollArea > QWidget > QWidget[kind="clear"] { background: transparent; }
QScrollBar:vertical { background: transparent; width: 10px; margin: 2px; }
QScrollBar:horizontal { background: transparent; height: 10px; margin: 2px; }
QScrollBar::handle { background: $grip; border-radius: 3px; min-height: 32px; min-width: 32px; }
QScrollBar::handle:hover { background: $mute; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }
QAbstractScrollArea::corner { background: transparent; border: none; }

QDialogButtonBox { dialogbuttonbox-buttons-have-icons: 0; }
QComboBox { combobox-popup: 0; }
QComboBox::drop-down { border: none; background: transparent; width: 24px; }
QComboBox::down-arrow {
    image: url(:/qt-project.org/styles/commonstyle/images/arrow-down-16.png); width: 12px;
}
FormBox::down-arrow { image: none; }
QComboBox QAbstractItemView { border-radius: 0; }
QFileDialog QToolButton { padding: 4px; min-height: 20px; min-width: 20px; border-radius: 6px; }
QFileDialog QToolButton:focus { padding: 3px; }
QFileDialog QTreeView, QFileDialog QListView { padding: 4px; }
QFileDialog QPushButton { min-width: 64px; }

QProgressBar { background: $card; border: 1px solid $line; border-radius: 4px; max-height: 6px; }
QProgressBar::chunk { background: $accent; border-radius: 3px; }
QSplitter::handle { background: transparent; }
""")


@lru_cache(maxsize=4)
def style_sheet(palette: Palette) -> str:
    """The style sheet in a palette's colours."""
    return _SHEET.substitute(
        paper=palette.paper,
        card=palette.card,
        line=palette.line,
        ink=palette.ink,
        mute=palette.mute,
        accent=palette.accent,
        accent_ink=palette.accent_ink,
        accent_hover=mix(palette.accent, palette.ink, 0.12),
        accent_press=mix(palette.accent, palette.ink, 0.24),
        shelf=palette.shelf,
        shelf_accent=palette.shelf_accent,
        select=palette.select,
        below=palette.below,
        hover=palette.hover,
        fault=palette.below,
        grip=mix(palette.line, palette.mute, 0.4),
    )


def mix(one: str, other: str, share: float) -> str:
    """A colour between two; `share` 0 gives the first, 1 the second."""
    pairs = zip(channels(one), channels(other), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)
