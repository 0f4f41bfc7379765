"""Checklists of the nickels on three papers. The story: 05-print-what-is-missing.md."""

import re
import tempfile
from pathlib import Path

from pypdf import PdfReader

from scenarios.hands import Hands, Told

POINTS = {"a4": (595, 842), "letter": (612, 792), "a5": (420, 595)}
WANTING = ("gap", "below target", "hole filler", "to verify")


def printed(hands: Hands, which: str, paper: str, folder: Path) -> list[str]:
    """The text of each page of a list, read back from the file."""
    to = folder / f"{which}.pdf"
    hands.checklist(which, paper, to)
    pages = PdfReader(to).pages
    for page in pages:
        size = (round(float(page.mediabox.width)), round(float(page.mediabox.height)))
        assert size == POINTS[paper]
    return [page.extract_text() for page in pages]


def names(text: str, label: str) -> bool:
    """Whether a label stands in a text as a word of its own."""
    return re.search(rf"(?<![\w-]){re.escape(label)}(?![\w-])", text) is not None


def walk(hands: Hands, told: Told) -> None:
    hands.open_album("Nickels 1938–1964")
    states = {label: hands.state(label).split(",")[0] for label in hands.labels()}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)

        told(1)
        open_pages = printed(hands, "open", "a4", folder)
        lettered = [label for label in states if "-" in label]  # a bare year also heads map rows
        listed = {label for label in lettered if names("\n".join(open_pages), label)}
        assert listed == {label for label in lettered if states[label] in WANTING}
        assert len(listed) > 10
        assert "VG-8" in "\n".join(open_pages)

        told(2)
        gap_pages = printed(hands, "gaps", "letter", folder)
        listed = {label for label in lettered if names("\n".join(gap_pages), label)}
        assert listed == {label for label in lettered if states[label] == "gap"}

        told(3)
        spare_pages = printed(hands, "spares", "a5", folder)
        assert "tray B4" in "\n".join(spare_pages)
        assert names("\n".join(spare_pages), "1943-D")

        told(4)
        for pages in (open_pages, gap_pages, spare_pages):
            assert "Nickels 1938–1964" in pages[0]
            for number, text in enumerate(pages, 1):
                assert f"page {number} of {len(pages)}" in text.casefold()
        assert "have 56 of 69" in open_pages[0]
