"""The want list's pages: long names stand whole, many lines each once, within the margins."""

from collections import Counter

import pytest

from core.printing.pdf import measure, wrap
from core.printing.placed import MM
from core.printing.want_list import (
    NO_PRICE,
    WantPaper,
    WantPart,
    WantRow,
    WantSheet,
    want_pages,
)

GAP = 0
NAME = "Every date and mint that the lighthouse keeper's grandmother wrote down"
COIN = "1955 doubled die obverse, the strongest of those known, cent"


def a_sheet(rows: int, label: str, pay: str, name: str = "Jar") -> WantSheet:
    made = tuple(
        WantRow(GAP, f"{label} no. {at}" if rows > 1 else label, "VF-20 or better", "sound only",
                "gap", pay if at % 3 else "")
        for at in range(rows)
    )  # fmt: skip
    part = WantPart("Key dates", name, made)
    return WantSheet(name, "25 November 2026", (), "most to pay, USD", (part,), "Estimates", "Jar")


@pytest.mark.parametrize("paper", WantPaper)
def test_long_names_stand_whole_and_within_the_margins(paper: WantPaper) -> None:
    sheet = a_sheet(2, COIN, "1234567890.00", NAME)
    width = paper.size_mm[0] * MM
    for page in want_pages(sheet, paper, measure, wrap):
        for text in page.texts:
            assert text.x >= 5 * MM - 0.1
            assert text.x + text.width <= width - 5 * MM + 0.1, text.text
        bold = [text.text for text in page.texts if text.style.size > 9]
        words = " ".join(bold)
        assert NAME in words
        assert f"{COIN} no. " in words
        rule = min(rule.y for rule in page.rules)
        heads = [text for text in page.texts if text.y < rule]
        assert {text.text for text in heads} >= {"Want list", "25 November 2026"}
        for one in heads:
            for other in heads:
                is_below = abs(one.y - other.y) >= 0.7 * min(one.style.size, other.style.size)
                is_beside = one.x + one.width <= other.x or other.x + other.width <= one.x
                assert one is other or is_below or is_beside, (one.text, other.text)


@pytest.mark.parametrize("paper", WantPaper)
def test_three_hundred_lines_stand_once_each_with_room_to_write(paper: WantPaper) -> None:
    sheet = a_sheet(300, "1909-S", "12.50")
    pages = want_pages(sheet, paper, measure, wrap)
    seen = Counter(text.text for page in pages for text in page.texts)
    assert all(seen[f"1909-S no. {at}"] == 1 for at in range(300))
    assert seen["dealer"] == seen["price"] == sum(len(page.boxes) for page in pages) == 300
    assert (seen["12.50"], seen[NO_PRICE]) == (200, 100)
    assert seen[f"page {len(pages)} of {len(pages)}"] == 1
