"""The look: fonts, one palette, one style sheet; nothing else in the window names a colour.

Widgets choose a style by two dynamic properties: `look` on labels (title, heading, strong, body,
small, section, accent) and `kind` on everything else (card, primary, quiet, field, chip …).
"""

from dataclasses import dataclass
from functools import cache
from typing import cast

from PySide6.QtCore import QByteArray, QTimer
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QWidget

import resources
from core.glyph.palette import DARK, LIGHT, Palette
from gui.style_sheet import style_sheet

SPACE = (4, 8, 12, 16, 24, 32)
"""The only distances in the window, logical pixels."""
XS, S, M, L, XL, XXL = SPACE

BODY_PX = 13
FAMILIES = ("Noto Sans", "Noto Sans Symbols 2", "DejaVu Sans", "Droid Sans Fallback")
_FIRST_FONTS = ("NotoSans-Regular", "NotoSans-Bold")
_LATER_FONTS = ("NotoSans-Italic", "NotoSansSymbols2-Regular", "DejaVuSans", "DroidSansFallback")
_THEME = "slotleaf_theme"
NEXT_TURN_MS = 1
"""With 0 the event loop would go on at once, before it looks at keys and mouse."""
STYLED = "slotleaf_style"
"""Set on an application that was given its style by its arguments."""


@dataclass(frozen=True, slots=True)
class Theme:
    """A palette and its name: light or dark."""

    palette: Palette
    name: str

    @property
    def is_dark(self) -> bool:
        """Whether light text stands on a dark ground."""
        return self.name == "dark"

    @staticmethod
    def named(name: str) -> "Theme":
        """A theme by its name; `system` follows the system, and so does any unknown name."""
        match name:
            case "light":
                return LIGHT_THEME
            case "dark":
                return DARK_THEME
        return Theme.follow_system()

    @staticmethod
    def follow_system() -> "Theme":
        """Dark where the desktop says so, else light.

        Before a theme is put on, the palette that Qt took from the desktop says it: naming
        `Qt.ColorScheme` would delay the first paint.
        """
        app = QApplication.instance()
        if isinstance(app, QApplication) and app.property(_THEME) is None:
            ground = app.palette().color(QPalette.ColorRole.Window)
            return DARK_THEME if ground.lightness() < 128 else LIGHT_THEME
        from PySide6.QtCore import Qt

        scheme = QGuiApplication.styleHints().colorScheme()
        return DARK_THEME if scheme == Qt.ColorScheme.Dark else LIGHT_THEME


LIGHT_THEME = Theme(LIGHT, "light")
DARK_THEME = Theme(DARK, "dark")


def load_first_fonts(app: QApplication) -> None:
    """The two faces that the first paint needs; the application's font uses them."""
    _add_fonts(_FIRST_FONTS)
    font = QFont()
    font.setFamilies(list(FAMILIES))
    font.setPixelSize(BODY_PX)
    app.setFont(font)


def load_later_fonts() -> None:
    """Signs, and the scripts of notes that the first faces lack."""
    _add_fonts(_LATER_FONTS)


@cache
def _add_fonts(names: tuple[str, ...]) -> None:
    for name in names:
        data = resources.read_bytes(f"fonts/{name}.ttf")
        QFontDatabase.addApplicationFontFromData(QByteArray(data))


def apply_theme(app: QApplication, theme: Theme) -> None:
    """Put a theme on the whole program, windows that stand included."""
    if app.property(STYLED) is None:
        app.setStyle("Fusion")
        app.setProperty(STYLED, True)
    _undress(app, theme)
    _dress(app)


def change_theme(window: QWidget, theme: Theme) -> None:
    """Like `apply_theme`, in three turns of the event loop, so that none takes long.

    The window keeps what it shows until the last.
    """
    app = the_app()
    window.setUpdatesEnabled(False)
    _undress(app, theme)

    def dress() -> None:
        _dress(app)
        QTimer.singleShot(NEXT_TURN_MS, window, lambda: window.setUpdatesEnabled(True))

    QTimer.singleShot(NEXT_TURN_MS, window, dress)


def _undress(app: QApplication, theme: Theme) -> None:
    """Take the sheet off first: putting another over it costs Qt four times as much."""
    app.setProperty(_THEME, theme.name)
    app.setStyleSheet("")
    app.setPalette(_qt_palette(theme.palette))


def _dress(app: QApplication) -> None:
    app.setStyleSheet(style_sheet(current_palette()))


def current_theme() -> Theme:
    """The theme on the program now; light before one was put on."""
    app = QApplication.instance()
    return DARK_THEME if app is not None and app.property(_THEME) == "dark" else LIGHT_THEME


def current_palette() -> Palette:
    """The colours to paint with now. Ask in paintEvent: a theme may change at any time."""
    return current_theme().palette


def set_style(widget: QWidget, name: str, value: str) -> None:
    """Set a dynamic property that the style sheet looks at, and have it take effect."""
    if widget.property(name) == value:
        return
    widget.setProperty(name, value)
    style = widget.style()
    style.unpolish(widget)
    style.polish(widget)
    widget.update()


def the_app() -> QApplication:
    """The one application object."""
    return cast("QApplication", QApplication.instance())


def _qt_palette(colours: Palette) -> QPalette:
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    table = {
        role.Window: colours.paper,
        role.WindowText: colours.ink,
        role.Base: colours.card,
        role.AlternateBase: colours.paper,
        role.Text: colours.ink,
        role.Button: colours.card,
        role.ButtonText: colours.ink,
        role.BrightText: colours.accent_ink,
        role.ToolTipBase: colours.card,
        role.ToolTipText: colours.ink,
        role.PlaceholderText: colours.mute,
        role.Highlight: colours.accent,
        role.HighlightedText: colours.accent_ink,
        role.Accent: colours.accent,
        role.Link: colours.accent,
        role.LinkVisited: colours.accent,
        role.Light: colours.card,
        role.Midlight: colours.hover,
        role.Mid: colours.line,
        role.Dark: colours.mute,
        role.Shadow: colours.line,
    }
    palette = QPalette()
    for each, colour in table.items():
        palette.setColor(each, QColor(colour))
    for faded in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(group.Disabled, faded, QColor(colours.mute))
    return palette
