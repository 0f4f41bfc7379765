"""G1, G2: cold start, as whole processes: from the spawn to the paint that counts.

G1: to the first paint of the window, against a bare QMainWindow. G2: to a 250-slot album on screen
in a collection of 1,000,000 coins and 25,000 slots, against a bare window that paints 250 shapes.
Floor and product in turn, the median of the paired ratios.
`python -m tests.bench.bench_start [ROUNDS] [COINS]`.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

from tests.bench.material import MANY_COINS, MANY_SLOTS, a_collection

ROUNDS = 11
GOALS = {"G1": 1.3, "G2": 2.8}
_COMPILED = str(Path(tempfile.gettempdir()) / f"slotleaf-bench-{os.getpid()}")

_BARE = """
from PySide6.QtWidgets import QApplication, QMainWindow
class Window(QMainWindow):
    def paintEvent(self, event):
        print("painted", flush=True)
app = QApplication([])
window = Window()
window.resize(1440, 900)
window.show()
app.exec()
"""

_SHAPES = """
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget
class Sheet(QWidget):
    def paintEvent(self, event):
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(QColor("#0072B2"))
        for n in range(250):
            painter.drawEllipse(20 + n % 25 * 40, 20 + n // 25 * 40, 32, 32)
        painter.end()
        print("painted", flush=True)
app = QApplication([])
window = QMainWindow()
window.setCentralWidget(Sheet())
window.resize(1440, 900)
window.show()
app.exec()
"""

_WINDOW = """
import gc, sys
gc.disable()  # as gui.app.run does
from pathlib import Path
from PySide6.QtWidgets import QApplication
from gui.app import Program
from gui.settings import Settings
app = QApplication(["slotleaf", "-style", "Fusion"])
app.setProperty("slotleaf_style", True)
program = Program(app, Settings(Path(sys.argv[1])))
program.window.first_painted.connect(lambda: print("painted", flush=True))
program.start(None)
app.exec()
"""

_ALBUM = """
import gc, sys
gc.disable()  # as gui.app.run does
from pathlib import Path
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication
from gui.app import Program
from gui.settings import Settings
app = QApplication(["slotleaf", "-style", "Fusion"])
app.setProperty("slotleaf_style", True)
program = Program(app, Settings(Path(sys.argv[1])))
class Watch(QObject):
    def eventFilter(self, watched, event):
        leaf = program.window.duties.albums.centre.leaf
        if event.type() == QEvent.Type.Paint and leaf._plan.cells >= 250:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, lambda: print("painted", flush=True))
        return False
watch = Watch()
def opened():
    program.window.duties.make_albums().centre.leaf.viewport().installEventFilter(watch)
program.desk.opened.connect(opened)
program.start(Path(sys.argv[2]))
app.exec()
"""


def spawn(script: str, *arguments: str) -> float:
    """Seconds from the spawn of a process until it says that it has painted; then it is ended."""
    environment = os.environ | {"QT_QPA_PLATFORM": "offscreen", "PYTHONPYCACHEPREFIX": _COMPILED}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # a user's start finds compiled code
    start = perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-c", script, *arguments],
        stdout=subprocess.PIPE,
        env=environment,
        text=True,
    )
    try:
        assert child.stdout is not None
        line = child.stdout.readline()
        took = perf_counter() - start
        if line.strip() != "painted":
            raise RuntimeError("the process ended before it painted")
        return took
    finally:
        child.kill()
        child.wait()
        if child.stdout is not None:
            child.stdout.close()


def compare(name: str, floor: tuple[str, ...], product: tuple[str, ...], rounds: int) -> bool:
    """Print the median of the paired ratios; whether the goal is met."""
    for _ in range(2):
        spawn(*floor)
        spawn(*product)  # both are compiled and in the file cache from here on
    pairs = [(spawn(*floor), spawn(*product)) for _ in range(rounds)]
    ratio = median(after / before for before, after in pairs)
    floors, products = (1000 * median(pair[n] for pair in pairs) for n in (0, 1))
    goal = GOALS[name]
    print(f"{name}  floor {floors:.0f} ms  product {products:.0f} ms  "
          f"ratio {ratio:.2f}  goal ≤ {goal}")  # fmt: skip
    return ratio <= goal


def main() -> int:
    """Measure both; 0 where both goals are met."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    coins = int(sys.argv[2]) if len(sys.argv) > 2 else MANY_COINS
    with tempfile.TemporaryDirectory() as folder:
        settings = str(Path(folder) / "window.ini")
        met = compare("G1", (_BARE,), (_WINDOW, settings), rounds)
        path = Path(folder) / "large.slotleaf"
        shutil.copyfile(a_collection(coins, MANY_SLOTS), path)
        met &= compare("G2", (_SHAPES,), (_ALBUM, settings, str(path)), rounds)
    shutil.rmtree(_COMPILED, ignore_errors=True)
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
