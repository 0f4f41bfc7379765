"""Entering finds, and filling the album from them. The story: 04-after-a-sitting.md."""

from scenarios.hands import Hands, Told

FINDS = (
    "1942-D f15",
    "1946-S vf20",
    "1947-D vg8 bent",
    "1948-S",
    "1952 vf30",
    "1945 ?",
    "1938 g4",
)


def walk(hands: Hands, told: Told) -> None:
    hands.open_album("Nickels 1938–1964")
    before = hands.headline()

    told(1)
    hands.add_coins(FINDS, "us-nickel-jefferson")
    assert hands.headline() == before
    assert hands.state("1942-D") == "gap, spare waiting"

    told(2)
    moves, _by_eye = hands.fill_proposal()
    assert moves == [
        "1940", "1942-D", "1943-D", "1946-S", "1947-D", "1948-S", "1952", "1953-D",
    ]  # fmt: skip
    assert hands.headline() == before
    assert hands.state("1945-S") == "gap"

    told(3)
    hands.fill(without=["1940"])

    told(4)
    assert hands.headline() == "have 60 of 69 · at target 42"
    assert hands.state("1940") == "gap, spare waiting"
    assert hands.state("1942-D") == "below target"
    assert hands.state("1947-D") == "hole filler"
    assert hands.state("1952") == "filled"
    assert hands.state("1953-D") == "filled"

    told(5)
    assert hands.undo() == "fill 7 slots"
    assert hands.headline() == before
