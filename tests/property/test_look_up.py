"""The look-up line, whatever is typed; and the label of every issue of the library."""

from collections.abc import Callable
from dataclasses import replace
from itertools import product
from unittest.mock import patch

from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.app.album_view import album_view
from core.app.look_up import Scope, Verdict, look_up
from core.app.look_up_index import LookUpIndex, among
from core.app.spares import SpareIndex
from core.app.views import AlbumView
from core.catalogue.load import library_ids, load_series
from core.fill.proposal import propose
from core.fill.value import FillInput
from core.lookup import claims
from core.lookup.commands import is_one_edit
from core.lookup.completions import completions
from core.lookup.line import near_words, read_line
from core.lookup.vocabulary import vocabulary
from core.lookup.words import cut
from core.model.album import Album, AlbumId, SlotId, Wish, parse_target
from core.model.coin import Coin, CoinId
from core.model.issue import Description, Facet, Issue, Series, SeriesId
from core.model.label import describe
from core.model.plan_album import AlbumPlan, Varieties, plan_slots
from tests.property.test_model_entries import WORDS

LIBRARY = [load_series(i) for i in library_ids()]
SOME = [s for s in LIBRARY if s.id in ("us-cent-lincoln", "us-nickel-jefferson", "ca-cent-small")]
OTHERS = [s for s in LIBRARY if s not in SOME]
MORE_WORDS = [
    *("wheatie", "merc", "war nick", "nmm", "nifc", "ender", "cull", "gem bu", "195x", "ca", "uk"),
    *(
        "coroded",
        "wdie",
        "+",
        "+foreign",
        "foreign:",
        "/37",
        "K12",
        "sd",
        "ld",
        "wam",
        "x",
        "999999",
    ),
]
CODES = {"K12": (SOME[0].id, SOME[0].varieties[0].id), "b 7": (SOME[0].id, SOME[0].varieties[3].id)}
LINES = st.one_of(
    st.lists(st.sampled_from([*WORDS, *MORE_WORDS]), max_size=7).map(" ".join),
    st.text(max_size=40),
    st.lists(st.sampled_from([*WORDS, *MORE_WORDS]), min_size=1, max_size=4).map("".join),
)


@settings(max_examples=300)
@given(LINES)
@example("1943/37")
@example("43/42")
def test_no_line_raises_and_each_is_answered_or_told_why(text: str) -> None:
    line = read_line(text, SOME, OTHERS, CODES, ("wooden",))
    answered = line.entries or line.command or line.unfinished or line.trouble
    assert answered or not text.strip()
    assert not (line.command and line.entries)
    assert not line.trouble or line.trouble.strip().endswith((".", "?"))
    by_id = {s.id: s for s in LIBRARY}
    for entry in line.entries:
        assert by_id[entry.series].may_be(entry.coin.description)  # never an impossible coin
        assert set(entry.one_of) <= {v for v, _ in entry.coin.varieties}
    for whole in completions(text, SOME, line):
        assert read_line(whole, SOME, OTHERS, CODES) != read_line("", SOME)  # it says something


def label_of(series: Series, issue: Issue) -> str:
    """The issue's own label: all of its facets, written as the program writes them."""
    facets = {facet.value: issue.value(facet) or "" for facet in Facet}
    return describe(series, Description.of(series.id, {**facets, **dict(issue.choices)}))


def test_every_issues_own_label_reads_back_to_it_in_its_series() -> None:
    faults, read = [], 0
    for series in LIBRARY:
        for issue in series.issues:
            label = label_of(series, issue)
            line = read_line(label, [series])
            told = [
                e for e in line.entries if series.may_be(e.coin.description) >> issue.number & 1
            ]
            alike = {label_of(series, i) for e in told for i in series.matching(e.coin.description)}
            if alike != {label}:
                faults.append(f"{series.id} {label}: {line.trouble or sorted(alike)}")
            read += 1
    assert read > 3000
    assert faults == []


def test_every_year_and_letter_never_struck_says_so_and_shows_what_lies_beside_it() -> None:
    """In every series, from its first year to its last; and what is shown can itself be read."""
    faults, told = [], set()
    asked = 0
    for series in LIBRARY:
        years = [year for _, year in series.dates]
        letters = ["", *(mint.id.casefold() for mint in series.mints)]
        for year, letter in product(range(min(years), max(years) + 1), letters):
            short = [f"{year % 100:02}{letter}"] if series in SOME else []
            for text in (f"{year}{letter}", *short):
                line = read_line(f"{text} ", [series])
                if line.entries:
                    continue
                asked += 1
                says = ("was struck", "none is dated")
                if not line.neighbours or not any(word in line.trouble for word in says):
                    faults.append(f"{series.id} {text}: {line.trouble} {line.neighbours}")
                told |= {(series.id, label) for label in line.neighbours}
    by_id = {series.id: series for series in LIBRARY}
    faults += [
        f"{one} {label}" for one, label in told if not read_line(f"{label} ", [by_id[one]]).entries
    ]
    assert asked > 1500
    assert len(told) > 1000
    assert faults == []


@settings(max_examples=200)
@given(
    st.one_of(
        LINES,
        st.text("0123456789/-x?dsgvf.", min_size=1, max_size=60),
        st.from_regex(r"(\d{2,4}/){1,12}\d{1,4}[a-z]?", fullmatch=True),
    )
)
@example("1943/37")
@example("1943/37/1943/37-1943/37")
@example("-" * 40 + "43/42" * 12)
def test_a_word_is_cut_into_no_more_pieces_than_it_has_characters(text: str) -> None:
    """However it is written, with strokes, hyphens or digits: so that no line can hang."""
    cuts = 0
    cut_further = claims._Reader._cut_further

    def counted(reader: claims._Reader, at: int) -> int | None:
        nonlocal cuts
        taken = cut_further(reader, at)
        cuts += taken is not None
        assert cuts <= 3 * len(text)
        return taken

    with patch.object(claims._Reader, "_cut_further", counted):
        claims.read_claims(cut(text)[0], vocabulary(CENTS))


def test_a_coin_called_as_an_empty_slot_fills_it_or_a_narrower_one_in_every_series() -> None:
    faults, asked = [], 0
    for series in LIBRARY:
        view = empty_album(series)
        index = LookUpIndex(among([view]), no_spares(series), [series])
        for shown in view.slots:
            readings = look_up(index, f"{shown.slot.label} ", Scope()).readings
            own = series.may_be(shown.slot.accepts)
            told = [
                a
                for a in readings
                if a.slot is not None and not series.may_be(view.by_id[a.slot].slot.accepts) & ~own
            ]
            asked += 1
            answers = [(str(a.verdict), a.is_sure, a.have_after.have) for a in told]
            if answers != [("Fills a gap", True, 1)]:
                faults.append(f"{series.id} {shown.slot.label}: {[a.sentence for a in readings]}")
    assert asked > 2000
    assert faults == []


def empty_album(series: Series) -> AlbumView:
    """An album of all of a series with its varieties, every slot wanted and empty."""
    plan = plan_slots(series, AlbumPlan(varieties=Varieties.ALL))
    slots = [
        replace(slot, id=SlotId(at), album=AlbumId(1), position=at, wish=Wish.WANTED)
        for at, slot in enumerate(plan)
    ]
    return album_view(Album(AlbumId(1), "All", series.id, 0), series, slots, {}, {}, None)


def no_spares(series: Series) -> Callable[[SeriesId], SpareIndex]:
    """The spares of a series that has none."""
    return lambda _series: SpareIndex(series, [])


CENTS = next(s for s in SOME if s.id == "us-cent-lincoln")
GRADES = st.sampled_from(["", " ag3", " vg8", " vf20", " ms63", " corroded", " vf20 cleaned"])


def some_albums(kinds: list[tuple[str, ...]]) -> list[AlbumView]:
    """An album each of the cents of 1942: a slot a mint, or one slot for any."""
    found = []
    for at, mints in enumerate(kinds, 1):
        plan = plan_slots(CENTS, AlbumPlan((1942, 1942), mints, target=parse_target("VF-20")))
        slots = [
            replace(slot, id=SlotId(100 * at + i), album=AlbumId(at), position=i)
            for i, slot in enumerate(plan)
        ]
        album = Album(AlbumId(at), f"Album {at}", CENTS.id, at)
        found.append(album_view(album, CENTS, slots, {}, {}, None))
    return found


@settings(max_examples=60)
@given(st.integers(1, 4), st.integers(1, 6), GRADES)
def test_coins_alike_fill_as_many_gaps_as_there_are(gaps: int, coins: int, grade: str) -> None:
    views = some_albums([()] * gaps)
    spares = SpareIndex(CENTS, [])
    index = LookUpIndex(among(views), lambda _: spares, [CENTS])
    told = []
    for at in range(1, coins + 1):
        (answer,) = look_up(index, f"42d{grade} ", Scope()).readings
        told.append(str(answer.verdict))
        alike = replace(answer.entry.coin, id=CoinId(1), quantity=at)
        spares.renew([alike.description], [alike])
    filled = min(gaps, coins)
    assert told == ["Fills a gap"] * filled + ["No use"] * (coins - filled)


@settings(max_examples=100)
@given(
    st.lists(st.sampled_from([(), ("any",), ("D",)]), min_size=1, max_size=4),
    st.lists(st.tuples(st.sampled_from(["42d", "42?", "42", "42s"]), GRADES), max_size=6),
    GRADES,
)
def test_a_coin_fills_a_gap_where_fill_then_fills_one_more(
    kinds: list[tuple[str, ...]], held: list[tuple[str, str]], grade: str
) -> None:
    """By Fill itself, for spares of the coin's own kind; others speak for no slot."""
    views = some_albums(kinds)
    (coin,) = [e.coin for e in read_line(f"42d{grade} ", [CENTS]).entries]
    lines = [read_line(f"{word}{g} ", [CENTS]).entries[0].coin for word, g in held]
    own = CENTS.may_be(coin.description)
    coins = [replace(c, id=CoinId(n)) for n, c in enumerate(lines, 1)]
    mine = [c for c in coins if CENTS.may_be(c.description) == own]
    index = LookUpIndex(among(views), lambda _: SpareIndex(CENTS, coins), [CENTS])
    (answer,) = look_up(index, f"42d{grade} ", Scope()).readings

    def filled(given: list[Coin]) -> int:
        slots = tuple(s.slot for view in views for s in view.slots)
        albums = tuple(view.album.id for view in views)
        return len(propose(FillInput({CENTS.id: CENTS}, albums, slots, tuple(given), {})).after)

    more = filled([*mine, replace(coin, id=CoinId(99))]) - filled(mine)
    assert (answer.verdict is Verdict.FILLS) == (more == 1), answer
    if not more:
        assert answer.verdict in (Verdict.NO_USE, Verdict.UPGRADE)


def test_a_correction_is_one_edit_and_never_of_letters_or_dates() -> None:
    for word in ("coroded", "wheet", "nickle", "denvr", "1943", "san", "bufalo", "xqzzy"):
        for near in near_words(word, LIBRARY):
            assert is_one_edit(word, near)
            assert not any(near in {m.name.casefold() for m in s.mints} for s in LIBRARY)


@given(st.text("abcde", max_size=6), st.text("abcde", max_size=6))
def test_one_edit_is_the_same_both_ways(one: str, other: str) -> None:
    assert is_one_edit(one, other) == is_one_edit(other, one)
