"""The report of a box: what it says, read back from the files it makes; nothing private unasked."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from core.app.box_report import ReportKind, box_report, report_file, time_text
from core.app.box_slots import Stays, slot_steps
from core.app.collection import Collection
from core.app.finish_box import Way, finish_box, finish_proposal, finish_task
from core.app.operations import place_coin
from core.app.search_finds import add_weighing
from core.app.search_orders import add_box, edit_box
from core.model.album import Placement, SlotId
from core.model.coin import CoinId
from core.model.issue import SeriesId
from core.model.search import BoxId, Weighing
from core.printing.checklist import Paper
from core.printing.png import page_count
from tests.collection_material import a_box, a_collection, an_album, keep, slot, with_coins
from tests.search_material import cents_box

LINCOLN = SeriesId("us-cent-lincoln")
PRIVATE = ("north branch", "machine wrapped", "25.00 USD", "3.00 USD", "the south branch", "quiet")


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Collection, BoxId]]:
    """Box 33 of cents, finished: five finds into the album, two into a lot, one given back."""
    collection, box = cents_box(tmp_path_factory.mktemp("report"))
    collection.run(edit_box(replace(collection.log.box(box), note="a quiet | morning")))
    task = finish_task(collection, box)
    moves = finish_proposal(task).moves
    rest = task.rest(finish_proposal(task))
    ways = {line.coin.id: Way.LOT for line in rest if line.label == "1951"}
    ways[rest[0].coin.id] = Way.BANK
    collection.run(finish_box(box, [move.pair for move in moves], ways))
    yield collection, box
    collection.close()


def pdf_text(data: bytes) -> str:
    """All text of a PDF in order, on one line."""
    document = pypdfium2.PdfDocument(data)
    try:
        pages = [document[n].get_textpage().get_text_bounded() for n in range(len(document))]
    finally:
        document.close()
    return " ".join(" ".join(pages).split())


@pytest.mark.parametrize("paper", [Paper.A4, Paper.LETTER])
def test_the_pdf_says_what_the_views_say(finished: tuple[Collection, BoxId], paper: Paper) -> None:
    collection, box = finished
    view = collection.log.box_view(box)
    report = box_report(collection, box)
    data = report_file(report, ReportKind.PDF, paper)
    assert data == report_file(box_report(collection, box), ReportKind.PDF, paper)
    text = pdf_text(data)
    assert text.startswith("Box 33 Cents 1909–1958 begun 14 November 2026")
    assert "5 slots filled, from 12 finds among 2,500 coins." in text
    (album,) = report.albums
    now = collection.album_view(collection.albums()[0].id)
    assert album.after_text == now.headline.whole_text
    assert f"{album.before_text} → {album.after_text}" in text
    for line in album.lines:
        assert f"{line.label} empty {line.after_text} new" in text
    for find in view.finds:
        assert re.search(rf"{find.roll}(?: end)? {find.label} {find.grade}", text), find.label
    for tally in report.tallies:
        assert f"{tally.name} {tally.now:,} " in text
    for said in ("Oldest this campaign: 1917", "5 × 1959 · 2 × 1960 · 1 × foreign",
                 "back to the bank", "in a lot of 2", "mean and 10–90 % of 4 boxes before",
                 "All Lincoln cents dated up to 1958 are logged."):  # fmt: skip
        assert said in text, said
    assert f"page 1 of {page_count(data)}" in text


@pytest.mark.parametrize("kind", [ReportKind.PDF, ReportKind.MARKDOWN])
def test_what_is_private_is_told_only_where_asked(
    finished: tuple[Collection, BoxId], kind: ReportKind
) -> None:
    def told(private: bool) -> str:
        data = report_file(box_report(*finished, private=private), kind)
        return pdf_text(data) if kind is ReportKind.PDF else data.decode("utf-8")

    open_text, whole = told(False), told(True)
    assert [word for word in PRIVATE if word in open_text] == []
    assert [word for word in PRIVATE if word not in whole] == []


def test_markdown_shows_texts_as_they_are(finished: tuple[Collection, BoxId]) -> None:
    text = report_file(box_report(*finished, private=True), ReportKind.MARKDOWN).decode("utf-8")
    assert "- Note: a quiet \\| morning" in text
    assert "| 1934-D | empty | F-12 | new |" in text
    assert "| 9 end | 1937 |  | Spare | spare |" in text
    rows = [line for line in text.splitlines() if line.startswith("| Wheat reverse")]
    assert rows == ["| Wheat reverse | 12 | 5.8 | 4.3–7.4 |"]


def test_before_and_after_differ_in_the_changed_cells_alone(
    finished: tuple[Collection, BoxId],
) -> None:
    (album,) = box_report(*finished).albums
    before, after = album.before, album.after
    other = {n for n in range(after.cells) if before.codes[n] != after.codes[n]}
    assert (len(other), other) == (5, set(album.changed))


def test_the_picture_is_a_png_as_wide_as_it_is_made(finished: tuple[Collection, BoxId]) -> None:
    data = report_file(box_report(*finished), ReportKind.PNG)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(data[16:20], "big") == 1280
    assert int.from_bytes(data[20:24], "big") > 2000


def test_a_report_stays_the_same_when_later_boxes_change_the_album(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        an_album(collection)
        first = a_box(collection)
        (one,) = keep(collection, first, "1941 f12")
        collection.run(finish_box(first, [(slot(collection, "1941"), one)]))
        told = box_report(collection, first).albums
        again_box = replace(collection.log.box(first), number=0, is_done=False)
        second = BoxId(collection.run(add_box(again_box)).made_log[-1])
        (two,) = keep(collection, second, "1941 vf30")
        collection.run(finish_box(second, [(slot(collection, "1941"), two)]))
        again = box_report(collection, first).albums
        assert [a.lines for a in again] == [a.lines for a in told]
        assert (again[0].before_text, again[0].after_text) == (
            told[0].before_text,
            told[0].after_text,
        )
        (line,) = box_report(collection, second).albums[0].lines
        assert (line.before_text, line.after_text, line.words) == ("F-12", "VF-30", "better")


def test_a_coin_that_makes_way_into_another_slot_is_told_too(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        an_album(collection)
        an_album(collection, "Lower", target="")
        box = a_box(collection)
        (old,) = with_coins(collection, "1940 f12")
        collection.run(place_coin(old, slot(collection, "1940")))
        keep(collection, box, "1940 vf20")
        moves = finish_proposal(finish_task(collection, box)).moves
        collection.run(finish_box(box, [move.pair for move in moves]))
        told = [
            (album.name, line.label, line.before_text, line.after_text)
            for album in box_report(collection, box).albums
            for line in album.lines
        ]
        assert told == [("Nickels", "1940", "F-12", "VF-20"), ("Lower", "1940", "empty", "F-12")]


def test_a_slip_that_was_put_right_the_same_day_is_no_change() -> None:
    day, later = date(2026, 3, 2), date(2026, 3, 9)
    right, wrong, find, old = SlotId(1), SlotId(2), CoinId(7), CoinId(3)
    stays = [
        Placement(1, right, old, day, later),
        Placement(2, wrong, find, later, later),
        Placement(3, right, find, later, None),
    ]
    (steps,) = slot_steps([find], Stays.among(stays)).items()
    assert (steps[0], steps[1].before, steps[1].after) == (right, old, find)
    assert slot_steps([find], Stays.among(stays[:2])) == {}


def test_an_empty_box_says_so(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        an_album(collection)
        box = a_box(collection)
        text = pdf_text(report_file(box_report(collection, box), ReportKind.PDF))
        for said in ("Nothing changed in the albums yet.", "Nothing was kept of this box.",
                     "not finished, at roll 1", "there are 0 so far"):  # fmt: skip
            assert said in text, said
        assert "Records" not in text
        told = "235 ± 5, shared wear adds ± 20"
        pile = Weighing(0, box, 412, 1_173_600, LINCOLN, "copper", 235, 5, told)
        collection.run(add_weighing(pile))
        text = pdf_text(report_file(box_report(collection, box), ReportKind.PDF))
        assert f"412 coins weighed: copper {told}" in text


def test_time_is_told_in_hours_and_minutes() -> None:
    assert [time_text(n) for n in (20, 60, 3600, 9600)] == [
        "under a minute", "1 min", "1 h", "2 h 40 min",
    ]  # fmt: skip


def test_records_say_firsts_together_and_no_most_of_a_first_box(
    finished: tuple[Collection, BoxId],
) -> None:
    collection, box = finished
    told = box_report(collection, box).records
    assert told == (
        "Oldest this box: 1917",
        "Oldest this campaign: 1917",
        "Most in a box, Wheat reverse: 12 in box 33",
        "Most in a box, Before 1940: 4 in box 33",
        "Most in a box, Copper: 19 in box 33",
        "First of their decade of this log: 1910s, 1960s",
        "First of their date of this log: 1917, 1939, 1951, 1956, 1959, 1960",
    )
    first = box_report(collection, BoxId(1)).records
    assert first[0].startswith("Oldest this box: ")
    assert [text for text in first if text.startswith(("Most", "Oldest this campaign"))] == []
