"""A plan, its want list and what is bought of it. The story: 14-the-halves-of-the-pier.md.

What the best plan is, is worked out here from the sheet alone: for every sum that can be spent, the
most gaps and targets that it reaches.
"""

import re
import tempfile
from collections.abc import Collection, Mapping
from decimal import Decimal
from pathlib import Path

from pypdf import PdfReader

from scenarios.hands import Hands, Told

ALBUM, SERIES = "Halves of the pier", "us-half-franklin"
BUDGET = 25_000
F12, VF20, XF40 = 12, 20, 40
CODES = {F12: "F-12", VF20: "VF-20", XF40: "XF-40"}
TARGETS = {"1949-S": F12, "1950-D": XF40}  # all others VF-20
SHEET: Mapping[str, Mapping[int, int]] = {
    "1948": {F12: 600, VF20: 950},
    "1948-D": {VF20: 1100},
    "1949": {F12: 1450, VF20: 2100},
    "1949-D": {VF20: 5800},
    "1949-S": {F12: 4600, VF20: 7000},
    "1950": {VF20: 1025},
    "1950-D": {VF20: 875, XF40: 1650},
    "1951": {F12: 550},
    "1951-D": {F12: 1200, VF20: 1925},
    "1951-S": {VF20: 8200},
    "1952": {VF20: 775},
    "1952-D": {VF20: 725},
}
NOT_PRICED = "1952-S"
PINNED = "1951-S"
BOUGHT = (PINNED, "1952-D")
WORD = "BLACKHORSE"
A6_MM = (105, 148)

Found = tuple[int, int, int]
"""Gaps closed, targets met, and what is spent, in minor units."""


def sheet_text() -> str:
    """The prices as a sheet: a row a price."""
    rows = ["series,date,mint,grade,price,currency,source"]
    for label, prices in SHEET.items():
        day, _, mint = label.partition("-")
        rows += [
            f"{SERIES},{day},{mint},{CODES[grade]},{Decimal(minor) / 100},HBT,the harbour fair"
            for grade, minor in prices.items()
        ]
    return "\n".join(rows) + "\n"


def target(label: str) -> int:
    return TARGETS.get(label, VF20)


def best(budget: int, pinned: Collection[str] = (), without: Collection[str] = ()) -> Found:
    """The best that a budget can do, by trying every coin in every grade for every sum."""
    reached: dict[int, tuple[int, int]] = {0: (0, 0)}
    for label, prices in SHEET.items():
        if label in without:
            continue
        now = {} if label in pinned else dict(reached)
        for spent, (gaps, targets) in reached.items():
            for grade, minor in prices.items():
                whole = spent + minor
                found = gaps + 1, targets + (grade >= target(label))
                if whole <= budget and found > now.get(whole, (-1, -1)):
                    now[whole] = found
        reached = now
    gaps, targets, left = max((g, t, -spent) for spent, (g, t) in reached.items())
    return gaps, targets, -left


def found_in(plan: Mapping[str, tuple[str, int]]) -> Found:
    """What a plan reaches, by the sheet; every coin of it stands there at that price."""
    grades = {code: grade for grade, code in CODES.items()}
    for label, (code, cost) in plan.items():
        assert SHEET[label][grades[code]] == cost
    met = sum(grades[code] >= target(label) for label, (code, _) in plan.items())
    return len(plan), met, sum(cost for _, cost in plan.values())


def read(letters: str) -> int:
    """The amount that letters of the word stand for, in minor units; its last letter is 0."""
    return int("".join(str((WORD.index(one) + 1) % 10) for one in letters if one != "."))


def listed(pdf: Path) -> tuple[list[tuple[str, str]], str]:
    """The coins of a want list and the letters beside them, in its order; and all of its text."""
    pages = PdfReader(pdf).pages
    for page in pages:
        sides = (round(float(side) * 25.4 / 72) for side in page.mediabox[2:])
        assert tuple(sides) == A6_MM
    text = "\n".join(page.extract_text() for page in pages)
    return re.findall(r"^(19\d\d(?:-[DS])?) ([A-Z.]+)$", text, re.MULTILINE), text


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(ALBUM, SERIES, 1948, 1952, "VF-20")
    for label, grade in TARGETS.items():
        hands.set_target(label, CODES[grade])
    assert set(hands.labels()) == {*SHEET, NOT_PRICED}

    with tempfile.TemporaryDirectory() as name:
        told(2)
        sheet = Path(name) / "fair.csv"
        sheet.write_text(sheet_text(), "utf-8")
        before = hands.prices()
        hands.take_prices(sheet)
        assert hands.prices() == before + sum(map(len, SHEET.values())) == before + 17

        told(3)
        first = hands.plan("250")
        assert found_in(first) == best(BUDGET)
        assert PINNED not in first

        told(4)
        pinned = hands.plan("250", [PINNED])
        assert pinned[PINNED] == (CODES[VF20], SHEET[PINNED][VF20])
        gaps, targets, spent = found_in(pinned)
        assert (gaps, targets, spent) == best(BUDGET, [PINNED])
        assert spent <= BUDGET
        assert (gaps, targets) <= found_in(first)[:2]

        told(5)
        pdf = Path(name) / "wants.pdf"
        hands.want_list("250", [PINNED], f"coded:{WORD.lower()}", "a6", pdf)
        rows, text = listed(pdf)
        in_order = [PINNED, *(label for label in SHEET if label in pinned and label != PINNED)]
        assert [label for label, _ in rows] == in_order
        assert [read(letters) for _, letters in rows] == [pinned[label][1] for label in in_order]
        assert text.index("Chosen by hand") < text.index("Gaps")
        assert "estimates, not appraisals" in text
        assert not re.search(rf"\d\.\d\d|{WORD}|harbour fair", text, re.IGNORECASE)

        told(6)
        for label in BOUGHT:
            hands.buy(label)
            assert hands.state(label).split(",")[0] == "on order"
        left = BUDGET - sum(pinned[label][1] for label in BOUGHT)
        rest = hands.plan(str(Decimal(left) / 100))
        assert found_in(rest) == best(left, without=BOUGHT)
        assert found_in(rest)[:2] == (gaps - 2, targets - 2)
        hands.want_list(str(Decimal(left) / 100), [], f"coded:{WORD.lower()}", "a6", pdf)
        assert [label for label, _ in listed(pdf)[0]] == [label for label in SHEET if label in rest]

    told(7)
    assert hands.headline() == "have 0 of 13 · at target 0"
    hands.arrived(PINNED)
    assert hands.state(PINNED).split(",")[0] == "filled"
    assert hands.headline() == "have 1 of 13 · at target 1"
