"""Invented checklists for the paper's tests, bench and contact sheets."""

from datetime import date

from core.glyph.codes import ORDER_BIT, PINNED_BIT, SPARE_BIT, GlyphCode
from core.printing.checklist import Checklist, ChecklistLeaf, ChecklistRow, LeafMap, ListKind

DAY = date(2026, 11, 25)
LEGEND = (
    (GlyphCode.FILLED, "44 filled"),
    (GlyphCode.BELOW_50, "9 below target"),
    (GlyphCode.HOLE_FILLER, "3 hole fillers"),
    (GlyphCode.TO_VERIFY, "2 to verify"),
    (GlyphCode.ON_ORDER, "1 on order"),
    (GlyphCode.GAP, "11 gaps"),
)
_HELD = {
    GlyphCode.GAP: "",
    GlyphCode.ON_ORDER: "",
    GlyphCode.BELOW_25: "G-4",
    GlyphCode.BELOW_50: "VG-8",
    GlyphCode.BELOW_75: "F-12",
    GlyphCode.HOLE_FILLER: "bent",
    GlyphCode.TO_VERIFY: "S or D?",
}
_CYCLE = (1, 1, 0, 1, 2, 1, 1, 7, 3, 1, 5, 0, 1, 4, 1, 6, 1, 0, 2, 1, 1)


def a_row(number: int, **changes: object) -> ChecklistRow:
    """A wanted row; its number decides date, mint and state."""
    code = (0, 7, 2, 3, 0, 4, 5, 6)[number % 8]
    label = f"{1938 + number // 3 % 80}{('', '-D', '-S')[number % 3]}"
    fields: dict[str, object] = {
        "code": code,
        "label": label,
        "held": _HELD[GlyphCode(code)],
        "wanted": "VF-20",
    }
    return ChecklistRow(**(fields | changes))  # type: ignore[arg-type]  # a test's shorthand


def matrix_map(first_year: int, years: int, seed: int = 0) -> LeafMap:
    """A leaf of years × three mints, with a place where nothing was struck."""
    codes = tuple(
        tuple(
            9 if (y + m + seed) % 13 == 7 else _CYCLE[(y * 3 + m + seed) % len(_CYCLE)]
            for m in range(3)
        )
        for y in range(years)
    )
    return LeafMap(("P", "D", "S"), tuple(str(first_year + y) for y in range(years)), codes)


def running_map(rows: int, places: int) -> LeafMap:
    """A leaf of running rows, its last row not full."""
    codes = tuple(
        tuple(_CYCLE[(r * places + p) % len(_CYCLE)] for p in range(places - 2 * (r == rows - 1)))
        for r in range(rows)
    )
    return LeafMap((), (), codes)


def a_checklist(
    *leaves: ChecklistLeaf,
    title: str = "Nickels 1938–1964",
    list_name: str = "Gaps and upgrades",
    kind: ListKind = ListKind.SLOTS,
    headline: str = "have 58 of 70 · at target 44",
    counts: tuple[tuple[int, str], ...] = LEGEND,
    footer: str = "Harbour Museum coin jar",
) -> Checklist:
    """A checklist of the harbour museum's."""
    return Checklist(
        title, list_name, headline, DAY, "25 November 2026", counts, leaves, footer, kind
    )


def leaf_of(number: int, rows: tuple[ChecklistRow, ...], leaf_map: LeafMap | None) -> ChecklistLeaf:
    """A leaf named by its number."""
    return ChecklistLeaf(f"Leaf {number}", "1938–1946", leaf_map, rows, "complete at target")


def few_rows() -> Checklist:
    """Three leaves as on the sketch: twelve rows, thirteen, and one complete."""
    complete = LeafMap(
        ("P", "D", "S"), tuple(str(1956 + y) for y in range(9)), tuple(((1, 1, 15),) * 9)
    )
    return a_checklist(
        ChecklistLeaf("Leaf 1", "1938–1946", matrix_map(1938, 9), rows_of(12)),
        ChecklistLeaf("Leaf 2", "1947–1955", matrix_map(1947, 9, 4), rows_of(13, 27)),
        ChecklistLeaf("Leaf 3", "1956–1964", complete, (), "complete at target"),
    )


def rows_of(count: int, first: int = 0) -> tuple[ChecklistRow, ...]:
    """So many rows, no two neighbours alike."""
    return tuple(a_row(first + n) for n in range(count))


def many_leaves() -> Checklist:
    """Twelve leaves of all shapes over several pages, marks, notes here and there."""
    notes = {
        3: "weak D, look again",
        8: "seen at the spring fair, asked too much; wait for one"
        " with a full date and no spots on the reverse",
        14: "ask Tuesday",
    }
    marks = {2: SPARE_BIT, 5: ORDER_BIT, 11: PINNED_BIT}
    leaves = []
    for n in range(1, 13):
        rows = tuple(
            a_row(i, note=notes.get(i, ""), code=a_row(i).code | marks.get(i, 0))
            for i in range((n * 7) % 23)
        )
        leaf_map = running_map(5, 9) if n % 3 == 0 else matrix_map(1900 + 9 * n, 6 + n, n)
        leaves.append(
            ChecklistLeaf(
                f"Leaf {n}", f"{1900 + 9 * n}–{1905 + 10 * n}", leaf_map, rows, "complete at target"
            )
        )
    return a_checklist(*leaves, title="Cents 1909–2025")


def long_names() -> Checklist:
    """Names, notes, grades and dates that are long, in many scripts."""
    rows = (
        a_row(
            0,
            label="1776–1976-D",
            variety="copper-nickel clad, type 2 reverse",
            note="Größe prüfen; näher ansehen",
        ),
        a_row(
            1, label="昭和42", note="裏面に小さな傷。もう一枚探す", held="VG-8 details, corroded"
        ),
        a_row(2, label="1944 any mint", note="Ψάχνω για καλύτερο: δίπλα στο Δ"),
        a_row(
            3,
            label="1955-D",
            variety="doubled die obverse",
            note="проверить ещё раз при дневном"
            " свете, дата сдвоена; спросить цену у соседа по столу и сравнить с другой монетой",
        ),
        a_row(4, label="AH 1327", wanted="MS-65 RD full steps", note="łódź, ñandú, ěščřž, ﬁ"),
        a_row(5, label="1960-D small date over large date", note="x" * 90),
        a_row(6, mintage="87,318,000", note="line one\nline two"),
        a_row(7, mintage="1,234,567,890", note="한국어 메모 ★ ☐ \U0001f5f8"),
    )
    return a_checklist(
        ChecklistLeaf(
            "Leaf 1 of the second folder, the blue one with the torn corner",
            "1776–1976, commemoratives, clad and silver, as they came from the jar",
            matrix_map(1909, 60),
            rows,
        ),
        ChecklistLeaf("Leaf 2", "1776–1976", running_map(20, 6), rows[:5]),
        title="Half a century of cents and nickels from the harbour museum's donation jar, sorted",
        footer="The harbour museum's coin jar and all that was found beside it, winter 2026, third"
        " count by the volunteers of the Tuesday group, with corrections",
    )


def optional_slots() -> Checklist:
    """Varieties: half of the slots optional."""
    rows = tuple(
        a_row(
            n,
            is_optional=n % 2 == 1,
            variety=("", "doubled die obverse", "", "repunched mark", "small date")[n % 5],
        )
        for n in range(21)
    )
    return a_checklist(leaf_of(1, rows, running_map(5, 9)), title="Cents with varieties")


def all_slots() -> Checklist:
    """Every slot of two leaves, with what was struck."""
    rows = tuple(
        a_row(n, code=_CYCLE[n % len(_CYCLE)], held="VF-30", mintage=f"{(n + 3) * 7_318_000:,}")
        for n in range(27)
    )
    return a_checklist(
        leaf_of(1, rows, matrix_map(1938, 9)),
        leaf_of(2, rows, matrix_map(1947, 9)),
        list_name="All slots",
    )


def spares() -> Checklist:
    """Coins in no slot, grouped by series."""

    def row(n: int) -> ChecklistRow:
        return ChecklistRow(
            code=15,
            label=f"{1940 + n}{('', '-D', '-S')[n % 3]}",
            variety="doubled die reverse" if n % 9 == 4 else "",
            held=("VG-8", "F-12", "", "G-4", "VF-20 cleaned")[n % 5],
            note={2: "for swaps", 7: "the one with the clear mark; keep until spring"}.get(n, ""),
            count=(1, 1, 12, 1, 3)[n % 5],
        )

    return a_checklist(
        ChecklistLeaf("Cents", "41 coins", None, tuple(row(n) for n in range(17))),
        ChecklistLeaf("Nickels", "83 coins", None, tuple(row(n) for n in range(40))),
        ChecklistLeaf("Dimes", "1 coin", None, (row(3),)),
        ChecklistLeaf("Quarters", "", None, (), "no spares"),
        title="Harbour Museum coin jar",
        list_name="Spares",
        kind=ListKind.SPARES,
        headline="125 coins in no slot",
        counts=(),
    )


def nothing() -> Checklist:
    """A list with no leaf, as of an album without slots."""
    return a_checklist(counts=(), headline="have 0 of 0")


def complete() -> Checklist:
    """Every leaf complete."""
    return a_checklist(
        *(leaf_of(n, (), matrix_map(1938 + 9 * n, 9)) for n in range(1, 5)),
        list_name="Gaps",
    )


CASES = {
    "few": few_rows,
    "many": many_leaves,
    "long": long_names,
    "optional": optional_slots,
    "all": all_slots,
    "spares": spares,
    "nothing": nothing,
    "complete": complete,
}
