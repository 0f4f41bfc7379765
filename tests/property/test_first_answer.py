"""Look-up, which reads albums without marks and spares as it needs them, against all read whole."""

import tempfile
from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.collection import Collection
from core.app.kept_views import kinds_of
from core.app.look_up import Looked, Scope, UseRule, Verdict, look_up, slots_told
from core.app.look_up_index import LookUpIndex, among
from core.app.operations import (
    add_and_place,
    let_go,
    place_coin,
    set_flagged,
    set_pinned,
    set_wish,
)
from core.app.spares import SpareIndex
from core.errors import Refused
from core.model.album import AlbumKind, Wish
from core.model.coin import CoinId
from core.model.issue import SeriesId
from tests.collection_material import (
    CENTS,
    DIMES,
    a_collection,
    an_album,
    fresh,
    read_coin,
    slot,
    with_coins,
)

GRADES = ("", " ag3", " vg8", " vf20", " ms63", " corroded", " vf20 cleaned", " ?")
COINS = [
    f"{word}{grade}" for word in ("42", "42d", "42s", "194x d", "? d", "43") for grade in GRADES
]
LINES = ("42d vf20 ", "42 ", "43d ms63 ", "194x d ", "wheat ", "46d ", "merc 42 ", "2 x 42s vg8 > ")
SCOPES = (Scope(), Scope(rule=UseRule(spares_of_each=2, upgrade_points=3)))
LABELS = ("1942", "1942-D", "1942-S", "1943-D")

some_coins = st.lists(st.sampled_from(COINS), max_size=6)
steps = st.lists(
    st.one_of(
        st.tuples(st.just("add"), st.sampled_from(COINS), st.just(CENTS)),
        st.tuples(st.just("add"), st.sampled_from(["46d", "46 vf20"]), st.just(DIMES)),
        st.tuples(st.just("sit"), st.sampled_from(COINS), st.sampled_from(LABELS)),
        st.tuples(st.just("move"), st.integers(0, 5), st.sampled_from(LABELS)),
        st.tuples(st.just("go"), st.integers(0, 5), st.none()),
        st.tuples(st.just("flag"), st.integers(0, 5), st.booleans()),
        st.tuples(st.just("wish"), st.sampled_from(LABELS), st.sampled_from(list(Wish))),
        st.tuples(st.just("pin"), st.sampled_from(LABELS), st.booleans()),
        st.tuples(st.just("undo"), st.none(), st.none()),
        st.tuples(st.just("marks"), st.none(), st.none()),
    ),
    max_size=4,
)


def whole_index(collection: Collection) -> LookUpIndex:
    """All albums with their marks, all spares grouped at once."""

    def spares(code: SeriesId) -> SpareIndex:
        with collection._store.reading() as reader:
            return SpareIndex(collection.series(code), kinds_of(reader.spare_groups(code)))

    views = [collection.album_view(album.id) for album in collection.albums()]
    kept = collection.look_up_index()
    return LookUpIndex(among(views), spares, kept.series, kept.others, kept.codes)


def do(collection: Collection, step: tuple[str, object, object], made: list[CoinId]) -> None:
    match step:
        case "add", str(text), str(series):
            made += with_coins(collection, text, series=SeriesId(series))
        case "sit", str(text), str(label):
            where = slot(collection, label, "Cents")
            collection.run(add_and_place(read_coin(collection, text, CENTS), where))
        case "move", int(at), str(label) if at < len(made):
            collection.run(place_coin(made[at], slot(collection, label, "Cents")))
        case "go", int(at), _ if at < len(made):
            collection.run(let_go([made.pop(at)]))
        case "flag", int(at), bool(is_flagged) if at < len(made):
            collection.run(set_flagged([made[at]], is_flagged))
        case "wish", str(label), Wish() as wish:
            collection.run(set_wish([slot(collection, label, "Cents")], wish))
        case "pin", str(label), bool(is_pinned):
            collection.run(set_pinned([slot(collection, label, "Cents")], is_pinned))
        case "undo", _, _ if not made:
            collection.undo()
        case "marks", _, _:
            collection.shelf()


@settings(max_examples=15, deadline=None)
@given(some_coins, steps, st.permutations(LINES))
def test_what_is_read_as_it_is_needed_answers_as_what_is_read_whole(
    coins: list[str], done: list[tuple[str, object, object]], lines: list[str]
) -> None:
    faults: list[str] = []
    verdicts: set[Verdict] = set()

    def compare(after: str) -> None:
        lines.append(lines.pop(0))
        with fresh(collection) as other:
            whole = whole_index(other)
            for text, scope in zip(lines, SCOPES, strict=False):
                mine, theirs = collection.look_up(text, scope), look_up(whole, text, scope)
                if mine != theirs or told(collection.look_up_index(), mine) != told(whole, theirs):
                    faults.append(f"after {after}: “{text}” {mine} but {theirs}")
                verdicts.update(answer.verdict for answer in theirs.readings)

    with tempfile.TemporaryDirectory() as folder, a_collection(Path(folder)) as collection:
        an_album(collection, "Cents", CENTS, (1942, 1943))
        an_album(collection, "Any date", CENTS, (1940, 1944), mints=("any",), target="")
        an_album(collection, "Best", CENTS, (1941, 1942), kind=AlbumKind.OVERVIEW)
        an_album(collection, "Dimes", DIMES, (1946, 1946))
        made = list(with_coins(collection, *coins, series=CENTS)) if coins else []
        compare("opening")
        for step in done:
            with suppress(Refused):  # a coin that does not fit stays where it is
                do(collection, step, made)
            compare(str(step))
    assert faults == []
    assert verdicts


def told(index: LookUpIndex, looked: Looked) -> list[object]:
    """Every slot of every reading."""
    return [slots_told(index, answer, Scope()) for answer in looked.readings]
