"""One row a design, and a leaf a design. The story: 11-a-row-a-design.md."""

from scenarios.designing import (
    MOST_SECONDS,
    at,
    begin,
    end,
    form,
    leaf_break,
    mint_to_the_left,
    number,
    seconds,
    told_pace,
)
from scenarios.hands import Hands, Told

QUARTERS, CENTS = "Quarters of the parks", "Cents of the new designs"
PARKS = {
    2019: ("Lowell", "American Memorial", "War in the Pacific", "San Antonio Missions",
           "River of No Return"),
    2020: ("American Samoa", "Weir Farm", "Salt River Bay", "Marsh-Billings-Rockefeller",
           "Tallgrass Prairie"),
}  # fmt: skip
"""In the order in which they came out (common practice: as lists of the series have them)."""
REVERSES = (
    ("", range(2004, 2009)),
    (" birthplace", range(2009, 2010)),
    (" formative years", range(2009, 2010)),
    (" professional life", range(2009, 2010)),
    (" presidency", range(2009, 2010)),
    ("", range(2010, 2012)),
)
"""What a cent's label says of its reverse, and the years of each in turn (common practice)."""
PER_ROW = 9
HER_QUARTERS = {"2019-W Lowell": "MS-60", "2020-D Weir Farm": "MS-63", "2020-P Weir Farm": "AU-55"}
HER_CENTS = {"2009-D presidency": "MS-64", "2004": "AU-50"}


def rows_of_parks(mints: str) -> list[list[str]]:
    """A leaf a year, a row a design, the mints' columns in this order."""
    return [
        [
            f"({', '.join(mints)})",
            *(f"{park}: " + ", ".join(f"{year}-{mint} {park}" for mint in mints) for park in parks),
        ]
        for year, parks in PARKS.items()
    ]


def leaves_of_cents() -> list[list[str]]:
    """A leaf a design, running inside; Philadelphia's bear no letter."""
    leaves = []
    for reverse, years in REVERSES:
        labels = [f"{year}{mark}{reverse}" for year in years for mark in ("", "-D")]
        lines = [", ".join(labels[n : n + PER_ROW]) for n in range(0, len(labels), PER_ROW)]
        leaves.append(lines)
    return leaves


def held(hands: Hands, coins: dict[str, str]) -> dict[str, str]:
    """What the slots of these coins hold."""
    return {label: hands.card(label)["In the slot"] for label in coins}


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(CENTS, "us-cent-lincoln", 2004, 2011, "")
    for label, grade in HER_CENTS.items():
        hands.put_in(label, f"{label} {grade}")
    hands.new_album(QUARTERS, "us-quarter-national-parks", 2019, 2020, "")
    for label, grade in HER_QUARTERS.items():
        hands.put_in(label, f"{label} {grade}")
    assert len(hands.labels()) == 30

    told(2)
    rows = [begin(), form("one row a design"), number("rows to a leaf", 5)]
    hands.design(rows)
    assert hands.drawn() == rows_of_parks("PDW")

    told(3)
    moved = [at("2019-W Lowell"), mint_to_the_left(), mint_to_the_left(), end()]
    hands.design(moved)
    assert hands.drawn() == rows_of_parks("WPD")
    assert held(hands, HER_QUARTERS) == HER_QUARTERS

    told(4)
    hands.open_album(CENTS)
    assert len(hands.drawn()) < len(REVERSES)
    leaves = [begin(), form("running"), leaf_break("every design"), end()]
    hands.design(leaves)
    assert hands.drawn() == leaves_of_cents()

    told(5)
    assert held(hands, HER_CENTS) == HER_CENTS
    hands.open_album(QUARTERS)
    assert held(hands, HER_QUARTERS) == HER_QUARTERS

    told(6)
    acts = [*rows, *moved, *leaves]
    print(told_pace(acts))
    assert seconds(acts) < MOST_SECONDS
