"""Reference codes of one's own: kept, looked up, refused where the line could not read them."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.own_codes import remove_own_code, set_own_code
from core.errors import CollectionError, NotFound
from core.model.coin import Finding
from core.model.issue import SeriesId, VarietyId
from tests.cli_material import slotleaf
from tests.collection_material import CENTS, NICKELS, a_collection, an_album, slot

THREE, EYE = VarietyId("1943-3-over-2"), VarietyId("1943-doubled-eye")


@pytest.fixture(scope="module")
def kept_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    with a_collection(tmp_path_factory.mktemp("codes")) as collection:
        an_album(collection)
        collection.run(set_own_code(NICKELS, THREE, " K  12 "))
        return collection.path


@pytest.fixture
def jar(tmp_path: Path, kept_file: Path) -> Iterator[Collection]:
    path = Path(shutil.copy(kept_file, tmp_path))
    with Collection.open(path, verify=False) as collection:
        yield collection


def test_a_code_is_kept_changed_moved_and_undone(jar: Collection) -> None:
    assert jar.own_codes() == {"K 12": (NICKELS, THREE)}
    first = jar.content_hash()
    assert jar.run(set_own_code(NICKELS, THREE, "B-7")).is_codes
    assert jar.run(set_own_code(NICKELS, THREE, "B-7")).is_nothing
    jar.run(set_own_code(NICKELS, EYE, "K 12"))
    assert jar.own_codes() == {"B-7": (NICKELS, THREE), "K 12": (NICKELS, EYE)}
    last = jar.content_hash()
    assert last != first
    jar.run(remove_own_code(NICKELS, EYE))
    assert jar.own_codes() == {"B-7": (NICKELS, THREE)}
    assert [jar.undo(), jar.content_hash()] == ["remove an own code", last]
    jar.undo()
    assert [jar.undo(), jar.content_hash()] == [
        "set the own code B-7 · 3 over 2 of 1943-P",
        first,
    ]
    assert jar.check() == []


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("", "needs a letter"),
        ("k 12", "is the code of 1943-3-over-2"),
        ("a b c d", "at most 24 characters"),
        ("K" * 25, "at most 24 characters"),
        ("K9?", "reads by itself"),
        ("-K9", "reads by itself"),
        ('K"9', "reads by itself"),
        ("43d", "means something"),
        ("vf20", "means something"),
        ("12", "means something"),
        ("corroded", "means something"),
        ("ddo", "means something"),
        ("/37", "reads by itself"),
        ("d", "means something"),
    ],
)
def test_a_code_that_the_line_could_not_read_is_refused(
    jar: Collection, code: str, why: str
) -> None:
    with pytest.raises(CollectionError, match=why):
        jar.run(set_own_code(NICKELS, EYE, code))
    assert jar.own_codes() == {"K 12": (NICKELS, THREE)}


def test_what_is_not_there_is_told(jar: Collection) -> None:
    with pytest.raises(NotFound, match="no variety “1943-odd”"):
        jar.run(set_own_code(NICKELS, VarietyId("1943-odd"), "K9"))
    with pytest.raises(CollectionError, match="There is no series"):
        jar.run(set_own_code(SeriesId("uk-groat"), THREE, "K9"))
    with pytest.raises(NotFound, match="has no code of your own"):
        jar.run(remove_own_code(NICKELS, EYE))


def test_the_line_reads_codes_as_soon_as_they_are_kept(jar: Collection) -> None:
    def findings(text: str) -> list[tuple[str, Finding]]:
        return [(str(v), f) for a in jar.look_up(text).readings for v, f in a.entry.coin.varieties]

    assert findings("k 12 f12 ") == [(THREE, Finding.CONFIRMED)]
    assert findings("k 12? f12 ") == [(THREE, Finding.SUSPECTED)]
    assert findings("43p f12 -k 12 ") == [(THREE, Finding.RULED_OUT)]
    assert findings("kq.3 ") == []
    jar.run(set_own_code(NICKELS, EYE, "KQ.3"))
    assert findings("kq.3 ") == [(EYE, Finding.CONFIRMED)]
    jar.undo()
    assert findings("kq.3 ") == []


def test_a_code_of_a_series_not_in_use_is_kept_too(jar: Collection) -> None:
    variety = jar.series(CENTS).varieties[0].id
    jar.run(set_own_code(CENTS, variety, "CC1"))
    assert jar.look_up("cc1 ").readings[0].entry.series == CENTS


def test_the_card_shows_the_code_at_its_variety(jar: Collection) -> None:
    told = {one.variety: one.code for one in jar.slot_card(slot(jar, "1943-P")).look_closer}
    assert (told[THREE], told[EYE]) == ("K 12", "")
    closer = {one.variety: one.code for one in jar.look_up("43p ").readings[0].closer}
    assert closer[THREE] == "K 12"


def test_codes_on_the_command_line(jar: Collection) -> None:
    path = str(jar.path)
    jar.close()
    listed = json.loads(slotleaf("code", path, "--json").out)
    assert [(row["code"], row["variety"], row["name"]) for row in listed] == [
        ("K 12", "1943-3-over-2", "3 over 2 of 1943-P")
    ]
    assert slotleaf("code", path, NICKELS, EYE, "Q1").code == 0
    assert "Q1" in slotleaf("code", path).out
    assert slotleaf("code", path, NICKELS, EYE, "--remove").code == 0
    assert slotleaf("code", path, NICKELS, EYE, "--remove").code == 1
    assert slotleaf("code", path, NICKELS).code == 2
    assert slotleaf("code", path, "--remove").code == 2
