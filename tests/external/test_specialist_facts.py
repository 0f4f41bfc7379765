"""What a specialist would try first on a library of date-and-mint series, in one table.

Each fact stands in words, with what it rests on: a law by its number, a printed work, an article
as the list of trade facts names it, or "common practice", which every list of the trade has alike.
Its answer is asked of the loaded series and never empty, so that a question that finds nothing
fails; all that do not hold are told at once.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from core.catalogue.load import load_series
from core.model.issue import SeriesId
from tests.external.library_questions import (
    figures,
    first_p,
    gaps,
    marks,
    mints,
    paid,
    scarcest,
    signed,
    span,
    struck,
    varieties,
    years,
)

CENT, NICKEL, BUFFALO = "us-cent-lincoln", "us-nickel-jefferson", "us-nickel-buffalo"
LIBERTY, STATES = "us-nickel-liberty", "us-quarter-state-territory"
DIME, MERCURY, BARBER_DIME = "us-dime-roosevelt", "us-dime-mercury", "us-dime-barber"
QUARTER, STANDING = "us-quarter-washington", "us-quarter-standing-liberty"
PARKS, PENNY = "us-quarter-national-parks", "uk-penny-bronze"
HALF, WALKING, FRANKLIN = "us-half-kennedy", "us-half-walking-liberty", "us-half-franklin"
MORGAN, PEACE = "us-dollar-morgan", "us-dollar-peace"
LARGE, SMALL = "us-dollar-eisenhower", "us-dollar-small"
OF_1964 = (CENT, NICKEL, DIME, QUARTER, HALF)
PRACTICE = "common practice"
MARKS = "overviews of US mint marks, several articles agree"
YEARLY = "annual reports of the Director of the Mint, as the trade's lists give them"
LAW_1965 = "Coinage Act of 1965 (Public Law 89-81)"
ALLOYS = "cent weights and alloy history, collectors' discussion, 13 July 2019"
WHEAT = "overviews of wheat-ear cents, several articles agree"
VARIETIES = "Collectible Lincoln Varieties, trade article, c. 2008"
PROFILE = "COINage Profile: 1982-D Small Date Bronze, COINage magazine"


@dataclass(frozen=True, slots=True)
class Fact:
    """Something known in the trade: in words, what it rests on, the question and the answer."""

    words: str
    source: str
    ask: Callable[[], object]
    answer: object


CENTS = [
    Fact(
        "1909 has four cents: with and without VDB, each of Philadelphia and San Francisco",
        WHEAT,
        lambda: {(i.design, i.mint) for i in paid(CENT, date="1909")},
        {(design, mint) for design in ("wheat-vdb", "wheat") for mint in "PS"},
    ),
    Fact(
        "484,000 VDB cents were struck at San Francisco",
        "collectors' site, 1909 cents",
        lambda: [i.mintage for i in paid(CENT, date="1909", mint="S", design="wheat-vdb")],
        [484_000],
    ),
    Fact(
        "the only regular cent of 1922 is of Denver: none of Philadelphia, none of San Francisco",
        YEARLY,
        lambda: [(i.mint, i.mark) for i in struck(CENT, date="1922")],
        [("D", "D")],
    ),
    Fact(
        "1922 cents with a weak D and with no D are varieties of the Denver coin",
        VARIETIES,
        lambda: varieties(CENT, "1922-no-d", "1922-weak-d"),
        {key: {("1922", "D")} for key in ("1922-no-d", "1922-weak-d")},
    ),
    Fact(
        "Denver struck no cents dated 1909, 1910, 1921, 1923 or 1965 to 1967",
        YEARLY,
        lambda: span(1909, 2025) - years(paid(CENT, mint="D")),
        {1909, 1910, 1921, 1923, 1965, 1966, 1967},
    ),
    Fact(
        "no cent for use of San Francisco is dated 1922, 1932 to 1934, 1956 to 1967, or since 1975",
        YEARLY,
        lambda: span(1909, 2025) - years(paid(CENT, mint="S")),
        {1922} | span(1932, 1934) | span(1956, 1967) | span(1975, 2025),
    ),
    Fact(
        "the cents of 1943 are steel, at three mints",
        ALLOYS,
        lambda: [(i.mint, i.composition) for i in struck(CENT, date="1943")],
        [(mint, "steel") for mint in "PDS"],
    ),
    Fact(
        "a 1943 cent in bronze and a 1944 in steel are errors of any mint, not issues",
        WHEAT,
        lambda: varieties(CENT, "1943-bronze", "1944-steel"),
        {f"{d}-{m}": {(d, x) for x in "PDS"} for d, m in (("1943", "bronze"), ("1944", "steel"))},
    ),
    Fact(
        "the doubled die of 1955 is of Philadelphia",
        VARIETIES,
        lambda: varieties(CENT, "1955-ddo"),
        {"1955-ddo": {("1955", "P")}},
    ),
    Fact(
        "the cents of 1960 come with small and large date, of both mints",
        "sorting guides for 1960 and 1970-S cents, by a specialist in cents",
        lambda: {(i.mint, dict(i.choices)["date size"]) for i in paid(CENT, date="1960")},
        {(mint, size) for mint in "PD" for size in ("small", "large")},
    ),
    Fact(
        "of 1970 only the cent of San Francisco comes with small and large date",
        "Found in Rolls, Coin World, 13 July 2015",
        lambda: sorted((i.mint, *dict(i.choices).values()) for i in paid(CENT, date="1970")),
        [("D",), ("P",), ("S", "large"), ("S", "small")],
    ),
    Fact(
        "1982 has seven cents: P both sizes in both metals, D large in both and small in zinc only",
        PROFILE,
        lambda: sorted(
            (i.mint, dict(i.choices)["date size"], i.composition) for i in paid(CENT, date="1982")
        ),
        [
            ("D", "large", "brass"),
            ("D", "large", "zinc"),
            ("D", "small", "zinc"),
            ("P", "large", "brass"),
            ("P", "large", "zinc"),
            ("P", "small", "brass"),
            ("P", "small", "zinc"),
        ],
    ),
    Fact(
        "the eighth of 1982, D small date in copper, is an error of which a handful are known",
        PROFILE,
        lambda: varieties(CENT, "1982-d-small-copper"),
        {"1982-d-small-copper": {("1982", "D")}},
    ),
    Fact(
        "the cents of 2009 have four reverses, each of two mints",
        "Coin World, 2009; hobby article on the production of cents, 10 March 2018",
        lambda: sorted((i.design, i.mint) for i in paid(CENT, date="2009")),
        sorted(
            (design, mint)
            for design in ("birthplace", "formative", "professional", "presidency")
            for mint in "PD"
        ),
    ),
    Fact(
        "a P stands on cents of 2017 only",
        "hobby article on the first P on a cent, 2017",
        lambda: years(struck(CENT, mark="P")),
        {2017},
    ),
    Fact(
        "the circulating cent ends with 2025",
        "US Mint announcement, as reported in December 2025",
        lambda: max(years(paid(CENT))),
        2025,
    ),
]

LETTERS = [
    Fact(
        "1964 has a coin without a letter and one with D, in all five denominations",
        MARKS,
        lambda: marks(OF_1964, "1964"),
        {(name, "1964"): ["", "D"] for name in OF_1964},
    ),
    Fact(
        "1965, 1966 and 1967 bear no letter and are one issue each, in all five denominations",
        f"{MARKS}; {LAW_1965}",
        lambda: marks(OF_1964, "1965", "1966", "1967"),
        {(name, date): [""] for name in OF_1964 for date in ("1965", "1966", "1967")},
    ),
    Fact(
        "in 1968 the letters are back: cents of P, D and S, nickels of D and S, halves of D alone",
        f"{MARKS}; {YEARLY}",
        lambda: marks(OF_1964, "1968"),
        {
            (CENT, "1968"): ["", "D", "S"],
            (NICKEL, "1968"): ["D", "S"],
            (DIME, "1968"): ["", "D"],
            (QUARTER, "1968"): ["", "D"],
            (HALF, "1968"): ["D"],
        },
    ),
    Fact(
        "a P stands on nickels, dimes, quarters and halves from 1980, on the dollar from 1979",
        MARKS,
        lambda: {name: first_p(name) for name in (NICKEL, DIME, QUARTER, HALF, SMALL)},
        {**dict.fromkeys((NICKEL, DIME, QUARTER, HALF), 1980), SMALL: 1979},
    ),
    Fact(
        "a dime of 1982 without a letter is a variety of Philadelphia, not an issue",
        "published articles on the dime",
        lambda: (varieties(DIME, "1982-no-p"), marks([DIME], "1982")),
        ({"1982-no-p": {("1982", "P")}}, {(DIME, "1982"): ["P", "D"]}),
    ),
    Fact(
        "quarters with a W were paid out in 2019 and 2020, five designs each; V75 in 2020",
        PRACTICE,
        lambda: [
            (year, len(found), sum("V75" in i.note for i in found))
            for year in sorted(years(paid(PARKS, mint="W")))
            for found in [paid(PARKS, mint="W", date=str(year))]
        ],
        [(2019, 5, 0), (2020, 5, 5)],
    ),
    Fact(
        "the W dime of 1996 was given in mint sets only: 1,457,000",
        "published article on the dime",
        lambda: [(i.date, i.release.value, i.mintage) for i in struck(DIME, mint="W")],
        [("1996", "collectors", 1_457_000)],
    ),
]

NICKELS = [
    Fact(
        "the silver nickels of 1942 to 1945 bear their letter, P too: eleven coins",
        "published articles on wartime nickels, several agree",
        lambda: sorted((i.date, i.mark) for i in paid(NICKEL, composition="silver")),
        sorted(
            [
                ("1942", "P"),
                ("1942", "S"),
                *((y, m) for y in ("1943", "1944", "1945") for m in "PDS"),
            ]
        ),
    ),
    Fact(
        "the large letter above the dome tells the silver alloy",
        MARKS,
        lambda: signed(NICKEL, "a large P, D or S above the dome"),
        {"silver"},
    ),
    Fact(
        "1942 has both alloys: Philadelphia both, Denver the old one, San Francisco silver",
        "Act of 27 March 1942; published articles on wartime nickels",
        lambda: sorted((i.mint, i.composition) for i in paid(NICKEL, date="1942")),
        [("D", "cupronickel"), ("P", "cupronickel"), ("P", "silver"), ("S", "silver")],
    ),
    Fact(
        "a nickel of 1944 without its P is a counterfeit of its time",
        "the trade's tables of varieties, recalled",
        lambda: varieties(NICKEL, "1944-no-p-counterfeit"),
        {"1944-no-p-counterfeit": {("1944", "P")}},
    ),
    Fact(
        "2004 and 2005 have two nickel designs each, of two mints",
        "Club members perform nickel search, Numismatic News",
        lambda: sorted((i.date, i.design, i.mint) for i in paid(NICKEL, date=["2004", "2005"])),
        sorted(
            (date, design, mint)
            for date, designs in (
                ("2004", ("peace-medal", "keelboat")),
                ("2005", ("bison", "ocean")),
            )
            for design in designs
            for mint in "PD"
        ),
    ),
    Fact(
        "no nickel is dated 1922, 1932 or 1933",
        YEARLY,
        lambda: gaps(LIBERTY, BUFFALO, NICKEL),
        {1922, 1932, 1933},
    ),
    Fact(
        "the nickel of 1931 is of San Francisco alone, the Buffalo of 1938 of Denver alone",
        YEARLY,
        lambda: (mints(BUFFALO, "1931"), mints(BUFFALO, "1938")),
        ({"S"}, {"D"}),
    ),
    Fact(
        "1913 has a mound and a line under the bison, each of three mints",
        "published story of the three-legged nickel",
        lambda: {(i.design, i.mint) for i in paid(BUFFALO, date="1913")},
        {(design, mint) for design in ("mound", "line") for mint in "PDS"},
    ),
    Fact(
        "the three-legged nickel is the 1937 of Denver",
        "specialists' diagnostics, quoted in a discussion",
        lambda: varieties(BUFFALO, "1937-d-three-legged"),
        {"1937-d-three-legged": {("1937", "D")}},
    ),
    Fact(
        "the first nickels of 1883 lack the word CENTS; Denver and San Francisco joined in 1912",
        PRACTICE,
        lambda: (
            sorted(i.design for i in paid(LIBERTY, date="1883")),
            [(i.date, i.mint) for i in paid(LIBERTY, mint=["D", "S"])],
        ),
        (["no-cents", "with-cents"], [("1912", "D"), ("1912", "S")]),
    ),
    Fact(
        "the nickel of which the fewest were struck since 1938 is the 1950 of Denver",
        "collectors' discussion of the 1950-D nickel; dealer's list of mintages",
        lambda: (scarcest(NICKEL, 1), figures(NICKEL, "1950")["D"]),
        ([("1950", "D")], 2_630_030),
    ),
]

DIMES_AND_QUARTERS = [
    Fact(
        "the dime of 1916 with the winged cap is of three mints, Denver the scarcest of its series",
        "COINage magazine, profile of the 1916-D dime",
        lambda: (figures(MERCURY, "1916"), scarcest(MERCURY, 1)),
        ({"P": 22_180_080, "D": 264_000, "S": 10_450_000}, [("1916", "D")]),
    ),
    Fact(
        "the dimes of 1921 are of Philadelphia and Denver only",
        YEARLY,
        lambda: mints(MERCURY, "1921"),
        {"P", "D"},
    ),
    Fact(
        "no dime is dated 1922, 1932 or 1933",
        YEARLY,
        lambda: gaps(BARBER_DIME, MERCURY, DIME),
        {1922, 1932, 1933},
    ),
    Fact(
        "1916 has dimes of two designs; the third starts with 1946, and S dimes end with 1955",
        YEARLY,
        lambda: (
            max(years(paid(BARBER_DIME))),
            min(years(paid(MERCURY))),
            max(years(paid(MERCURY))),
            min(years(paid(DIME))),
            max(years(paid(DIME, mint="S"))),
        ),
        (1916, 1916, 1945, 1946, 1955),
    ),
    Fact(
        "24 dimes were struck at San Francisco in 1894, none of them for use",
        "encyclopedia article on the silver coins of 1892-1916",
        lambda: [(i.release.value, i.mintage) for i in struck(BARBER_DIME, date="1894", mint="S")],
        [("collectors", 24)],
    ),
    Fact(
        "no quarter is dated 1922, 1931, 1933 or 1975",
        f"{YEARLY}; Public Law 93-127",
        lambda: gaps("us-quarter-barber", STANDING, QUARTER, STATES, PARKS),
        {1922, 1931, 1933, 1975},
    ),
    Fact(
        "1932 has quarters of three mints; those of San Francisco and Denver are the scarcest",
        "COINage magazine, 1932 quarters",
        lambda: (mints(QUARTER, "1932"), scarcest(QUARTER, 2)),
        ({"P", "D", "S"}, [("1932", "S"), ("1932", "D")]),
    ),
    Fact(
        "the standing Liberty of 1916 is of Philadelphia alone; 1917 has two types of three mints",
        PRACTICE,
        lambda: (mints(STANDING, "1916"), len(paid(STANDING, date="1917"))),
        ({"P"}, 6),
    ),
    Fact(
        "dimes and quarters are silver to 1964 and clad from 1965",
        LAW_1965,
        lambda: [
            (
                max(years(paid(name, composition="silver"))),
                min(years(paid(name, composition="clad"))),
            )
            for name in (DIME, QUARTER)
        ],
        [(1964, 1965)] * 2,
    ),
    Fact(
        "quarters have five designs a year from 1999, and six in 2009",
        "Public Law 105-124; Public Law 110-161",
        lambda: [
            len({i.design for i in paid(STATES, date=str(year))}) for year in range(1999, 2010)
        ],
        [5] * 10 + [6],
    ),
]

HALVES_AND_DOLLARS = [
    Fact(
        "no half is dated 1922, 1924 to 1926 or 1930 to 1932",
        YEARLY,
        lambda: gaps("us-half-barber", WALKING, FRANKLIN),
        {1922, *span(1924, 1926), *span(1930, 1932)},
    ),
    Fact(
        "the halves of 1917 of Denver and San Francisco have their letter on either side",
        PRACTICE,
        lambda: sorted((i.mint, i.design) for i in paid(WALKING, date="1917")),
        [
            *(("D", side) for side in ("obverse-letter", "reverse-letter")),
            ("P", "reverse-letter"),
            *(("S", side) for side in ("obverse-letter", "reverse-letter")),
        ],
    ),
    Fact(
        "halves are 90 % silver in 1964, 40 % from 1965 to 1970, clad from 1971",
        "Coin World, 4 December 2011; 31 U.S.C. 5112(b)",
        lambda: {
            alloy: (
                min(years(struck(HALF, composition=alloy, mint=["P", "D"]))),
                max(years(struck(HALF, composition=alloy, mint=["P", "D"]))),
            )
            for alloy in ("silver", "silver-40", "clad")
        },
        {"silver": (1964, 1964), "silver-40": (1965, 1970), "clad": (1971, 2025)},
    ),
    Fact(
        "the half of 1970 of Denver and both of 1987 came in sets only",
        "published articles on the halves",
        lambda: [
            (i.date, i.mint, i.release.value)
            for i in struck(HALF, date=["1970", "1987"], strike="circulation")
        ],
        [("1970", "D", "collectors"), ("1987", "P", "collectors"), ("1987", "D", "collectors")],
    ),
    Fact(
        "from 2002 to 2020 no half was paid out to banks",
        "Circulating production rises, Coin World, about 2011; the end of the run is recalled",
        lambda: gaps(HALF) - {1970, 1975, 1987},
        span(2002, 2020),
    ),
    Fact(
        "no quarter, half or dollar is dated 1975: those of 1975 and 1976 bear 1776-1976",
        "Act of 18 October 1973 (Public Law 93-127)",
        lambda: {
            (name, i.date)
            for name in (QUARTER, HALF, LARGE)
            for i in load_series(SeriesId(name)).issues
            if i.year in (1975, 1976)
        },
        {(name, "1776-1976") for name in (QUARTER, HALF, LARGE)},
    ),
    Fact(
        "the Bicentennial coins of 40 % silver are of San Francisco and were sold to collectors",
        "Act of 18 October 1973 (Public Law 93-127)",
        lambda: {
            (name, i.mint, i.release.value)
            for name in (QUARTER, HALF, LARGE)
            for i in struck(name, date="1776-1976", composition="silver-40")
        },
        {(name, "S", "collectors") for name in (QUARTER, HALF, LARGE)},
    ),
    Fact(
        "no Morgan dollar is dated 1905 to 1920; 1921 alone has one of Denver",
        YEARLY,
        lambda: (gaps(MORGAN), years(paid(MORGAN, mint="D"))),
        (span(1905, 1920), {1921}),
    ),
    Fact(
        "the Morgan dollar of 1895 of Philadelphia is in the records, but known as a proof only",
        "reader guide to the dollar; encyclopedia of US silver dollars",
        lambda: [
            (i.strike.value, i.mintage, "none is known but proofs" in i.note)
            for i in struck(MORGAN, date="1895", mint="P")
        ],
        [("circulation", 12_000, True), ("proof", None, False)],
    ),
    Fact(
        "Peace dollars are dated 1921 to 1928, 1934 and 1935: 24 coins",
        "collectors' site and dealer's list, which agree",
        lambda: (years(paid(PEACE)), len(paid(PEACE))),
        (span(1921, 1928) | {1934, 1935}, 24),
    ),
    Fact(
        "the small dollar of 1981 came in sets only, and the next is dated 1999",
        PRACTICE,
        lambda: (
            {i.release.value for i in struck(SMALL, date="1981")},
            sorted(years(paid(SMALL, composition="clad"))),
        ),
        ({"collectors"}, [1979, 1980, 1999]),
    ),
]

ELSEWHERE = [
    Fact(
        "no British penny for use is dated 1923 to 1925, 1933, 1941 to 1943, 1952 or 1954 to 1960",
        PRACTICE,
        lambda: gaps(PENNY),
        {*span(1923, 1925), 1933, *span(1941, 1943), 1952, *span(1954, 1960)},
    ),
    Fact(
        "British pennies bear H in 1912, 1918 and 1919 and KN in 1918 and 1919",
        PRACTICE,
        lambda: {mark: years(paid(PENNY, mark=mark)) for mark in ("H", "KN")},
        {"H": {1912, 1918, 1919}, "KN": {1918, 1919}},
    ),
    Fact(
        "the pennies of 1950 and 1951 are the scarcest of the British series",
        "forum discussion, 2025; figure as usually printed in trade guides",
        lambda: scarcest(PENNY, 2),
        [("1951", ""), ("1950", "")],
    ),
    Fact(
        "Canada's small cent runs from 1920 to 2012 without a gap; the Jubilee's bears 1952-2002",
        "press reports, 2012 and January 2013; common practice",
        lambda: (
            years(paid("ca-cent-small")),
            {i.date for i in paid("ca-cent-small") if i.year == 2002},
        ),
        (span(1920, 2012), {"1952-2002"}),
    ),
    Fact(
        "Canada's cent of 1936 with a dot is a variety, and 1947 comes with and without a leaf",
        PRACTICE,
        lambda: (
            varieties("ca-cent-small", "1936-dot"),
            sorted(i.design for i in paid("ca-cent-small", date="1947")),
        ),
        ({"1936-dot": {("1936", "")}}, ["george-6-emperor", "george-6-leaf"]),
    ),
    Fact(
        "Canada's five cents of 1926 come with the 6 near the leaf and far from it",
        "the trade's tables of varieties, recalled",
        lambda: varieties("ca-five-cents", "1926-near-6", "1926-far-6"),
        {key: {("1926", "")} for key in ("1926-near-6", "1926-far-6")},
    ),
    Fact(
        "Canada's five cents of 1942 are of nickel and of tombac, those of 1943 of tombac alone",
        "encyclopedia article on the Canadian nickel",
        lambda: [
            {i.composition for i in paid("ca-five-cents", date=date)} for date in ("1942", "1943")
        ],
        [{"nickel", "tombac"}, {"tombac"}],
    ),
    Fact(
        "Irish pennies bear the Free State's name to 1937; none is dated 1938 or 1939",
        PRACTICE,
        lambda: (
            max(years(paid("ie-penny", design="saorstat-eireann"))),
            min(years(paid("ie-penny", design="eire"))),
        ),
        (1937, 1940),
    ),
    Fact(
        "Australian pennies are dated 1911 to 1964, but none 1937 or 1954",
        PRACTICE,
        lambda: (
            min(years(paid("au-penny"))),
            max(years(paid("au-penny"))),
            gaps("au-penny"),
        ),
        (1911, 1964, {1937, 1954}),
    ),
    Fact(
        "every German two euro was struck at five mints: A, D, F, G and J",
        PRACTICE,
        lambda: {
            "".join(i.mark for i in paid("de-two-euro", design=design.id))
            for design in load_series(SeriesId("de-two-euro")).designs
        },
        {"ADFGJ"},
    ),
]

FACTS = [*CENTS, *LETTERS, *NICKELS, *DIMES_AND_QUARTERS, *HALVES_AND_DOLLARS, *ELSEWHERE]


def test_what_a_specialist_would_test_holds():
    wrong = []
    for fact in FACTS:
        found = fact.ask()
        if found != fact.answer:
            wrong.append(
                f"{fact.words} ({fact.source})\n    asked: {found}\n    known: {fact.answer}"
            )
    assert not wrong, "\n".join(["these facts do not hold:", *wrong])


def test_the_table_is_long_enough_and_each_fact_is_told_once_with_its_source():
    assert len(FACTS) >= 20
    assert len({fact.words for fact in FACTS}) == len(FACTS)
    for fact in FACTS:
        assert fact.source.strip(), fact.words


def test_no_fact_holds_because_nothing_was_found():
    """An answer has something in it, and so has each set, list or mapping within it."""
    for fact in FACTS:
        within = fact.answer.values() if isinstance(fact.answer, dict) else fact.answer
        parts = within if isinstance(within, Iterable) else ()
        assert fact.answer, fact.words
        assert all(part for part in parts if isinstance(part, set | list | dict)), fact.words
