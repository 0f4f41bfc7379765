"""Draws rows of a few words as narrow as they go, each chosen in turn, and measures what is inked.

Run by `test_segmented` in its own process, because QT_SCALE_FACTOR is read once. Prints a line for
each word that is cut: one whose ink is narrower than the same word drawn with room to spare.
"""

from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QHBoxLayout, QWidget

from gui.segmented import Segmented
from gui.theme import DARK_THEME, LIGHT_THEME, apply_theme, load_first_fonts, load_later_fonts

ROWS = (
    ("spares", "bulk lot", "bank"),
    ("look closer", "tally"),
    ("circulated", "new", "mixed", "own, returned"),
    ("A4", "Letter"),
    ("empty", "1", "2", "3", "4", "5", "6", "7", "full"),
)


def _ink_px(image: QImage) -> int:
    """How wide what is drawn inside the button's edges is, in dots."""
    edge = round(4 * image.devicePixelRatio())
    middle = range(2 * edge, image.height() - 2 * edge)
    ground = image.pixel(edge, image.height() // 2)
    inked = [
        x
        for x in range(edge, image.width() - edge)
        if any(image.pixel(x, y) != ground for y in middle)
    ]
    return inked[-1] - inked[0] + 1 if inked else 0


def main() -> None:
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    load_first_fonts(app)
    load_later_fonts()
    seen, ratio = 0, 0.0
    for theme in (LIGHT_THEME, DARK_THEME):
        apply_theme(app, theme)
        for words in ROWS:
            window = QWidget()
            box = QHBoxLayout(window)
            narrow, wide = Segmented(words, "Narrow", window), Segmented(words, "Wide", window)
            box.addWidget(narrow)
            box.addWidget(wide)
            for button in wide.buttons:
                button.setMinimumWidth(200)
            window.adjustSize()
            narrow.setFixedWidth(narrow.minimumSizeHint().width())
            window.show()
            for place, word in enumerate(words):
                narrow.choose(place)
                wide.choose(place)
                app.processEvents()
                cut, whole = (
                    _ink_px(choice.buttons[place].grab().toImage()) for choice in (narrow, wide)
                )
                if (
                    not whole or cut < whole - 1
                ):  # where the word begins may shift its last faint dot
                    print(f"{theme.name}: “{word}” is cut: {cut} of {whole} dots")
            ratio = window.devicePixelRatio()
            seen += 1
            window.close()
    print(f"{seen} rows seen at {ratio}")


if __name__ == "__main__":
    main()
