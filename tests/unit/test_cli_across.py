"""Albums across series, volumes, overviews and taking an album off the shelf, by command."""

import json
from pathlib import Path

import pytest

from tests.cli_material import slotleaf

THREE = "us-cent-lincoln,us-nickel-jefferson,us-dime-roosevelt"


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    path = tmp_path / "jar.slotleaf"
    assert slotleaf("new", path).code == 0
    return path


def albums(jar: Path) -> list[dict[str, object]]:
    listed: list[dict[str, object]] = json.loads(slotleaf("albums", jar, "--json").out)
    return listed


def labels(jar: Path, album: str) -> list[str]:
    return [row["label"] for row in json.loads(slotleaf("slots", jar, album, "--json").out)]


def test_a_type_album_and_a_year_set_are_made_and_edited(jar: Path) -> None:
    said = slotleaf("album", "new", jar, "Types", "--types", "us-cent-lincoln,us-nickel-buffalo")
    assert said.code == 0, said
    said = slotleaf("album", "new", jar, "1945", "--year", "1945", "--series", THREE)
    assert "Made 1945: 2 slots" in said.out
    assert "Roosevelt dimes: none in 1945." in said.out
    assert labels(jar, "1945") == ["1945 cent", "1945 nickel"]
    assert slotleaf("album", "edit", jar, "1945", "--year", "1946", "--each-mint").code == 0
    assert len(labels(jar, "1945")) == 6
    assert slotleaf("album", "edit", jar, "1945", "--series", THREE).code == 0
    assert labels(jar, "1945")[-1] == "1946-S dime"
    assert [row["series"] for row in albums(jar)][1] == THREE.replace(",", ", ")


def test_an_overview_is_told_from_an_album_that_holds_coins(jar: Path) -> None:
    slotleaf("album", "new", jar, "Dimes", "--series", "us-dime-roosevelt")
    assert "kind" not in slotleaf("albums", jar).out
    slotleaf("album", "new", jar, "Best", "--series", "us-dime-roosevelt", "--overview")
    assert [row["kind"] for row in albums(jar)] == ["holder", "overview"]
    assert "overview" in slotleaf("albums", jar).out
    slotleaf("coin", "add", jar, "1946-D vf20")
    assert "have 1 of" in slotleaf("slots", jar, "Best").out
    said = slotleaf("fill", jar, "--album", "Best")
    assert (said.code, "Best is an overview" in said.err) == (1, True)
    said = slotleaf("put", jar, "Best", "1946-D", "1")
    assert said.code == 1
    assert "is an overview" in said.err


def test_volumes_are_split_titled_and_joined(jar: Path) -> None:
    slotleaf("album", "new", jar, "Dimes", "--series", "us-dime-roosevelt", "--years", "1946-1960")
    said = slotleaf("album", "volumes", jar, "Dimes", "--split", "1951, 1956-D")
    assert said.out.splitlines()[0].startswith("Dimes: have 0 of ")
    assert [row["name"] for row in albums(jar)] == [
        "Dimes, volume 1 (1946–1950)",
        "Dimes, volume 2 (1951–1956)",
        "Dimes, volume 3 (1956–1960)",
    ]
    assert {row["volumes"] for row in albums(jar)} == {"Dimes"}
    assert slotleaf("albums", jar).out.splitlines()[1].startswith("Dimes ")
    assert slotleaf("album", "volumes", jar, "Dimes, volume 2", "--join").code == 0
    assert [row["name"] for row in albums(jar)] == ["Dimes"]
    assert slotleaf("album", "volumes", jar, "Dimes", "--title", "All tens").code == 0
    assert [row["volumes"] for row in albums(jar)] == ["All tens"]


def test_an_album_with_coins_goes_only_where_that_is_agreed(jar: Path) -> None:
    slotleaf("album", "new", jar, "Dimes", "--series", "us-dime-roosevelt", "--years", "1946")
    slotleaf("coin", "add", jar, "1946-D vf20")
    slotleaf("put", jar, "Dimes", "1946-D", "1")
    said = slotleaf("album", "delete", jar, "Dimes")
    assert said.code == 1
    assert "A coin of Dimes would become a spare: 1946-D (VF-20)." in said.err
    said = slotleaf("album", "delete", jar, "Dimes", "--drop-coins")
    assert said.out == "Dimes is off the shelf; a coin is a spare now.\n"
    assert not albums(jar)


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ("new X", 2, "Name a series"),
        ("new X --types us-cent-lincoln --series us-cent-lincoln", 2, "Give --series ID"),
        ("new X --types us-cent-lincoln --years 1940-1950", 2, "go with one series"),
        ("new X --series us-cent-lincoln --each-mint", 2, "goes with --year"),
        ("new X --series us-cent-lincoln --year 1800", 1, "The nearest year is 1909"),
        ("new X --types us-cent-lincoln,no-such", 1, "no series “no-such”"),
        ("edit Dimes --each-mint", 1, "is an album of one series"),
        ("edit Types --years 1940-1941", 1, "is an album across series"),
        ("edit Types --year 1941", 1, "is a type album"),
        ("edit Types --series ,", 1, "No series is chosen"),
        ("volumes Dimes", 2, "Give one of"),
        ("volumes Dimes --split 1800", 1, "no slot or date “1800”"),
        ("volumes Dimes --split 1946", 1, "second and later volumes"),
        ("volumes Dimes --join", 1, "is no volume"),
    ],
)
def test_what_cannot_be_done_is_said(jar: Path, words: str, code: int, told: str) -> None:
    slotleaf("album", "new", jar, "Dimes", "--series", "us-dime-roosevelt", "--years", "1946-1948")
    slotleaf("album", "new", jar, "Types", "--types", "us-cent-lincoln,us-nickel-buffalo")
    verb, *rest = words.split()
    said = slotleaf("album", verb, jar, *rest)
    assert (said.code, told in said.err) == (code, True), said
