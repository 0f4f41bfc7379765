"""The library among a collection's series: the order to look through, the words to tell by."""

import subprocess
import sys
from pathlib import Path

import pytest

from core.app.series_shelf import SeriesShelf, by_issuer
from core.catalogue.load import library_ids, load_series
from core.errors import BadEntry
from core.lookup.parse import parse_entry, readings
from core.model.issue import SeriesId

ALL = [load_series(code) for code in library_ids()]
CENTS = [load_series(SeriesId(f"us-cent-{name}")) for name in ("lincoln", "indian")]


def test_all_known_is_the_whole_library() -> None:
    known = SeriesShelf().all_known()
    assert sorted(s.id for s in known) == sorted(library_ids())


def test_an_issuers_series_stand_together_and_the_invented_last() -> None:
    issuers = [s.issuer for s in by_issuer(ALL)]
    assert len(dict.fromkeys(issuers)) == sum(
        at == 0 or issuers[at - 1] != issuer for at, issuer in enumerate(issuers)
    )
    assert issuers[0] == "United States"
    assert by_issuer(ALL)[-1].is_invented


def test_of_one_denomination_the_latest_stands_first() -> None:
    titles = [s.title for s in by_issuer(ALL) if s.id.startswith(("us-nickel", "us-dime"))]
    assert titles == [
        *("Jefferson nickels", "Buffalo nickels", "Liberty head nickels"),
        *("Roosevelt dimes", "Mercury dimes", "Barber dimes"),
    ]


@pytest.mark.parametrize("first", [0, 1])
def test_what_is_advised_for_two_kinds_of_cents_tells_them_apart(first: int) -> None:
    series = [CENTS[first], CENTS[1 - first]]
    with pytest.raises(BadEntry, match="can be of") as told:
        parse_entry("1909", series)
    advised = str(told.value).rpartition("such as “")[2].partition("”")[0]
    assert parse_entry(advised, series).series == CENTS[first].id


@pytest.mark.parametrize(
    ("text", "series"),
    [
        ("buffalo 37-d", "us-nickel-buffalo"),
        ("mercury 42", "us-dime-mercury"),
        ("barber quarter 1913-s", "us-quarter-barber"),
        ("walker 43", "us-half-walking-liberty"),
        ("franklin half 1957-d", "us-half-franklin"),
        ("kennedy 76", "us-half-kennedy"),
        ("morgan 1889-cc", "us-dollar-morgan"),
        ("peace dollar 1921", "us-dollar-peace"),
        ("indian cent 1877", "us-cent-indian"),
        ("penny 1918-kn", "uk-penny-bronze"),
        ("canadian cent 1967", "ca-cent-small"),
        ("state quarter 1999 delaware", "us-quarter-state-territory"),
    ],
)
def test_collectors_words_find_the_series_among_all(text: str, series: str) -> None:
    assert {entry.series for entry in readings(text, ALL)} == {series}


def test_an_opened_collection_reads_only_the_series_of_its_own(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from core.app.collection import Collection; "
        "from core.catalogue import load; "
        "c = Collection.open(Path(sys.argv[1])); "
        "[c.album_view(a.id) for a in c.albums()]; "
        "print(load.load_series.cache_info().currsize, len(c.series_in_use)); c.close()"
    )
    path = tmp_path / "demo.slotleaf"
    for command in (["-m", "core.cli.main", "demo", str(path)], ["-c", code, str(path)]):
        done = subprocess.run(
            [sys.executable, *command], capture_output=True, text=True, check=True, timeout=120
        )
    read, in_use = map(int, done.stdout.split())
    assert 0 < read <= in_use < len(library_ids())


def test_of_many_series_three_are_named_and_the_rest_counted() -> None:
    with pytest.raises(BadEntry) as told:
        parse_entry("1943", ALL)
    named = str(told.value).partition("can be of ")[2].partition(";")[0]
    some, _, more = named.rpartition(" and ")
    assert len(some.split(", ")) == 3
    struck = sum(any(i.date == "1943" and s.is_usual(i) for i in s.issues) for s in ALL)
    assert more == f"{struck - 3} more"
    with pytest.raises(BadEntry) as told:
        parse_entry(
            "1943", [load_series(SeriesId(i)) for i in ("us-nickel-jefferson", "ca-five-cents")]
        )
    assert "can be of Jefferson nickels, Canadian five cents; put" in str(told.value)
