"""Two windows on one file, and a copy. The story: 06-a-club-member-at-the-door.md."""

import tempfile
from pathlib import Path

from scenarios.hands import Hands, HeadlessHands, Told


def walk(hands: Hands, told: Told) -> None:
    hands.open_album("Nickels 1938–1964")

    told(1)
    berit = hands.somebody_else()
    assert hands.may_change()
    assert not berit.may_change()

    told(2)
    assert berit.shelf() == hands.shelf()

    told(3)
    hands.put_best_spare("1943-D")
    berit.open_album("Nickels 1938–1964")
    assert berit.state("1943-D") == "filled"

    told(4)
    with tempfile.TemporaryDirectory() as folder:
        to = Path(folder) / "club.slotleaf"
        berit.save_copy(to)
        club = HeadlessHands(to)
        try:
            assert club.may_change()
            club.take_out("1943-D")
            assert club.state("1943-D").startswith("gap")
        finally:
            club.close()
    assert hands.state("1943-D") == "filled"

    told(5)
    hands.close()
    berit.close()
    again = hands.somebody_else()
    assert again.may_change()
    again.close()
