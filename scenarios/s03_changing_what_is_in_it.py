"""Put, take, swap, order, arrive, verify, undo. The story: 03-changing-what-is-in-it.md."""

from scenarios.hands import Hands, Told


def walk(hands: Hands, told: Told) -> None:
    hands.open_album("Nickels 1938–1964")

    told(1)
    hands.put_best_spare("1943-D")
    assert hands.state("1943-D") == "filled"
    assert hands.headline() == "have 56 of 69 · at target 39"
    assert hands.spares("1943-D")[-1] == "VG-8, no better"
    put, taken, *older = hands.history("1943-D")
    assert put.endswith(" VF-20 put in")
    assert taken.endswith(" VG-8 taken out")
    assert len(older) == 3

    told(2)
    assert hands.state("1940") == "gap, spare waiting"
    hands.put_best_spare("1940")
    assert hands.state("1940") == "below target"
    hands.take_out("1940")
    assert hands.state("1940") == "gap, spare waiting"

    told(3)
    hands.put_in("1942-D", "1942-D vf30")
    assert hands.state("1942-D") == "filled"
    assert hands.card("1942-D")["In the slot"] == "VF-30"

    told(4)
    hands.order("1939-D", "vf20", "autumn market table")
    assert hands.state("1939-D") == "on order"
    assert "VF-20" in hands.card("1939-D")["On order"]
    hands.arrived("1939-D")
    assert hands.state("1939-D") == "filled"
    assert hands.card("1939-D")["Came from"] == "bought, autumn market table"

    told(5)
    assert hands.state("1951-D") == "to verify"
    hands.toggle_verify("1951-D")
    assert hands.state("1951-D") == "below target"

    told(6)
    hands.set_target("1951-D", "F-12")
    assert hands.state("1951-D") == "filled"
    hands.write_note("1951-D", "Good enough for the case by the window.")
    hands.skip("1959-D")
    assert hands.state("1959-D") == "skipped"
    assert hands.headline() == "have 58 of 68 · at target 42"

    told(7)
    undone = [hands.undo() for _ in range(3)]
    assert undone == [
        "make a slot skipped · 1959-D",
        "write a note · 1951-D",
        "set the target to F-12 · 1951-D",
    ]
    assert hands.state("1951-D") == "below target"
    assert hands.state("1959-D") == "gap"
    assert [hands.redo() for _ in range(3)] == undone[::-1]
    assert hands.headline() == "have 58 of 68 · at target 42"
