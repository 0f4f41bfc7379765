"""Text cut into runs by what each font can draw: one answer for screen and paper.

The fonts are those in `resources/fonts`. What a font covers is read from its own character map
(OpenType specification 1.9, "cmap", format 12: groups of consecutive code points).
"""

import struct
import unicodedata
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import groupby

from resources import ResourceError, read_bytes

MISSING = "□"
"""Stands for a character that is in none of the fonts."""


class Face(StrEnum):
    """The fonts that travel with the program, by the stem of their file."""

    REGULAR = "NotoSans-Regular"
    BOLD = "NotoSans-Bold"
    ITALIC = "NotoSans-Italic"
    SYMBOLS = "NotoSansSymbols2-Regular"
    WIDE = "DejaVuSans"
    EAST_ASIAN = "DroidSansFallback"

    @property
    def path(self) -> str:
        """Where the font lies among the resources."""
        return f"fonts/{self.value}.ttf"


@dataclass(frozen=True, slots=True)
class Run:
    """Consecutive characters that one font draws."""

    face: Face
    text: str


@lru_cache(maxsize=8192)
def text_runs(text: str, face: Face = Face.REGULAR) -> tuple[Run, ...]:
    """Cut text into runs, each in the first font that draws it: `face`, then the fallbacks.

    A letter and the marks on it stay together where one font has them all. The text is first made
    `printable`; a character in no font becomes □.
    """
    pieces = [piece for cluster in _clusters(printable(text)) for piece in _placed(cluster, face)]
    return tuple(
        Run(key, "".join(text for _, text in group))
        for key, group in groupby(pieces, key=lambda piece: piece[0])
    )


def missing_characters(text: str) -> tuple[str, ...]:
    """The characters of a text that no font draws, each once, in order of code point."""
    absent = {c for c in printable(text) if not any(covers(face, ord(c)) for face in Face)}
    return tuple(sorted(absent))


def printable(text: str) -> str:
    """The text as it is printed: composed (Unicode NFC), one line, nothing invisible in it.

    Controls and odd spaces become a space; marks that only steer layout (joiners, variation
    selectors, direction marks, soft hyphens) go; broken surrogates become □.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_shown, unicodedata.normalize("NFC", text)))


def covers(face: Face, code_point: int) -> bool:
    """Whether a font draws a character."""
    starts, ends = _coverage(face)
    at = bisect_right(starts, code_point) - 1
    return at >= 0 and code_point <= ends[at]


def wrap_text(text: str, width: float, measure: Callable[[str], float]) -> tuple[str, ...]:
    """Break text into lines that fit a width; every line break of the text is kept.

    `measure` gives a text's width and adds up: a whole is as wide as its parts. Lines break at
    spaces and after East Asian characters, inside a word only where it is wider than a line (then
    at least one character stands on each). Empty text gives no line.
    """
    lines: list[str] = []
    for paragraph in text.splitlines():
        lines += _filled_lines(_words(printable(paragraph)), width, measure)
    return tuple(lines)


def shortened(text: str, width: float, measure: Callable[[str], float]) -> str:
    """The text, or as much of its beginning as fits a width with … behind it."""
    line = printable(text)
    if measure(line) <= width:
        return line
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(line[:middle].rstrip() + "…") <= width:
            low = middle
        else:
            high = middle - 1
    return line[:low].rstrip() + "…"


# --- fonts -----------------------------------------------------------------------------------

_FALLBACKS = (Face.REGULAR, Face.SYMBOLS, Face.WIDE, Face.EAST_ASIAN)


@lru_cache(maxsize=len(Face))
def _coverage(face: Face) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First and last code points of the ranges a font covers, ascending. Raises ResourceError."""
    data = read_bytes(face.path)
    (table_count,) = struct.unpack_from(">H", data, 4)
    tables = {
        tag: offset
        for tag, _, offset, _ in struct.iter_unpack(">4sIII", data[12 : 12 + 16 * table_count])
    }
    cmap = tables[b"cmap"]
    (count,) = struct.unpack_from(">H", data, cmap + 2)
    for i in range(count):
        platform, encoding, offset = struct.unpack_from(">HHI", data, cmap + 4 + 8 * i)
        if (platform, encoding) == (3, 10):
            return _groups(data, cmap + offset)
    raise ResourceError(f"Font {face.path} has no full Unicode character map; install again.")


def _groups(data: bytes, at: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The ranges of a format 12 map; characters mapped to glyph 0 count as not covered."""
    (group_count,) = struct.unpack_from(">I", data, at + 12)
    groups = struct.iter_unpack(">III", data[at + 16 : at + 16 + 12 * group_count])
    ranges = [
        (start if glyph else start + 1, end) for start, end, glyph in groups if glyph or end > start
    ]
    return tuple(start for start, _ in ranges), tuple(end for _, end in ranges)


def _placed(cluster: str, face: Face) -> list[tuple[Face, str]]:
    """A cluster with the font that draws it; drawn apart, or as □, where no font has it whole."""
    chain = (face, *_FALLBACKS)
    for candidate in chain:
        if all(covers(candidate, ord(c)) for c in cluster):
            return [(candidate, cluster)]
    if len(cluster) > 1:
        return [piece for c in cluster for piece in _placed(c, face)]
    return _placed(MISSING, face)


# --- text ------------------------------------------------------------------------------------


def _shown(character: str) -> str:
    category = unicodedata.category(character)
    if category in {"Cc", "Zs", "Zl", "Zp"}:
        return " "
    if category == "Cs":
        return MISSING
    if category == "Cf" or _is_variation_selector(character):
        return ""
    return character


def _is_variation_selector(character: str) -> bool:
    return "\ufe00" <= character <= "\ufe0f" or "\U000e0100" <= character <= "\U000e01ef"


def _clusters(text: str) -> list[str]:
    """Each character with the marks that stand on it."""
    if text.isascii():
        return list(text)
    clusters: list[str] = []
    for character in text:
        if clusters and unicodedata.category(character) in {"Mn", "Me"}:
            clusters[-1] += character
        else:
            clusters.append(character)
    return clusters


def _words(text: str) -> list[str]:
    """Words, each with the spaces before it; an East Asian character ends its word."""
    words: list[str] = []
    word = ""
    for cluster in _clusters(text):
        if cluster == " " and word.strip():
            words.append(word)
            word = ""
        word += cluster
        if _ends_word(cluster):
            words.append(word)
            word = ""
    return [*words, word] if word.strip() else words


def _ends_word(cluster: str) -> bool:
    return ord(cluster[0]) >= 0x2E80 and unicodedata.east_asian_width(cluster[0]) in {"W", "F"}


def _filled_lines(words: list[str], width: float, measure: Callable[[str], float]) -> list[str]:
    lines: list[str] = []
    line, used = "", 0.0
    for word in words:
        extent = measure(word)
        if line and used + extent <= width:
            line, used = line + word, used + extent
            continue
        if line:
            lines.append(line)
        line = word.lstrip()
        used = measure(line)
        while used > width and len(line) > 1:
            piece = _longest_beginning(line, width, measure)
            lines.append(piece)
            line = line[len(piece) :]
            used = measure(line)
    if line:
        lines.append(line)
    return lines


def _longest_beginning(word: str, width: float, measure: Callable[[str], float]) -> str:
    """As many whole clusters from the beginning as fit, at least one."""
    piece, used = "", 0.0
    for cluster in _clusters(word):
        used += measure(cluster)
        if piece and used > width:
            break
        piece += cluster
    return piece
