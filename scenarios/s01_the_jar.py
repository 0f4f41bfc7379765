"""Looking at the shelf and the first leaf of the demo. The story: 01-the-jar.md."""

from scenarios.hands import Hands, Told


def walk(hands: Hands, told: Told) -> None:
    told(1)
    shelf = hands.shelf()
    assert [name for name, _ in shelf] == [
        "Nickels 1938–1964",
        "Dimes 1946–1964",
        "Cents 1909–1958",
        "Harbour tokens",
    ]
    counts = {name: count.removeprefix("have ").split(" of ") for name, count in shelf}
    complete = [name for name, (have, wanted) in counts.items() if have == wanted]
    assert complete == ["Harbour tokens"]

    told(2)
    hands.open_album("Nickels 1938–1964")
    assert hands.headline() == "have 56 of 69 · at target 38"

    told(3)
    assert hands.state("1938") == "filled, pinned"
    assert hands.state("1939-D") == "gap"
    assert hands.state("1939-S") == "to verify"
    assert hands.state("1938-S") == "skipped"
    assert "1950-S" not in hands.labels()

    told(4)
    assert hands.state("1943-D") == "below target, spare waiting"

    told(5)
    card = hands.card("1943-D")
    assert card["In the slot"] == "VG-8"
    assert card["Came from"] == "found, box 12 roll 31"
    assert card["Mintage"] == "15,294,000"
    assert card["Weight"] == "5.00 g ± 0.19"
    assert card["Silver"] == "0.0563 troy oz"
    assert hands.spares("1943-D") == ["VF-20, meets target", "F-15, +7 points"]

    told(6)
    assert hands.history("1943-D") == [
        "2026-03-02 VG-8 put in",
        "2025-11-18 bent coin taken out",
        "2025-06-30 bent coin put in",
    ]
