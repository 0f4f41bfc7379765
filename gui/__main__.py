"""`slotleaf [FILE]` opens the window; a first word that is a command goes to the command line."""

import os
import sys
from pathlib import Path

START_DEMO = "--start-demo"
_NO_SCREEN = {"offscreen", "minimal"}


def main() -> int:
    """Decide what is wanted, and do it; the exit code."""
    words = sys.argv[1:]
    if words and words[0] != START_DEMO and _is_command(words[0]):
        from core.cli.main import main as command_line

        return command_line(words)
    is_demo = START_DEMO in words
    files = [word for word in words if word != START_DEMO]
    if len(files) > 1:
        sys.stderr.write("slotleaf: give one file to open, or a command; see slotleaf --help\n")
        return 2
    if not has_screen():
        from gui.without_screen import write_pictures

        return write_pictures(Path(files[0]) if files else None)
    from gui.app import run

    return run(Path(files[0]).absolute() if files else None, is_demo)


def _is_command(word: str) -> bool:
    """Whether a first word is for the command line; a name with an ending or a folder is a file."""
    if word.startswith("-"):
        return True
    if "." in word or "/" in word or os.sep in word:
        return False
    from core.cli.main import command_names

    return word in command_names()


def has_screen() -> bool:
    """Whether a window can be shown: on Linux a display must be named."""
    platform = os.environ.get("QT_QPA_PLATFORM", "").partition(":")[0]
    if platform in _NO_SCREEN:
        return False
    if platform or not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


if __name__ == "__main__":
    sys.exit(main())
