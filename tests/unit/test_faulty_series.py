"""Faulty series folders: each kind gives all its faults with file, line and remedy, and soon."""

import os
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from core.catalogue.load import check_folder
from core.errors import CatalogueFault
from tests.cli_material import slotleaf
from tests.unit.test_catalogue import COLUMNS, HEAD, ROWS

LONGEST = 2.0  # seconds, for any of them
FIRST = "issue,1901,1901,N,,gull,brass,circulation,banks,,500,,invented,invented"
LAST = ROWS.splitlines()[-1]
APPLIES = 'applies = { date = "1901", mint = ["N", "S"] }'
A_MARKER = """
[[variety.marker]]
place = "beak"
see = "a second beak"
face = "obverse"
evidence = "decides"
"""


@dataclass(frozen=True)
class Kind:
    """A folder with faults: its two files (None: not there), and all that must be told.

    A fault is (h)ead or (r)ows with its line, and a part of its text: "h2 title is empty".
    """

    told: tuple[str, ...]
    head: str | bytes | None = HEAD
    rows: str | bytes | None = ROWS


def head(*pairs: str, of: str = HEAD) -> str:
    """The head with each text replaced by the next one."""
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        assert old in of, old
        of = of.replace(old, new, 1)
    return of


def row(*pairs: str, line: int = 2) -> str:
    """The rows with parts of the first row replaced, put at a line (from 1)."""
    lines = ROWS.splitlines()
    lines[line - 1] = head(*pairs, of=FIRST)
    return "\n".join(lines) + "\n"


KINDS: dict[str, Kind] = {
    # the files
    "no files": Kind(("h1 there is no such file", "r1 there is no such file"), None, None),
    "no rows": Kind(("r1 there is no such file",), rows=None),
    "empty rows": Kind(("r1 the file is empty; begin with the line row,",), rows=""),
    "rows of a header only": Kind(("r1 there is no issue",), rows=COLUMNS + "\n"),
    "a head that is not UTF-8": Kind(("h57 not UTF-8",), head=HEAD.encode() + b"# caf\xe9\n"),
    "UTF-16": Kind(("h1 not UTF-8", "r1 not UTF-8"), HEAD.encode("utf-16"), ROWS.encode("utf-16")),
    "10 MB of head": Kind(("h1 larger than 256 KB",), head=HEAD + "#" * (10 << 20)),
    "10 MB of rows": Kind(("r1 larger than 4096 KB",), rows=ROWS + "x" * (10 << 20)),
    # the head as TOML
    "no TOML": Kind(("h6 this is not TOML",), head("currency =", "currency")),
    "a NUL in the head": Kind(("h2 this is not TOML",), head("Pier pennies", "Pier\0pennies")),
    "a key twice": Kind(("h3 this is not TOML",), head("issuer = ", "title = ")),
    "a quote left open": Kind(("h2 this is not TOML",), head('pennies"\n', "pennies\n")),
    "10,000 brackets": Kind(
        ("h58 brackets are nested too deeply",), HEAD + "\ndeep = " + ("[" * 1_000 + "\n") * 10
    ),
    "10,000 brackets on a line": Kind(
        ("h58 more than 2,000 characters",), HEAD + "\ndeep = " + "[" * 10_000 + "]" * 10_000
    ),
    "names in names": Kind(("h58 names are nested too deeply",), HEAD + "\n" + "a." * 900 + "b=1"),
    "a very long line": Kind(
        ("h2 more than 2,000 characters",), head("Pier pennies", "pier " * 401)
    ),
    # keys of the head
    "missing keys": Kind(
        ("h1 there is no title; add", "h1 there is no currency; add"),
        head('title = "Pier pennies"\n', "", 'currency = "PIER"\n', ""),
    ),
    "every key of a wrong type": Kind(
        (
            "h1 id is not text",
            "h2 title is not text",
            "h3 issuer is not text",
            "h4 denomination is not text",
            "h5 face_value_minor is not a whole number",
            "h6 currency is not text",
            "h7 diameter_mm is not a number",
            "h8 is_invented is neither",
            "h9 words is not a list of texts",
            "h10 sources is not a list of texts",
        ),
        head(
            '"pier-penny"',
            "1",
            '"Pier pennies"',
            "1979-05-27",
            '"Pier (invented)"',
            "[1]",
            '"one penny"',
            "true",
            "minor = 1",
            'minor = "1"',
            '"PIER"',
            "{}",
            "20.5",
            '"20.5"',
            "is_invented = true",
            'is_invented = "true"',
            '["penny", "pennies"]',
            '"penny"',
            '["invented"]',
            "[1]",
        ),
    ),
    "every key of its parts of a wrong type": Kind(
        (
            "h13 [[mint]] 1: id is not text",
            "h14 [[mint]] 1: name is not text",
            "h15 [[mint]] 1: mark is not text",
            "h23 [[design]] 1: id is not text",
            "h24 [[design]] 1: title is not text",
            "h31 [[composition]] 1: weight_g is not a number",
            "h42 [[variety]] 1: look is not text",
            "h44 [[variety]] 1: applies is not a table",
            "h49 [[sign]] 1: facet is not text",
        ),
        head(
            'id = "N"',
            "id = 1",
            '"North"',
            "2",
            'mark = ""',
            "mark = 3",
            '"gull"',
            "4",
            '"gull"',
            "5",
            "3.1",
            '"3.1"',
            '"the beak stands twice"',
            "6",
            APPLIES,
            "applies = 7",
            '"date size"',
            "8",
        ),
    ),
    "an unknown key, and one of a mint": Kind(
        ("h11 web is not known here", "h18 [[mint]] 1: town is not known here"),
        head(
            'sources = ["invented"]\n',
            'sources = ["invented"]\nweb = "x"\n',
            'mark = ""\n',
            'mark = ""\n\ntown = "x"\n',
        ),
    ),
    "an unknown table": Kind(("h58 engraver is not known",), HEAD + '\n[[engraver]]\nname = "x"\n'),
    "a list written as one table": Kind(
        ("h48 write each as [[sign]]",), head("[[sign]]", "[sign]")
    ),
    "no mint at all": Kind(
        ("h1 there is no [[mint]]",),
        HEAD[: HEAD.index("[[mint]]")] + HEAD[HEAD.index("[[design]]") :],
    ),
    "an id with slashes": Kind(("h1 small letters, digits and",), head("pier-penny", "../pier/a")),
    "an id of a mint twice": Kind(
        ("h18 id 'N' stands twice", "r3 mint 'S' is not in series.toml"),
        head('id = "S"', 'id = "N"'),
    ),
    "an id of a variety twice": Kind(
        ("h58 [[variety]] 2: id 'two-beaks' stands twice",),
        HEAD + HEAD[HEAD.index("[[variety]]") : HEAD.index("[[sign]]")],
    ),
    "empty texts and sources": Kind(
        ("h2 title is empty", "h10 sources is empty", "h25 [[design]] 1: source is empty"),
        head("Pier pennies", " ", '["invented"]', "[]", 'source = "invented"', 'source = ""'),
    ),
    "signs that turn what is shown": Kind(
        ("h2 title has a line break or control", "r2 note has a line break or control"),
        head("Pier", "\u202ereiP"),
        row(",,invented", ",\u2066x,invented"),
    ),
    "figures out of bounds": Kind(
        (
            "h5 face_value_minor -1 is negative",
            "h7 diameter_mm is larger than 10,000",
            "h31 weight_g 0 must be more than 0",
            "h33 silver_ozt -1 must be 0 or more",
        ),
        head(
            "minor = 1",
            "minor = -1",
            "20.5",
            "1e999",
            "3.1",
            "0",
            "silver_ozt = 0",
            "silver_ozt = -1",
        ),
    ),
    "words that are not known": Kind(
        ("h26 confidence 'sure' is not known", "h43 odds 'often' is not known"),
        head('confidence = "invented"', 'confidence = "sure"', '"possible"', '"often"'),
    ),
    # what varieties and signs say of issues
    "a variety of no issue, and a sign": Kind(
        (
            "h44 variety 'two-beaks' names date '1910'",
            "h54 sign of date size 'small' names mint 'Q'",
        ),
        head(APPLIES, 'applies = { date = "1910" }', '{ date = "1902" }', '{ mint = "Q" }'),
    ),
    "a variety of no facet": Kind(
        ("h44 names the facet 'colour'", "h44 names mint 'Q'"),
        head(APPLIES, 'applies = { colour = "red", mint = "Q" }'),
    ),
    "a variety whose facets never meet": Kind(
        ("h44 applies to no issue",), head(APPLIES, 'applies = { date = "1902", mint = "S" }')
    ),
    "applies in a wrong shape": Kind(
        ("h44 date must be a text or a list of texts", "h44 mint must be a text"),
        head(APPLIES, "applies = { date = [[1]], mint = 7 }"),
    ),
    "a design that no issue has": Kind(
        ("h59 no issue has design 'crab'",),
        HEAD + '\n[[design]]\nid = "crab"\ntitle = "crab"\nsource = "i"\nconfidence = "invented"\n',
    ),
    "markers": Kind(
        ("h48 there is no face", "h51 evidence 'maybe' is not known", "h52 hue is not known here"),
        head(
            "[[sign]]",
            A_MARKER[1:].replace('face = "obverse"\n', "").replace("decides", "maybe")
            + 'hue = "x"\n\n[[sign]]',
        ),
    ),
    # rows
    "a missing column and an unknown one": Kind(
        ("r1 column 'mintage' is missing", "r1 column 'minted' is not known"),
        rows=ROWS.replace("mintage", "minted", 1),
    ),
    "an unknown column alone": Kind(
        (
            "r1 column 'price' is not known; take it out",
            "r2 14 cells for 15",
            "r3 14 cells",
            "r4 14 cells",
            "r5 14 cells",
            "r6 14 cells",
            "r7 14 cells",
            "r1 there is no issue",
        ),
        rows=ROWS.replace(COLUMNS, COLUMNS + ",price"),
    ),
    "a column twice": Kind(
        ("r1 column 'date' stands twice",), rows=ROWS.replace("row,", "row,date,", 1)
    ),
    "semicolons": Kind(("r1 separated by semicolons",), rows=ROWS.replace(",", ";")),
    "an issue twice": Kind(
        ("r8 this issue stands in line 7 already",), rows=ROWS.replace(LAST, LAST + "\n" + LAST)
    ),
    "a year that is no number, a mint, design and metal that are not there": Kind(
        (
            "r2 year '19x1' is not a whole number",
            "r2 mint 'Q' is not in",
            "r2 design 'gul' is not in",
            "r2 composition 'tin' is not in",
        ),
        rows=row("1901,1901,N", "1901,19x1,Q", "gull", "gul", "brass", "tin"),
    ),
    "years that run back, and the year 0": Kind(
        ("r3 year 0 is no year", "r7 year 1900 comes after 1902"),
        rows=row("1901,1901,N", "1900,0,S", line=3).replace(
            LAST, head("1901,1901", "1900,1900", of=FIRST)
        ),
    ),
    "a date of two years": Kind(
        ("r3 date '1901' has year 1902 here and 1901 in line 2",),
        rows=row("1901,1901,N,", "1901,1902,S,S", line=3),
    ),
    "a negative mintage": Kind(("r2 mintage -5 is negative",), rows=row("500", "-5")),
    "a mintage with letters": Kind(("r2 mintage '5oo' is not a whole",), rows=row("500", "5oo")),
    "a mintage of 5,000 digits": Kind(
        ("r2 mintage has more than 2,000", "r2 has more than 15 digits"),
        rows=row("500", "9" * 5_000),
    ),
    "words of a row that are not known": Kind(
        ("r2 strike 'struck' is not known", "r2 release is empty", "r2 confidence 'sure' is not"),
        rows=row("circulation,banks", "struck,", "invented,invented", "invented,sure"),
    ),
    "bad choices": Kind(
        (
            "r2 choice 'a=' is not of the form",
            "r2 choice 'mint' has a column of its own",
            "r2 choice 'b' stands twice",
            "r2 choice name 'c|d' must be",
        ),
        rows=row("banks,,", "banks,a=; mint=S; b=1; b=2; c|d=1,"),
    ),
    "a letter of another mint, and of none": Kind(
        ("r2 mark 'S' is not a letter of mint N", "r3 mark 'Q' is the letter of no mint"),
        rows=row("N,,", "N,S,").replace("1901,S,S", "1901,S,Q"),
    ),
    "an empty date and source": Kind(
        ("r2 date is empty", "r2 source is empty"),
        rows=row("issue,1901", "issue,", "invented,", ","),
    ),
    "control characters in a date": Kind(
        ("r2 date has a line break or control character", "r3 date has a line break"),
        rows=row("issue,1901", "issue,19\x0001").replace("1901,1901,S", '"19\n01",1901,S'),
    ),
    "a very long cell": Kind(
        ("r2 note has more than 2,000 characters",),
        rows=row(",,invented", f",{'x' * 20_000},invented"),
    ),
    "a cell without end": Kind(("r2 this is not a row of CSV",), rows=row("gull", '"gull')),
    "cells too few and too many": Kind(
        ("r2 there are 13 cells for 14", "r3 there are 15 cells for 14"),
        rows=row(",invented,invented", ",invented").replace("S,S,gull", "S,S,,gull"),
    ),
    "a row of no kind": Kind(("r2 row 'isue' is not known",), rows=row("issue", "isue")),
    "bad totals": Kind(
        (
            "r6 a total has no year",
            "r6 mintage 'many' is not a whole number",
            "r6 source is empty",
            "r7 a total has no mintage",
            "r7 there is no issue 1902-S for banks",
        ),
        rows=ROWS.replace(
            "total,1902,,N,,,,,,,900,,invented", "total,1902,1902,N,,,,,,,many,,"
        ).replace(LAST, "total,1902,,S,,,,,,,,,invented,invented"),
    ),
    "a total that its parts contradict": Kind(
        ("r2 total 700 does not agree with its parts, 500",),
        rows=ROWS.replace(FIRST, "total,1901,,N,,,,,,,700,,i,invented\n" + FIRST, 1),
    ),
    # both files
    "faults of both files": Kind(
        (
            "h1 there is no title",
            "h5 currency 'p' must be a code",
            "h44 names date '1910'",
            "r2 mintage -5 is negative",
            "r3 design 'gul' is not in series.toml",
        ),
        head(
            'title = "Pier pennies"\n',
            "",
            '"PIER"\n',
            '"p"\n\n',
            APPLIES,
            'applies = { date = "1910" }',
        ),
        row("500", "-5").replace("S,S,gull", "S,S,gul"),
    ),
}


def put(folder: Path, name: str, content: str | bytes | None) -> None:
    """Write a file, or none."""
    if content is not None:
        data = content.encode("utf-8") if isinstance(content, str) else content
        (folder / name).write_bytes(data)


def faults_of(folder: Path) -> tuple[list[str], float]:
    """What is told of a folder, and the seconds it took."""
    begin = time.perf_counter()
    with pytest.raises(CatalogueFault) as caught:
        check_folder(folder)
    return str(caught.value).split("\n"), time.perf_counter() - begin


def what_is_wrong_with(told: list[str], wanted: tuple[str, ...]) -> list[str]:
    """Faults that are told and not wanted, wanted and not told, or without a remedy."""
    left, wrong = list(told), []
    for fault in wanted:
        file = {"h": "series.toml", "r": "issues.csv"}[fault[0]]
        line, _, text = fault[1:].partition(" ")
        found = [t for t in left if t.startswith(f"{file} line {line}: ") and text in t]
        if found:
            left.remove(found[0])
        else:
            wrong.append(f"not told: {fault}")
    wrong += [f"not wanted: {fault}" for fault in left]
    return wrong + [f"no remedy: {fault}" for fault in told if "; " not in fault]


def test_every_kind_of_fault_is_told_whole_with_its_line_and_its_remedy(tmp_path: Path) -> None:
    assert len(KINDS) >= 50
    wrong = {}
    for number, (name, kind) in enumerate(KINDS.items()):
        folder = tmp_path / str(number)
        folder.mkdir()
        put(folder, "series.toml", kind.head)
        put(folder, "issues.csv", kind.rows)
        told, seconds = faults_of(folder)
        bad = what_is_wrong_with(told, kind.told)
        bad += [f"took {seconds:.1f} s"] if seconds > LONGEST else []
        if bad:
            wrong[name] = bad
    assert wrong == {}


def test_marks_of_byte_order_and_windows_line_ends_are_no_faults(tmp_path: Path) -> None:
    for name, text in (("series.toml", HEAD), ("issues.csv", ROWS)):
        (tmp_path / name).write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert len(check_folder(tmp_path).issues) == 5


def test_a_file_for_a_folder_and_a_folder_or_a_pipe_for_a_file_are_told(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("x", "utf-8")
    (only,), _ = faults_of(tmp_path / "mine")
    assert "mine is a file; name the folder that has series.toml and issues.csv" in only
    (tmp_path / "series.toml").mkdir()
    if hasattr(os, "mkfifo"):  # a system without pipes has one case less
        os.mkfifo(tmp_path / "issues.csv")
    told, seconds = faults_of(tmp_path)
    assert "is a folder or a device and cannot be read; put a file there" in told[0]
    assert told[1].startswith("issues.csv line 1: ")
    assert seconds < LONGEST


def test_of_a_file_with_no_end_of_faults_the_first_thousand_are_told(tmp_path: Path) -> None:
    put(tmp_path, "series.toml", HEAD + "[[mint]]\n" * 25_000)
    put(tmp_path, "issues.csv", COLUMNS + "\n" + "x\n" * 2_000_000)
    told, seconds = faults_of(tmp_path)
    assert len(told) == 2_002
    assert "there are more than 1,000 faults; correct those" in told[-1]
    assert seconds < LONGEST


def test_the_command_lists_the_faults_and_ends_with_one_plain_line(tmp_path: Path) -> None:
    put(tmp_path, "series.toml", head('"PIER"', '"p"'))
    put(tmp_path, "issues.csv", row("500", "-5"))
    said = slotleaf("series", "check", tmp_path, "--json")
    assert (said.code, len(said.rows)) == (1, 2)
    assert said.err.count("\n") == 1
    file = tmp_path / "jar.slotleaf"
    slotleaf("new", file)
    said = slotleaf("series", "add", file, tmp_path)
    assert said.code == 1
    assert "series.toml line 6: currency 'p' must be" in said.err
    assert "Traceback" not in said.err
