"""Invented albums for the tests and benches of the leaf view."""

import random
from collections.abc import Sequence

from core.arrange.plan import (
    SPACER_CELL,
    LeafPlan,
    PlanBuilder,
    PlanCell,
    PlanRow,
    caption_cell,
)
from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode

_POOL = (
    [GlyphCode.FILLED] * 10
    + [GlyphCode.GAP] * 4
    + [GlyphCode.BELOW_25, GlyphCode.BELOW_50, GlyphCode.BELOW_50, GlyphCode.BELOW_75]
    + [GlyphCode.HOLE_FILLER, GlyphCode.ON_ORDER, GlyphCode.TO_VERIFY, GlyphCode.SKIPPED]
)
_GRADES = ("VF-20", "F-12", "XF-40", "AU-50", "VG-8", "G-4", "MS-63")
_BELOW = (GlyphCode.BELOW_25, GlyphCode.BELOW_50, GlyphCode.BELOW_75)
_NO_GRADE = (GlyphCode.GAP, GlyphCode.ON_ORDER, GlyphCode.SKIPPED, GlyphCode.NOT_STRUCK)


def _pick(rnd: random.Random) -> tuple[int, str]:
    code = int(rnd.choice(_POOL))
    grade = "damaged" if code == GlyphCode.HOLE_FILLER else rnd.choice(_GRADES)
    if code in _NO_GRADE:
        grade = ""
    if code in (GlyphCode.GAP, *_BELOW, GlyphCode.HOLE_FILLER) and rnd.random() < 0.2:
        code |= SPARE_BIT
    if code in _BELOW and rnd.random() < 0.2:
        code |= ORDER_BIT
    if code == GlyphCode.FILLED and rnd.random() < 0.05:
        code |= PINNED_BIT
    return code, grade


def running(
    count: int,
    counts: Sequence[int] = (9, 9, 9, 8, 10),
    rows_a_leaf: int = 9,
    seed: int = 1,
    first: int = 1850,
    span: int = 150,
    kinds: Sequence[str] = ("",),
) -> LeafPlan:
    """Uneven rows centred on each other, a spacer in the fifth place of every seventh row.

    `kinds` stand behind the dates, turn by turn.
    """
    rnd = random.Random(seed)
    builder = PlanBuilder(f"Running {count}", has_two_lines=True)
    marks = ("", "-D", "-S", "-O", "-CC")
    widest, done, leaf = max(counts), 0, 0
    while done < count:
        rows, names = [], []
        for down in range(rows_a_leaf):
            cells: list[PlanCell] = []
            for place in range(min(counts[down % len(counts)], count - done)):
                if down % 7 == 3 and place == 4:
                    cells.append(SPACER_CELL)
                code, grade = _pick(rnd)
                if rnd.random() < 0.02:
                    code, grade = int(GlyphCode.NOT_STRUCK), ""
                date = f"{first + (done // 5) % span}{marks[done % 5]}"
                name = f"{date} {kinds[done % len(kinds)]}".rstrip()
                done += 1
                slot = 0 if code == GlyphCode.NOT_STRUCK else 1000 + done
                cells.append(PlanCell(code, name, name, grade, grade, slot))
                names.append(name)
            if cells:
                rows.append(PlanRow(cells, max(0, widest - len(cells))))
        leaf += 1
        builder.add_leaf(f"Leaf {leaf}", f"{names[0]} – {names[-1]}", rows)
    return builder.build()


def matrix(
    years: Sequence[int],
    mints: Sequence[str] = ("P", "D", "S"),
    rows_a_leaf: int = 9,
    seed: int = 4,
    missing: frozenset[tuple[int, str]] = frozenset(),
    subs: dict[int, str] | None = None,
) -> LeafPlan:
    """A row a year, a column a mint; `missing` were never struck."""
    rnd = random.Random(seed)
    builder = PlanBuilder("Years × mints", has_two_lines=False)
    slot = 0
    for start in range(0, len(years), rows_a_leaf):
        part = years[start : start + rows_a_leaf]
        rows = []
        for year in part:
            cells = []
            for mint in mints:
                code, grade = _pick(rnd)
                if (year, mint) in missing:
                    code, grade = int(GlyphCode.NOT_STRUCK), ""
                    cells.append(PlanCell(code, f"{year}-{mint}"))
                    continue
                slot += 1
                name = str(year) if mint == "P" else f"{year}-{mint}"
                cells.append(PlanCell(code, name, grade, "", grade, slot))
            rows.append(PlanRow(cells, 0, str(year), (subs or {}).get(year, "")))
        heads = ["P (no letter)" if mint == "P" else mint for mint in mints]
        title = f"Leaf {start // rows_a_leaf + 1}"
        builder.add_leaf(title, f"{part[0]}–{part[-1]}", rows, heads)
    return builder.build()


def beside(years: Sequence[int], rows_a_leaf: int = 5, seed: int = 7) -> LeafPlan:
    """A matrix of two runs side by side: a free place, then the heads of the second as captions."""
    rnd = random.Random(seed)
    builder = PlanBuilder("Runs side by side", has_two_lines=False)
    mints = ("P", "D", "S")
    slot = 0
    for number, start in enumerate(range(0, len(years), 2 * rows_a_leaf), 1):
        part = years[start : start + 2 * rows_a_leaf]
        rows = []
        for down in range(min(rows_a_leaf, len(part))):
            cells: list[PlanCell] = []
            for year in part[down::rows_a_leaf]:
                if cells:
                    cells += [SPACER_CELL, caption_cell(str(year), "large date"[: year % 3 * 5])]
                for mint in mints:
                    slot += 1
                    code, grade = _pick(rnd)
                    if year == part[-1] and mint == "S":
                        code, grade = int(GlyphCode.NOT_STRUCK), ""
                    cells.append(PlanCell(code, f"{year}-{mint}", grade, "", grade, slot))
            rows.append(PlanRow(cells, 0, str(part[down])))
        builder.add_leaf(f"Leaf {number}", f"{part[0]}–{part[-1]}", rows, (*mints, "", "", *mints))
    return builder.build()
