"""Do labels and heads take the room there is, and does no cut one lose what tells it apart?"""

import pytest

from core.arrange.text_room import (
    LABEL_INSET,
    LABEL_PX,
    MOST_CELL,
    USUAL_CELL,
    in_lines,
    label_room,
    one_line,
    text_em,
)
from core.printing.pdf import measure
from core.printing.placed import Style
from core.printing.text_runs import Face

LONG = (
    "Monticello, portrait in profile",
    "Monticello, forward-facing portrait",
    "[1946 doubled die reverse]",
    "[1943-D boldly doubled mint mark]",
    "Schleswig-Holstein",
    "Neuschwanstein",
    "Donaudampfschifffahrtsgesellschaft",
)


@pytest.mark.parametrize(("face", "is_bold"), [(Face.REGULAR, False), (Face.BOLD, True)])
def test_widths_are_those_of_the_fonts(face: Face, is_bold: bool) -> None:
    """Outside: the advances in the font files, as the PDF writer reads them."""
    printed = "".join(map(chr, range(32, 127))) + "…–—·"
    off = {
        c: (text_em(c, is_bold=is_bold), measure(c, Style(face, 1.0)))
        for c in printed
        if abs(text_em(c, is_bold=is_bold) - measure(c, Style(face, 1.0))) > 0.0006
    }
    assert off == {}


@pytest.mark.parametrize("cell", [USUAL_CELL, 96, MOST_CELL])
def test_no_line_is_wider_than_its_room(cell: int) -> None:
    room = (cell - 2 * LABEL_INSET) / LABEL_PX
    for text in LONG:
        for line in (*in_lines(text, room), one_line(text, room)):
            assert text_em(line) <= room, (text, line)
        assert len(in_lines(text, room)) <= 2


def test_a_cut_label_keeps_its_bracket_and_its_end() -> None:
    assert one_line("[1946 doubled die reverse]", 6.0) == "[1946 dou…]"
    first, second = in_lines("[1943-D boldly doubled mint mark]", 6.5)
    assert first.startswith("[1943-D")
    assert "…" in second
    assert second.endswith("rk]")


def test_labels_break_after_a_comma_rather_than_evenly() -> None:
    assert in_lines("Elizabeth II, laureate", 8.0) == ("Elizabeth II,", "laureate")
    assert in_lines("1943-D bronze", 5.0) == ("1943-D", "bronze")


def test_places_are_as_wide_as_their_labels_ask_for() -> None:
    assert label_room({"1943-D", "[1944]", ""}) == (USUAL_CELL, 1)
    assert label_room({"1943-D", "Presidency"}) == (88, 1)
    cell, lines = label_room(LONG[:4])
    assert (cell, lines) == (MOST_CELL, 2)
    assert label_room({"2004-P keelboat"})[1] == 2


def test_a_wish_moves_nothing() -> None:
    for label in ("1943-D", "Presidency", *LONG[:2]):
        assert label_room({label}) == label_room({f"[{label}]"})
