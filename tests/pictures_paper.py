"""Contact sheets of every paper and list, to look at: `python -m tests.pictures_paper [FOLDER]`."""

import sys
from pathlib import Path

from core.printing.checklist import Paper
from core.printing.pdf import checklist_pdf
from core.printing.png import page_count, pdf_page_png
from tests.paper_cases import CASES


def main(folder: Path, dots_per_inch: float = 100, most_pages: int = 3) -> None:
    """Write the first pages of every case on every paper, and name them."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, case in CASES.items():
        for paper in Paper:
            data = checklist_pdf(case(), paper)
            (folder / f"{name}-{paper}.pdf").write_bytes(data)
            count = page_count(data)
            for page in range(min(count, most_pages)):
                path = folder / f"{name}-{paper}-{page + 1}.png"
                path.write_bytes(pdf_page_png(data, page, dots_per_inch))
                print(f"{path} of {count}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out/paper"))
