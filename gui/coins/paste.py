"""What was pasted: a sheet with heads, or lines as in the entry line. No Qt here."""

from core.app.exchange_cells import Column
from core.app.exchange_sheet import cut

MOST_CHARS = 400_000
"""More than that is a file's affair: the window would stop to show it."""
ENTRY_LINES = (Column.COIN,)


def is_headed(text: str) -> bool:
    """Whether the first line that says something names columns of coins, not a coin."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return bool(first) and not cut(f"{first}\n").faults


def as_sheet(text: str) -> tuple[str, tuple[Column, ...] | None]:
    """The text to read as a sheet, and its columns where it has no heads: one entry a line.

    Cells side by side without heads (`1943-D`, `vf20`, `bent`) are the words of one entry.
    """
    if is_headed(text):
        return text, None
    lines = [" ".join(line.replace("\t", " ").split()) for line in text.splitlines()]
    return "\n".join(lines), ENTRY_LINES
