"""Entry lines as collectors write them; the cases of the design have a table of their own."""

from dataclasses import replace

import pytest

from core.errors import BadEntry
from core.lookup.parse import Entry, parse_entry, readings
from core.lookup.vocabulary import vocabulary
from core.lookup.weighed import metals_by_weight
from core.lookup.words import cut, name_words
from core.model.coin import CoinId, Finding, Problem
from core.model.grade import parse_grade
from core.model.issue import VarietyId
from tests.builders import (
    DDO_1955,
    DDO_1972_1,
    DDO_1972_2,
    OVERDATE_1943,
    RPM_1944,
    STEEL_1944,
    WIDE_AM_1998,
    a_description,
    a_variety,
    all_series,
    cents,
    dimes,
    nickels,
    quarters,
    tokens,
)


def read(text: str, series=None) -> Entry:
    return parse_entry(text, [series or cents()])


def told(text: str, series=None, prefer=None) -> str:
    chosen = series if isinstance(series, tuple) else (series or cents(),)
    with pytest.raises(BadEntry) as caught:
        parse_entry(text, chosen, prefer)
    return str(caught.value)


def known(entry: Entry) -> dict[str, str]:
    """What is known of the coin, beside a circulation strike for banks."""
    facets = {k: "|".join(v) for k, v in entry.coin.description.facets}
    for name, usual in (("strike", "circulation"), ("release", "banks")):
        if facets.get(name) == usual:
            del facets[name]
    return facets


@pytest.mark.parametrize(
    "text",
    [
        "1943-D vf20", "1943d vf20", "43-D vf20", "vf20 43d", "43 d VF-20", "vf 20 1943 D",
        "D 43 vf20", "d43 vf20", "1943 Denver vf20", "vf20 1943-d", "'43 D vf20", "43D, VF20.",
        "43dvf20", "1943-d-vf20", "1943–D vf–20", "cent 1943-D vf20", "penny 43d vf20",
        "Lincoln cent 43d vf20", "43 - d vf20", "1943 D very fine",
    ],
)  # fmt: skip
def test_order_case_and_hyphens_do_not_matter(text) -> None:
    entry = read(text)
    assert known(entry) == {"date": "1943", "mint": "D"}
    assert entry.coin.grade in (parse_grade("vf20"), parse_grade("vf"))


def test_an_entry_is_a_template_without_a_number() -> None:
    entry = read("1943-D vf20")
    assert entry.coin.id == CoinId(0)
    assert entry.series == cents().id
    assert (entry.quantity, entry.said, entry.compare) == (1, "", "")
    assert entry.coin.is_genuine
    assert not entry.coin.is_flagged
    assert known(entry) == {"date": "1943", "mint": "D"}
    assert entry.coin.description == a_description(date="1943", mint="D")


def test_what_was_assumed_is_said() -> None:
    assert read("43d").said == "read 43 as 1943"
    assert read("1943d").said == ""
    assert read("1982 d 3.11g").said == "3.11 g is 95 % copper, 5 % zinc"
    assert "mint not known" in read("80", nickels()).said
    assert read("bison d", nickels()).said == "only 2005 is so"


@pytest.mark.parametrize(
    ("text", "facets"),
    [
        ("44", {"date": "1944", "mint": "P"}),
        ("44p", {"date": "1944", "mint": "P"}),
        ("44?", {"date": "1944"}),
        ("44 ?", {"date": "1944"}),
        ("1944-?", {"date": "1944"}),
        ("44 any mint", {"date": "1944"}),
        ("1922", {"date": "1922", "mint": "D"}),
        ("17", {"date": "2017"}),
        ("? s", {"mint": "S"}),
        ("?s", {"mint": "S"}),
        ("no date s", {"mint": "S"}),
        ("s worn date", {"mint": "S"}),
        ("nd", {}),
        ("70s small date", {"date": "1970", "mint": "S", "date size": "small"}),
        ("small date 70 s", {"date": "1970", "mint": "S", "date size": "small"}),
        ("60 d date small", {"date": "1960", "mint": "D", "date size": "small"}),
        ("70s small date?", {"date": "1970", "mint": "S"}),
        ("70s no small date", {"date": "1970", "mint": "S", "date size": "large"}),
        ("1909s vdb g4", {"date": "1909", "mint": "S", "design": "wheat-vdb"}),
        ("1909s no vdb", {"date": "1909", "mint": "S", "design": "wheat"}),
        ("1909s -vdb", {"date": "1909", "mint": "S", "design": "wheat"}),
        ("09 vdb", {"date": "1909", "mint": "P", "design": "wheat-vdb"}),
        ("1909s", {"date": "1909", "mint": "S"}),
        ("1944 wheat", {"date": "1944", "mint": "P"}),
        ("1982 copper", {"date": "1982", "mint": "P", "composition": "brass"}),
        ("1982 bronze", {"date": "1982", "mint": "P", "composition": "brass"}),
        ("1982 zinc", {"date": "1982", "mint": "P", "composition": "zinc"}),
        ("82d zinc small date",
         {"date": "1982", "mint": "D", "composition": "zinc", "date size": "small"}),
        ("1962 bronze", {"date": "1962", "mint": "P", "composition": "bronze"}),
        ("1962 brass", {"date": "1962", "mint": "P", "composition": "brass"}),
        ("1962 copper", {"date": "1962", "mint": "P"}),
        ("1943 steel", {"date": "1943", "mint": "P"}),
        ("proof 1970-S", {"date": "1970", "mint": "S", "strike": "proof"}),
        ("1970 proof", {"date": "1970", "mint": "S", "strike": "proof"}),
        ("proof 65 1970s", {"date": "1970", "mint": "S", "strike": "proof"}),
        ("1970 san francisco proof", {"date": "1970", "mint": "S", "strike": "proof"}),
        ("1970s collectors", {"date": "1970", "mint": "S", "release": "collectors"}),
    ],
)  # fmt: skip
def test_what_is_known_of_a_cent(text, facets) -> None:
    assert known(read(text)) == facets


@pytest.mark.parametrize(
    ("series", "text", "facets"),
    [
        (nickels(), "1942", {"date": "1942", "mark": ""}),
        (nickels(), "1942p", {"date": "1942", "mint": "P"}),
        (nickels(), "1942 silver", {"date": "1942", "composition": "silver"}),
        (nickels(), "42p silver", {"date": "1942", "mint": "P", "composition": "silver"}),
        (nickels(), "1980", {"date": "1980"}),
        (nickels(), "1965", {"date": "1965", "mint": "P"}),
        (nickels(), "2005 bison", {"date": "2005", "design": "bison"}),
        (nickels(), "ocean in view 05 p", {"date": "2005", "mint": "P", "design": "ocean-in-view"}),
        (nickels(), "keelboat d", {"date": "2004", "mint": "D", "design": "keelboat"}),
        (quarters(), "76 d", {"date": "1776-1976", "mint": "D"}),
        (quarters(), "bicen s proof silver",
         {"date": "1776-1976", "mint": "S", "strike": "proof", "composition": "silver-clad"}),
        (quarters(), "bicen s collectors circulation",
         {"date": "1776-1976", "mint": "S", "release": "collectors"}),
        (tokens(), "tide 9", {"date": "Tide 9", "mint": "H"}),
        (tokens(), "TIDE 14 k", {"date": "Tide 14", "mint": "K"}),
        (tokens(), "tide10", {"date": "Tide 10", "mint": "H"}),
        (tokens(), "14k", {"date": "Tide 14", "mint": "K"}),
        (tokens(), "1910", {"date": "Tide 18", "mint": "H"}),
        (tokens(), "01", {"date": "Tide 9", "mint": "H"}),
        (tokens(), "10", {"date": "Tide 10", "mint": "H"}),  # as struck, before a short year
    ],
)  # fmt: skip
def test_what_is_known_of_other_coins(series, text, facets) -> None:
    assert known(read(text, series)) == facets


CONFIRMED, SUSPECTED, RULED_OUT = Finding.CONFIRMED, Finding.SUSPECTED, Finding.RULED_OUT


@pytest.mark.parametrize(
    ("series", "text", "findings"),
    [
        (cents(), "1955 ddo", {DDO_1955: CONFIRMED}),
        (cents(), "55 ddo", {DDO_1955: CONFIRMED}),
        (cents(), "doubled die 1955", {DDO_1955: CONFIRMED}),
        (cents(), "55 ddo?", {DDO_1955: SUSPECTED}),
        (cents(), "41 -ddo", {VarietyId("1941-ddo"): RULED_OUT}),
        (cents(), "41 no ddo", {VarietyId("1941-ddo"): RULED_OUT}),
        (cents(), "41 - ddo", {VarietyId("1941-ddo"): RULED_OUT}),
        (cents(), "72 ddo?", {DDO_1972_1: SUSPECTED, DDO_1972_2: SUSPECTED}),
        (cents(), "72 -ddo", {DDO_1972_1: RULED_OUT, DDO_1972_2: RULED_OUT}),
        (cents(), "72 ddo die 2", {DDO_1972_2: CONFIRMED}),
        (cents(), "72 ddo 1", {DDO_1972_1: CONFIRMED}),
        (cents(), "98 wide am", {WIDE_AM_1998: CONFIRMED}),
        (cents(), "98 am wide", {WIDE_AM_1998: CONFIRMED}),
        (cents(), "98 -wide am", {WIDE_AM_1998: RULED_OUT}),
        (cents(), "44d d over d", {RPM_1944: CONFIRMED}),
        (cents(), "44d d/d", {RPM_1944: CONFIRMED}),
        (cents(), "44d rpm", {RPM_1944: CONFIRMED}),
        (cents(), "44d rpm? steel", {RPM_1944: SUSPECTED, STEEL_1944: CONFIRMED}),
        (cents(), "44 steel", {STEEL_1944: CONFIRMED}),
        (cents(), "1943 -ddo", {}),  # none is listed there: nothing to rule out
        (cents(), "1955d -ddo", {}),
        (nickels(), "43p 3 over 2", {OVERDATE_1943: CONFIRMED}),
        (nickels(), "1943/2", {OVERDATE_1943: CONFIRMED}),
        (nickels(), "1943/2p", {OVERDATE_1943: CONFIRMED}),
    ],
)
def test_varieties_are_seen_suspected_or_ruled_out(series, text, findings) -> None:
    assert dict(read(text, series).coin.varieties) == findings


def test_a_missing_letter_can_be_a_variety() -> None:
    no_d = a_variety(
        VarietyId("1922-no-d"), "no D, strong reverse", "missing mint mark", date="1922", mint="D"
    )
    series = replace(cents(), varieties=(*cents().varieties, no_d), _masks={})
    for text in ("22 no d", "1922 no D strong reverse", "no d 22"):
        entry = read(text, series)
        assert dict(entry.coin.varieties) == {no_d.id: CONFIRMED}
        assert known(entry) == {"date": "1922", "mint": "D"}


def test_a_word_for_two_choices_asks_which() -> None:
    choices = (("beads", "large"), ("date size", "large"))
    issues = tuple(replace(i, choices=choices if i.choices else ()) for i in cents().issues)
    series = replace(cents(), issues=issues, varieties=(), _masks={})
    assert "may be a beads or date size" in told("1960 large", series)
    assert known(read("1960 large beads", series)) == {"date": "1960", "mint": "P"}


def test_a_confirmed_variety_says_which_mint_it_must_be() -> None:
    assert known(read("1943/2", nickels())) == {"date": "1943", "mint": "P"}
    assert known(read("55? ddo")) == {"date": "1955", "mint": "P"}
    assert known(read("55? ddo?")) == {"date": "1955"}


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("44 vf-xf", "vf-xf"),
        ("44 vf to xf", "vf-xf"),
        ("44 vf 20-30", "vf20-30"),
        ("44 au details", "au details"),
        ("44 ms65+ rd fs", "ms65+ rd fs"),
        ("44 ms65rd", "ms65 rd"),
        ("rd 44 ms65", "ms65 rd"),
        ("au58 44", "au58"),
        ("au 58 44", "au58"),
        ("44 f 12", "f12"),
        ("44 fine", "f"),
        ("44 very fine", "vf"),
        ("44 g", "g"),
        ("44g", "g"),
        ("44 bu", "ms"),
        ("44 g-4", "g4"),
        ("44 p1", "p1"),
        ("1970s pf65 dcam", "pf65 dcam"),
        ("44", ""),
    ],
)
def test_grades_stand_anywhere(text, grade) -> None:
    assert read(text).coin.grade == (parse_grade(grade) if grade else None)


def test_a_grade_word_before_the_only_date_does_not_swallow_it() -> None:
    entry = read("au 58 d")
    assert known(entry) == {"date": "1958", "mint": "D"}
    assert entry.coin.grade == parse_grade("au")


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        ("58d corroded", [Problem.CORRODED]),
        ("58d rusty", [Problem.CORRODED]),
        ("58d scratch", [Problem.SCRATCHED]),
        ("58d bent holed", [Problem.BENT, Problem.HOLED]),
        ("58d rim ding cleaned", [Problem.RIM_DAMAGE, Problem.CLEANED]),
        ("58d cleaned cleaned", [Problem.CLEANED]),
        ("58d environmental damage", [Problem.ENVIRONMENTAL]),
        ("58d damage", [Problem.DAMAGED]),
        ("zinc rot 98d", [Problem.ZINC_ROT]),
    ],
)
def test_problems_and_their_close_synonyms(text, problems) -> None:
    assert list(read(text).coin.problems) == problems


@pytest.mark.parametrize("problem", list(Problem))
def test_every_problem_can_be_written_by_its_name(problem) -> None:
    assert read(f"44 {problem.value}").coin.problems == (problem,)


@pytest.mark.parametrize("word", ["not genuine", "fake", "counterfeit"])
def test_not_genuine(word) -> None:
    assert not read(f"44 {word}").coin.is_genuine


@pytest.mark.parametrize("word", ["verify", "flag", "to verify"])
def test_to_verify(word) -> None:
    assert read(f"44 {word}").coin.is_flagged


def test_a_letter_in_doubt_is_to_verify() -> None:
    entry = read("44s?")
    assert known(entry) == {"date": "1944", "mint": "S"}
    assert entry.coin.is_flagged
    assert "S is not certain" in entry.said


@pytest.mark.parametrize(
    ("text", "quantity"),
    [
        ("3 x 58d", 3),
        ("3x 58d", 3),
        ("3x58d", 3),
        ("58d x3", 3),
        ("58d 40 x", 40),
        ("3 × 58d", 3),
        ("x 3 58d", 3),
    ],
)
def test_quantities(text, quantity) -> None:
    entry = read(text)
    assert (entry.quantity, entry.coin.quantity) == (quantity, quantity)
    assert known(entry) == {"date": "1958", "mint": "D"}


@pytest.mark.parametrize("text", ["0 x 44", "100001 x 44"])
def test_a_quantity_has_bounds(text) -> None:
    assert "1 to 100,000" in told(text)


@pytest.mark.parametrize(
    ("text", "compare"), [("44s >", ">"), ("44s=", "="), ("< 44s", "<"), ("44s vf20>", ">")]
)
def test_comparing_with_the_coin_in_the_slot(text, compare) -> None:
    assert read(text).compare == compare


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ('44 "from the jar, Ünal"', "from the jar, Ünal"),
        ("44 “κέρμα”", "κέρμα"),
        ("44 // a d over s?", "a d over s?"),
        ('44 ""', ""),
    ],
)
def test_a_note_stands_at_the_end_in_quotes(text, note) -> None:
    entry = read(text)
    assert entry.coin.note == note
    assert known(entry) == {"date": "1944", "mint": "P"}


@pytest.mark.parametrize(
    ("text", "weight_mg"),
    [("1982 d 3.11g", 3110), ("1982d 3.11 g", 3110), ("3,11g 82d", 3110), ("1982d 3110mg", 3110),
     ("1982d 3.1 grams", 3100), ("1982 d 3.11", 3110), ("1982d 3g", 3000)],
)  # fmt: skip
def test_a_weight_is_kept_in_milligrams_and_tells_the_metal(text, weight_mg) -> None:
    entry = read(text)
    assert entry.coin.weight_mg == weight_mg
    assert known(entry)["composition"] == "brass"


@pytest.mark.parametrize(
    ("grams", "metals"),
    [
        (3.25, ()),  # too heavy: wear adds nothing
        (3.24, ("brass",)),
        (2.98, ("brass",)),
        (2.97, ("brass",)),  # worn: up to twice the tolerance too light
        (2.85, ("brass",)),
        (2.84, ()),
        (2.61, ()),
        (2.60, ("zinc",)),
        (2.30, ("zinc",)),
        (2.29, ()),
    ],
)
def test_worn_coins_are_lighter_by_up_to_twice_the_tolerance(grams, metals) -> None:
    mask = cents().may_be(a_description(date="1982"))
    assert metals_by_weight(cents(), mask, grams) == metals


def test_a_metal_whose_own_tolerance_holds_the_weight_comes_before_a_worn_one() -> None:
    mask = quarters().may_be(a_description(quarters(), date=("1964", "1965")))
    assert metals_by_weight(quarters(), mask, 6.07) == ("silver",)
    assert metals_by_weight(quarters(), mask, 5.87) == ("clad",)  # silver only if worn


def test_a_metal_of_unknown_weight_is_never_excluded() -> None:
    assert metals_by_weight(tokens(), tokens().everything, 7.0) == ("tin",)
    assert read("tide 9 7.0g", tokens()).coin.weight_mg == 7000


def test_the_weight_of_a_damaged_coin_tells_nothing_of_its_metal() -> None:
    entry = read("1982d 2.7g corroded")
    assert known(entry) == {"date": "1982", "mint": "D"}
    assert entry.coin.weight_mg == 2700
    assert "damaged" in entry.said


# Which series

ALL = all_series()


@pytest.mark.parametrize(
    ("text", "series"),
    [
        ("dime 64", dimes()),
        ("64 dimes", dimes()),
        ("nickel 43d", nickels()),
        ("43d jefferson", nickels()),
        ("quarter 76", quarters()),
        ("pennies 44", cents()),
        ("bicen", quarters()),
        ("1909", cents()),
        ("bison d", nickels()),
        ("82 wide am", None),
    ],
)
def test_the_series_is_named_or_the_only_one_that_reads(text, series) -> None:
    if series is None:
        assert "wide am" in told(text, ALL)
    else:
        assert parse_entry(text, ALL).series == series.id


def test_several_series_ask_for_the_denomination() -> None:
    message = told("43-D", ALL)
    assert "Lincoln cents, Jefferson nickels, Washington quarters" in message
    assert "“cent 43-D”" in message
    assert [e.series for e in readings("43-D", ALL)] == [
        cents().id, nickels().id, quarters().id,
    ]  # fmt: skip


def test_the_preferred_series_is_meant_where_none_is_named() -> None:
    assert parse_entry("43-D", ALL, nickels().id).series == nickels().id
    assert parse_entry("dime 64", ALL, nickels().id).series == dimes().id


def test_the_preferred_series_is_not_left_in_silence() -> None:
    message = told("1974", ALL, nickels().id)
    assert "Jefferson nickels: none is dated 1974" in message
    assert "Is it a quarter? Write that word in front." in message


# Dates that mean two, or none


def test_a_short_date_that_stands_for_two_gives_both_readings() -> None:
    found = readings("09", [cents()])
    assert [known(e)["date"] for e in found] == ["1909", "2009"]
    assert "“09” can be 1909 or 2009; write the date in full" in told("09")


def test_a_short_date_has_one_reading_where_the_rest_fits_only_one() -> None:
    assert known(read("09 vdb"))["date"] == "1909"
    assert known(read("09s"))["date"] == "1909"
    assert known(read("09 log cabin"))["date"] == "2009"


@pytest.mark.parametrize(
    ("series", "text", "words"),
    [
        (quarters(), "1975", ("none is dated 1975", "1974", "1776-1976")),
        (quarters(), "75", ("none is dated 75", "1974", "1776-1976")),
        (quarters(), "33d", ("none is dated 33", "1932", "1934")),
        (quarters(), "1931", ("none is dated 1931", "runs from 1932 to 1977")),
        (quarters(), "01", ("none is dated 01", "runs from 1932 to 1977")),
        (cents(), "22s", ("no 1922-S was struck", "1922-D", "1922?")),
        (cents(), "65d", ("no 1965-D was struck", "there is 1965.")),
        (cents(), "1982s", ("no 1982-S was struck for circulation", "“proof”")),
        (cents(), "proof 1944", ("no 1944 proof was struck", "1944, 1944-D or 1944-S")),
        (cents(), "? s zinc", ("mint S", "copper-plated zinc")),
        (quarters(), "bicen specimen", ("no 1776-1976 specimen was struck",)),
    ],
)
def test_a_date_never_struck_so_names_what_there_is(series, text, words) -> None:
    message = told(text, series)
    for word in words:
        assert word in message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("44 xyz", ("“xyz”", "quotes")),
        ("44o", ("“O” is no mint letter", "P, D or S")),
        ("44 vf21", ("VF has no step 21",)),
        ("44 vf20 xf40", ("two grades",)),
        ("43 44", ("two dates, 43 and 44",)),
        ("no date 44", ("the date is not known and 44",)),
        ("44 d s", ("two mints, D and S",)),
        ("vf20", ("names no date", "?")),
        ("", ("empty",)),
        ("   ", ("empty",)),
        ('"only a note"', ("empty",)),
        ("72 ddo", ("one of 2", "die 1", "die 2", "ddo?")),
        ("43 ddo", ("“ddo” is not known on 1943", "1955")),
        ("44 rpm", ("“rpm” is not known on 1944", "1944-D")),
        ("82 small large", ("both date size small and large",)),
        ("44 -wheat", ("leaves nothing",)),
        ("44 die", ("“die”",)),
        ("44 no", ("“no”",)),
        ("44 vdbb", ("“vdbb”",)),  # no guessing at what was meant
    ],
)
def test_an_entry_that_cannot_be_read_says_what_and_what_to_do(text, words) -> None:
    message = told(text)
    for word in words:
        assert word in message


def test_a_coin_of_unknown_date_is_called_so_in_every_refusal() -> None:
    called = "a coin of unknown date (D)"
    assert f"“wide am” is not known on {called}" in told("wide am d cent", ALL)
    assert f"{called} bears a letter" in told("? d no letter cent", ALL)
    assert "no coin of unknown date weighs 2.5 g" in told("? 2.5 g nickel", ALL)


def test_what_is_no_coin_has_no_weight_to_tell_anything() -> None:
    assert "names no date" in told("sms 3.1g", ALL)


def test_an_unknown_word_is_named_once_for_several_series() -> None:
    assert "“xyz” in “44 xyz” is not a word known for these series" in told("44 xyz", ALL)


def test_without_any_series_nothing_can_be_read() -> None:
    with pytest.raises(BadEntry, match="no series yet"):
        parse_entry("44", [])


@pytest.mark.parametrize(
    "text",
    ["44\x00", "🪙", "%%%", "44 ^^", "-", "--", "/", "44/", "x", "=", "999999 x", "44 3/2/1"],
)
def test_odd_characters_are_refused_in_plain_words(text) -> None:
    assert told(text, ALL)


# The words themselves


def test_text_is_cut_into_folded_words_and_a_note() -> None:
    assert cut("VF–20, 44;D.") == (["vf-20", "44", "d"], "")
    assert cut('3 × 44 "A Note"') == (["3", "x", "44"], "A Note")
    assert cut("58d 'from the end'") == (["58d"], "from the end")
    assert cut("for collectors' 43 '44") == (["for", "collectors'", "43", "44"], "")
    assert cut("43 D over horizontal D") == (["43", "d/d"], "")


def test_names_are_cut_alike() -> None:
    assert name_words("D over S") == ["d/s"]
    assert name_words("no D, strong reverse") == ["no-d", "strong", "reverse"]
    assert name_words("wheat ears, V.D.B. on the reverse")[2:3] == ["vdb"]


def test_a_vocabulary_is_read_once_for_a_series() -> None:
    assert vocabulary(cents()) is vocabulary(cents())
    assert vocabulary(cents()).dates("09") == ("1909", "2009")
    assert vocabulary(quarters()).dates("bicen") == ("1776-1976",)
    assert vocabulary(cents()).dates("bicen") == ()
