"""Reading a series from its two files: the rules, and every fault with file, line, what to do."""

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.load import (
    check_folder,
    library_ids,
    library_texts,
    load_series,
    read_series,
    series_text,
)
from core.catalogue.write import write_series
from core.errors import CatalogueFault, UnknownSeries
from core.model.issue import Confidence, Release, SeriesId, Strike

HEAD = """\
id = "pier-penny"
title = "Pier pennies"
issuer = "Pier (invented)"
denomination = "one penny"
face_value_minor = 1
currency = "PIER"
diameter_mm = 20.5
is_invented = true
words = ["penny", "pennies"]
sources = ["invented"]

[[mint]]
id = "N"
name = "North"
mark = ""

[[mint]]
id = "S"
name = "South"
mark = "S"

[[design]]
id = "gull"
title = "gull"
source = "invented"
confidence = "invented"

[[composition]]
id = "brass"
title = "brass"
weight_g = 3.1
tolerance_g = 0.1
silver_ozt = 0
source = "invented"
confidence = "invented"

[[variety]]
id = "two-beaks"
name = "two beaks"
kind = "doubled die"
where = "beak"
look = "the beak stands twice"
odds = "possible"
applies = { date = "1901", mint = ["N", "S"] }
source = "invented"
confidence = "invented"

[[sign]]
facet = "date size"
value = "small"
where = "date"
look = "level tops"
odds = "findable"
applies = { date = "1902" }
source = "invented"
confidence = "invented"
"""
COLUMNS = (
    "row,date,year,mint,mark,design,composition,strike,release,choices,"
    "mintage,note,source,confidence"
)
ROWS = f"""\
{COLUMNS}
issue,1901,1901,N,,gull,brass,circulation,banks,,500,,invented,invented
issue,1901,1901,S,S,gull,brass,circulation,banks,,,,invented,invented
issue,1902,1902,N,,gull,brass,circulation,banks,date size=large,,,invented,invented
issue,1902,1902,N,,gull,brass,circulation,banks,date size=small,,,invented,invented
total,1902,,N,,,,,,,900,,invented,invented
issue,1902,1902,N,,gull,brass,proof,collectors,,12,,invented,invented
"""


def faults_of(head=HEAD, rows=ROWS):
    with pytest.raises(CatalogueFault) as caught:
        read_series(head, rows)
    return str(caught.value).split("\n")


def with_row(number, text):
    """ROWS with one line (from 1) exchanged."""
    lines = ROWS.splitlines()
    lines[number - 1] = text
    return "\n".join(lines) + "\n"


def test_the_two_files_make_a_series():
    series = read_series(HEAD, ROWS)
    assert (series.id, series.title, series.currency) == ("pier-penny", "Pier pennies", "PIER")
    assert series.diameter_mm == 20.5
    assert series.is_invented
    assert series.words == ("penny", "pennies")
    assert [m.mark for m in series.mints] == ["", "S"]
    assert [i.number for i in series.issues] == [0, 1, 2, 3, 4]
    first, *_, proof = series.issues
    assert (first.date, first.year, first.mint, first.mark, first.mintage) == (
        "1901",
        1901,
        "N",
        "",
        500,
    )
    assert (proof.strike, proof.release) == (Strike.PROOF, Release.COLLECTORS)
    assert first.confidence is Confidence.INVENTED
    assert series.issues[1].mintage is None
    assert series.issues[3].choices == (("date size", "small"),)
    assert [(t.date, t.mint, t.mintage) for t in series.totals] == [("1902", "N", 900)]
    assert series.varieties[0].applies == (("date", ("1901",)), ("mint", ("N", "S")))
    assert series.sign_mask(series.signs[0]) == 0b01000


def test_a_figure_that_is_not_split_is_told_of_the_whole():
    series = read_series(HEAD, ROWS)
    assert series.mintage_of(0b01000) == (900, "of all 1902-N")
    assert series.mintage_of(0b01100) == (900, "")


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ('id = "pier-penny"', 'id = "Pier Penny"', 1, "small letters, digits and single hyphens"),
        ('title = "Pier pennies"\n', "", 1, "there is no title; add a line title = …"),
        ('title = "Pier pennies"', "title = 7", 2, "title is not text; put it in double quotes"),
        ('title = "Pier pennies"', 'title = " "', 2, "title is empty"),
        ('title = "Pier pennies"', r'title = "a\nb"', 2, "title has a line break"),
        ("face_value_minor = 1", "face_value_minor = 1.5", 5, "is not a whole number"),
        ("face_value_minor = 1", "face_value_minor = -1", 5, "-1 is negative"),
        ("face_value_minor = 1", "face_value_minor = true", 5, "is not a whole number"),
        ("face_value_minor = 1", f"face_value_minor = {10**30}", 5, "is larger than"),
        ('words = ["penny", "pennies"]', 'words = [""]', 9, "words is not a list of texts"),
        ('currency = "PIER"', 'currency = "pier"', 6, "must be a code such as USD"),
        ("diameter_mm = 20.5", "diameter_mm = 0", 7, "diameter_mm 0 must be more than 0"),
        ("diameter_mm = 20.5", "diameter_mm = -3.0", 7, "diameter_mm -3.0 must be more than 0"),
        ("diameter_mm = 20.5", "diameter_mm = nan", 7, "diameter_mm is not a number"),
        ("diameter_mm = 20.5", "diameter_mm = inf", 7, "is larger than"),
        ("diameter_mm = 20.5", f"diameter_mm = 1{'0' * 400}", 7, "is larger than"),
        ("diameter_mm = 20.5", 'diameter_mm = "20"', 7, "diameter_mm is not a number"),
        ("is_invented = true", 'is_invented = "yes"', 8, "is neither true nor false"),
        ('sources = ["invented"]', "sources = []", 10, "sources is empty; name at least one"),
        ('sources = ["invented"]', 'sources = "invented"', 10, "sources is not a list of texts"),
        ('sources = ["invented"]', r'sources = ["a\tb"]', 10, "sources has a line break"),
        (
            'sources = ["invented"]',
            'sources = ["invented"]\nweb = "x"',
            11,
            "web is not known here",
        ),
        ('id = "S"', 'id = "N"', 18, "[[mint]] 2: id 'N' stands twice"),
        ('mark = "S"', 'sign = "S"', 20, "sign is not known here; use id, mark, name"),
        ("weight_g = 3.1", "weight_g = 0", 31, "weight_g 0 must be more than 0"),
        ("silver_ozt = 0", "silver_ozt = -1", 33, "silver_ozt -1 must be 0 or more"),
        ('odds = "possible"', 'odds = "often"', 43, "odds 'often' is not known; use findable"),
        ('id = "two-beaks"', 'id = "Two beaks"', 38, "[[variety]] 1: id 'Two beaks' must be"),
        ('{ date = "1901", mint = ["N", "S"] }', "{}", 44, "applies is empty; name the date"),
        ('{ date = "1901", mint = ["N", "S"] }', '"1901"', 44, "applies is not a table"),
        ('{ date = "1901", mint = ["N", "S"] }', "{ date = 1901 }", 44, "date must be a text"),
        (
            '{ date = "1901", mint = ["N", "S"] }',
            '{ date = "1901", colour = "red" }',
            44,
            "variety 'two-beaks' names the facet 'colour', which no issue has; use date, mint",
        ),
        (
            '{ date = "1901", mint = ["N", "S"] }',
            '{ date = "1910" }',
            44,
            "variety 'two-beaks' names date '1910', which no issue has",
        ),
        (
            '{ date = "1901", mint = ["N", "S"] }',
            '{ date = "1902", mint = "S" }',
            44,
            "variety 'two-beaks' applies to no issue; correct its facets",
        ),
        ('value = "small"', 'value = "tiny"', 50, "sign of date size 'tiny' names date size"),
        ('facet = "date size"', 'facet = "size"', 50, "names the facet 'size', which no issue has"),
        (
            'applies = { date = "1902" }',
            'applies = { date = "1901" }',
            54,
            "sign of date size 'small' applies to no issue",
        ),
    ],
)
def test_a_fault_of_the_head_is_told_with_its_line(old, new, line, told):
    assert old in HEAD
    faults = faults_of(head=HEAD.replace(old, new, 1))
    assert any(f.startswith(f"series.toml line {line}: ") and told in f for f in faults), faults


@pytest.mark.parametrize(
    ("line", "row", "told"),
    [
        (2, "isue,1901,1901,N,,gull,brass,circulation,banks,,5,,i,invented", "row 'isue' is not"),
        (2, "issue,,1901,N,,gull,brass,circulation,banks,,5,,i,invented", "date is empty"),
        (2, "issue,1901,,N,,gull,brass,circulation,banks,,5,,i,invented", "year is empty"),
        (2, "issue,1901,x,N,,gull,brass,circulation,banks,,5,,i,invented", "year 'x' is not"),
        (2, "issue,1901,19011,N,,gull,brass,circulation,banks,,5,,i,invented", "more than 4 digit"),
        (3, "issue,1900,1900,S,S,gull,brass,circulation,banks,,5,,i,invented", "after 1901; keep"),
        (3, "issue,1901,1902,S,S,gull,brass,circulation,banks,,5,,i,invented", "1901 in line 2"),
        (2, "issue,1901,1901,X,,gull,brass,circulation,banks,,5,,i,invented", "use N, S, or add a"),
        (2, "issue,1901,1901,N,,gul,brass,circulation,banks,,5,,i,invented", "design 'gul' is not"),
        (2, "issue,1901,1901,N,,gull,tin,circulation,banks,,5,,i,invented", "composition 'tin' is"),
        (2, "issue,1901,1901,N,,gull,brass,struck,banks,,5,,i,invented", "use circulation, proof"),
        (2, "issue,1901,1901,N,,gull,brass,circulation,,,5,,i,invented", "release is empty; use"),
        (2, "issue,1901,1901,N,,gull,brass,circulation,banks,,5,,i,sure", "confidence 'sure' is"),
        (2, "issue,1901,1901,N,Q,gull,brass,circulation,banks,,5,,i,invented", "letter of no mint"),
        (
            2,
            "issue,1901,1901,N,S,gull,brass,circulation,banks,,5,,i,invented",
            "not a letter of mint",
        ),
        (
            2,
            'issue,1901,1901,N,,gull,brass,circulation,banks,,"12,00",,i,invented',
            "'12,00' is not",
        ),
        (2, "issue,1901,1901,N,,gull,brass,circulation,banks,,-5,,i,invented", "-5 is negative"),
        (2, "issue,1901,1901,N,,gull,brass,circulation,banks,,²,,i,invented", "write digits only"),
        (
            2,
            f"issue,1901,1901,N,,gull,brass,circulation,banks,,{'9' * 5000},,i,invented",
            "has more than 15 digits",
        ),
        (2, "issue,1901,1901,N,,gull,brass,circulation,banks,,5,,,invented", "source is empty"),
        (
            2,
            "issue,1901,1901,N,,gull,brass,circulation,banks,size,5,,i,invented",
            "choice 'size' is",
        ),
        (
            2,
            "issue,1901,1901,N,,gull,brass,circulation,banks,mint=S,5,,i,invented",
            "choice 'mint' has a column of its own",
        ),
        (
            2,
            "issue,1901,1901,N,,gull,brass,circulation,banks,a=1; a=2,5,,i,invented",
            "choice 'a' stands twice",
        ),
        (
            2,
            "issue,1901,1901,N,,gull,brass,circulation,banks,a|b=1,5,,i,invented",
            "choice name 'a|b' must be",
        ),
        (
            3,
            "issue,1901,1901,N,,gull,brass,circulation,banks,,5,,i,invented",
            "this issue stands in line 2 already",
        ),
        (2, "issue,1901,1901,N,,gull,brass,circulation,banks,,5,,i", "13 cells for 14 columns"),
        (6, "total,1902,1902,N,,,,,,,900,,i,invented", "a total has no year; leave '1902' out"),
        (6, "total,1902,,N,,,,,,,,,i,invented", "a total has no mintage"),
        (6, "total,1902,,S,,,,,,,900,,i,invented", "there is no issue 1902-S for banks"),
        (3, "total,1901,,N,,,,,,,700,,i,invented", "total 700 does not agree with its parts, 500"),
        (3, "total,1901,,N,,,,,,,400,,i,invented", "total 400 does not agree with its parts, 500"),
        (
            7,
            "total,1902,,N,,,,,,,900,,i,invented",
            "this total stands in line 6 already",
        ),
        (2, 'issue,1901,"19"01,N', "this is not a row of CSV"),
    ],
)
def test_a_fault_of_a_row_is_told_with_its_line(line, row, told):
    faults = faults_of(rows=with_row(line, row))
    assert any(f.startswith(f"issues.csv line {line}: ") and told in f for f in faults), faults


def test_the_message_names_file_line_and_remedy():
    row = 'issue,1901,1901,N,,gull,brass,circulation,banks,,"12,00",,invented,invented'
    assert faults_of(rows=with_row(2, row)) == [
        "issues.csv line 2: mintage '12,00' is not a whole number; write digits only"
    ]


def test_all_faults_of_both_files_are_told_at_once():
    head = HEAD.replace('"Pier pennies"', "7").replace("diameter_mm = 20.5", "diameter_mm = 0")
    rows = ROWS.replace(",500,", ",5oo,").replace("date size=small", "small")
    told = faults_of(head, rows)
    assert [f.partition(":")[0] for f in told] == [
        "series.toml line 2",
        "series.toml line 7",
        "issues.csv line 2",
        "issues.csv line 5",
    ]


def test_rows_are_checked_even_where_the_head_is_no_toml():
    told = faults_of(HEAD.replace("currency =", "currency"), ROWS.replace(",500,", ",5oo,"))
    assert told[0].startswith("series.toml line 6: this is not TOML (Expected '='")
    assert told[1].startswith("issues.csv line 2: mintage '5oo'")


@pytest.mark.parametrize("name", COLUMNS.split(","))
def test_a_missing_column_is_named(name):
    header = COLUMNS.replace(f"{name},", "", 1) if name != "confidence" else COLUMNS[:-11]
    told = faults_of(rows=with_row(1, header))
    assert told[0].startswith(f"issues.csv line 1: column {name!r} is missing")


def test_columns_that_are_extra_twice_or_in_another_order_are_told():
    assert "column 'price' is not known" in faults_of(rows=with_row(1, COLUMNS + ",price"))[0]
    assert "column 'date' stands twice" in faults_of(rows=with_row(1, COLUMNS + ",date"))[0]
    turned = COLUMNS.replace("source,confidence", "confidence,source")
    assert "another order" in faults_of(rows=with_row(1, turned))[0]


def test_lines_are_counted_through_quoted_line_breaks():
    row = 'issue,1901,1901,N,,gull,brass,circulation,banks,,5,"two\nlines",i,invented'
    told = faults_of(rows=with_row(2, row).replace(",12,", ",twelve,"))
    assert told[0].startswith("issues.csv line 2: note has a line break")
    assert told[1].startswith("issues.csv line 8: mintage 'twelve'")


def test_unused_mints_designs_and_compositions_are_told():
    more = '\n[[design]]\nid = "crab"\ntitle = "crab"\nsource = "i"\nconfidence = "invented"\n'
    assert faults_of(head=HEAD + more) == [
        f"series.toml line {HEAD.count(chr(10)) + 3}: no issue has design 'crab'; "
        "use it or take it out"
    ]


def test_an_empty_file_is_told():
    assert faults_of(rows="")[-1].startswith("issues.csv line 1: the file is empty")
    assert any("there is no [[mint]]" in f for f in faults_of(head=""))
    assert "there is no issue; add a row for each" in faults_of(rows=COLUMNS)[-1]


def test_sub_tables_and_lists_over_lines_keep_their_lines():
    head = HEAD.replace(
        'applies = { date = "1901", mint = ["N", "S"] }\nsource = "invented"\n'
        'confidence = "invented"',
        'source = """\ninvented"""\nconfidence = "invented"\n[variety.applies]\n'
        'date = [\n  "1910",\n]',
    )
    assert faults_of(head=head) == [
        "series.toml line 47: variety 'two-beaks' names date '1910', which no issue has; correct it"
    ]


@pytest.mark.parametrize(
    ("head", "told"),
    [
        (HEAD + "x = " + "'" + "y" * 2_000 + "'", "the line has more than 2,000 characters"),
        (HEAD + "# more\n" * 40_000, "the file is larger than 256 KB"),
        (HEAD + "deep = " + ("[" * 1_500 + "\n") * 8, "nested too deeply"),
        (HEAD + "title = 'again'\n[[mint]", "this is not TOML"),
    ],
)
def test_a_head_that_could_choke_the_reader_is_refused(head, told):
    assert told in faults_of(head=head)[0]


def test_rows_that_could_choke_the_reader_are_refused():
    assert "larger than 4 MB" in faults_of(rows=ROWS + "\n" * (4 << 20))[0]
    many = "".join(
        f"issue,{1000 + n},{1000 + n // 3},N,,gull,brass,circulation,banks,,5,,i,invented\n"
        for n in range(10_002)
    )
    assert any("more than 10,000 issues" in f for f in faults_of(rows=f"{COLUMNS}\n{many}"))
    assert "field larger than" in faults_of(rows=with_row(2, "issue," + "1" * 140_000))[0]


@given(
    st.sampled_from(["head", "rows"]),
    st.integers(0, len(HEAD)),
    st.integers(0, 40),
    st.text(max_size=12),
)
def test_whatever_stands_in_the_files_only_a_catalogue_fault_is_raised(which, at, cut, more):
    head, rows = HEAD, ROWS
    if which == "head":
        head = HEAD[:at] + more + HEAD[at + cut :]
    else:
        rows = ROWS[:at] + more + ROWS[at + cut :]
    try:
        series = read_series(head, rows)
    except CatalogueFault as fault:
        for line in str(fault).split("\n"):
            assert line.startswith(("series.toml line ", "issues.csv line ")), line
    else:
        assert read_series(*series_text(series)) == series


def test_a_byte_order_mark_and_windows_line_ends_are_read_alike(tmp_path):
    (tmp_path / "series.toml").write_bytes(b"\xef\xbb\xbf" + HEAD.replace("\n", "\r\n").encode())
    (tmp_path / "issues.csv").write_bytes(b"\xef\xbb\xbf" + ROWS.replace("\n", "\r\n").encode())
    assert check_folder(tmp_path) == read_series(HEAD, ROWS)
    assert read_series("\ufeff" + HEAD, "\ufeff" + ROWS) == read_series(HEAD, ROWS)


def folder_faults(folder: Path):
    with pytest.raises(CatalogueFault) as caught:
        check_folder(folder)
    return str(caught.value).split("\n")


def test_a_folder_without_its_files_is_told(tmp_path):
    told = folder_faults(tmp_path)
    assert [f.partition(":")[0] for f in told] == ["series.toml line 1", "issues.csv line 1"]
    assert all("there is no such file" in f for f in told)


def test_a_missing_file_does_not_hide_the_faults_of_the_other(tmp_path):
    (tmp_path / "series.toml").write_text(HEAD.replace("20.5", "0"), "utf-8")
    told = folder_faults(tmp_path)
    assert told[0].startswith("series.toml line 7: diameter_mm 0 must be")
    assert told[-1].startswith("issues.csv line 1: there is no such file")


def test_files_of_a_folder_that_are_no_text_too_large_or_folders_are_told(tmp_path):
    (tmp_path / "series.toml").write_bytes(b"# line one\n# caf\xe9\n")
    (tmp_path / "issues.csv").write_bytes(b"x" * (4 * 1024 * 1024 + 1))
    told = folder_faults(tmp_path)
    assert told[0].startswith("series.toml line 2: this line is not UTF-8 text")
    assert told[1].startswith("issues.csv line 1: the file is larger than 4096 KB")
    (tmp_path / "issues.csv").unlink()
    (tmp_path / "issues.csv").mkdir()
    assert "cannot be read" in folder_faults(tmp_path)[-1]


def test_a_series_is_written_back_equal():
    head = HEAD.replace("Pier pennies", r"Пристань \"one\", a \\ 昭和").replace(
        'look = "the beak stands twice"', "look = 'quote \"two\", comma'"
    )
    rows = ROWS.replace(",,invented,invented", ',"a ""quoted"" note, with comma",i; j,invented')
    series = read_series(head, rows)
    assert read_series(*series_text(series)) == series
    assert series.title == 'Пристань "one", a \\ 昭和'


@pytest.mark.parametrize("series_id", library_ids())
def test_every_series_of_the_library_is_written_back_equal(series_id):
    series = load_series(series_id)
    again = read_series(*write_series(series))
    assert again == series
    assert write_series(again) == write_series(series)


def test_a_series_of_the_library_gives_the_texts_it_was_read_from():
    series_id = SeriesId("harbour-token")
    assert series_text(load_series(series_id)) == library_texts(series_id)


def test_a_series_that_only_bears_a_library_id_gives_its_own_text():
    series = read_series(HEAD.replace("pier-penny", "harbour-token"), ROWS)
    assert read_series(*series_text(series)) == series


def test_the_library_is_read_once_and_by_its_folder_names():
    assert load_series(SeriesId("us-cent-lincoln")) is load_series(SeriesId("us-cent-lincoln"))
    for series_id in library_ids():
        assert load_series(series_id).id == series_id
        assert read_series(*library_texts(series_id)) == load_series(series_id)


@pytest.mark.parametrize("name", ["us-cent", "", "../demo", "us-cent-lincoln/series.toml"])
def test_an_unknown_series_is_refused_by_name(name):
    with pytest.raises(UnknownSeries, match=r"known are .*harbour-token, .*us-cent-lincoln"):
        load_series(SeriesId(name))


def test_reading_a_series_imports_no_heavy_library():
    code = (
        "import sys; from core.catalogue.load import *; "
        "[load_series(i) for i in library_ids()]; "
        "print(*sorted({'pydantic', 'tomlkit', 'numpy', 'sqlalchemy'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == ""
