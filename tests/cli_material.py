"""What tests of the command line share: running it here, or as a process of its own without Qt."""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from core.cli.main import cli

ROOT = Path(__file__).parents[1]
WITHOUT_QT = (
    "import sys\n"
    "class Blocked:\n"
    "    def find_spec(self, name, path=None, target=None):\n"
    "        if name.partition('.')[0] in ('PySide6', 'shiboken6'):\n"
    "            raise ImportError(name + ' is blocked')\n"
    "sys.meta_path.insert(0, Blocked())\n"
    "from core.cli.main import main\n"
    "sys.exit(main(sys.argv[1:]))\n"
)


@dataclass(frozen=True)
class Said:
    """What a command said and how it ended."""

    code: int
    out: str
    err: str

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The JSON array it printed."""
        return json.loads(self.out)

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()


def slotleaf(*words: str | Path) -> Said:
    """Run a command in this process."""
    done = CliRunner().invoke(cli, [str(word) for word in words], prog_name="slotleaf")
    return Said(done.exit_code, done.stdout, done.stderr)


def command(*words: str | Path) -> list[str]:
    """A command as a process of its own, with PySide6 blocked."""
    return [sys.executable, "-c", WITHOUT_QT, *map(str, words)]


def process(*words: str | Path, **options: Any) -> Said:
    """Run a command as a process of its own, with PySide6 blocked."""
    done = subprocess.run(
        command(*words),
        check=False,
        capture_output=True,
        cwd=ROOT,
        timeout=120,
        encoding="utf-8",
        **options,
    )
    return Said(done.returncode, done.stdout, done.stderr)
