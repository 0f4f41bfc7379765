from dataclasses import replace

import pytest

from core.arrange.grid import SPACER, Cell, Column, GridSlot, arrange
from core.arrange.unfold import unfolded
from core.model.arrangement import (
    NO_LEAD,
    Arrangement,
    ArrangementKind,
    Lead,
    parse_arrangement,
    parse_lead,
)

COLUMNS = (Column("P", "P (no letter)"), Column("D", "D"), Column("S", "S"))
NOT_STRUCK = {("1945", "S")}


def was_struck(date: str, mint: str) -> bool:
    return (date, mint) not in NOT_STRUCK


def slot(date: str, mint: str, differs: str = "") -> GridSlot:
    return GridSlot(date, mint, differs, f"{date}-{mint} {differs}".strip())


def matrix(*slots: GridSlot, rows_per_leaf: int | None = None):
    return arrange(slots, Arrangement(rows_per_leaf=rows_per_leaf), COLUMNS, was_struck)


def running(count: int, per_row: int, rows: int | None):
    slots = [slot(str(1900 + n), "P") for n in range(count)]
    shape = Arrangement(ArrangementKind.RUNNING, per_row, rows)
    return arrange(slots, shape, COLUMNS, was_struck)


def cells(leaves):
    return [cell for leaf in leaves for row in leaf.rows for cell in row.cells]


def years(count: int) -> list[GridSlot]:
    return [slot(str(1900 + n), "P") for n in range(count)]


def test_a_row_a_year_a_column_a_mint() -> None:
    (leaf,) = matrix(slot("1944", "P"), slot("1944", "D"), slot("1944", "S"), slot("1945", "D"))
    assert leaf.heads == ("P (no letter)", "D", "S")
    assert [(r.head, r.differs, [c.slot for c in r.cells]) for r in leaf.rows] == [
        ("1944", "", [0, 1, 2]),
        ("1945", "", [None, 3, None]),
    ]
    assert leaf.title == "Leaf 1"
    assert leaf.subtitle == "1944–1945"


def test_what_was_never_struck_is_crossed_and_what_is_not_in_the_album_left_out() -> None:
    (leaf,) = matrix(slot("1944", "S"), slot("1945", "P"))
    spacer, crossed = leaf.rows[0].cells[0], leaf.rows[1].cells[1]
    assert spacer == SPACER
    assert spacer.is_spacer
    assert (crossed.slot, crossed.is_struck, crossed.name) == (None, False, "1945-S")
    assert not crossed.is_spacer


def test_only_the_mints_of_the_album_get_a_column() -> None:
    (leaf,) = matrix(slot("1944", "D"))
    assert leaf.heads == ("D",)


def test_a_mint_without_a_column_of_its_own_gets_one() -> None:
    (leaf,) = matrix(slot("1944", "D"), slot("1944", "O"), slot("1944", ""))
    assert leaf.heads == ("D", "O", "any mint")
    assert [c.slot for c in leaf.rows[0].cells] == [0, 1, 2]


def test_several_slots_in_one_place_give_the_date_further_rows_headed_by_what_differs() -> None:
    leaf, = matrix(
        slot("1960", "P"), slot("1960", "D"),
        slot("1960", "P", "large date"), slot("1960", "P", "small date"),
        slot("1960", "D", "large date"), slot("1960", "D", "small date"),
    )  # fmt: skip
    assert [(r.head, r.differs, [c.slot for c in r.cells]) for r in leaf.rows] == [
        ("1960", "", [0, 1]),
        ("1960", "large date", [2, 4]),
        ("1960", "small date", [3, 5]),
    ]


def test_two_slots_alike_in_all_still_get_a_row_each() -> None:
    (leaf,) = matrix(slot("1960", "P"), slot("1960", "P"))
    assert [[c.slot for c in r.cells] for r in leaf.rows] == [[0], [1]]


def test_running_fills_row_after_row_and_centres_the_remainder() -> None:
    leaves = running(23, 9, 2)
    assert [[len(r.cells) for r in leaf.rows] for leaf in leaves] == [[9, 9], [5]]
    assert [[r.indent for r in leaf.rows] for leaf in leaves] == [[0, 0], [4]]
    assert [c.slot for c in cells(leaves)] == list(range(23))
    assert [leaf.subtitle for leaf in leaves] == ["1900-P–1917-P", "1918-P–1922-P"]


def test_a_running_album_shorter_than_a_row_is_not_indented() -> None:
    (leaf,) = running(4, 9, 5)
    assert [r.indent for r in leaf.rows] == [0]


def test_running_has_five_rows_a_leaf_where_none_are_named() -> None:
    assert [len(leaf.rows) for leaf in running(60, 10, None)] == [5, 1]


@pytest.mark.parametrize(
    ("count", "rows"),
    [(1, [1]), (10, [10]), (11, [6, 5]), (20, [10, 10]), (21, [7, 7, 7]), (25, [9, 9, 7])],
)
def test_leaves_are_few_and_even(count, rows) -> None:
    assert [len(leaf.rows) for leaf in matrix(*years(count))] == rows


def test_the_collector_may_set_the_rows_of_a_leaf() -> None:
    assert [len(leaf.rows) for leaf in matrix(*years(11), rows_per_leaf=4)] == [4, 4, 3]


def test_the_rows_of_a_date_stay_together_on_a_leaf() -> None:
    slots = [*years(3), slot("1903", "P"), slot("1903", "P", "small"), slot("1904", "P")]
    leaves = matrix(*slots, rows_per_leaf=4)
    assert [[r.head for r in leaf.rows] for leaf in leaves] == [
        ["1900", "1901", "1902"], ["1903", "1903", "1904"],
    ]  # fmt: skip


def test_a_date_with_more_rows_than_a_leaf_goes_on_overleaf() -> None:
    slots = [slot("1900", "P", str(n)) for n in range(5)]
    assert [len(leaf.rows) for leaf in matrix(*slots, rows_per_leaf=2)] == [2, 2, 1]


@pytest.mark.parametrize("kind", list(ArrangementKind))
def test_no_slots_no_leaves(kind) -> None:
    assert arrange([], Arrangement(kind), COLUMNS, was_struck) == ()


# ---- every kind, drawn by hand ----------------------------------------------------------------


def coin(year: int, mint: str = "P", differs: str = "", lead: Lead = NO_LEAD) -> GridSlot:
    """A slot of a made-up series: wheat to 1939, then acorn; its label is short to draw."""
    design = "wheat" if year < 1940 else "acorn"
    label = f"{year % 100}{mint.lower() or '*'}{differs[:1]}"
    title = f"The {design}"
    return GridSlot(str(year), mint, differs, label, year, year, design, title, lead)


def coins(*years: int, mints: str = "P") -> list[GridSlot]:
    return [coin(year, mint) for year in years for mint in mints]


def with_leads(slots: list[GridSlot], **leads: str) -> list[GridSlot]:
    """`s38d="leaf 2"`: what stands before the slot of that label."""
    return [replace(s, lead=parse_lead(leads.get(f"s{s.label}", ""))) for s in slots]


def drawn(slots: list[GridSlot], text: str) -> list[str]:
    """Leaves as lines: title, heads, rows; . a spacer, x not struck, [a caption], > half a cell."""
    lines = []
    for leaf in arrange(slots, parse_arrangement(text), COLUMNS, was_struck):
        lines.append(f"# {leaf.title}: {leaf.subtitle}")
        if leaf.heads:
            lines.append("  ".join(("", *(head or "." for head in leaf.heads))).strip())
        for row in leaf.rows:
            head = " ".join(filter(None, (row.head, row.differs)))
            cells = " ".join(">" * row.indent + mark(cell, slots) for cell in row.cells[:1])
            cells = " ".join([cells, *(mark(cell, slots) for cell in row.cells[1:])])
            lines.append(f"{head} | {cells}" if head else cells)
    return lines


def mark(cell: Cell, slots: list[GridSlot]) -> str:
    if cell.slot is not None:
        return slots[cell.slot].label
    if cell.is_caption:
        return f"[{' '.join(filter(None, (cell.name, cell.sub)))}]"
    return "." if cell.is_spacer else "x"


DRAWN: dict[str, tuple[list[GridSlot], str, list[str]]] = {
    "closed up": (
        [*coins(1944, mints="PDS"), *coins(1945, mints="PD"), coin(1945, "D", "large")],
        "years-by-mints; closed",
        ["# Leaf 1: 1944–1945", "1944 | 44p 44d 44s", "1945 | 45p 45d", "1945 large | 45dl"],
    ),
    "mints in another order": (
        coins(1944, 1946, mints="PDS"),
        "years-by-mints; mints=S,D",
        [
            "# Leaf 1: 1944–1946", "S  D  P (no letter)",
            "1944 | 44s 44d 44p", "1946 | 46s 46d 46p",
        ],
    ),
    "matrix by date": (
        [coin(1946), coin(1944, "D"), coin(1946, "D"), coin(1944)],
        "years-by-mints; order=date",
        ["# Leaf 1: 1944–1946", "P (no letter)  D", "1944 | 44p 44d", "1946 | 46p 46d"],
    ),
    "matrix as listed": (
        [coin(1946), coin(1944), coin(1946, "D")],
        "years-by-mints",
        ["# Leaf 1: 1946", "P (no letter)  D", "1946 | 46p .", "1944 | 44p .", "1946 | . 46d"],
    ),
    "matrix in runs side by side": (
        coins(1944, 1945, 1946, mints="PS")[:-1],
        "years-by-mints:2; blocks=2",
        [
            "# Leaf 1: 1944–1946", "P (no letter)  S  .  .  P (no letter)  S",
            "1944 | 44p 44s . [1946] 46p .", "1945 | 45p 45s . . . .",
        ],
    ),
    "matrix with breaks by rule": (
        coins(1938, 1939, 1940, 1941, 1950),
        "years-by-mints:3; leaf-break=design; row-break=decade",
        [
            "# The wheat: Leaf 1 · 1938–1939", "P (no letter)", "1938 | 38p", "1939 | 39p",
            "# The acorn: Leaf 2 · 1940–1941", "P (no letter)", "1940 | 40p", "1941 | 41p",
            "# The acorn (2): Leaf 3 · 1950", "P (no letter)", "1950 | 50p",
        ],
    ),
    "matrix with breaks by hand": (
        with_leads(coins(1944, 1946, 1947, mints="PD"), s46d="row", s47p="leaf 3"),
        "years-by-mints",
        [
            "# Leaf 1: 1944–1946", "P (no letter)  D", "1944 | 44p 44d", ". .", "1946 | 46p 46d",
            "# Leaf 2: 1947", "P (no letter)  D", "1947 | 47p 47d",
        ],
    ),
    "a row a design": (
        [coin(1939, "P"), replace(coin(1939, "P"), design="fern", title="The fern", label="39f"),
         coin(1939, "D"), coin(1940, "D", "large")],
        "by-design",
        [
            "# Leaf 1: 1939–1940", "P (no letter)  D",
            "The wheat 1939 | 39p 39d", "The fern 1939 | 39f .", "The acorn 1940 large | . 40dl",
        ],
    ),
    "a row a design, side by side": (
        coins(1938, 1939, 1940, 1941),
        "by-design:2; blocks=2",
        [
            "# Leaf 1: 1938–1941", "P (no letter)  .  .  P (no letter)",
            "1938 The wheat | 38p . [1940 The acorn] 40p",
            "1939 | 39p . [1941] 41p",
        ],
    ),
    "running": (
        coins(*range(1938, 1945)), "running:3x2",
        ["# Leaf 1: 38p–43p", "38p 39p 40p", "41p 42p 43p", "# Leaf 2: 44p", ">>44p"],
    ),
    "dates only": (
        [coin(year, "") for year in (1938, 1939, 1940)], "dates-only:2x1",
        ["# Leaf 1: 38*–39*", "38* 39*", "# Leaf 2: 40*", ">40*"],
    ),
    "running down": (
        coins(*range(1938, 1947)), "running:3x2; down",
        ["# Leaf 1: 38p–43p", "38p 40p 42p", "39p 41p 43p", "# Leaf 2: 44p–46p", "44p 46p", "45p"],
    ),
    "running in runs side by side": (
        coins(*range(1938, 1946)), "running:2x2; blocks=2",
        ["# Leaf 1: 38p–45p", "38p 39p . 42p 43p", "40p 41p . 44p 45p"],
    ),
    "running with spacers and breaks by hand": (
        with_leads(coins(*range(1938, 1945)), s39p="2", s41p="row", s43p="leaf 1"),
        "running:3x3",
        [
            "# Leaf 1: 38p–42p", "38p . .", ">39p 40p", ">41p 42p",
            "# Leaf 2: 43p–44p", ". 43p 44p",
        ],
    ),
    "down with spacers and breaks by hand": (
        with_leads(coins(*range(1938, 1943)), s39p="1", s41p="row"),
        "running:9x3; down",
        ["# Leaf 1: 38p–42p", "38p 40p 41p", ". . 42p", "39p"],
    ),
    "running with breaks by rule": (
        coins(1938, 1939, 1940, mints="PDS"), "running:9x2; row-break=date; leaf-break=decade",
        [
            "# 1930s: Leaf 1 · 38p–39s", "38p 38d 38s", "39p 39d 39s",
            "# 1940s: Leaf 2 · 40p–40s", "40p 40d 40s",
        ],
    ),
    "mint, then date": (
        coins(1938, 1939, mints="PDS"), "running:9x5; order=mint; mints=S; leaf-break=mint",
        [
            "# S: Leaf 1 · 38s–39s", "38s 39s",
            "# P (no letter): Leaf 2 · 38p–39p", "38p 39p",
            "# D: Leaf 3 · 38d–39d", "38d 39d",
        ],
    ),
    "date, then mint": (
        [*coins(1939, 1938, mints="PD"), coin(1938, "P", "large"), coin(1938, "")],
        "running:9x5; order=date; mints=D,P",
        ["# Leaf 1: 38*–39p", "38* 38d 38p 38pl 39d 39p"],
    ),
    "by decade": (
        coins(1928, *range(1930, 1934), 1940, 1941), "by-decade:3x3",
        [
            "# Leaf 1: 1920s–1930s", "1920s | 28p", "1930s | 30p 31p 32p", "33p",
            "# Leaf 2: 40p–41p", "1940s | 40p 41p",
        ],
    ),
    "by decade, one longer than a leaf": (
        coins(*range(1930, 1938), 1940), "by-decade:3x2",
        [
            "# Leaf 1: 30p–35p", "1930s | 30p 31p 32p", "33p 34p 35p",
            "# Leaf 2: 1930s–1940s", "1930s continued | 36p 37p", "1940s | 40p",
        ],
    ),
    "by decade, down": (
        coins(*range(1930, 1937), 1940), "by-decade:4x3; down",
        ["# Leaf 1: 1930s–1940s", "1930s | 30p 32p 34p 36p", "31p 33p 35p", "1940s | 40p"],
    ),
    "by decade, side by side": (
        coins(1930, 1931, 1932, 1940, 1941), "by-decade:2x2; blocks=2",
        ["# Leaf 1: 1930s–1940s", "1930s | 30p 31p . [1940s] 40p 41p", "32p"],
    ),
    "by decade, moved by hand": (
        coins(1940, 1930, 1941), "by-decade:9x5",
        ["# Leaf 1: 1940s–1930s", "1940s | 40p 41p", "1930s | 30p"],
    ),
    "by type": (
        coins(1938, 1940, 1939, mints="PD"), "by-type:3x5",
        [
            "# Leaf 1: The wheat – The acorn",
            "The wheat | 38p 38d 39p", "39d", "The acorn | 40p 40d",
        ],
    ),
    "by type, a leaf each": (
        coins(1938, 1940), "by-type:3x5; leaf-break=design",
        ["# The wheat: Leaf 1 · 38p", "38p", "# The acorn: Leaf 2 · 40p", "40p"],
    ),
    "by type, what may be several": (
        [coin(1938), replace(coin(1938, ""), design="", title="", year=None)], "by-type",
        [
            "# Leaf 1: The wheat – More than one design",
            "The wheat | 38p", "More than one design | 38*",
        ],
    ),
    "a row map": (
        coins(*range(1938, 1946)), "map:3 1_1 / _2 3",
        [
            "# Leaf 1: 38p–42p", "38p 39p 40p", "41p . 42p",
            "# Leaf 2: 43p–45p", ". 43p 44p", "45p . .",
        ],
    ),
    "a row map, down": (
        coins(*range(1938, 1943)), "map:3 2; down",
        ["# Leaf 1: 38p–42p", "38p 40p 42p", ">39p 41p"],
    ),
    "slots beyond the map": (
        coins(*range(1938, 1943)), "map:2 1",
        [
            "# Leaf 1: 38p–40p", "38p 39p", ">40p",
            "# Beyond the map: 41p–42p", "41p 42p",
        ],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", DRAWN)
def test_leaves_are_as_drawn_by_hand(name: str) -> None:
    slots, text, expected = DRAWN[name]
    assert drawn(slots, text) == expected


def test_leaf_titles_name_the_mint_where_its_name_is_known() -> None:
    shape = parse_arrangement("running:9x5; order=mint; leaf-break=mint")
    columns = (Column("none", "(no letter)"), Column("D", "D", "Denver"))
    slots = [coin(1940, "D"), coin(1940, "none"), coin(1940, "")]
    leaves = arrange(slots, shape, columns, was_struck)
    assert [leaf.title for leaf in leaves] == ["Any mint", "(no letter)", "Denver"]


def test_a_leaf_of_runs_side_by_side_unfolds_into_one_of_runs_under_each_other() -> None:
    slots = coins(1944, 1945, 1946, mints="PS")
    folded = arrange(slots, parse_arrangement("years-by-mints:2; blocks=2"), COLUMNS, was_struck)
    plain = arrange(slots, parse_arrangement("years-by-mints:3"), COLUMNS, was_struck)
    assert [unfolded(leaf) for leaf in folded] == list(plain)
    assert [unfolded(leaf) for leaf in plain] == list(plain)
    folded = arrange(slots, parse_arrangement("by-type:2x2; blocks=2"), COLUMNS, was_struck)
    assert [[c.slot for c in row.cells] for row in unfolded(folded[0]).rows] == [
        [0, 1], [2, 3], [4, 5]
    ]  # fmt: skip
