"""Contact sheets of every screen: light and dark, 100 % and 200 %, small and large windows.

`make pictures` writes them into `out/pictures/`, one sheet a screen, to be looked at.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

OUT = Path("out/pictures")
THEMES = ("light", "dark")
SCALES = (1, 2)
SIZES = ((1280, 800), (1920, 1080))
CELL_PX = 960
SCREEN = {
    "name": "large", "x": 0, "y": 0, "width": 4096, "height": 2400,
    "logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1,
}  # fmt: skip
"""Without it the screen is so small that menus scroll."""


def main() -> int:
    """Draw every screen in every way, each way in a process of its own, then the sheets."""
    only = [word for word in sys.argv[1:] if not word.startswith("-")]
    OUT.mkdir(parents=True, exist_ok=True)
    ways = [(t, k, s) for t in THEMES for k in SCALES for s in SIZES]
    with tempfile.TemporaryDirectory() as folder:
        screen = Path(folder) / "screen.json"
        screen.write_text(json.dumps({"screens": [SCREEN]}), encoding="utf-8")
        for theme, scale, size in ways:
            place = Path(folder) / _key(theme, scale, size)
            place.mkdir()
            environment = os.environ | {
                "QT_QPA_PLATFORM": f"offscreen:configfile={screen}",
                "QT_SCALE_FACTOR": str(scale),
                "XDG_CONFIG_HOME": folder,
                "XDG_DATA_HOME": folder,
            }
            command = [sys.executable, "-m", "tests.pictures_screens", str(place), theme]
            command += [f"{size[0]}x{size[1]}", *only]
            subprocess.run(command, env=environment, check=True)
        os.environ["QT_QPA_PLATFORM"] = "offscreen"
        _sheets(Path(folder), [_key(*way) for way in ways])
    return 0


def _key(theme: str, scale: int, size: tuple[int, int]) -> str:
    return f"{theme}-{scale}x-{size[0]}"


def _sheets(folder: Path, ways: list[str]) -> None:
    from PySide6.QtCore import QRect, Qt
    from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

    app = QGuiApplication.instance() or QGuiApplication([])
    for name in sorted({file.name for way in ways for file in (folder / way).glob("*.png")}):
        images = [QImage(str(folder / way / name)) for way in ways]
        high = [round(CELL_PX * image.height() / max(1, image.width())) for image in images]
        rows = [max(high[at : at + 2]) for at in range(0, len(high), 2)]
        sheet = QImage(
            CELL_PX * 2 + 36, sum(rows) + 12 * (len(rows) + 1), QImage.Format.Format_RGB32
        )
        sheet.fill(QColor("#808080"))
        painter = QPainter(sheet)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        top = 12
        for line, row_height in enumerate(rows):
            for side in range(2):
                image = images[2 * line + side]
                scaled = image.scaledToWidth(CELL_PX, Qt.TransformationMode.SmoothTransformation)
                left = 12 + side * (CELL_PX + 12)
                painter.drawImage(QRect(left, top, CELL_PX, scaled.height()), scaled)
            top += row_height + 12
        painter.end()
        sheet.save(str(OUT / name))
        print(f"Written: {OUT / name}")
    del app


if __name__ == "__main__":
    sys.exit(main())
