"""A folder rebuilt hole for hole. The story: 08-the-folder-from-the-attic.md.

What stands where is worked out here from the dates, the marks and the holes of the folder as the
story has them.
"""

from collections.abc import Iterable, Iterator, Sequence

from scenarios.designing import (
    MOST_SECONDS,
    begin,
    end,
    form,
    keep,
    map_end,
    map_written,
    number,
    seconds,
    told_pace,
    use,
)
from scenarios.hands import Hands, Told

DIMES, NICKELS = "Attic dimes", "Nickels of the fifties"
DIME_MARKS = {
    **dict.fromkeys(range(1916, 1932), "PDS"),
    1921: "PD", 1922: "", 1923: "PS", 1930: "PS",
}  # fmt: skip
"""The mints that struck dimes in a year, as every list of them has it (common practice)."""
NICKEL_MARKS = {
    **dict.fromkeys(range(1946, 1955), "PDS"), 1950: "PD",
    **dict.fromkeys(range(1955, 1960), "PD"),
}  # fmt: skip
HERS = {"1916": "VG-8", "1921-D": "G-4", "1926-S": "F-12", "1931-D": "VF-20"}
HIS = "1950-D"

# The holes, invented: a letter a place, leaves between the empty lines; o a hole, - a blank place.
FOLDER = """
ooooooo
ooooooo
oooooo-

oo---oo
oo---oo
oooooo

oooo
oooo
"""


def openings(marks: dict[int, str]) -> list[str]:
    """The labels in the order of the dates, the mint after each."""
    return [
        f"{year}-{mark}".removesuffix("-P") for year, struck in marks.items() for mark in struck
    ]


def run_on(labels: Sequence[str], per_row: int, rows: int) -> list[list[str]]:
    """So many to a row, so many rows to a leaf."""
    lines = [", ".join(labels[n : n + per_row]) for n in range(0, len(labels), per_row)]
    return [lines[n : n + rows] for n in range(0, len(lines), rows)]


def in_holes(labels: Sequence[str], folder: str) -> list[list[str]]:
    """One after the other into the holes; blank places at the end of a row are not told."""
    left = iter(labels)
    return [[_row(left, line) for line in leaf.split()] for leaf in folder.strip().split("\n\n")]


def _row(left: Iterator[str], line: str) -> str:
    places = [next(left, "_") if place == "o" else "_" for place in line]
    return ", ".join(places).rstrip("_, ")


def states(hands: Hands, labels: Iterable[str]) -> dict[str, str]:
    """What each slot holds."""
    return {label: hands.card(label)["In the slot"] for label in labels}


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(NICKELS, "us-nickel-jefferson", 1946, 1959, "")
    hands.put_in(HIS, f"{HIS} vf30")
    hands.new_album(DIMES, "us-dime-mercury", 1916, 1931, "")
    for label, grade in HERS.items():
        hands.put_in(label, f"{label} {grade}")
    dimes = openings(DIME_MARKS)
    assert sorted(hands.labels()) == sorted(dimes)
    assert hands.drawn()[0][:2] == ["(P (no letter), D, S)", "1916: 1916, 1916-D, 1916-S"]

    told(2)
    running = [begin(), form("running"), number("slots to a row", 7), number("rows to a leaf", 3)]
    hands.design(running)
    assert hands.drawn() == run_on(dimes, 7, 3)

    told(3)
    counted = [form("row map"), map_written("7 7 6_ / 2___2 2___2 6 / 4 2")]
    hands.design(counted)
    assert hands.misfit() == (
        "2 slots are over: the map ends at leaf 3, row 2, place 2; the first beyond it is 1931-D."
    )
    *as_counted, beyond = hands.drawn()
    short = FOLDER.strip().removesuffix("oo")
    assert as_counted == in_holes(dimes, short)
    assert beyond == ["1931-D, 1931-S"]

    told(4)
    corrected = [map_end("2", "4")]
    hands.design(corrected)
    assert hands.misfit() == ""
    assert hands.drawn() == in_holes(dimes, FOLDER)

    told(5)
    assert states(hands, HERS) == HERS

    told(6)
    kept, used = [keep("Attic"), end()], [begin(), use("Attic")]
    hands.design(kept)
    hands.open_album(NICKELS)
    hands.design(used)
    nickels = openings(NICKEL_MARKS)
    holes = FOLDER.count("o")
    assert hands.drawn() == in_holes(nickels, FOLDER)
    assert hands.misfit().startswith(f"{holes - len(nickels)} holes are left over; the first is")
    assert states(hands, [HIS]) == {HIS: "VF-30"}
    hands.design([end()])

    told(7)
    acts = [*running, *counted, *corrected, *kept, *used]
    print(told_pace(acts))
    assert seconds(acts) < MOST_SECONDS
