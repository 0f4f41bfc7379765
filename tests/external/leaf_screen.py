"""The leaf view on a screen, as a process of its own: `python -m tests.external.leaf_screen FILE`.

Draws the albums of `ALBUMS` in black on white at the scale the process was given, and writes beside
each picture where the places of the album lie, in its pixels.
"""

import json
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from core.arrange.plan import LeafPlan
from core.glyph.palette import PAPER
from gui.leaf.view import LeafView
from gui.theme import LIGHT_THEME, apply_theme, load_first_fonts, load_later_fonts
from tests.gui.leaf_material import beside, running

LONG = ("", "doubled die reverse", "", "boldly doubled mint mark", "small letter")
ALBUMS: dict[str, Callable[[], LeafPlan]] = {
    "matrix": lambda: beside(range(1938, 1956), seed=7),
    "running": lambda: running(80, rows_a_leaf=5, seed=3),
    "long": lambda: running(60, counts=(6, 7), rows_a_leaf=5, seed=5, kinds=LONG),
}


def main() -> None:
    """Write NAME.png and NAME.json into the folder that is named."""
    folder = Path(sys.argv[1])
    app = QApplication([])
    load_first_fonts(app)
    load_later_fonts()
    apply_theme(app, LIGHT_THEME)
    for name, make in ALBUMS.items():
        plan = make()
        view = LeafView()
        view.resize(1900, 1500)
        view.set_builds_labels_at_once(True)
        view.show_plan(plan, PAPER)
        view.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # no ring of focus
        view.show()
        view.set_zoom(1.0)
        view.clearSelection()
        app.processEvents()
        painter = view._painter
        assert painter is not None
        assert view.zoom() == 1.0
        boxes = [painter.flow.cell_box(cell) for cell in range(plan.cells)]
        view.viewport().grab().save(str(folder / f"{name}.png"))
        scale = painter.scale
        told = {
            "ratio": scale.ratio, "boxes": boxes, "label_y": scale.label_y,
            "centre_y": scale.centre_y,
        }  # fmt: skip
        (folder / f"{name}.json").write_text(json.dumps(told), encoding="utf-8")
        view.hide()
        view.deleteLater()


if __name__ == "__main__":
    main()
