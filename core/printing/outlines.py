"""The outlines of characters, read from the fonts themselves: so that a picture needs no font.

Source: OpenType specification 1.9, tables "cmap" (format 12), "glyf", "head", "hhea", "hmtx" and
"loca". The fonts in `resources/fonts` hold quadratic outlines.
"""

import struct
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from core.printing.text_runs import Face
from resources import ResourceError, read_bytes

Point = tuple[float, float, bool]
"""x, y in font units, y up, and whether it lies on the curve."""
_ON_CURVE, _X_SHORT, _Y_SHORT, _REPEAT, _X_SAME, _Y_SAME = 1, 2, 4, 8, 16, 32
_ARE_WORDS, _ARE_XY, _HAS_SCALE, _MORE, _HAS_XY_SCALE, _HAS_2X2 = 1, 2, 8, 32, 64, 128
_DEEPEST = 8


@dataclass(frozen=True, slots=True)
class Outline:
    """A character: its advance in ems and its path (SVG path data in font units, y up)."""

    advance: float
    path: str


class FontOutlines:
    """One font. Raises ResourceError where the file is not as expected."""

    def __init__(self, face: Face) -> None:
        self._data = read_bytes(face.path)
        (count,) = struct.unpack_from(">H", self._data, 4)
        self._tables = {
            tag.decode("ascii"): offset
            for tag, _, offset, _ in struct.iter_unpack(">4sIII", self._data[12 : 12 + 16 * count])
        }
        for table in ("cmap", "glyf", "head", "hhea", "hmtx", "loca"):
            if table not in self._tables:
                raise ResourceError(f"Font {face.path} has no outlines to draw; install again.")
        self.units_per_em = self._u16(self._tables["head"] + 18)
        self._has_long_loca = self._u16(self._tables["head"] + 50) == 1
        self._advances = self._u16(self._tables["hhea"] + 34)
        self._groups = self._read_groups(face)

    def outline(self, character: str) -> Outline:
        """The outline of one character; that of glyph 0 where the font has none."""
        number = self._glyph_number(ord(character))
        at = self._tables["hmtx"] + 4 * min(number, self._advances - 1)
        contours = list(self._contours(number, 0))
        return Outline(self._u16(at) / self.units_per_em, "".join(map(_path, contours)))

    def _u16(self, at: int) -> int:
        return int.from_bytes(self._data[at : at + 2], "big")

    def _i16(self, at: int) -> int:
        return int.from_bytes(self._data[at : at + 2], "big", signed=True)

    def _read_groups(self, face: Face) -> list[tuple[int, int, int]]:
        cmap = self._tables["cmap"]
        for i in range(self._u16(cmap + 2)):
            platform, encoding, offset = struct.unpack_from(">HHI", self._data, cmap + 4 + 8 * i)
            if (platform, encoding) == (3, 10):
                at = cmap + offset
                (count,) = struct.unpack_from(">I", self._data, at + 12)
                groups = self._data[at + 16 : at + 16 + 12 * count]
                return [
                    (start, end, first) for start, end, first in struct.iter_unpack(">III", groups)
                ]
        raise ResourceError(f"Font {face.path} has no full Unicode character map; install again.")

    def _glyph_number(self, code_point: int) -> int:
        at = bisect_right(self._groups, code_point, key=lambda group: group[0]) - 1
        if at < 0:
            return 0
        start, end, first = self._groups[at]
        return first + code_point - start if code_point <= end else 0

    def _contours(self, number: int, depth: int) -> Iterator[list[Point]]:
        start, end = self._place(number)
        if start == end or depth > _DEEPEST:
            return
        count = self._i16(start)
        if count >= 0:
            yield from self._simple(start, count)
        else:
            yield from self._compound(start + 10, depth)

    def _place(self, number: int) -> tuple[int, int]:
        loca, glyf = self._tables["loca"], self._tables["glyf"]
        if self._has_long_loca:
            start, end = struct.unpack_from(">II", self._data, loca + 4 * number)
        else:
            start, end = (2 * n for n in struct.unpack_from(">HH", self._data, loca + 2 * number))
        return glyf + start, glyf + end

    def _simple(self, start: int, count: int) -> Iterator[list[Point]]:
        ends = [self._u16(start + 10 + 2 * i) for i in range(count)]
        if not ends:
            return
        at = start + 10 + 2 * count
        at += 2 + self._u16(at)
        flags: list[int] = []
        while len(flags) <= ends[-1]:
            flag = self._data[at]
            at += 1
            flags.append(flag)
            if flag & _REPEAT:
                flags += [flag] * self._data[at]
                at += 1
        xs, at = self._coordinates(flags, at, _X_SHORT, _X_SAME)
        ys, at = self._coordinates(flags, at, _Y_SHORT, _Y_SAME)
        first = 0
        for last in ends:
            yield [
                (float(xs[i]), float(ys[i]), bool(flags[i] & _ON_CURVE))
                for i in range(first, last + 1)
            ]
            first = last + 1

    def _coordinates(
        self, flags: list[int], at: int, is_short: int, is_same: int
    ) -> tuple[list[int], int]:
        values, value = [], 0
        for flag in flags:
            if flag & is_short:
                value += self._data[at] if flag & is_same else -self._data[at]
                at += 1
            elif not flag & is_same:
                value += self._i16(at)
                at += 2
            values.append(value)
        return values, at

    def _compound(self, at: int, depth: int) -> Iterator[list[Point]]:
        flags = _MORE
        while flags & _MORE:
            flags, number = self._u16(at), self._u16(at + 2)
            at += 4
            form = ">hh" if flags & _ARE_WORDS else ">bb"
            dx, dy = struct.unpack_from(form, self._data, at) if flags & _ARE_XY else (0, 0)
            at += struct.calcsize(form)
            a, b, c, d = 1.0, 0.0, 0.0, 1.0
            if flags & _HAS_SCALE:
                a = d = self._i16(at) / 16384
                at += 2
            elif flags & _HAS_XY_SCALE:
                a, d = self._i16(at) / 16384, self._i16(at + 2) / 16384
                at += 4
            elif flags & _HAS_2X2:
                a, b, c, d = (self._i16(at + 2 * i) / 16384 for i in range(4))
                at += 8
            for contour in self._contours(number, depth + 1):
                yield [(a * x + c * y + dx, b * x + d * y + dy, on) for x, y, on in contour]


@lru_cache(maxsize=len(Face))
def font_outlines(face: Face) -> FontOutlines:
    """A font's outlines, read once."""
    return FontOutlines(face)


def _path(points: list[Point]) -> str:
    """One closed contour: between two points off the curve lies one on it, half-way."""
    if not points:
        return ""
    start = next((i for i, point in enumerate(points) if point[2]), None)
    if start is None:
        first, last = points[0], points[-1]
        turned = [((first[0] + last[0]) / 2, (first[1] + last[1]) / 2, True), *points]
    else:
        turned = points[start:] + points[:start]
    x, y, _ = turned[0]
    parts = [f"M{_n(x)} {_n(y)}"]
    waiting: tuple[float, float] | None = None
    for px, py, is_on in [*turned[1:], turned[0]]:
        if waiting is None:
            if is_on:
                parts.append(f"L{_n(px)} {_n(py)}")
            else:
                waiting = px, py
            continue
        end = (px, py) if is_on else ((waiting[0] + px) / 2, (waiting[1] + py) / 2)
        parts.append(f"Q{_n(waiting[0])} {_n(waiting[1])} {_n(end[0])} {_n(end[1])}")
        waiting = None if is_on else (px, py)
    return "".join(parts) + "Z"


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
