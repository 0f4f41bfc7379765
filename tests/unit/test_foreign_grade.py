"""Grade words of other countries: which table reads them, and that they are kept as entered."""

import pytest

from core.app.exchange_cells import grade_texts
from core.app.exchange_cells import read_grade as read_cells
from core.app.stocking import Typed, press
from core.catalogue.load import load_series
from core.errors import BadEntry, BadGrade
from core.lookup.parse import parse_entry
from core.model.album import parse_target
from core.model.grade import Grade, parse_grade
from core.model.grade_tables import read_grade_of, shipped_tables, table_named
from core.model.issue import SeriesId
from core.store.mapping import read_grade, write_grade

PENNIES = load_series("uk-penny-bronze")
EUROS = load_series("de-two-euro")
FRANCS = load_series("ch-franc")
CENTS = load_series("us-cent-lincoln")


@pytest.mark.parametrize(
    ("issuer", "written", "text"),
    [
        ("United Kingdom", "gvf", "gVF (British, 40–53)"),
        ("United Kingdom", "vf", "VF (British, 40–53)"),
        ("United Kingdom", "nEF", "nEF (British, 40–53)"),
        ("United Kingdom", "about ef", "about EF (British, 40–53)"),
        ("United Kingdom", "very  fine", "Very Fine (British, 40–53)"),
        ("United Kingdom", "VF–EF", "VF-EF (British, 40–62)"),
        ("United Kingdom", "unc rd", "UNC (British, 65–70) RD"),
        ("United Kingdom", "ef details", "EF (British, 55–62) details"),
        ("United Kingdom", "us vf", "VF"),
        ("United Kingdom", "vf (us)", "VF"),
        ("United Kingdom", "vf20", "VF-20"),
        ("Germany", "vz/st", "vz/st (German, 55–70)"),
        ("Germany", "PP", "PP (German, PF 60–70)"),
        ("Germany", "vz (German dealers)", "vz (German dealers, 40–45)"),
        ("France", "SPL", "SPL (French, 63–64)"),
        ("Italy", "SPL", "SPL (Italian, 55–64)"),
        ("Finland", "01", "01 (Nordic, 40–45)"),
        ("United States", "VF", "VF"),
        ("United States", "british vf", "VF (British, 40–53)"),
        ("", "gVF (British, 40–53) details", "gVF (British, 40–53) details"),
    ],
)
def test_the_table_named_decides_and_else_the_issuers(issuer, written, text):
    assert read_grade_of(written, issuer).text == text


@pytest.mark.parametrize(
    ("issuer", "written", "told"),
    [
        ("Germany", "xyz", "the German table has ge, sge, s, ss, vz, fst, st, PP"),
        ("", "french vz", "The French table has no “vz”; it has B, TB, TTB"),
        ("", "gVF (British, 30–35)", "gives gVF 40–53, not 30-35"),
        ("United States", "gvf", "not on the grade scale"),
        ("United Kingdom", "vf ef", "holds two grades"),
        ("United Kingdom", "ef-vf", "from the lower grade to the higher"),
    ],
)
def test_what_no_table_reads_says_which_words_there_are(issuer, written, told):
    with pytest.raises(BadGrade) as caught:
        read_grade_of(written, issuer)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("series", "line", "grade", "mint", "said"),
    [
        (PENNIES, "1967 gVF", "gVF (British, 40–53)", "", "gVF is a word of the British table"),
        (PENNIES, "1967gvf", "gVF (British, 40–53)", "", "British table"),
        (PENNIES, "1912-H f", "F (British, 15–35)", "H", "write US F for the 1–70 scale"),
        (PENNIES, "1967 good very fine corroded", "good Very Fine (British, 40–53)", "", "British"),
        (PENNIES, "1967 gVF (British, 40–53) bent", "gVF (British, 40–53)", "", "British"),
        (PENNIES, "1967 us vf", "VF", "", ""),
        (PENNIES, "1967 vf 30", "VF-30", "", ""),
        (PENNIES, "1967 au", "AU", "", ""),
        (PENNIES, "1967 bu rd", "BU (British, 65–70) RD", "", "British"),
        (PENNIES, "1967 vz german dealers", "vz (German dealers, 40–45)", "", "German dealers"),
        (EUROS, "2002-A vz-st", "vz-st (German, 55–70)", "A", "German table"),
        (EUROS, "2002 A german dealers vz-st", "vz-st (German dealers, 50–58)", "A", "50–58"),
        (EUROS, "2002 f f", "F", "F", ""),
        (EUROS, "2002-A vf", "VF", "A", ""),
        (FRANCS, "1970-B b", "B (French, 6–12)", "B", "French table"),
        (FRANCS, "1970 ss", "ss (German, 40–53)", "B", "German table"),
        (CENTS, "1943 vf", "VF", "P", ""),
        (CENTS, "1943 british vf", "VF (British, 40–53)", "P", "British table"),
        (CENTS, "1943-s nordic 1+", "1+ (Nordic, 20–35)", "S", "Nordic table"),
    ],
)
def test_an_entry_reads_the_words_of_the_issuer_and_says_so(series, line, grade, mint, said):
    entry = parse_entry(line, [series])
    assert entry.coin.grade
    assert entry.coin.grade.text == grade
    assert (entry.coin.description.only("mint") or "") == mint
    assert said in entry.said
    assert bool(said) == ("table" in entry.said)


def test_a_letter_alone_stays_a_letter():
    assert parse_entry("1970 b", [FRANCS]).coin.grade is None
    assert parse_entry("2002 f", [EUROS]).coin.grade is None


def test_the_name_of_a_table_beside_its_word_names_no_series():
    entry = parse_entry("1943 british vf", [CENTS, PENNIES], SeriesId("us-cent-lincoln"))
    assert entry.series == "us-cent-lincoln"


@pytest.mark.parametrize(
    ("series", "line", "told"),
    [
        (EUROS, "2002-A zz", "Grades here: German ge, sge, s, ss, vz, fst, st, PP"),
        (PENNIES, "1967 vf au", "two grades, VF and AU"),
        (CENTS, "1943-s ss", "“ss” is not a word known"),
    ],
)
def test_an_entry_that_cannot_be_read_says_what_it_may_hold(series, line, told):
    with pytest.raises(BadEntry) as caught:
        parse_entry(line, [series])
    assert told in str(caught.value)


def test_the_low_end_of_the_range_meets_a_target_and_the_next_step_is_not_met():
    grade = read_grade_of("gVF", "United Kingdom")
    met, missed = parse_target("xf40"), parse_target("xf45")
    assert met
    assert met.is_met_by(grade, has_problem=False)
    assert missed
    assert not missed.is_met_by(grade, has_problem=False)


def test_a_half_step_is_never_read_as_more_than_its_tables_numbers():
    """`good` keeps its word's range; `about` and `near` have that of the next lower word."""
    british = table_named("British")
    assert british
    for lower, word in (("VG", "F"), ("F", "VF"), ("VF", "EF"), ("EF", "UNC")):
        low, here = british.find(lower), british.find(word)
        good, about, near = (british.find(f"{half}{word}") for half in "gan")
        assert low
        assert here
        assert good
        assert about
        assert near
        assert (good.low, good.high) == (here.low, here.high)
        assert (about.low, about.high) == (near.low, near.high) == (low.low, low.high)


def test_no_two_tables_of_an_issuer_share_a_word():
    issuers = {issuer for table in shipped_tables() for issuer in table.issuers}
    assert {"United Kingdom", "Germany", "France", "Italy", "Switzerland"} <= issuers
    for issuer in issuers:
        keys = [key for t in shipped_tables() if issuer in t.issuers for key in t.index]
        assert len(keys) == len(set(keys)), issuer


def test_the_file_keeps_the_words_their_table_and_their_range():
    grade = read_grade_of("gVF details rd", "United Kingdom")
    assert write_grade(grade) == "XF-40 to AU-53 details RD\tgVF\tBritish"
    assert read_grade(write_grade(grade)) == grade
    assert read_grade("VF\tsehr schön") == Grade(20, 35, entered="sehr schön")


def test_a_coin_keeps_its_range_though_a_table_should_change():
    kept = Grade(30, 35, entered="gVF", table="British")
    assert read_grade(write_grade(kept)) == kept
    assert read_cells(*grade_texts(kept)) == kept
    assert kept.text == "gVF (British, 30–35)"


@pytest.mark.parametrize(
    ("cell", "entered", "issuer", "text"),
    [
        ("", "gVF (British)", "", "gVF (British, 40–53)"),
        ("", "ss", "Germany", "ss (German, 40–53)"),
        ("vz", "", "Germany", "vz (German, 55–62)"),
        ("VF", "", "Germany", "VF"),
        ("VF-20", "fast perfekt", "Germany", "fast perfekt"),
        ("VF-20", "rather good (British)", "", "rather good (British)"),
    ],
)
def test_a_sheet_takes_words_with_or_without_their_points(cell, entered, issuer, text):
    grade = read_cells(cell, entered, issuer)
    assert grade
    assert grade.text == text


def test_words_alone_that_no_table_has_are_a_fault_of_the_sheet():
    with pytest.raises(BadEntry, match="need the points"):
        read_cells("", "fast perfekt")
    with pytest.raises(BadEntry, match="German table has no “fast perfekt”; it has ge"):
        read_cells("", "fast perfekt (German)")


def test_stocking_reads_the_words_of_the_albums_series():
    typed = Typed(issuer="United Kingdom")
    for key in "gvf ":
        typed = press(typed, key).typed
    assert typed.grade == read_grade_of("gVF", "United Kingdom")
    assert typed.grade_text == "gVF (British, 40–53)"


def test_plain_grades_read_as_ever():
    for text in ("VF-20", "VF", "MS-65+ RD FS", "PF-65 DCAM", "AU details"):
        assert read_grade_of(text) == parse_grade(text)
