"""Text cut into runs and lines."""

import io
import unicodedata
from itertools import pairwise

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from core.printing.text_runs import (
    Face,
    Run,
    covers,
    missing_characters,
    printable,
    shortened,
    text_runs,
    wrap_text,
)
from resources import read_bytes

# Assigned characters and some that are not, in and beyond the first plane.
any_text = st.text(max_size=60)


def measure(text: str) -> float:
    return float(len(text))


@pytest.mark.parametrize("face", Face)
def test_what_a_font_covers_is_what_fonttools_reads(face):
    cmap = TTFont(io.BytesIO(read_bytes(face.path))).getBestCmap()
    points = {point for point, name in cmap.items() if name != ".notdef"}
    assert {point for point in range(0x20000) if covers(face, point)} == points


def test_plain_text_is_one_run():
    assert text_runs("1943-D", Face.BOLD) == (Run(Face.BOLD, "1943-D"),)
    assert text_runs("") == ()


@pytest.mark.parametrize(
    ("text", "face"),
    [
        ("Größe łódź", Face.REGULAR),
        ("Ψάχνω", Face.REGULAR),
        ("проверить", Face.REGULAR),
        ("昭和", Face.EAST_ASIAN),
        ("かな カナ"[:2], Face.EAST_ASIAN),
        ("한국어", Face.EAST_ASIAN),
        ("☐", Face.SYMBOLS),
        ("שלום", Face.WIDE),
    ],
)
def test_each_script_finds_its_font(text, face):
    assert text_runs(text) == (Run(face, text),)


def test_scripts_in_one_line_are_cut_where_the_font_changes():
    assert text_runs("昭和42 (1967)", Face.BOLD) == (
        Run(Face.EAST_ASIAN, "昭和"),
        Run(Face.BOLD, "42 (1967)"),
    )


def test_a_mark_stays_with_its_letter():
    (run,) = text_runs("x\u0301y")
    assert run.text == "x\u0301y"
    first, second = text_runs("a\u05e9\u05bc")  # a Hebrew letter and its point: one font, one run
    assert (first.text, second.text) == ("a", "\u05e9\u05bc")


def test_a_character_in_no_font_is_shown_as_a_box_and_named():
    assert "".join(run.text for run in text_runs("a\U00012000b\ue123")) == "a□b□"
    assert missing_characters("a\U00012000b\ue123\U00012000") == ("\ue123", "\U00012000")
    assert missing_characters("Größe Ψάχνω проверить 昭和 한국어 ★") == ()


@given(any_text)
def test_every_run_is_covered_by_its_font_and_nothing_is_lost(text):
    runs = text_runs(text, Face.ITALIC)
    assert all(covers(run.face, ord(c)) for run in runs for c in run.text)
    missing = set(missing_characters(text))
    expected = "".join("□" if c in missing else c for c in printable(text))
    assert "".join(run.text for run in runs) == expected
    assert all(a.face != b.face for a, b in pairwise(runs))


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\tb\nc\u00a0d", "a b c d"),
        ("so\u00adft\u200d \u200fmark", "soft mark"),
        ("cafe\u0301", "café"),
        ("★\ufe0f", "★"),
        ("\ud800", "□"),
        ("\x00", " "),
    ],
)
def test_what_cannot_be_seen_is_not_printed(text, shown):
    assert printable(text) == shown


def _without_spaces(text: str) -> str:
    return "".join(text.split())


@given(any_text, st.integers(1, 30))
def test_wrapped_lines_fit_and_keep_every_character(text, width):
    lines = wrap_text(text, width, measure)
    joined = _without_spaces("".join(lines))
    assert joined == _without_spaces("".join(map(printable, text.splitlines())))
    for line in lines:
        assert line
        assert measure(line) <= width or _is_one_cluster(line)


def _is_one_cluster(line: str) -> bool:
    return all(unicodedata.category(c) in {"Mn", "Me"} for c in line[1:])


def test_lines_break_at_spaces_and_only_then_inside_words():
    assert wrap_text("one two three", 7, measure) == ("one two", "three")
    assert wrap_text("abcdefgh ij", 5, measure) == ("abcde", "fgh", "ij")
    assert wrap_text("a\nb\n\nc", 9, measure) == ("a", "b", "c")
    assert wrap_text("", 9, measure) == ()


def test_east_asian_text_breaks_between_characters():
    assert wrap_text("昭和四十二年", 4, measure) == ("昭和四十", "二年")


@given(any_text, st.integers(2, 30))
def test_a_shortened_text_fits_and_begins_alike(text, width):
    line = shortened(text, width, measure)
    assert measure(line) <= width
    if line != printable(text):
        assert line.endswith("…")
        assert printable(text).startswith(line[:-1])
