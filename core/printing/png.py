"""Pages of a PDF as pictures, drawn from the real file."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import cast

import pypdfium2

_drawing = Lock()  # PDFium must not be called from two threads at once


def page_count(data: bytes) -> int:
    """How many pages a PDF has."""
    with _opened(data) as document:
        return len(document)


def page_sizes(data: bytes) -> tuple[tuple[float, float], ...]:
    """Width and height of every page in points."""
    with _opened(data) as document:
        return tuple(document.get_page_size(i) for i in range(len(document)))


def render_page(data: bytes, page: int, scale: float) -> tuple[int, int, bytes]:
    """One page (counted from 0) at so many dots a point: width, height in dots, and the dots.

    The dots are rows from the top without padding, four bytes each: blue, green, red, 255.
    Raises IndexError for a page that is not there.
    """
    with _opened(data) as document:
        bitmap = _page(document, page).render(
            scale=scale, rev_byteorder=False, force_bitmap_format=_BGRA, fill_color=_WHITE
        )
        row = bitmap.width * 4
        rows = memoryview(cast("bytes", bitmap.buffer))
        if bitmap.stride == row:
            dots = bytes(rows)
        else:
            dots = b"".join(
                bytes(rows[i * bitmap.stride : i * bitmap.stride + row])
                for i in range(bitmap.height)
            )
        return bitmap.width, bitmap.height, dots


def pdf_page_png(data: bytes, page: int, dots_per_inch: float) -> bytes:
    """One page (counted from 0) as a PNG file. Raises IndexError for a page that is not there."""
    with _opened(data) as document:
        bitmap = _page(document, page).render(scale=dots_per_inch / 72, fill_color=_WHITE)
        out = io.BytesIO()
        bitmap.to_pil().save(out, "PNG", dpi=(dots_per_inch, dots_per_inch))
        return out.getvalue()


def picture_png(data: bytes, scale: float) -> bytes:
    """The first page at so many dots a point as a PNG file, clear where nothing is drawn."""
    with _opened(data) as document:
        bitmap = _page(document, 0).render(
            scale=scale, fill_color=_CLEAR, force_bitmap_format=_BGRA, rev_byteorder=False
        )
        out = io.BytesIO()
        bitmap.to_pil().save(out, "PNG")
        return out.getvalue()


_CLEAR = (0, 0, 0, 0)
_WHITE = (255, 255, 255, 255)
_BGRA = pypdfium2.raw.FPDFBitmap_BGRA


@contextmanager
def _opened(data: bytes) -> Iterator[pypdfium2.PdfDocument]:
    with _drawing:
        document = pypdfium2.PdfDocument(data)
        try:
            yield document
        finally:
            document.close()


def _page(document: pypdfium2.PdfDocument, page: int) -> pypdfium2.PdfPage:
    if not 0 <= page < len(document):
        raise IndexError(f"page {page} of a PDF with {len(document)} pages")
    return document[page]
