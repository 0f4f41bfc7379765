"""Contact sheets of the panels and dialogs, light and dark, to be looked at; written to out/.

Run as `python -m tests.pictures_dialogs [--only NAME] [--scale 2]`.
"""

import argparse
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

OUT = Path(__file__).resolve().parent.parent / "out"


def _draw(only: str, scale: float) -> None:
    from PySide6.QtWidgets import QApplication

    from gui.theme import DARK_THEME, LIGHT_THEME, apply_theme, load_first_fonts, load_later_fonts
    from tests.gui.dialog_scenes import SCENES

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    load_first_fonts(app)
    load_later_fonts()
    OUT.mkdir(exist_ok=True)
    for name, scene in SCENES.items():
        if only and not name.startswith(only):
            continue
        for theme in (LIGHT_THEME, DARK_THEME):
            apply_theme(app, theme)
            with _folder() as folder:
                widget = scene(folder)
                for _ in range(5):
                    app.processEvents()
                path = OUT / f"dialog-{name}-{theme.name}-{round(scale * 100)}.png"
                widget.grab().save(str(path))
                widget.close()
                print(path.relative_to(OUT.parent))


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        yield Path(name)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", default="", help="scenes whose names begin so")
    parser.add_argument("--scale", type=float, default=1.0, help="device pixels a logical one")
    asked = parser.parse_args()
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    os.environ["QT_SCALE_FACTOR"] = str(asked.scale)
    _draw(asked.only, asked.scale)


if __name__ == "__main__":
    main()
