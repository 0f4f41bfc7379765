"""`album new --collectors`, `album edit --collectors` and `--no-collectors`."""

from pathlib import Path

import pytest

from tests.cli_material import slotleaf


@pytest.fixture
def halves(tmp_path: Path) -> str:
    file = str(tmp_path / "halves.slotleaf")
    assert slotleaf("new", file).code == 0
    made = slotleaf(
        "album", "new", file, "Halves", "--series", "us-half-kennedy", "--years", "1968-1972"
    )
    assert made.out.startswith("Made Halves: 6 slots on ")
    return file


def slots(file: str) -> str:
    return slotleaf("slots", file, "Halves").out


def test_a_new_album_holds_them_where_it_is_asked_to(halves: str) -> None:
    made = slotleaf(
        "album", "new", halves, "All", "--series", "us-half-kennedy", "--years", "1968-1972",
        "--collectors",
    )  # fmt: skip
    assert made.out.startswith("Made All: 7 slots on ")
    assert "1970-D" in slotleaf("slots", halves, "All").out
    assert "1970-D" not in slots(halves)


def test_an_album_gains_and_loses_them_and_its_coins_keep_their_slots(halves: str) -> None:
    assert slotleaf("coin", "add", halves, "1968-D half vf20", "1970-D half ms65").code == 0
    assert slotleaf("put", halves, "Halves", "1968-D", "1").code == 0
    assert "6 slots;" in slotleaf("album", "edit", halves, "Halves", "--note", "seen").out
    edited = slotleaf("album", "edit", halves, "Halves", "--collectors")
    assert "7 slots, 1 added; have 1 of 7" in edited.out
    assert slotleaf("put", halves, "Halves", "1970-D", "2").code == 0
    kept = slotleaf("album", "edit", halves, "Halves", "--target", "VF-20")
    assert "7 slots; have 2 of 7" in kept.out
    refused = slotleaf("album", "edit", halves, "Halves", "--no-collectors")
    assert refused.code != 0
    assert "A coin would fall out of Halves: 1970-D (MS-65)" in refused.err
    done = slotleaf("album", "edit", halves, "Halves", "--no-collectors", "--drop-coins")
    assert "6 slots, 1 dropped, 1 coin now a spare; have 1 of 6" in done.out


def test_a_plan_of_years_that_went_to_collectors_alone_says_what_to_do(halves: str) -> None:
    refused = slotleaf(
        "album", "new", halves, "Late", "--series", "us-half-kennedy", "--years", "2005-2008"
    )
    assert refused.code != 0
    assert "take in those sold to collectors" in refused.err
