"""Blocks on pages: columns in turn, headings kept by their rows, heads of tables drawn again."""

from math import hypot

from core.printing.flow_blocks import Block, Room, fill_pages, gap
from core.printing.placed import Sheet, Style
from core.printing.spot_signs import apart, on_disc
from core.printing.text_runs import Face

PLAIN = Style(Face.REGULAR, 10.0)


def width_of(text: str, style: Style) -> float:
    return len(text) * style.size / 2


def block(name: str, height: float = 10.0, **more: object) -> Block:
    """A block that writes its name at its top left corner."""

    def draw(sheet: Sheet, x: float, y: float) -> None:
        sheet.text(x, y, name, PLAIN)

    return Block(height, draw, **more)  # type: ignore[arg-type]  # fields by name, in tests only


def placed(
    blocks: list[Block], lefts: tuple[float, ...] = (0.0,)
) -> list[list[tuple[str, float, float]]]:
    sheets = fill_pages(blocks, Room(lefts, 100.0, 130.0), width_of)
    return [[(text.text, text.x, text.y) for text in sheet.texts] for sheet in sheets]


def test_columns_are_filled_in_turn_then_the_next_page_begins() -> None:
    made = placed([block(str(n)) for n in range(8)], (0.0, 50.0))
    assert made[0] == [
        ("0", 0, 100), ("1", 0, 110), ("2", 0, 120), ("3", 50, 100), ("4", 50, 110), ("5", 50, 120),
    ]  # fmt: skip
    assert made[1] == [("6", 0, 100), ("7", 0, 110)]


def test_a_heading_goes_with_its_first_row_and_heads_stand_on_every_page() -> None:
    head = block("head", 5.0, keeps_next=True)
    rows = [block(f"row {n}", head=head) for n in range(4)]
    made = placed([block("a", 20.0), block("title", 4.0, keeps_next=True), head, *rows])
    names = [[name for name, _, _ in page] for page in made]
    assert names == [["a"], ["title", "head", "row 0", "row 1"], ["head", "row 2", "row 3"]]


def test_gaps_are_left_away_at_the_top_and_a_block_too_high_stands_alone() -> None:
    made = placed([gap(8.0), block("a"), block("tall", 99.0), gap(8.0), block("b")])
    assert [[(name, y) for name, _, y in page] for page in made] == [
        [("a", 100)], [("tall", 100)], [("b", 100)],
    ]  # fmt: skip


def test_spots_stay_on_the_disc_and_off_one_another() -> None:
    assert on_disc(0.0, 2.0, 30.0, 5.0) == (0.0, 25.0)
    assert on_disc(0.5, 0.0, 30.0, 5.0) == (15.0, 0.0)
    crowd = {1: (0.0, 0.0), 2: (0.0, 0.0), 3: (4.0, 0.0), 4: (-40.0, 0.0), 5: (0.0, 48.0)}
    places = apart({**crowd, 6: (2.0, 49.0)}, 11.0, 50.0)
    found = list(places.values())
    for at, one in enumerate(found):
        assert hypot(*one) <= 50.01
        for other in found[at + 1 :]:
            assert hypot(one[0] - other[0], one[1] - other[1]) > 10.5
    assert places[4] == (-40.0, 0.0)
