"""The curves of the upgrades on paper: the same points as in the plan, read back from the file."""

import io
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from pypdf import PdfReader

from core.app.checklists import day_text
from core.app.collection import Collection
from core.app.demo import write_demo
from core.app.plan_pages import (
    About,
    curve_pdf,
    curve_sheet,
    months_sheet,
    what_if_sheet,
)
from core.app.plan_tables import beside_table, curve_table
from core.app.upgrades import plan_input
from core.planning.aim import GAPS, POINTS, TARGETS, mix
from core.planning.curve import Amount, Curve, curve
from core.planning.drawn import (
    Stair,
    corners,
    curve_stairs,
    drawn_curve,
    drawn_months,
    figure_at,
    month_text,
)
from core.planning.plan import plan
from core.planning.schedule import Schedule, schedule
from core.planning.what_if import with_key_target
from core.printing.checklist import Paper
from core.printing.curve_page import CURVE_PAPERS, CurveSheet, curve_pages, dashes, ribbon
from core.printing.page_edges import frame_of
from core.printing.pdf import measure, wrap
from core.printing.placed import Page

LIMIT_S = 5.0


@pytest.fixture(scope="module")
def jar(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    file = tmp_path_factory.mktemp("pages") / "demo.slotleaf"
    write_demo(file)
    with Collection.open(file, read_only=True) as collection:
        yield collection


@pytest.fixture(scope="module")
def about(jar: Collection) -> About:
    return About(jar.name, plan_input(jar))


def read(sheet: CurveSheet, paper: Paper) -> list[str]:
    data = curve_pdf(sheet, paper, date(2026, 11, 25))
    assert data == curve_pdf(sheet, paper, date(2026, 11, 25))
    pages = PdfReader(io.BytesIO(data)).pages
    for page in pages:
        size = tuple(round(float(side) * 25.4 / 72, 1) for side in page.mediabox[2:])
        assert size == paper.size_mm
    return [page.extract_text() for page in pages]


def middle_line(page: Page, ink: str) -> list[tuple[float, float]]:
    """The line that a ribbon of an ink was drawn along: half way between its two sides."""
    contours = [s.contours for s in page.shapes if s.ink == ink]
    longest = max((one for some in contours for one in some), key=len)
    points = [(segment[1], segment[2]) for segment in longest]
    half = len(points) // 2
    return [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for a, b in zip(points[:half], reversed(points[half:]), strict=True)
    ]


def test_a_page_tells_the_aim_the_proof_and_every_step_on_every_paper(about: About) -> None:
    found = curve(about.found.given, GAPS.shown, LIMIT_S)
    made = plan(about.found.given, 25_000, GAPS, LIMIT_S)
    sheet = curve_sheet(about, GAPS, found, 25_000, made, "left aside in the curve")
    rows = curve_table(curve_stairs(found), about.currency).rows
    for paper in CURVE_PAPERS:
        pages = read(sheet, paper)
        text = " ".join(" ".join(pages).split())
        for said in (
            "What each amount buys", about.albums, GAPS.words, "each step proven best",
            f"250.00 {about.currency}: {made.gains.gaps} gaps closed; the plan for it is proven",
            "Values are estimates, not appraisals.", "The prices are invented.",
            "left aside in the curve", day_text(about.found.book.today), "budget 250.00",
        ):  # fmt: skip
            assert said in text, (paper, said)
        lines = [line for page in pages for line in page.splitlines()]
        flat = "\n".join(lines)
        for row in rows:
            assert "\n".join(row) in flat or " ".join(row) in flat, (paper, row)
        assert f"page {len(pages)} of {len(pages)}" in pages[-1]


def test_the_line_on_paper_is_that_of_the_plan_and_only_rises(about: About) -> None:
    given = about.found.given
    for aim in (GAPS, TARGETS, POINTS, mix(3, 2, 1)):
        found = curve(given, aim.shown, LIMIT_S)
        whole = plan(given, None, replace(aim, steps=(aim.shown,)), LIMIT_S)
        assert found.steps[-1] == Amount(whole.spent, whole.figures[0])
        sheet = curve_sheet(about, aim, found, None)
        drawn = sheet.drawn
        assert drawn.stairs[-1] == (whole.spent, whole.figures[0] / aim.unit)
        page = curve_pages(sheet, Paper.A4, measure, wrap)[0]
        line = middle_line(page, "accent")
        assert len(line) == len(drawn.corners)
        for (x, y), (to_x, to_y) in pairwise(line):
            assert (to_x >= x - 1e-6 and abs(to_y - y) < 1e-6) or (
                to_y <= y + 1e-6 and abs(to_x - x) < 1e-6
            )
        left, top = line[0][0], min(y for _, y in line)
        right, bottom = line[-1][0], line[0][1]
        across = drawn.most - drawn.stairs[0].across
        up = drawn.stairs[-1].figure - drawn.stairs[0].figure
        for (x, y), (money, figure) in zip(line, drawn.corners, strict=True):
            share = (money - drawn.stairs[0].across) / across
            assert x == pytest.approx(left + share * (right - left), abs=0.01)
            risen = (figure - drawn.stairs[0].figure) / up
            assert y == pytest.approx(bottom - risen * (bottom - top), abs=0.01)


def test_nothing_stands_outside_the_paper_or_over_the_footer(about: About) -> None:
    long = replace(about, collection="Tin of the second cousin " * 9)
    many = Curve(tuple(Amount(step * 137, step) for step in range(200)), False, False, ())
    then = Curve(tuple(Amount(step * 151, 2 * step) for step in range(200)), True, True, ())
    sheets = [
        curve_sheet(long, GAPS, many, 9_999_999),
        curve_sheet(long, GAPS, many, None),
        what_if_sheet(long, GAPS, many, then, 5, [("Supposed", "key dates ask for less " * 20)]),
    ]
    for sheet in sheets:
        for paper in CURVE_PAPERS:
            edges = frame_of(paper)
            pages = curve_pages(sheet, paper, measure, wrap)
            assert len(pages) > 1
            for page in pages:
                for text in page.texts:
                    assert edges.left - 0.1 <= text.x <= text.x + text.width <= edges.right + 0.1
                    assert text.y <= edges.bottom or text.y == edges.footer_base
                for shape in page.shapes:
                    for contour in shape.contours:
                        for segment in contour:
                            xs, ys = segment[1::2], segment[2::2]
                            assert min(xs) >= edges.left - 5
                            assert max(xs) <= edges.right + 5
                            assert edges.top <= min(ys) <= max(ys) <= edges.bottom


def test_what_is_supposed_is_full_and_the_present_dashed_with_both_in_the_table(
    about: About,
) -> None:
    given = about.found.given
    now = curve(given, TARGETS.shown, LIMIT_S)
    then = curve(with_key_target(given, 4), TARGETS.shown, LIMIT_S)
    sheet = what_if_sheet(about, TARGETS, now, then, 25_000, [("Supposed", "key dates at G-4")])
    assert curve_stairs(then) == sheet.drawn.stairs != sheet.drawn.beside == curve_stairs(now)
    page = curve_pages(sheet, Paper.LETTER, measure, wrap)[0]
    dashed = max((s.contours for s in page.shapes if s.ink == "mute"), key=len)
    assert len(dashed) > 20
    text = " ".join(" ".join(read(sheet, Paper.LETTER)).split())
    for said in ("what is supposed", "now", "key dates at G-4", "Nothing of what is supposed"):
        assert said in text
    for row in beside_table(sheet.drawn).rows:
        money = round(float(row[0]) * 100)
        assert float(row[1].replace(",", "")) == (now.figure_at(money) or 0)
        assert float(row[2].replace(",", "")) == (then.figure_at(money) or 0)


def test_months_close_as_many_slots_as_the_schedule_and_keep_what_is_left(about: About) -> None:
    made = schedule(about.found.given, 2_500, GAPS, 12, LIMIT_S)
    sheet = months_sheet(about, GAPS, made, 2_500, 12)
    assert sheet.drawn.stairs[-1].figure == len(made.closes)
    for month in range(13):
        closed = sum(number <= month for number in made.closes.values())
        assert figure_at(sheet.drawn.stairs, month) == closed
    kept = [row[3] for row in sheet.table.rows if row[3]]
    assert kept == [f"{month.left / 100:.2f}" for month in made.months]
    text = "\n".join(read(sheet, Paper.A4))
    for number in (1, 4):
        assert month_text(about.found.book.today, number) in text
    for row in sheet.table.rows:
        assert row[1] in text


def test_a_page_with_nothing_says_so_and_draws_no_axes(about: About) -> None:
    bare = Curve((Amount(0, 0),), True, True, ())
    empty = Schedule((), {}, 0, (), (), True, ())
    for sheet in (
        curve_sheet(about, GAPS, bare, 25_000),
        what_if_sheet(about, GAPS, bare, bare, None, []),
        months_sheet(about, GAPS, empty, 2_500, 12),
    ):
        (page,) = curve_pages(sheet, Paper.A5, measure, wrap)
        assert not page.shapes
        assert sheet.empty_text in " ".join(read(sheet, Paper.A5)[0].split())
    one = Curve((Amount(0, 0), Amount(1_200, 1)), True, True, ())
    (page,) = curve_pages(curve_sheet(about, GAPS, one, 900), Paper.A4, measure, wrap)
    assert page.shapes


def test_ticks_are_round_and_money_has_the_decimals_of_its_currency() -> None:
    def across(most: int, currency: str) -> list[str]:
        return [t.text for t in drawn_curve([Stair(most, 3)], GAPS, currency).ticks_across]

    assert across(50_000, "USD") == ["0", "200", "400"]
    assert across(130, "USD") == ["0.00", "0.50", "1.00"]
    assert across(20, "USD") == ["0.00", "0.05", "0.10", "0.15", "0.20"]
    assert across(1_300, "JPY") == ["0", "500", "1,000"]
    assert across(1_300, "BHD") == ["0.000", "0.500", "1.000"]
    for top in (1, 2, 7, 64, 901, 12_000):
        drawn = drawn_curve([Stair(0, 0), Stair(5, top)], GAPS, "USD")
        assert drawn.high == drawn.ticks_up[-1].at >= top
        assert len(drawn.ticks_up) <= 7
        assert all("." not in tick.text for tick in drawn.ticks_up)
    months = drawn_months(Schedule((), {7: 3, 8: 3, 9: 14}, 0, (), (), True, ()),
                          date(2026, 11, 25), 12)  # fmt: skip
    assert months.stairs == (Stair(0, 0), Stair(3, 2), Stair(14, 3))
    assert [tick.text for tick in months.ticks_across][:2] == ["Nov 2026", "Feb 2027"]


def test_a_ribbon_is_as_thick_as_asked_and_dashes_cover_their_share() -> None:
    points = corners([Stair(0, 0), Stair(1, 2), Stair(30, 3)], 60)
    line = [(x, 100 - y) for x, y in points]
    outline = [(segment[1], segment[2]) for segment in ribbon(line, 2.0)]
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*outline, outline[0]])) / 2
    assert abs(area) == pytest.approx(2.0 * (60 + 3), abs=2.5)
    assert (outline[0], outline[-1]) == ((0.0, 99.0), (0.0, 101.0))
    cut = list(dashes(line))
    long = sum(abs(b[0] - a[0]) + abs(b[1] - a[1]) for one in cut for a, b in pairwise(one))
    assert long == pytest.approx(63 * 5 / 8.2, abs=5)
    assert cut[0][0] == (0.0, 100.0)
