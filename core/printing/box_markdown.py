"""The report of a box as Markdown, for a post or a notebook. Pure text."""

import re
from collections.abc import Iterable, Iterator, Sequence

from core.printing.box_report import (
    AlbumChange,
    BoxReport,
    band_text,
    figure,
    likely_text,
    nothing_changed,
)
from core.printing.text_runs import printable
from core.search.tally import SO_FAR_NOTE

_SIGNS = re.compile(r"([\\`*_{}\[\]<>#|~])")


def plain(text: str) -> str:
    """A text so that Markdown shows it as it is, on one line."""
    return _SIGNS.sub(r"\\\1", printable(text))


def report_markdown(report: BoxReport) -> str:
    """The whole report."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: BoxReport) -> Iterator[str]:
    yield f"# {plain(report.title)}: {plain(report.campaign)}"
    yield ""
    yield plain(f"{report.summary[:-1]}; {report.day_text}.")
    yield ""
    for name, value in report.facts:
        yield f"- {plain(name)}: {plain(value)}"
    yield from _heading("In the albums")
    if not report.albums:
        yield nothing_changed(report.is_done)
    for number, album in enumerate(report.albums):
        if number:
            yield ""
        yield from _album(album)
    if report.tallies:
        yield from _heading("Tallies")
        yield plain(report.usual_text[:1].upper() + report.usual_text[1:]) + "."
        yield ""
        yield from _tallies(report)
    if report.records:
        yield from _heading("Records")
        yield from (f"- {plain(text)}" for text in report.records)
    yield from _heading("Finds in order")
    if report.finds:
        yield from _table(
            ("Roll", "Coin", "Grade", "Answer", "Where it is"),
            (
                (
                    f"{find.roll}{' end' if find.is_ender else ''}",
                    find.label,
                    find.detail,
                    find.answer,
                    find.where,
                )
                for find in report.finds
            ),
        )
    else:
        yield "Nothing was kept of this box."
    if report.seen:
        yield from _heading("Counted, not kept")
        yield plain(" · ".join(report.seen))
    if report.notes:
        yield from _heading("Also noted")
        yield from (f"- {plain(text)}" for text in report.notes)


def _heading(text: str) -> tuple[str, str, str]:
    return "", f"## {text}", ""


def _album(album: AlbumChange) -> Iterator[str]:
    yield f"**{plain(album.name)}**: {plain(album.before_text)} → {plain(album.after_text)}"
    yield ""
    yield from _table(
        ("Slot", "Before", "After", ""),
        ((one.label, one.before_text, one.after_text, one.words) for one in album.lines),
    )


def _tallies(report: BoxReport) -> Iterator[str]:
    more = () if report.is_done else ("On pace", "Likely")
    rows = []
    for line in report.tallies:
        pace = None if line.on_pace is None else float(round(line.on_pace))
        beside = () if report.is_done else (figure(pace), likely_text(line))
        rows.append((line.marked, figure(line.now), *beside, figure(line.usual), band_text(line)))
    yield from _table(("Tally", "Now", *more, "Usual", "10–90 %"), rows, numbers_from=1)
    if any(line.is_so_far for line in report.tallies):
        yield from ("", plain(SO_FAR_NOTE))


def _table(
    heads: Sequence[str], rows: Iterable[Sequence[str]], numbers_from: int | None = None
) -> Iterator[str]:
    """A table; from one column on the cells stand to the right."""
    first = len(heads) if numbers_from is None else numbers_from
    yield f"| {' | '.join(heads)} |"
    yield f"| {' | '.join('---' if at < first else '---:' for at in range(len(heads)))} |"
    for cells in rows:
        yield f"| {' | '.join(map(plain, cells))} |"
