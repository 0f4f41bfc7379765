"""The shape of the program: what may import what, seen where the import contracts do not look."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("core", "gui", "resources", "scenarios", "tests")

# A library that only one place may import, by file or by folder.
PRIVATE = {
    "pyqtgraph": ("gui/upgrades/plot.py",),
    "reportlab": ("core/printing/pdf.py",),
    "sqlalchemy": ("core/store/",),
    "alembic": ("core/store/",),
}


def sources(*packages: str) -> list[Path]:
    return sorted(
        path
        for package in packages
        for path in (ROOT / package).rglob("*.py")
        if "__pycache__" not in path.parts
    )


def relative(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imports(path: Path) -> Iterator[tuple[int, str]]:
    """Every module a file names in an import, wherever it stands, with its line."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"), filename=str(path))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def is_within(module: str, package: str) -> bool:
    return module == package or module.startswith(f"{package}.")


# Alembic runs env.py inside a migration and gives it its context; imported alone it cannot work.
# What it imports is still read below.
RUN_BY_OTHERS = {"core/store/migrations/env.py"}

BLOCK_QT_AND_IMPORT = """
import importlib, sys

class NoQt:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in ("PySide6", "shiboken6"):
            raise ImportError(f"{name} is blocked: core runs without Qt")

sys.meta_path.insert(0, NoQt())
for name in sys.argv[1:]:
    try:
        importlib.import_module(name)
    except ImportError as error:
        sys.exit(f"{name}: {error}")
print(len(sys.argv) - 1)
"""


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def test_all_of_core_can_be_imported_without_qt():
    modules = [
        module_name(path)
        for path in sources("core", "resources")
        if relative(path) not in RUN_BY_OTHERS and path.name != "__main__.py"
    ]
    done = subprocess.run(
        [sys.executable, "-c", BLOCK_QT_AND_IMPORT, *modules],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) == len(modules) > 1


def test_the_block_on_qt_does_block():
    done = subprocess.run(
        [sys.executable, "-c", BLOCK_QT_AND_IMPORT, "PySide6.QtCore"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 1
    assert "blocked" in done.stderr


@pytest.mark.parametrize("library", sorted(PRIVATE))
def test_a_private_library_is_imported_in_its_one_place(library: str):
    elsewhere = [
        f"{relative(path)}:{line} imports {module}"
        for path in sources("core", "gui", "resources")
        if not relative(path).startswith(PRIVATE[library])
        for line, module in imports(path)
        if is_within(module, library)
    ]
    assert elsewhere == []


def test_core_never_names_qt():
    named = [
        f"{relative(path)}:{line} imports {module}"
        for path in sources("core", "resources")
        for line, module in imports(path)
        if is_within(module, "PySide6") or is_within(module, "shiboken6")
    ]
    assert named == []


def test_the_window_never_reaches_into_the_store():
    reached = [
        f"{relative(path)}:{line} imports {module}"
        for path in sources("gui")
        for line, module in imports(path)
        if is_within(module, "core.store")
    ]
    assert reached == []


def test_only_the_essential_part_of_qt_is_used():
    """Only these modules lie in PySide6-Essentials, of those a widget program needs."""
    allowed = {"QtCore", "QtGui", "QtWidgets", "QtSvg", "QtSvgWidgets", "QtPrintSupport", "QtTest"}
    used = {
        module.split(".")[1]: f"{relative(path)}:{line}"
        for path in sources("gui", "tests", "scenarios")
        for line, module in imports(path)
        if module.startswith("PySide6.")
    }
    assert set(used) <= allowed, used


def test_a_package_init_holds_a_docstring_only():
    inits = [p for p in sources(*PACKAGES) if p.name == "__init__.py"]
    assert len(inits) >= len(PACKAGES)
    for path in inits:
        if relative(path) == "resources/__init__.py":
            continue  # the one exception: it is the package's whole interface
        body = ast.parse(path.read_text("utf-8")).body
        assert len(body) == 1, f"{relative(path)} does more than describe its package"
        assert ast.get_docstring(ast.parse(path.read_text("utf-8"))), f"{relative(path)}: no words"


def test_every_folder_of_code_is_a_package():
    """Without an __init__, tests/gui would hide gui, and a wheel would lose the folder."""
    folders = {path.parent for path in sources(*PACKAGES)}
    assert [relative(f) for f in sorted(folders) if not (f / "__init__.py").is_file()] == []
