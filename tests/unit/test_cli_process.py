"""The command line as a collector's shell runs it: processes of their own, PySide6 blocked."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli_material import ROOT, command, process
from tests.collection_material import a_collection, an_album, with_coins

HOLD = (
    "import sys, time\n"
    "from pathlib import Path\n"
    "from core.app.collection import Collection\n"
    "with Collection.open(Path(sys.argv[1])):\n"
    "    print('open', flush=True)\n"
    "    sys.stdin.read()\n"
)


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    with a_collection(tmp_path) as collection:
        an_album(collection, "Nickels 1940–1943")
        with_coins(collection, "1941 vf20", "1941 g4 bent")
        return collection.path


@pytest.fixture
def held(jar: Path) -> Iterator[Path]:
    """The file while another process has it open for writing."""
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(jar)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "open\n"
    yield jar
    holder.communicate("")
    assert holder.returncode == 0


def test_an_evening_at_the_shell_with_qt_blocked(tmp_path: Path) -> None:
    file, pdf, copy = tmp_path / "jar.slotleaf", tmp_path / "gaps.pdf", tmp_path / "copy.slotleaf"
    evening = [
        ("new", file),
        ("album", "new", file, "Nickels", "--series", "us-nickel-jefferson", "--years", "1940-42"),
        ("album", "new", file, "Nickels", "--series", "us-nickel-jefferson", "--years",
         "1940-1942", "--target", "F-12"),
        ("coin", "add", file, "1941-D vf20", "1940 g4"),
        ("put", file, "Nick", "1941-D", "1"),
        ("fill", file, "--accept"),
        ("take", file, "Nick", "1940"),
        ("undo", file),
        ("redo", file),
        ("checklist", file, "Nick", "-o", pdf, "--list", "gaps", "--paper", "letter"),
        ("copy", file, "-o", copy),
        ("check", copy),
        ("slots", copy, "Nick", "--json"),
    ]  # fmt: skip
    said = [process(*words) for words in evening]
    assert [one.code for one in said] == [0, 1, *[0] * 11], said
    assert "runs backwards" in said[1].err
    assert pdf.read_bytes().startswith(b"%PDF")
    states = {row["label"]: row["state"] for row in said[-1].rows}
    assert (states["1941-D"], states["1940"]) == ("filled", "gap")


def test_reading_beside_a_process_that_writes(held: Path) -> None:
    for words in (("albums", held), ("slots", held, "Nick"), ("coins", held), ("fill", held)):
        assert process(*words).code == 0
    refused = process("put", held, "Nick", "1941", "1")
    assert (refused.code, refused.out) == (1, "")
    assert refused.err.count("\n") == 1
    assert "is open in another window or command" in refused.err


def test_no_traceback_and_no_more_than_a_line_where_something_goes_wrong(tmp_path: Path) -> None:
    for words, code in (
        (("albums", tmp_path / "none"), 1),
        (("series", "show", "none"), 1),
        (("nonsense",), 2),
        (("demo", tmp_path / "no" / "such" / "folder" / "x"), 1),
    ):
        said = process(*words)
        assert said.code == code
        assert "Traceback" not in said.err
        assert said.out == ""
        if code == 1:
            assert said.err.count("\n") == 1


def test_a_reader_that_stops_listening_is_no_fault(jar: Path) -> None:
    running = subprocess.Popen(
        command("series", "show", "us-cent-lincoln"),
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert running.stdout is not None
    running.stdout.readline()
    running.stdout.close()
    assert running.stderr is not None
    err = running.stderr.read()
    running.stderr.close()
    running.wait(60)
    assert err == b""


def test_a_console_that_lacks_a_sign_still_gets_its_listing(jar: Path) -> None:
    plain = os.environ | {"PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"}
    said = process("albums", jar, env=plain)
    assert said.code == 0
    assert "Nickels 1940?1943" in said.out
    listed = process("albums", jar, "--json", env=plain)
    assert json.loads(listed.out)[0]["name"] == "Nickels 1940–1943"


@pytest.mark.parametrize("words", [("--help",), ("series", "--help"), ("--version",)])
def test_help_loads_neither_the_database_nor_the_numbers(words: tuple[str, ...]) -> None:
    code = (
        "import sys\n"
        "from core.cli.main import main\n"
        f"main({list(words)!r})\n"
        "heavy = {'sqlalchemy', 'alembic', 'numpy', 'scipy', 'reportlab', 'pydantic'}\n"
        "sys.exit(3 if heavy & set(sys.modules) else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=False, cwd=ROOT, capture_output=True, timeout=60
    )
    assert done.returncode == 0, done


def test_a_writer_that_was_killed_leaves_the_file_free(jar: Path) -> None:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(jar)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert holder.stdout is not None
    holder.stdout.readline()
    holder.kill()
    holder.communicate()
    deadline = time.monotonic() + 10
    while process("put", jar, "Nick", "1941", "1").code and time.monotonic() < deadline:
        pass
    assert process("take", jar, "Nick", "1941").code == 0
