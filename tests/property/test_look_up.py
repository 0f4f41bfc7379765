"""The look-up line, whatever is typed; and the label of every issue of the library."""

from hypothesis import given, settings
from hypothesis import strategies as st

from core.catalogue.load import library_ids, load_series
from core.lookup.commands import is_one_edit
from core.lookup.completions import completions
from core.lookup.line import near_words, read_line
from core.model.issue import Description, Facet, Issue, Series
from core.model.label import describe
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


def test_a_correction_is_one_edit_and_never_of_letters_or_dates() -> None:
    for word in ("coroded", "wheet", "nickle", "denvr", "1943", "san", "bufalo", "xqzzy"):
        for near in near_words(word, LIBRARY):
            assert is_one_edit(word, near)
            assert not any(near in {m.name.casefold() for m in s.mints} for s in LIBRARY)


@given(st.text("abcde", max_size=6), st.text("abcde", max_size=6))
def test_one_edit_is_the_same_both_ways(one: str, other: str) -> None:
    assert is_one_edit(one, other) == is_one_edit(other, one)
