"""Forty changes, and the leaf as of each day. The story: 07-a-year-and-a-half.md.

What the leaf should show is found here from the story's own notes, by walking the changes day by
day over a dict; nothing of the program is asked for it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scenarios.hands import Hands, Told

ALBUM = "Club quarters"
FIRST, LAST = date(2025, 5, 20), date(2026, 11, 20)

# Day, what was done, slot, grade. Every coin has a grade of its own, so that it is known by it.
CHANGES = """
2025-05-20 in     1958   G-4
2025-05-20 in     1959   F-12
2025-05-28 in     1960-D VF-20
2025-06-03 in     1961   VG-8
2025-06-03 in     1962-D XF-40
2025-06-17 in     1958   VF-25
2025-07-01 out    1959   F-12
2025-07-09 in     1959-D AU-50
2025-07-09 out    1959-D AU-50
2025-07-22 back   1959   F-12
2025-08-05 in     1963   MS-60
2025-08-05 in     1963-D AU-55
2025-08-19 order  1960   XF-45
2025-09-02 filled 1960   XF-45
2025-09-16 out    1962-D XF-40
2025-09-30 in     1962-D VF-30
2025-10-07 in     1958-D VG-10
2025-10-21 in     1961-D F-15
2025-10-21 in     1961   VF-35
2025-11-04 out    1963   MS-60
2025-11-18 in     1963   MS-63
2025-12-02 in     1959-D AU-53
2025-12-16 out    1960-D VF-20
2025-12-31 back   1960-D VF-20
2026-01-01 in     1962   AG-3
2026-01-13 in     1962   G-6
2026-01-27 out    1958   VF-25
2026-01-27 back   1958   VF-25
2026-02-10 in     1960-D AU-58
2026-02-28 out    1961   VF-35
2026-03-10 in     1961   MS-61
2026-03-24 order  1958-D MS-62
2026-04-07 spare  1958-D MS-62
2026-04-14 back   1958-D MS-62
2026-05-05 out    1963-D AU-55
2026-06-02 in     1963-D MS-64
2026-07-14 out    1962   G-6
2026-09-01 in     1962   MS-65
2026-10-06 out    1959-D AU-53
2026-11-17 in     1959-D MS-66
"""


@dataclass(frozen=True)
class Change:
    """One line of the notes. Filled and spare: an ordered coin arrived, into its slot or not."""

    day: date
    act: str
    slot: str
    grade: str


@dataclass(frozen=True)
class Stay:
    """From when until when a coin was in its slot, as the notes have it."""

    slot: str
    grade: str
    came: date
    left: date | None = None


def changes() -> list[Change]:
    """The notes, line by line."""
    lines = [line.split() for line in CHANGES.strip().splitlines()]
    return [Change(date.fromisoformat(day), *rest) for day, *rest in lines]


def every_day(first: date = FIRST, last: date = LAST) -> Iterator[date]:
    """Each day from the first to the last."""
    for number in range((last - first).days + 1):
        yield first + timedelta(number)


def replayed(notes: list[Change]) -> dict[date, dict[str, str]]:
    """What stood in the folder each evening: the changes done one after the other over a dict."""
    folder: dict[str, str] = {}
    found, rest = {}, list(notes)
    for day in every_day():
        while rest and rest[0].day == day:
            change = rest.pop(0)
            if change.act in ("in", "back", "filled"):
                folder[change.slot] = change.grade
            elif change.act == "out":
                assert folder.pop(change.slot) == change.grade
        found[day] = dict(folder)
    assert not rest
    return found


def stays_of(notes: list[Change]) -> list[Stay]:
    """The same as stays, which is what a correction changes."""
    stays: list[Stay] = []
    for change in notes:
        if change.act in ("order", "spare"):
            continue
        for at, stay in enumerate(stays):
            if stay.slot == change.slot and stay.left is None:
                stays[at] = replace(stay, left=change.day)
        if change.act != "out":
            stays.append(Stay(change.slot, change.grade, change.day))
    return stays


def walked(stays: list[Stay], first: date = FIRST) -> dict[date, dict[str, str]]:
    """What stood each evening by the stays, walked on from one evening to the next."""
    folder: dict[str, str] = {}
    found = {}
    for day in every_day(min([first, *(stay.came for stay in stays)])):
        for stay in stays:
            if stay.left == day and folder.get(stay.slot) == stay.grade:
                del folder[stay.slot]
        for stay in stays:
            if stay.came == day and stay.left != day:
                assert stay.slot not in folder
                folder[stay.slot] = stay.grade
        found[day] = dict(folder)
    return found


def agrees(hands: Hands, wanted: dict[date, dict[str, str]]) -> None:
    """The leaf as of each day is what the notes say."""
    days = list(wanted)
    for day, leaf in zip(days, hands.leaves(days), strict=True):
        assert leaf == wanted[day], (day, leaf, wanted[day])


def correct(hands: Hands, stays: list[Stay], old: Stay, came: date, left: date | None) -> str:
    """Correct a stay on its slot's card, and in the notes where it was not refused."""
    line = f"{old.came.isoformat()} {old.grade} put in"
    said = hands.correct(old.slot, hands.history(old.slot).index(line), came, left)
    if not said:
        stays[stays.index(old)] = replace(old, came=came, left=left)
    return said


def carry_out(hands: Hands, change: Change) -> None:
    """Do what a line of the notes says, on its day."""
    hands.on_day(change.day)
    match change.act:
        case "in":
            hands.put_in(change.slot, f"{change.slot} {change.grade}")
        case "out":
            hands.take_out(change.slot)
        case "back":
            assert hands.spares(change.slot)[0].startswith(f"{change.grade},")
            hands.put_best_spare(change.slot)
        case "order":
            hands.order(change.slot, change.grade, "the autumn fair")
        case "filled" | "spare":
            hands.arrived(change.slot)


def of_grade(stays: list[Stay], grade: str) -> Stay:
    """The first stay of a coin, named by its grade."""
    return next(stay for stay in stays if stay.grade == grade)


DECEMBER = date(2025, 12, 15)
SINCE_DECEMBER = {
    "1958": "in and out",
    "1958-D": "better",
    "1959-D": "better",
    "1960-D": "better",
    "1961": "better",
    "1962": "new",
    "1963-D": "better",
}


def walk(hands: Hands, told: Told) -> None:
    notes = changes()
    assert len(notes) == 40

    told(1)
    hands.on_day(FIRST)
    hands.new_album(ALBUM, "us-quarter-washington", 1958, 1963, "")
    assert hands.headline().startswith("have 0 of 12")
    assert hands.change_days() == []

    told(2)
    for change in notes:
        carry_out(hands, change)
    hands.on_day(LAST)

    told(3)
    is_change = {"in", "out", "back", "filled"}
    days = sorted({change.day for change in notes if change.act in is_change})
    assert hands.change_days() == days
    assert date(2025, 8, 19) not in days
    assert date(2026, 4, 7) not in days

    told(4)
    written = replayed(notes)
    assert len(written) == 550
    agrees(hands, written)
    stays = stays_of(notes)
    assert walked(stays) == written

    told(5)
    assert hands.changed_since(DECEMBER) == SINCE_DECEMBER

    told(6)
    first, lent = of_grade(stays, "G-4"), of_grade(stays, "VF-20")
    assert correct(hands, stays, first, date(2025, 4, 1), first.left) == ""
    agrees(hands, walked(stays))
    assert correct(hands, stays, lent, lent.came, date(2025, 12, 1)) == ""
    agrees(hands, walked(stays))
    assert hands.changed_since(DECEMBER) == {**SINCE_DECEMBER, "1960-D": "new"}

    told(7)
    _refused(hands, stays)

    told(8)
    for last_day in (date(2026, 8, 15), None):
        left = of_grade(stays, "VF-30")
        assert correct(hands, stays, left, left.came, last_day) == ""
        assert hands.state("1962-D").startswith("gap" if last_day else "filled")
        out = {"1962-D": "out"} if last_day else {}
        assert hands.changed_since(DECEMBER) == {**SINCE_DECEMBER, "1960-D": "new", **out}
        agrees(hands, walked(stays))

    told(9)
    for _ in range(4):
        undone = hands.undo() or ""
        assert undone.startswith("correct from when until when a coin sat in a slot · ")
    agrees(hands, written)
    assert hands.change_days() == days


def _refused(hands: Hands, stays: list[Stay]) -> None:
    """Corrections that cannot be are told why, and change nothing."""
    later = of_grade(stays, "AU-58")
    before = hands.history(later.slot)
    said = correct(hands, stays, later, date(2026, 1, 15), None)
    assert "Slot 1960-D held coin" in said
    assert "from 2025-12-31 until 2026-02-10" in said
    assert "still to come" in correct(hands, stays, later, later.came, date(2027, 1, 1))
    assert "before it came in" in correct(hands, stays, later, later.came, date(2026, 2, 1))
    assert hands.history(later.slot) == before
