"""Stocking an album of 155 slots, keys counted. The story: 02-an-album-one-owns.md."""

from collections.abc import Iterator, Sequence

from scenarios.hands import Hands, Told

KEYS_A_MINUTE = 200
"""Forty words a minute at five keys a word: a moderate pace (common practice of typing courses)."""
MOST_MINUTES = 4.0
GAPS = ("1938-S", "1939-D", "1949-S", "1955-S", "1974-S")
UNSURE = ("1946-D", "1960", "1970-S")
GRADES = (
    (1934, "g6"), (1936, "vg8"), (1940, "f12"), (1944, "vf20"), (1951, "f12"), (1955, "xf40"),
    (1959, "au50"), (1965, "ms60"), (1974, "au55"), (1982, "ms63"), (1990, "ms60"),
)  # fmt: skip
"""The grade of most coins from a year on."""
ODD_ONES = {"1943": "g4", "1945-S": "xf40", "1950": "vg8", "1968-D": "xf40", "1977": "vf30"}
"""Coins in another grade than their neighbours."""


def grade_of(label: str) -> str:
    """What he types for a coin."""
    year = int(label[:4])
    return ODD_ONES.get(label) or [grade for first, grade in GRADES if first <= year][-1]


def typed(labels: Sequence[str]) -> Iterator[str]:
    """Every key, slot by slot: a grade where it changes, a date after a gap, `?`, and Space."""
    holds, is_past_gap = "", False
    for label in labels:
        if label in GAPS:
            is_past_gap = True
            continue
        if grade_of(label) != holds:
            holds = grade_of(label)
            yield from holds
            if is_past_gap:
                yield "\r"  # the grade is taken without stocking the empty hole
        if label in UNSURE:
            yield "?"
        if is_past_gap:
            yield from label.replace("-", "").lower()
            is_past_gap = False
        yield " "


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album("Tomas's cents", "us-cent-lincoln", 1934, 1998, "VF-20")
    labels = hands.labels()
    assert len(labels) == 155
    assert hands.headline() == "have 0 of 155 · at target 0"

    told(2)
    keys = list(typed(labels))
    hands.stock([*keys, "\x1b"])

    told(3)
    assert hands.headline().startswith("have 150 of 155 · at target ")
    states = {label: hands.state(label).split(",")[0] for label in labels}
    assert tuple(label for label, state in states.items() if state == "gap") == GAPS
    assert {label for label, state in states.items() if state == "to verify"} == set(UNSURE)
    assert states["1934"] == "below target"
    assert hands.card("1945-S")["In the slot"] == "XF-40"
    assert hands.card("1944-D")["In the slot"] == "VF-20"
    assert hands.card("1944-D")["Came from"] == "already owned"

    told(4)
    minutes = (len(keys) + 1) / KEYS_A_MINUTE
    left_for_looking_s = 60 * (MOST_MINUTES - minutes) / 150
    print(f"{len(keys) + 1} keys, {minutes:.1f} min; {left_for_looking_s:.1f} s to look at each")
    assert minutes < MOST_MINUTES
    assert left_for_looking_s >= 1

    told(5)
    hands.undo()
    assert hands.headline() == "have 0 of 155 · at target 0"
    hands.redo()
    assert hands.headline().startswith("have 150 of 155")
