"""Pages as PDF: the only file that imports reportlab.

Fonts are embedded as subsets, glyphs are form XObjects drawn once a kind, the text of a page is one
text object in reading order. The same checklist gives the same bytes.
"""

import io
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from threading import Lock

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.pdfgen.textobject import PDFTextObject

from core.glyph.palette import PAPER, Palette, channels, state_colour
from core.glyph.shapes import Contour, Glyph, Segment, glyph, outline_size, reach
from core.printing.checklist import Checklist, LeftOut, Look, Paper
from core.printing.pages import lay_out, left_out
from core.printing.placed import Page, PlacedGlyph, PlacedShape, Style
from core.printing.text_runs import Face, text_runs, wrap_text
from core.printing.whole_file import write_whole
from resources import read_bytes

DOTS_PER_INCH = 300
_PROGRAM = "Slotleaf"
_PLAIN_LOOK = Look()

rl_config.useA85 = 0  # streams as bytes, a fifth smaller than as text
_writing = Lock()  # reportlab's fonts are shared by all documents of the process


def checklist_pdf(checklist: Checklist, paper: Paper, look: Look = _PLAIN_LOOK) -> bytes:
    """The checklist as a PDF file on that paper."""
    pages = lay_out(checklist, paper, measure, wrap, look)
    title = f"{checklist.title}: {checklist.list_name}"
    day = f"D:{checklist.day:%Y%m%d}000000Z"
    return pages_pdf(pages, title, day)


def checklist_left_out(checklist: Checklist, paper: Paper, look: Look) -> LeftOut:
    """Which of the chosen columns the file does not have, and why."""
    return left_out(checklist, paper, measure, look)


def pages_pdf(
    pages: Iterable[Page],
    title: str,
    created: str,
    subject: str = "Checklist",
    palette: Palette = PAPER,
    dots_per_inch: float = DOTS_PER_INCH,
) -> bytes:
    """Laid-out pages as a PDF file; `created` is a PDF date such as D:20261125000000Z.

    The outlines of glyphs are those for so many dots to the inch.
    """
    out = io.BytesIO()
    with _writing:
        first = _font(Face.REGULAR).fontName  # else the file names a font that is not embedded
        canvas = Canvas(out, invariant=1, pageCompression=1, initialFontName=first)
        canvas.setTitle(title)
        canvas.setAuthor(_PROGRAM)
        canvas.setCreator(_PROGRAM)
        canvas.setProducer(_PROGRAM)
        canvas.setSubject(subject)
        canvas.setDateFormatter(lambda *_: created)
        canvas.setCatalogEntry("Lang", "en")
        canvas.setViewerPreference("DisplayDocTitle", "true")
        pen = _Pen(canvas, palette, dots_per_inch)
        for page in pages:
            _draw_page(pen, page)
        canvas.save()
    return out.getvalue()


def write_pdf(path: Path, data: bytes) -> None:
    """Put a file in place whole or not at all; what was there before stays until then.

    Raises Refused where the name is that of a file of another kind (a collection, say), FileTrouble
    where it cannot be written; both say what to do.
    """
    write_whole(path, data, "PDF", "The checklist")


def measure(text: str, style: Style) -> float:
    """The width of a line of text in points."""
    return _unit_width(text, style.face) * style.size


def wrap(text: str, style: Style, width: float) -> tuple[str, ...]:
    """The lines of a text no wider than so many points."""
    face = style.face
    return wrap_text(text, width / style.size, lambda part: _unit_width(part, face))


# --- fonts -----------------------------------------------------------------------------------


@lru_cache(maxsize=len(Face))
def _font(face: Face) -> TTFont:
    font = _Font(face.value, io.BytesIO(read_bytes(face.path)), asciiReadable=False)
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=65536)
def _unit_width(text: str, face: Face) -> float:
    """The width of a text at a size of one point."""
    return float(sum(_font(run.face).stringWidth(run.text, 1) for run in text_runs(text, face)))


class _Font(TTFont):  # type: ignore[misc]  # reportlab ships no types
    """A font whose text can be read out again, whatever its characters.

    WORKAROUND: reportlab 5.1 writes characters beyond U+FFFF as five digits where UTF-16 is due,
    and more lines a block than the 100 that Adobe Technical Note 5411 allows.
    """

    def addObjects(self, doc: PDFDocument) -> None:  # noqa: N802 (reportlab's name)
        """Add the font's objects to a document, with their way back to text set right."""
        state = self.state[doc]
        subsets = [list(subset) for subset in state.subsets]
        super().addObjects(doc)
        fonts = doc.idToObject["BasicFonts"].dict
        for number, subset in enumerate(subsets):
            name = fonts[f"{state.internalName}+{number}"].BaseFont
            doc.idToObject[f"toUnicodeCMap:{name}"].content = _to_unicode(name, subset)


def _to_unicode(name: str, subset: list[int]) -> str:
    """A ToUnicode map of a subset: code to character in UTF-16.

    Source: ISO 32000-1:2008, 9.10.3, and Adobe Technical Note 5411, ToUnicode Mapping File.
    """
    pairs = [
        f"<{code:02X}> <{chr(character).encode('utf-16-be').hex().upper()}>"
        for code, character in enumerate(subset)
        if character
    ]
    blocks = [pairs[at : at + 100] for at in range(0, len(pairs), 100)]
    lines = [
        "/CIDInit /ProcSet findresource begin",
        "12 dict begin",
        "begincmap",
        f"/CIDSystemInfo << /Registry ({name}) /Ordering (UCS) /Supplement 0 >> def",
        f"/CMapName /{name} def",
        "/CMapType 2 def",
        "1 begincodespacerange <00> <FF> endcodespacerange",
    ]
    for block in blocks:
        lines += [f"{len(block)} beginbfchar", *block, "endbfchar"]
    lines += ["endcmap", "CMapName currentdict /CMap defineresource pop", "end", "end"]
    return "\n".join(lines)


# --- drawing ---------------------------------------------------------------------------------


class _Pen:
    """The canvas, the colours on it, and the glyphs drawn so far."""

    def __init__(self, canvas: Canvas, palette: Palette, dots_per_inch: float) -> None:
        self.canvas, self.palette, self.dots_per_inch = canvas, palette, dots_per_inch
        self.forms: set[str] = set()
        self.is_coloured = palette != PAPER

    def dip(self, colour: str) -> None:
        """Fill in a colour from here on."""
        red, green, blue = channels(colour)
        self.canvas.setFillColorRGB(red / 255, green / 255, blue / 255)

    def dip_ink(self, ink: str) -> None:
        """Fill in a colour of the palette, by its name."""
        self.dip(getattr(self.palette, ink))


def _draw_page(pen: _Pen, page: Page) -> None:
    canvas = pen.canvas
    canvas.setPageSize((page.width, page.height))
    for shape in page.shapes:
        _draw_shape(pen, shape, page.height)
    if page.shapes:
        pen.dip_ink("ink")
    _draw_rules(canvas, page)
    _draw_boxes(canvas, page)
    for placed in page.glyphs:
        _draw_glyph(pen, placed, page.height)
    _draw_texts(pen, page)
    canvas.showPage()


def _draw_shape(pen: _Pen, shape: PlacedShape, height: float) -> None:
    canvas = pen.canvas
    pen.dip_ink(shape.ink)
    canvas.saveState()
    canvas.transform(1, 0, 0, -1, 0, height)
    _fill(canvas, shape.contours)
    canvas.restoreState()


def _draw_rules(canvas: Canvas, page: Page) -> None:
    """Lines as filled areas: viewers draw a hairline as fine as it is, not a whole dot wide."""
    path = canvas.beginPath()
    for rule in page.rules:
        path.rect(rule.x, page.height - rule.y - rule.weight / 2, rule.width, rule.weight)
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_boxes(canvas: Canvas, page: Page) -> None:
    for weight in sorted({box.weight for box in page.boxes}):
        canvas.setLineWidth(weight)
        path = canvas.beginPath()
        for box in page.boxes:
            if box.weight == weight:
                path.rect(box.x, page.height - box.y - box.side, box.side, box.side)
        canvas.drawPath(path)


def _draw_glyph(pen: _Pen, placed: PlacedGlyph, height: float) -> None:
    """Draw a glyph by its form, made on first use: the unit circle, one form a kind and outline."""
    canvas = pen.canvas
    dots = placed.diameter / 72 * pen.dots_per_inch
    name = f"glyph{placed.code}x{outline_size(dots)}"
    if name not in pen.forms:
        pen.forms.add(name)
        edge = reach(dots)
        canvas.beginForm(name, -edge, -edge, edge, edge)
        _fill_glyph(pen, placed.code, glyph(placed.code, dots))
        canvas.endForm()
    radius = placed.diameter / 2
    canvas.saveState()
    canvas.transform(radius, 0, 0, -radius, placed.x, height - placed.y)
    canvas.doForm(name)
    canvas.restoreState()


def _fill_glyph(pen: _Pen, code: int, parts: Glyph) -> None:
    for part in parts:
        if pen.is_coloured:
            palette = pen.palette
            pen.dip(palette.ink if part.role == "mark" else state_colour(palette, code))
        _fill(pen.canvas, part.contours)


def _fill(canvas: Canvas, contours: Iterable[Contour]) -> None:
    path = canvas.beginPath()
    for contour in contours:
        for segment in contour:
            _add_segment(path, segment)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)


def _add_segment(path: PDFPathObject, segment: Segment) -> None:
    match segment:
        case ("M", x, y):
            path.moveTo(x, y)
        case ("L", x, y):
            path.lineTo(x, y)
        case ("C", *curve):
            path.curveTo(*curve)


def _draw_texts(pen: _Pen, page: Page) -> None:
    canvas = pen.canvas
    canvas.setLineWidth(0.3)  # for what is thickened
    text = canvas.beginText()
    ink = ""
    for placed in page.texts:
        # On paper all is black but what stands in white on black.
        if placed.ink != ink and (pen.is_coloured or "accent_ink" in (placed.ink, ink)):
            ink = placed.ink
            red, green, blue = channels(getattr(pen.palette, ink))
            text.setFillColorRGB(red / 255, green / 255, blue / 255)
        text.setTextOrigin(placed.x, page.height - placed.y)
        for run in text_runs(placed.text, placed.style.face):
            text.setFont(_font(run.face).fontName, placed.style.size)
            if placed.style.face is Face.BOLD and run.face is not Face.BOLD:
                _thickened(pen, text, run.text, placed.ink)
            else:
                text.textOut(run.text)
    canvas.drawText(text)


def _thickened(pen: _Pen, text: PDFTextObject, run: str, ink: str) -> None:
    """Characters of a font that has no bold, with their outlines drawn as well."""
    if pen.is_coloured:
        red, green, blue = channels(getattr(pen.palette, ink))
        text.setStrokeColorRGB(red / 255, green / 255, blue / 255)
    text.setTextRenderMode(2)
    text.textOut(run)
    text.setTextRenderMode(0)
