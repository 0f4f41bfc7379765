"""Pictures, cards and leaf sheets to look at: `python -m tests.pictures_cards [FOLDER]`.

`python -m tests.pictures_cards --readme` draws the card that README.md shows, from the demo.
"""

import sys
import tempfile
from datetime import date
from pathlib import Path

from core.app.collection import Collection
from core.app.demo import ensure_demo
from core.app.picture_order import Kind, PictureOrder, What
from core.app.pictures import draw, drawn_of
from core.glyph.palette import DARK, LIGHT
from core.printing.checklist import Paper
from core.printing.drawn_page import page_png
from core.printing.leaf_picture import album_page
from core.printing.leaf_sheets import lay_out_leaves
from core.printing.pdf import measure, pages_pdf
from core.printing.png import page_count, pdf_page_png
from core.printing.share_card import card_page
from core.printing.whole_file import write_whole
from tests.picture_cases import PICTURE_CASES, PictureCase

README_CARD = Path("resources/pictures/card.png")
README_DAY, README_SINCE = date(2026, 11, 25), date(2026, 5, 1)
MOST_PAGES = 2


def main(folder: Path) -> None:
    """Write every case as cards, a picture and sheets."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, make in PICTURE_CASES.items():
        case = make()
        for theme, palette in (("light", LIGHT), ("dark", DARK)):
            page = card_page(case.heading, case.plan, measure, case.news, case.changed)
            (folder / f"card-{name}-{theme}.png").write_bytes(page_png(page, palette, 1.0))
        page = album_page(case.heading, case.plan, measure, changed=case.changed)
        scale = min(1.0, 1600 / max(page.width, page.height))
        (folder / f"album-{name}.png").write_bytes(page_png(page, LIGHT, scale))
        for paper in (Paper.A4, Paper.LETTER, Paper.A5):
            _sheets(folder, name, case, paper)
        print(name)


def _sheets(folder: Path, name: str, case: PictureCase, paper: Paper) -> None:
    pages = lay_out_leaves(case.heading, "The jar", case.plan, paper, measure, None, case.changed)
    data = pages_pdf(pages, name, "D:20261125000000Z", "Leaf sheets")
    for number in range(min(MOST_PAGES, page_count(data))):
        path = folder / f"sheet-{name}-{paper}-{number + 1}.png"
        path.write_bytes(pdf_page_png(data, number, 70))


def readme_card() -> None:
    """The demo's nickels on a day, and what changed since a spring day."""
    with tempfile.TemporaryDirectory() as folder:
        demo = Path(folder) / "demo.slotleaf"
        ensure_demo(demo)
        with Collection.open(demo, read_only=True, today=lambda: README_DAY) as collection:
            album = collection.find_album("Nickels")
            drawn = drawn_of(collection, album.id, since=README_SINCE)
        data = draw(drawn, PictureOrder(Kind.PNG, What.CARD))
    write_whole(README_CARD, data, "PNG", "The card")


if __name__ == "__main__":
    if sys.argv[1:] == ["--readme"]:
        readme_card()
    else:
        main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out/cards"))
