"""Contact sheets of every paper and list, to look at: `python -m tests.pictures_paper [FOLDER]`."""

import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from core.app.box_report import ReportKind, box_report, report_file
from core.app.checklists import ListGroup, ListName
from core.app.collection import Collection
from core.app.demo import write_demo
from core.app.finish_box import finish_box, finish_proposal, finish_task
from core.app.picture_order import Kind, PictureOrder, RealOrder
from core.app.pictures import draw, drawn_of
from core.app.plan_pages import About, curve_pdf, curve_sheet, months_sheet, what_if_sheet
from core.app.table_sheets import SheetKind, sheet_pdf
from core.app.upgrades import plan_input
from core.app.want_list import Pay, PayKind, want_lines, want_pdf, want_sheet
from core.planning.aim import GAPS, POINTS
from core.planning.curve import Amount, Curve, curve
from core.planning.plan import plan
from core.planning.schedule import schedule
from core.planning.what_if import with_key_target
from core.printing.checklist import Checklist, ListColumn, Look, Paper
from core.printing.curve_page import CURVE_PAPERS
from core.printing.pdf import checklist_pdf
from core.printing.png import page_count, pdf_page_png
from core.printing.want_list import WantPaper, WantPart, WantRow, WantSheet
from tests.paper_cases import CASES
from tests.search_material import cents_box

LOOKS = {
    "": Look(),
    "-large": Look(is_large=True),
    "-columns": Look(tuple(ListColumn)),
    "-large-columns": Look(tuple(ListColumn), is_large=True),
}


def main(folder: Path, dots_per_inch: float = 100, most_pages: int = 3) -> None:
    """Write the first pages of every case and grouping on every paper, and name them."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, listing, look in _lists():
        for paper in Paper:
            data = checklist_pdf(listing, paper, look)
            _write(folder, f"{name}-{paper}", data, dots_per_inch, most_pages)
    for name, data in (*_real_sizes(), *_boxes(), *_want_lists(), *_curves()):
        _write(folder, name, data, dots_per_inch, most_pages)


def _write(folder: Path, name: str, data: bytes, dots_per_inch: float, most_pages: int) -> None:
    (folder / f"{name}.pdf").write_bytes(data)
    count = page_count(data)
    for page in range(min(count, most_pages)):
        path = folder / f"{name}-{page + 1}.png"
        path.write_bytes(pdf_page_png(data, page, dots_per_inch))
        print(f"{path} of {count}")


def _real_sizes() -> Iterator[tuple[str, bytes]]:
    """Every album of the demo at real size, and with holes so large that leaves are cut up."""
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "demo.slotleaf"
        write_demo(file)
        with Collection.open(file, read_only=True) as collection:
            for album in collection.albums():
                drawn = drawn_of(collection, album.id)
                for paper in (Paper.A4, Paper.LETTER, Paper.A5):
                    for suffix, real in (("", RealOrder()), ("-38", RealOrder(38.1, 1.0))):
                        order = PictureOrder(Kind.PDF, paper=paper, real=real)
                        yield f"real{album.id}{suffix}-{paper}", draw(drawn, order)


def _boxes() -> Iterator[tuple[str, bytes]]:
    """The report of a box in hand and finished, and both sheets for the table, on each paper."""
    for before in (0, 4):
        with tempfile.TemporaryDirectory() as scratch:
            collection, box = cents_box(Path(scratch), before)
            for paper in (Paper.A4, Paper.LETTER):
                in_hand = box_report(collection, box)
                yield f"box{before}-in-hand-{paper}", report_file(in_hand, ReportKind.PDF, paper)
                for kind in SheetKind:
                    yield (
                        f"box{before}-{kind}-{paper}",
                        sheet_pdf(collection, kind, None, box, paper),
                    )
            task = finish_task(collection, box)
            pairs = [move.pair for move in finish_proposal(task).moves]
            collection.run(finish_box(box, pairs))
            for paper in (Paper.A4, Paper.LETTER):
                done = box_report(collection, box, private=True)
                yield f"box{before}-done-{paper}", report_file(done, ReportKind.PDF, paper)
            collection.close()


def _want_lists() -> Iterator[tuple[str, bytes]]:
    """The demo's open slots, a plan with a pinned coin, long names, and a list of nothing."""
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "demo.slotleaf"
        write_demo(file)
        with Collection.open(file, read_only=True) as collection:
            found = plan_input(collection)
            dear = max(found.given.purchases, key=lambda one: one.cost or 0)
            pinned = plan_input(collection, pinned=[dear.id])
            made = plan(pinned.given, 25_000, GAPS)
            lines = want_lines(found)
            cases = {
                "open-shown": want_sheet(collection, found, lines, Pay(PayKind.SHOWN)),
                "open-hidden": want_sheet(collection, found, lines, Pay()),
                "plan-coded": want_sheet(
                    collection, pinned, want_lines(pinned, made),
                    Pay(PayKind.CODED, "BLACKHORSE"), made, 25_000,
                ),
                "nothing": want_sheet(collection, found, (), Pay()),
            }  # fmt: skip
        cases["long"] = _long_wants(cases["open-shown"])
        for name, sheet in cases.items():
            for paper in WantPaper:
                yield f"wants-{name}-{paper}", want_pdf(sheet, paper, collection.today)


def _curves() -> Iterator[tuple[str, bytes]]:
    """The demo's curves and months, one of many steps and long names, and pages with nothing."""
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "demo.slotleaf"
        write_demo(file)
        with Collection.open(file, read_only=True) as collection:
            found, day = plan_input(collection), collection.today
    about, given = About("Harbour Museum coin jar", found), found.given
    made = plan(given, 25_000, GAPS)
    gaps, points = curve(given, GAPS.shown), curve(given, POINTS.shown)
    then = curve(with_key_target(given, 8), POINTS.shown)
    bare = Curve((Amount(0, 0),), True, True, ())
    many = Curve(tuple(Amount(at * 1_937, at) for at in range(200)), False, False, ())
    rows = tuple(
        replace(row, album_name=f"The album that the lighthouse keeper began in {row.album}")
        for row in found.rows
    )
    long = About("A tin box of the second cousin " * 3, replace(found, rows=rows))
    months = schedule(given, 2_500, GAPS, 12)
    cases = {
        "gaps": curve_sheet(about, GAPS, gaps, 25_000, made),
        "points": curve_sheet(about, POINTS, points, None),
        "what-if": what_if_sheet(
            about, POINTS, points, then, 25_000, [("Supposed", "3 key dates with a lower target")]
        ),
        "months": months_sheet(about, GAPS, months, 2_500, 12),
        "months-long": months_sheet(long, GAPS, months, 2_500, 12),
        "long": curve_sheet(long, GAPS, many, 99_999_999, None, "left aside in the curve"),
        "nothing": curve_sheet(about, GAPS, bare, 25_000),
        "one": curve_sheet(about, GAPS, Curve((*bare.steps, Amount(1_250, 1)), True, True, ()), 9),
    }
    for name, sheet in cases.items():
        for paper in CURVE_PAPERS:
            yield f"curve-{name}-{paper}", curve_pdf(sheet, paper, day)


def _long_wants(sheet: WantSheet) -> WantSheet:
    """Names, grades and amounts as long as they come."""
    row = WantRow(
        sheet.parts[0].rows[0].code,
        "1955 doubled die obverse, the strongest of those known, cent",
        "MS-65 RD full steps or better",
        "problems accepted",
        "now VG-8 details (cleaned long ago), VF-20 on order, spare XF-40 at hand",
        "1234567890.00",
    )
    name = "Every date and mint that the lighthouse keeper's grandmother ever wrote down"
    part = WantPart("Key dates", name, (row, replace(row, pay=""), row))
    return replace(sheet, title=name, parts=(part, *sheet.parts), footer=name)


def _lists() -> Iterator[tuple[str, Checklist, Look]]:
    """Invented lists, plain and large; the demo's first album by every grouping."""
    for name, case in CASES.items():
        for suffix in ("", "-large"):
            yield f"{name}{suffix}", case(), LOOKS[suffix]
    with tempfile.TemporaryDirectory() as scratch:
        file = Path(scratch) / "demo.slotleaf"
        write_demo(file)
        with Collection.open(file, read_only=True) as collection:
            album = collection.albums()[0].id
            for group in ListGroup:
                for suffix, look in LOOKS.items():
                    listing = collection.checklist(album, ListName.OPEN, group=group)
                    yield f"demo-{group}{suffix}", listing, look


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out/paper"))
