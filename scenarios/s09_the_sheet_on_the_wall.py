"""One row a year, one column a mint. The story: 09-the-sheet-on-the-wall.md."""

from scenarios.designing import (
    MOST_SECONDS,
    at,
    begin,
    end,
    form,
    mint_to_the_left,
    number,
    press,
    seconds,
    told_pace,
)
from scenarios.hands import Hands, Told

ALBUM = "Club quarters of the thirties"
STRUCK = {
    1932: "PDS", 1934: "PD", 1935: "PDS", 1936: "PDS",
    1937: "PDS", 1938: "PS", 1939: "PDS", 1940: "PDS",
}  # fmt: skip
"""Which mints struck quarters in a year; in 1933 none did (common practice: every list has it)."""
COINS = {
    "1932": "F-12",
    "1934-D": "VG-8",
    "1936-S": "VF-20",
    "1938": "XF-40",
    "1940-D": "AU-50",
}
YEARS_A_LEAF = 4


def label(year: int, mint: str) -> str:
    """Philadelphia's bear no letter."""
    return f"{year}-{mint}".removesuffix("-P")


def run_on(per_row: int, rows: int) -> list[list[str]]:
    """In the order of the dates, so many to a row."""
    labels = [label(year, mint) for year, mints in STRUCK.items() for mint in mints]
    lines = [", ".join(labels[n : n + per_row]) for n in range(0, len(labels), per_row)]
    return [lines[n : n + rows] for n in range(0, len(lines), rows)]


def sheet(mints: str, *, is_closed: bool = False) -> list[list[str]]:
    """A row a year, the columns in this order; a cross where nothing was struck, or closed up."""
    rows = []
    for year, struck in STRUCK.items():
        places = [label(year, mint) if mint in struck else "×" for mint in mints]
        rows.append(f"{year}: {', '.join(p for p in places if p != '×' or not is_closed)}")
    leaves = [rows[n : n + YEARS_A_LEAF] for n in range(0, len(rows), YEARS_A_LEAF)]
    heads = [] if is_closed else [f"({', '.join(mints)})"]
    return [[*heads, *leaf] for leaf in leaves]


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(ALBUM, "us-quarter-washington", 1932, 1940, "")
    for where, grade in COINS.items():
        hands.put_in(where, f"{where} {grade}")
    hands.design(
        [begin(), form("running"), number("slots to a row", 6), number("rows to a leaf", 3)]
    )
    assert hands.drawn() == run_on(6, 3)

    told(2)
    by_year = [form("years × mints"), number("rows to a leaf", YEARS_A_LEAF)]
    hands.design(by_year)
    assert hands.drawn() == sheet("PDS")
    assert sum(row.count("×") for leaf in hands.drawn() for row in leaf) == 2

    told(3)
    moved = [at("1932-S"), mint_to_the_left(), mint_to_the_left()]
    hands.design(moved)
    assert hands.drawn() == sheet("SPD")

    told(4)
    closed = [press("Places not struck", "closed up"), end()]
    hands.design(closed)
    assert hands.drawn() == sheet("SPD", is_closed=True)
    assert "×" not in str(hands.drawn())

    told(5)
    hands.undo()
    assert hands.drawn() == sheet("SPD")
    assert {where: hands.card(where)["In the slot"] for where in COINS} == COINS
    assert hands.headline().startswith(f"have {len(COINS)} of 22")

    told(6)
    acts = [begin(), *by_year, *moved, *closed]
    print(told_pace(acts))
    assert seconds(acts) < MOST_SECONDS
