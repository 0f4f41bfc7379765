"""Characters that none of the fonts can draw: named by the check, shown as □ elsewhere."""

import unicodedata
from collections.abc import Iterable

from core.printing.text_runs import MISSING, missing_characters


def unprintable(texts: Iterable[tuple[str, str]]) -> list[str]:
    """A line for each character that no font draws: which it is, and where it stands first.

    `texts`: where a text stands, in words, and the text.
    """
    places: dict[str, list[str]] = {}
    for where, text in texts:
        if text.isascii():
            continue
        for character in missing_characters(text):
            places.setdefault(character, []).append(where)
    return [_told(character, found) for character, found in sorted(places.items())]


def _told(character: str, places: list[str]) -> str:
    name = unicodedata.name(character, "").lower()
    called = f"U+{ord(character):04X}" + (f", {name}" if name else "")
    more = f" and {len(places) - 1} more" if len(places) > 1 else ""
    return (
        f"No font here draws “{character}” ({called}); it is shown as {MISSING}: {places[0]}{more}."
    )
