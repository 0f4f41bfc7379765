"""Decade blocks in columns, and a variety among them. The story: 10-the-cents-in-two-columns.md.

The blocks are laid into columns here by the rules that the story tells, from the labels alone.
"""

from collections.abc import Sequence
from itertools import groupby

from scenarios.designing import (
    FREE,
    MOST_SECONDS,
    add,
    at,
    begin,
    drag,
    end,
    form,
    new_leaf,
    number,
    seconds,
    told_pace,
)
from scenarios.hands import Hands, Told

ALBUM = "Cents 1909–1958"
PER_ROW, ROWS, COLUMNS = 10, 8, 2
DIE = "1955 doubled die obverse"
OPTIONAL = (
    "1946 doubled die reverse",
    "1955-D doubled die obverse",
    "1956-D D with a separate shadow D",
    DIE,
)
"""Drawn in brackets, as every slot that does not count."""

Block = tuple[str, list[list[str]]]
"""A decade's name and its rows of labels."""


def blocks_of(labels: Sequence[str]) -> list[Block]:
    """A block a decade, running inside."""
    found = []
    for decade, group in groupby(labels, lambda label: label[:3]):
        here = [f"[{label}]" if label in OPTIONAL else label for label in group]
        rows = [here[n : n + PER_ROW] for n in range(0, len(here), PER_ROW)]
        found.append((f"{decade}0s", rows))
    return found


def in_columns(blocks: Sequence[Block]) -> list[list[Block]]:
    """Whole blocks below each other as long as they fit into a leaf's rows."""
    columns: list[list[Block]] = [[]]
    for block in blocks:
        if sum(len(rows) for _, rows in [*columns[-1], block]) > ROWS:
            columns.append([])
        columns[-1].append(block)
    return columns


def leaf_of(left: Sequence[Block], right: Sequence[Block]) -> list[str]:
    """Two columns side by side.

    The left one's names head the rows; those of the right one stand in a place of their own before
    its slots, which is free in its other rows, after one more free place.
    """
    lefts = [(name if n == 0 else "", row) for name, rows in left for n, row in enumerate(rows)]
    rights = [(name if n == 0 else "", row) for name, rows in right for n, row in enumerate(rows)]
    lines = []
    for n in range(max(len(lefts), len(rights))):
        head, cells = lefts[n] if n < len(lefts) else ("", [])
        if n < len(rights):
            title, beside = rights[n]
            spaced = [*cells, *[FREE] * (PER_ROW - len(cells))]
            cells = [*spaced, FREE, f"[{title}]" if title else FREE, *beside]
        lines.append((f"{head}: " if head else "") + ", ".join(cells))
    return lines


def laid_out(*runs: Sequence[str]) -> list[list[str]]:
    """Each run of labels begins a leaf."""
    leaves = []
    for labels in runs:
        columns = in_columns(blocks_of(labels))
        if len(columns) % COLUMNS:
            columns.append([])
        leaves += [leaf_of(*columns[n : n + COLUMNS]) for n in range(0, len(columns), COLUMNS)]
    return leaves


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.open_album(ALBUM)
    count = hands.headline()
    assert count.startswith("have 97 of 140")
    labels = hands.labels()
    assert len(labels) == 143
    states = {label: hands.state(label) for label in labels}

    told(2)
    blocks = [begin(), form("by decade"), number("blocks abreast", COLUMNS)]
    hands.design(blocks)
    assert hands.drawn() == laid_out(labels)
    assert [row.partition(":")[0] for row in hands.drawn()[0] if ":" in row] == [
        "1900s", "1910s", "1920s",
    ]  # fmt: skip

    told(3)
    torn = [at("1940"), new_leaf()]
    hands.design(torn)
    start = labels.index("1940")
    assert hands.drawn() == laid_out(labels[:start], labels[start:])

    told(4)
    added = [at("1955-S"), add("1955 doubled die")]
    hands.design(added)
    assert hands.headline() == count
    place = labels.index("1955-S") + 1
    with_die = [*labels[:place], DIE, *labels[place:]]
    assert hands.drawn() == laid_out(with_die[:start], with_die[start:])

    told(5)
    dragged = [drag(DIE, "1955"), end()]
    hands.design(dragged)
    place = labels.index("1955") + 1
    with_die = [*labels[:place], DIE, *labels[place:]]
    assert hands.drawn() == laid_out(with_die[:start], with_die[start:])

    told(6)
    assert {label: hands.state(label) for label in labels} == states
    assert hands.state(DIE).startswith("gap")
    assert hands.headline() == count

    told(7)
    acts = [*blocks, *torn, *added, *dragged]
    print(told_pace(acts))
    assert seconds(acts) < MOST_SECONDS
