"""A series in the making: rows from a rule and from sheets, and faults told by row and column."""

import time
from dataclasses import replace

import pytest

from core.catalogue.draft import (
    ALL_MINTS,
    DraftCheck,
    DraftFault,
    Rule,
    SeriesDraft,
    Span,
    applies_text,
    check_draft,
    draft_of,
    draft_texts,
    empty_draft,
    exceptions_text,
    generate,
    id_of,
    in_order,
    parse_applies,
    parse_exceptions,
    pasted,
    read_number,
    rows_from_csv,
    rows_from_text,
)
from core.catalogue.draft_rows import ROW_COLUMNS, DraftRow, DraftTotal
from core.catalogue.load import read_series
from core.errors import BadEntry
from core.model.issue import Confidence, Design, Mint
from tests.unit.test_catalogue import HEAD, ROWS

NORTH, SOUTH = Mint("N", "North", ""), Mint("S", "South", "S")
MINTS = (NORTH, SOUTH)
PIER = draft_of(read_series(HEAD, ROWS))


def marks(rows: tuple[DraftRow, ...]) -> str:
    """1901N 1901S …"""
    return " ".join(row.date + row.mint for row in rows)


def made(text: str = "", plus: str = "", first: int = 1901, last: int = 1903) -> str:
    """What a rule gives, with its exceptions as they are typed."""
    rule = Rule(first, last, (), parse_exceptions(text), parse_exceptions(plus))
    return marks(generate(rule, MINTS, "gull", "brass"))


# ---- the rule ---------------------------------------------------------------------------------


def test_exceptions_are_read_as_collectors_write_them() -> None:
    assert parse_exceptions("1922, 1931 D, 1965-1967 S") == (
        (1922, ALL_MINTS),
        (1931, "D"),
        (1965, "S"),
        (1966, "S"),
        (1967, "S"),
    )
    assert parse_exceptions(" 1931-D;1931 – 1932\n1933 D S, 1931-D ") == (
        (1931, "D"),
        (1931, ALL_MINTS),
        (1932, ALL_MINTS),
        (1933, "D"),
        (1933, "S"),
    )
    assert parse_exceptions(" , ") == ()
    given = parse_exceptions("1922, 1931 D, 1965-1967 S")
    assert parse_exceptions(exceptions_text(given)) == given


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("D 1931", "“D 1931” is no year"),
        ("1922, about 1930", "“about 1930” is no year"),
        ("19310", "is no year"),
        ("1940-1931", "ends before it begins"),
        ("1-9999", "longer than 1,000 years"),
    ],
)
def test_an_exception_that_cannot_be_read_is_named(text: str, told: str) -> None:
    with pytest.raises(BadEntry, match=told):
        parse_exceptions(text)


def test_a_rule_gives_a_row_for_each_year_and_mint() -> None:
    assert made() == "1901N 1901S 1902N 1902S 1903N 1903S"
    assert made("1902, 1903 s") == "1901N 1901S 1903N"
    assert made("1901-1903 South", "1899, 1905 S") == "1899N 1899S 1901N 1902N 1903N 1905S"
    only_south = Rule(1901, 1902, ("S",), plus=((1903, "N"), (1904, ALL_MINTS)))
    assert marks(generate(only_south, MINTS, "gull", "brass")) == "1901S 1902S 1903N 1904S"
    row = generate(only_south, MINTS, "gull", "brass")[0]
    assert (row.year, row.mark, row.design, row.mintage) == ("1901", "S", "gull", "")
    assert (row.source, row.confidence) == ("entered by hand", "recalled")


def test_designs_and_metals_come_by_spans_of_years_and_two_in_one_year_give_two_rows() -> None:
    rows = generate(
        Rule(1901, 1904, ("N",)),
        MINTS,
        [Span(1901, 1902, "gull"), Span(1902, 1904, "crab")],
        [Span(1901, 1903, "brass")],
    )
    assert [(r.date, r.design, r.composition) for r in rows] == [
        ("1901", "gull", "brass"),
        ("1902", "gull", "brass"),
        ("1902", "crab", "brass"),
        ("1903", "crab", "brass"),
        ("1904", "crab", ""),
    ]


@pytest.mark.parametrize(
    ("rule", "told"),
    [
        (Rule(1903, 1901, ()), "lies before the first"),
        (Rule(0, 1901, ()), "between 1 and 9999"),
        (Rule(1, 5000, ()), "more than 1,000 years"),
        (Rule(1901, 1902, ("Q",)), "no mint “Q”; the series has N, S"),
        (Rule(1901, 1902, (), without=((1901, "Q"),)), "no mint “Q”"),
    ],
)
def test_a_rule_that_makes_no_sense_is_refused(rule: Rule, told: str) -> None:
    with pytest.raises(BadEntry, match=told):
        generate(rule, MINTS, "gull", "brass")


# ---- a draft as texts, and its faults ---------------------------------------------------------


def test_a_draft_of_a_series_is_that_series() -> None:
    assert read_series(*draft_texts(PIER)) == read_series(HEAD, ROWS)
    assert check_draft(PIER) == DraftCheck((), read_series(HEAD, ROWS))


def test_an_empty_draft_with_a_title_and_a_rule_is_a_series() -> None:
    draft = empty_draft()
    named = replace(
        draft, id=id_of("Ferry Tokens"), title="Ferry Tokens", issuer="Ferry", currency="FRY",
        denomination="one crossing", face_value="1",
    )  # fmt: skip
    rows = generate(Rule(1950, 1952, ()), draft.mints, "usual", "usual")
    series = check_draft(replace(named, rows=rows)).series
    assert series is not None
    assert (series.id, [i.date for i in series.issues]) == (
        "ferry-tokens",
        ["1950", "1951", "1952"],
    )
    missing = {f.column for f in check_draft(draft).faults if f.where == "head"}
    assert missing == {"id", "title", "issuer", "denomination", "currency", "face_value"}


def changed(at: int, **cells: str) -> SeriesDraft:
    """The pier pennies with cells of one row exchanged."""
    rows = list(PIER.rows)
    rows[at] = replace(rows[at], **cells)
    return replace(PIER, rows=tuple(rows))


def test_faults_are_told_by_row_and_column_however_many_lines_a_cell_has() -> None:
    draft = changed(0, note="two\r\nlines\nof it", mintage="5oo")
    rows = list(draft.rows)
    rows[3] = replace(rows[3], year="19x2", design="crab")
    rows[4] = replace(rows[4], strike="struck")
    found = check_draft(replace(draft, rows=tuple(rows), totals=(DraftTotal("1902", "N", "-9"),)))
    assert [(f.where, f.row, f.column) for f in found.faults] == [
        ("rows", 0, "note"),
        ("rows", 0, "mintage"),
        ("rows", 3, "year"),
        ("rows", 3, "design"),
        ("rows", 4, "strike"),
        ("total", 0, "mintage"),
        ("total", 0, "source"),
        ("total", 0, "confidence"),
    ]
    assert found.series is None
    assert [f.column for f in found.of_row(3)] == ["year", "design"]
    assert found.faults[1].told == (
        "row 1, mintage: mintage '5oo' is not a whole number; write digits only"
    )
    assert "not in the series; use gull, or add a design" in found.faults[3].text


def test_a_row_that_stands_twice_names_the_other_by_its_number() -> None:
    twice = replace(PIER, rows=(*PIER.rows, PIER.rows[-1]))
    (fault,) = check_draft(twice).faults
    assert fault == DraftFault(
        "rows", 5, "", "this issue stands in row 5 already; take one out or tell them apart"
    )


def test_faults_of_the_head_and_of_its_parts_are_told_by_their_fields() -> None:
    draft = replace(
        PIER,
        title="",
        face_value="a penny",
        diameter_mm="20,5",
        currency="p",
        mints=(NORTH, Mint("S", "", "S")),
        designs=(*PIER.designs, Design("crab", "crab", source="i")),
        varieties=(replace(PIER.varieties[0], applies=(("date", ("1910",)),)),),
        signs=(replace(PIER.signs[0], where=""),),
    )
    found = {(f.where, f.row, f.column): f.text for f in check_draft(draft).faults}
    assert set(found) == {
        ("head", None, "title"),
        ("head", None, "face_value"),
        ("head", None, "diameter_mm"),
        ("head", None, "currency"),
        ("mint", 1, "name"),
        ("design", 1, "id"),
        ("variety", 0, "applies"),
        ("sign", 0, "where"),
    }
    told = " ".join(found.values())
    assert "quotes" not in told
    assert "[[" not in told
    assert "face_value_minor" not in told


def test_a_series_without_rows_or_mints_says_so() -> None:
    assert [(f.where, f.row) for f in check_draft(replace(PIER, rows=())).faults] == [
        ("rows", None),
        ("total", 0),
    ]
    bare = replace(PIER, mints=())
    assert [(f.where, f.row) for f in check_draft(bare).faults] == [("mint", None)]


@pytest.mark.parametrize("odd", ["\x00", "\ud800", '"""', "\\", "a\nb", "#", "\u202e", "'" * 3])
def test_whatever_is_typed_is_written_and_told_without_stumbling(odd: str) -> None:
    everywhere = replace(
        changed(1, date=odd, note=odd, choices=odd),
        title=odd, note=odd, words=(odd,), sources=(odd,), face_value=odd, diameter_mm=odd,
        designs=(replace(PIER.designs[0], title=odd),),
    )  # fmt: skip
    found = check_draft(everywhere)
    assert found.series is None
    assert ("head", "face_value") in {(f.where, f.column) for f in found.faults}


def test_rows_are_brought_into_the_order_of_their_years() -> None:
    years = ("1903", "1901", "x", "1902")
    rows = [replace(PIER.rows[0], date=year, year=year) for year in years]
    assert [r.year for r in in_order(rows)] == ["1901", "x", "1902", "1903"]


def test_a_draft_of_300_rows_is_checked_at_each_key() -> None:
    rows = generate(Rule(1800, 1949, ()), MINTS, "gull", "brass")
    draft = replace(PIER, rows=rows, totals=(), varieties=(), signs=())
    assert (len(rows), check_draft(draft).faults) == (300, ())
    took = []
    for at in range(5):
        typed = replace(draft, rows=(replace(rows[0], mintage=str(at)), *rows[1:]))
        begin = time.perf_counter()
        check_draft(typed)
        took.append(time.perf_counter() - begin)
    assert min(took) < 0.06


def test_ids_numbers_and_facets_are_read_as_they_are_typed() -> None:
    assert id_of("Élan & Co. Pence", ["elan-co-pence"]) == "elan-co-pence-2"
    assert id_of("昭和") == "series"
    assert (read_number(" 4,5 ", "weight"), read_number("", "weight")) == (4.5, None)
    for bad in ("4.5 g", "-1", "nan", "1_0", "٤"):
        with pytest.raises(BadEntry, match="weight"):
            read_number(bad, "weight")
    applies = (("date", ("1955",)), ("mint", ("N", "S")))
    assert parse_applies(" date=1955; mint = S, N ;") == applies
    assert parse_applies(applies_text(applies)) == applies
    for bad in ("1955", "date=", "date=1;date=2"):
        with pytest.raises(BadEntry):
            parse_applies(bad)


# ---- sheets -----------------------------------------------------------------------------------


def test_cells_out_of_a_sheet_are_cut_at_tabs_semicolons_or_commas() -> None:
    for cut in "\t;,":
        text = f"1901{cut}N\r\n1902{cut}S\r\n\r\n"
        assert rows_from_text(text, ("date", "mint")) == (("1901", "N"), ("1902", "S"))
    assert rows_from_text("1901\n1902\n", ("mintage", "note")) == (("1901",), ("1902",))
    assert rows_from_text("5' 3\"\tx", ("note", "source")) == (("5' 3\"", "x"),)
    assert rows_from_text('"a, b",x', ("note", "source")) == (("a, b", "x"),)
    assert rows_from_text(" \n", ("note",)) == ()


def test_a_first_line_of_names_brings_cells_under_their_columns() -> None:
    text = "Mintage\tMetal\tDate\t\n500\tbrass\t1901\tnot wanted\n"
    found = pasted(text)
    assert (found.columns, found.rows) == (
        ("mintage", "composition", "date"),
        (("500", "brass", "1901"),),
    )
    (row,) = rows_from_text(text)
    told = dict(zip(ROW_COLUMNS, row, strict=True))
    assert (told["date"], told["composition"], told["mintage"]) == ("1901", "brass", "500")
    assert rows_from_text("date,mint\n", ("date", "mint")) == ()
    assert rows_from_text("mint\n", ("note",)) == (("mint",),)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1901\tN\tx", "3 cells, but there is room for 2 columns"),
        ("date\tmint\tprice\n", "no column “price”"),
        ("date\tdate\n", "date stands twice"),
        ("\n" * 10 + "1\n" * 10_001, "more than 10,000 rows"),
        ('"' + "x" * 200_000 + '",x', "cannot be read"),
    ],
)
def test_what_does_not_fit_the_columns_is_refused(text: str, told: str) -> None:
    with pytest.raises(BadEntry, match=told):
        rows_from_text(text, ("date", "mint"))


def test_a_csv_with_a_date_column_becomes_rows() -> None:
    found = rows_from_csv(
        "Date;Mint;Mintage;Type;Variety note\n"
        "1901;north;1.234.567;Gull;\n1902;S;12 000;gull;wide\n",
        MINTS, PIER.designs, PIER.compositions,
    )  # fmt: skip
    assert found.faults == []
    assert [(r.year, r.mint, r.mark, r.mintage, r.design) for r in found.rows] == [
        ("1901", "N", "", "1234567", "gull"),
        ("1902", "S", "S", "12000", "gull"),
    ]
    assert found.rows[1].note == "wide"
    assert found.rows[0].composition == "brass"
    assert found.rows[0].confidence == Confidence.RECALLED.value
    assert check_draft(
        replace(PIER, rows=tuple(found.rows), totals=(), varieties=(), signs=())
    ).series


def test_faulty_rows_of_a_csv_are_named_and_the_others_taken() -> None:
    found = rows_from_csv(
        "date,year,mint\n1901,,N\n,,N\nHE 3,,N\nHE 4,1903,N\n1904,1904,N,x\n", MINTS
    )
    assert [r.date for r in found.rows] == ["1901", "HE 4"]
    assert [f.partition(":")[0] for f in found.faults] == ["row 3", "row 4", "row 6"]


def test_issues_csv_itself_is_read_as_a_csv() -> None:
    found = rows_from_csv(ROWS, PIER.mints, PIER.designs, PIER.compositions)
    assert (tuple(found.rows), tuple(found.totals)) == (PIER.rows, PIER.totals)


@pytest.mark.parametrize("text", ["", "mint,mintage\nN,5\n", "1901,N\n", "date,price\n1901,2\n"])
def test_a_csv_without_names_or_a_date_is_refused(text: str) -> None:
    with pytest.raises(BadEntry):
        rows_from_csv(text)
