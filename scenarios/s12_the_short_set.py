"""Dates only, the key date last, a variety outside the count. The story: 12-the-short-set.md."""

from core.model.album import Wish
from scenarios.designing import (
    MOST_SECONDS,
    add,
    agree,
    at,
    begin,
    end,
    form,
    labels_written,
    seconds,
    told_pace,
)
from scenarios.hands import Hands, Told

ALBUM = "The nephew's nickels"
YEARS = [str(year) for year in range(1943, 1952)]
DATES = ", ".join(YEARS)
KEY = "1950-D"
COINS = {"1946-D": "VF-20", "1949": "XF-40", "1950-D": "MS-60"}


def walk(hands: Hands, told: Told) -> None:
    told(1)
    hands.new_album(ALBUM, "us-nickel-jefferson", 1943, 1951, "")
    for label, grade in COINS.items():
        hands.put_in(label, f"{label} {grade}")
    before = hands.labels()
    assert hands.headline().startswith(f"have 3 of {len(before)}")

    told(2)
    chosen = [begin(), form("dates only")]
    hands.design(chosen)
    for label, grade in COINS.items():
        assert f"{label} ({grade})" in hands.asked()
    assert hands.labels() == before

    told(3)
    agreed = [agree(), labels_written("{date} {mark} {variety}")]
    hands.design(agreed)
    assert hands.drawn() == [[DATES]]
    assert hands.headline().startswith("have 0 of 9")
    assert hands.asked() == ""

    told(4)
    key = [at(f"{YEARS[-1]} any mint"), add("1950d", Wish.WANTED)]
    hands.design(key)
    assert hands.drawn() == [[DATES, "1950 D"]]
    assert hands.headline().startswith("have 0 of 10")

    told(5)
    variety = [at(KEY), add("1943 doubled eye"), end()]
    hands.design(variety)
    assert hands.drawn() == [[DATES, "1950 D, [1943 P doubled eye]"]]
    assert hands.headline().startswith("have 0 of 10")

    told(6)
    for label, coin in ((f"{coin[:4]} any mint", coin) for coin in COINS if coin != KEY):
        hands.put_best_spare(label)
        assert hands.card(label)["In the slot"].endswith(COINS[coin])
    hands.put_best_spare(KEY)
    assert hands.state(KEY) == "filled"
    assert hands.headline().startswith("have 3 of 10")

    told(7)
    acts = [*chosen, *agreed, *key, *variety]
    print(told_pace(acts))
    assert seconds(acts) < MOST_SECONDS
