"""G17: a checklist of 1,000 rows as PDF, against a bare canvas that draws its glyphs inline.

`python -m tests.bench.bench_pdf` prints the ratios of time and file size, and the goal, without and
with the maps of the leaves. The floor is given the laid-out pages for nothing; the product's time
includes laying them out. Both embed the same fonts and pack their streams alike.
"""

import io
from statistics import median
from time import perf_counter

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from core.glyph.shapes import glyph
from core.printing.checklist import Checklist, Paper
from core.printing.pages import lay_out
from core.printing.pdf import checklist_pdf, measure, wrap
from core.printing.placed import Page, PlacedGlyph
from core.printing.text_runs import Face
from resources import read_bytes
from tests.paper_cases import a_checklist, leaf_of, matrix_map, rows_of

ROUNDS = 11
GOAL = 0.7


def thousand_rows(with_maps: bool) -> Checklist:
    """Forty leaves of twenty-five rows."""
    maps = [matrix_map(1900 + n, 9, n) if with_maps else None for n in range(40)]
    return a_checklist(*(leaf_of(n + 1, rows_of(25, 25 * n), maps[n]) for n in range(40)))


def floor_pdf(pages: tuple[Page, ...]) -> bytes:
    """The same pages by plain canvas calls: every string, line, box and glyph on its own."""
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        for rule in page.rules:
            canvas.setLineWidth(rule.weight)
            canvas.line(rule.x, page.height - rule.y, rule.x + rule.width, page.height - rule.y)
        for box in page.boxes:
            canvas.setLineWidth(box.weight)
            canvas.rect(box.x, page.height - box.y - box.side, box.side, box.side)
        for placed in page.glyphs:
            _glyph_inline(canvas, placed, page.height)
        for text in page.texts:
            canvas.setFont(f"floor {text.style.face}", text.style.size)
            canvas.drawString(text.x, page.height - text.y, text.text)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _glyph_inline(canvas: Canvas, placed: PlacedGlyph, height: float) -> None:
    r, cx, cy = placed.diameter / 2, placed.x, height - placed.y
    for part in glyph(placed.code, placed.diameter / 72 * 300):
        path = canvas.beginPath()
        for contour in part.contours:
            for segment in contour:
                points = [
                    cx + r * value if i % 2 == 0 else cy - r * value
                    for i, value in enumerate(segment[1:])
                ]
                {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo}[segment[0]](*points)
            path.close()
        canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)


def _seconds(work) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def main() -> None:
    for face in Face:
        font = TTFont(f"floor {face}", io.BytesIO(read_bytes(face.path)), asciiReadable=False)
        pdfmetrics.registerFont(font)
    for with_maps in (False, True):
        _compare(with_maps)


def _compare(with_maps: bool) -> None:
    checklist = thousand_rows(with_maps)
    pages = lay_out(checklist, Paper.A4, measure, wrap)
    product, floor = checklist_pdf(checklist, Paper.A4), floor_pdf(pages)
    times = [
        (_seconds(lambda: floor_pdf(pages)), _seconds(lambda: checklist_pdf(checklist, Paper.A4)))
        for _ in range(ROUNDS)
    ]
    ratio = median(mine / bare for bare, mine in times)
    print(
        f"G17 1,000 rows on {len(pages)} pages {'with' if with_maps else 'without'} maps:"
        f" time {ratio:.2f} (median {1000 * median(mine for _, mine in times):.0f} ms against"
        f" {1000 * median(bare for bare, _ in times):.0f} ms),"
        f" file {len(product) / len(floor):.2f} ({len(product):,} against {len(floor):,} bytes);"
        f" goal at most {GOAL} both"
    )


if __name__ == "__main__":
    main()
