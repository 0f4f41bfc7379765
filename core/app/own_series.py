"""Series of one's own, next years, and what the library has newer than a collection's copies.

A collection carries each of its series as two texts. An order here exchanges these texts and
refuses where a coin or slot would be left without any issue; the albums that follow the series
grow by its new issues in the same entry.
"""

import os
import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.app.series_growth import albums_that_follow as albums_that_follow  # noqa: PLC0414 (given on)
from core.app.series_growth import grow_albums
from core.catalogue.draft import SeriesDraft, check_draft, draft_texts
from core.catalogue.load import (
    NAMES,
    library_ids,
    library_texts,
    load_series,
    series_text,
)
from core.catalogue.write import write_series
from core.errors import FileTrouble, Refused, UnknownSeries
from core.model.album import Slot
from core.model.coin import Coin
from core.model.fit import Fit, fit
from core.model.issue import Confidence, Issue, Series, SeriesId, Variety, VarietyId
from core.store.unit import Unit

if TYPE_CHECKING:
    from core.app.collection import Collection

ADDED_BY_HAND = "added by hand"
MOST_NAMED = 8
_NUMBER = re.compile(r"\d+")


# ---- saving -----------------------------------------------------------------------------------


def save_series(draft: SeriesDraft, grow: bool = True) -> Operation:
    """Carry a new or changed series in the collection; with `grow` albums that follow it grow.

    Refused for a draft with faults, for the id of a series of the library, and where a coin or
    slot is of an issue, or looks for a variety, that the draft takes out.
    """

    def work(unit: Unit, context: Context) -> Changes:
        check = check_draft(draft)
        if check.series is None:
            told = "; ".join(fault.told for fault in check.faults[:MOST_NAMED])
            many = len(check.faults)
            more = f"; and {many - MOST_NAMED} more" if many > MOST_NAMED else ""
            raise Refused(f"The series was not saved. {told}{more}.")
        _require_own_id(check.series)
        return _put(unit, context, check.series, draft_texts(draft), grow)

    return Operation("save a series", work)


def _require_own_id(series: Series) -> None:
    if series.id in library_ids():
        raise Refused(
            f"“{series.id}” is a series of the library, {load_series(series.id).title}. Give your "
            "series another id, or take the library's own newer figures as an update."
        )


def delete_series(series_id: SeriesId) -> Operation:
    """Take a series of one's own out of the collection; refused while coins or albums use it."""

    def work(unit: Unit, context: Context) -> Changes:
        if context.series.texts(series_id) is None:
            raise UnknownSeries(f"The series “{series_id}” is not in this collection.")
        if series_id in library_ids():
            raise Refused(
                f"“{series_id}” is a series of the library. Only a series of your own can be "
                "deleted."
            )
        title = context.series.get(series_id).title
        albums = [
            album.name
            for album in unit.read.albums()
            if album.series == series_id
            or any(slot.accepts.series == series_id for slot in unit.read.slots(album.id))
        ]
        if albums:
            raise Refused(f"{title} is used by {_named(albums)}. Delete the albums first.")
        coins = [f"coin {c.id}" for c in unit.read.all_coins() if c.description.series == series_id]
        if coins:
            raise Refused(f"{title} is the series of {_named(coins)}. Delete the coins first.")
        unit.about = title
        unit.delete_series(series_id)
        return Changes.everything()

    return Operation("delete a series", work)


def _put(
    unit: Unit, context: Context, series: Series, texts: tuple[str, str], grow: bool
) -> Changes:
    """Exchange a series' texts, and let the albums that follow it grow."""
    before = context.series.texts(series.id)
    if before == texts:
        return Changes()
    unit.about = series.title
    if before is None:
        unit.put_series(series.id, series.title, *texts)
        return Changes(is_shelf=True)
    old = context.series.get(series.id)
    _require_all_kept(unit, old, series)
    unit.put_series(series.id, series.title, *texts)
    if grow:
        grow_albums(unit, old, series)
    return Changes.everything()


def _require_all_kept(unit: Unit, old: Series, new: Series) -> None:
    """Refuse a series in which a coin or slot would lose all its issues, or its variety."""
    described = {d for d in unit.read.descriptions().values() if d.series == old.id}
    lost = {d for d in described if old.may_be(d) and not new.may_be(d)}
    slots = []
    for album in unit.read.albums():
        mine = [s for s in unit.read.slots(album.id) if s.accepts.series == old.id]
        inside = unit.read.coins_in_album(album.id) if mine else {}
        for slot in mine:
            called = f"slot {slot.label} of {album.name}"
            coin = inside.get(slot.id)
            if slot.accepts in lost or _loses_variety(old, new, slot):
                slots.append(called)
            elif coin is not None and _falls_out(old, new, slot, coin):
                slots.append(f"coin {coin.id} in {called}")
    gone = {v.id for v in old.varieties} - {v.id for v in new.varieties}
    coins = [
        f"coin {coin.id}"
        for coin in (unit.read.all_coins() if lost or gone else ())
        if coin.description in lost or _looked_for(coin, old.id, gone)
    ]
    if slots or coins:
        raise Refused(
            f"{new.title} was not changed: an issue or variety that would go is that of "
            f"{_named([*slots, *coins])}. Put it back, or change these first."
        )


def _loses_variety(old: Series, new: Series, slot: Slot) -> bool:
    """Whether a slot asks for a variety that none of its issues would have any more."""
    return bool(_asked(old, slot)) and not _asked(new, slot)


def _falls_out(old: Series, new: Series, slot: Slot, coin: Coin) -> bool:
    """Whether a coin would not fit its slot any more."""
    fitted = fit(old, slot, coin) is not Fit.DOES_NOT_FIT
    return fitted and fit(new, slot, coin) is Fit.DOES_NOT_FIT


def _asked(series: Series, slot: Slot) -> int:
    """The issues that a slot takes and on which its variety is known."""
    variety = series.variety(slot.variety) if slot.variety else None
    return series.may_be(slot.accepts) & series.variety_mask(variety) if variety else 0


def _looked_for(coin: Coin, series_id: SeriesId, varieties: set[VarietyId]) -> bool:
    return coin.description.series == series_id and any(v in varieties for v, _ in coin.varieties)


def _named(things: Sequence[str]) -> str:
    """One, two and 3 more."""
    more = len(things) - MOST_NAMED
    return ", ".join(things[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


# ---- the next year ----------------------------------------------------------------------------


def add_next_year(series_id: SeriesId, year: int | None = None, grow: bool = True) -> Operation:
    """Repeat the last year's usual issues in the next year, or in a year that is named.

    The new issues have no mintage and no choices; their source says that they were added by hand.
    Refused where the date is there already, or cannot be told from the last one.
    """

    def work(unit: Unit, context: Context) -> Changes:
        texts = context.series.texts(series_id)
        if texts is None:
            raise UnknownSeries(
                f"The series “{series_id}” is not in this collection. Make an album of it, or "
                "enter one of its coins, first."
            )
        old = context.series.get(series_id)
        series = with_year(old, year)
        return _put(unit, context, series, (texts[0], write_series(series)[1]), grow)

    return Operation("add a year to a series", work)


def with_year(series: Series, year: int | None = None) -> Series:
    """The series with one more year, like the last one before it; raises Refused."""
    usual = [issue for issue in series.issues if series.is_usual(issue)]
    last = max((i.year for i in usual), default=None)
    wanted = year if year is not None else 0 if last is None else last + 1
    before = [issue for issue in usual if issue.year < wanted]
    if not before or not 0 < wanted <= 9999:
        raise Refused(f"{series.title} has no year before {wanted} that could be repeated.")
    model = [issue for issue in before if issue.date == before[-1].date]
    date = date_in(model[0], wanted)
    if any(
        issue.date == date or (issue.year == wanted and year is None) for issue in series.issues
    ):
        raise Refused(f"{series.title} has the date {date} already. Name another year.")
    new = [
        replace(
            issue, date=date, year=wanted, choices=(), mintage=None, note="",
            source=ADDED_BY_HAND, confidence=Confidence.RECALLED,
        )
        for issue in model
    ]  # fmt: skip
    once = {(i.mint, i.mark, i.design, i.composition): i for i in new}
    at = sum(issue.year <= wanted for issue in series.issues)
    issues = (*series.issues[:at], *once.values(), *series.issues[at:])
    numbered = tuple(replace(issue, number=number) for number, issue in enumerate(issues))
    return replace(series, issues=numbered, _masks={})


def date_in(issue: Issue, year: int) -> str:
    """The date of an issue, as it would stand on a coin of another year; raises Refused.

    The one number in it is counted on: 2025 becomes 2026, H.E. 26 becomes H.E. 27.
    """
    numbers = _NUMBER.findall(issue.date)
    if len(numbers) != 1:
        raise Refused(
            f"What follows the date {issue.date} cannot be told. Add the row in the series itself."
        )
    number = int(numbers[0]) + year - issue.year
    return _NUMBER.sub(str(number).zfill(len(numbers[0])), issue.date)


# ---- what the library has newer ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SeriesDifference:
    """What the library says now of a series, against the copy that a collection carries.

    `corrected`: the issue as it stands here, and as it stands in the library. `is_other`: the
    descriptions of mints, designs, metals, signs or varieties have changed besides.
    """

    series: SeriesId
    title: str
    added: tuple[Issue, ...]
    removed: tuple[Issue, ...]
    corrected: tuple[tuple[Issue, Issue], ...]
    varieties_added: tuple[Variety, ...]
    varieties_removed: tuple[Variety, ...]
    is_other: bool

    @property
    def lines(self) -> tuple[str, ...]:
        """One line a difference."""
        lines = [f"new: {issue_text(i)}" for i in self.added]
        lines += [f"no longer listed: {issue_text(i)}" for i in self.removed]
        lines += [f"corrected: {_corrected(old, new)}" for old, new in self.corrected]
        lines += [f"new variety: {v.name}" for v in self.varieties_added]
        lines += [f"variety no longer listed: {v.name}" for v in self.varieties_removed]
        if self.is_other:
            lines.append("words, notes, sources or signs are changed")
        return tuple(lines)

    @property
    def text(self) -> str:
        """One line: Lincoln cents: 2 issues new, 1 corrected."""
        counts = (
            (len(self.added), "issue new", "issues new"),
            (len(self.removed), "issue no longer listed", "issues no longer listed"),
            (len(self.corrected), "issue corrected", "issues corrected"),
            (len(self.varieties_added), "variety new", "varieties new"),
            (len(self.varieties_removed), "variety no longer listed", "varieties no longer listed"),
        )
        told = [f"{n} {one if n == 1 else many}" for n, one, many in counts if n]
        return f"{self.title}: {', '.join(told) or 'words, notes, sources or signs changed'}"


def issue_text(issue: Issue) -> str:
    """1943-D, steel; proof where it is one."""
    words = [f"{issue.date}-{issue.mint}" if issue.mint else issue.date]
    words += [issue.design, issue.composition, *(value for _, value in issue.choices)]
    words += [issue.strike.value] if issue.strike.value != "circulation" else []
    words += [f"for {issue.release.value}"] if issue.release.value != "banks" else []
    return ", ".join(words)


def _corrected(old: Issue, new: Issue) -> str:
    told = []
    if old.mintage != new.mintage:
        told.append(f"mintage {_figure(old.mintage)} becomes {_figure(new.mintage)}")
    if old.mark != new.mark:
        told.append(f"letter {old.mark or 'none'} becomes {new.mark or 'none'}")
    if not told:
        told.append("its source or note is changed")
    return f"{issue_text(new)}: {', '.join(told)}"


def _figure(mintage: int | None) -> str:
    return "not known" if mintage is None else f"{mintage:,}"


def series_differences(collection: "Collection") -> tuple[SeriesDifference, ...]:
    """The collection's copies of library series that the library now has otherwise.

    Years that were added by hand after the library's last are no difference.
    """
    found = []
    for series in collection.series_in_use:
        if series.id not in library_ids():
            continue
        if collection.series_texts(series.id) == library_texts(series.id):
            continue
        newer = _with_years_of(load_series(series.id), series)
        if series != newer:
            found.append(difference(series, newer))
    return tuple(found)


def _with_years_of(library: Series, here: Series) -> Series:
    """The library's series, with the years that were added by hand here after its last."""
    last = max(issue.year for issue in library.issues)
    own = [i for i in here.issues if i.source == ADDED_BY_HAND and i.year > last]
    if not own:
        return library
    numbered = tuple(replace(i, number=at) for at, i in enumerate((*library.issues, *own)))
    return replace(library, issues=numbered, _masks={})


def difference(old: Series, new: Series) -> SeriesDifference:
    """What a newer copy of a series has otherwise."""
    here, there = _by_key(old.issues), _by_key(new.issues)
    mine, theirs = {v.id: v for v in old.varieties}, {v.id: v for v in new.varieties}
    corrected = tuple(
        (issue, there[key])
        for key, issue in here.items()
        if key in there and replace(issue, number=0) != replace(there[key], number=0)
    )
    plain = replace(new, issues=old.issues, varieties=old.varieties, _masks={})
    kept = {v: mine[v] for v in mine if v in theirs}
    return SeriesDifference(
        series=new.id,
        title=new.title,
        added=tuple(issue for key, issue in there.items() if key not in here),
        removed=tuple(issue for key, issue in here.items() if key not in there),
        corrected=corrected,
        varieties_added=tuple(v for v in new.varieties if v.id not in mine),
        varieties_removed=tuple(v for v in old.varieties if v.id not in theirs),
        is_other=plain != old or any(theirs[v] != one for v, one in kept.items()),
    )


def _by_key(issues: Iterable[Issue]) -> dict[tuple[object, ...], Issue]:
    """Issues by what tells them apart: all but letter, figure, note and source."""
    return {
        (i.date, i.mint, i.design, i.composition, i.strike, i.release, i.choices): i for i in issues
    }


def take_update(series_id: SeriesId, grow: bool = True) -> Operation:
    """Exchange the collection's copy of a series for the library's; albums that follow it grow.

    Years that were added by hand after the library's last stay. Refused where a coin or slot is of
    an issue, or looks for a variety, that the library lacks.
    """

    def work(unit: Unit, context: Context) -> Changes:
        if context.series.texts(series_id) is None:
            raise UnknownSeries(f"The series “{series_id}” is not in this collection.")
        if series_id not in library_ids():
            raise Refused(f"“{series_id}” is a series of your own; the library has no newer one.")
        library, texts = load_series(series_id), library_texts(series_id)
        series = _with_years_of(library, context.series.get(series_id))
        if series is not library:
            texts = texts[0], write_series(series)[1]
        return _put(unit, context, series, texts, grow)

    return Operation("update a series", work)


# ---- folders ----------------------------------------------------------------------------------


def export_series(series: Series, folder: Path, replace: bool = False) -> list[Path]:
    """Write a series as the two files of a folder, which is made; the files.

    Raises Refused where one of them is there, unless `replace`; FileTrouble.
    """
    paths = [folder / name for name in NAMES]
    there = [path for path in paths if path.exists()]
    if there and not replace:
        raise Refused(f"“{there[0]}” is there already. Choose another folder, or replace it.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, text in zip(paths, series_text(series), strict=True):
            _write(path, text)
    except OSError as error:
        raise FileTrouble(
            f"“{folder}” could not be written ({error.strerror}). Choose another folder."
        ) from error
    return paths


def _write(path: Path, text: str) -> None:
    """Write a file whole or not at all."""
    draft = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        draft.write_text(text, encoding="utf-8", newline="")
        draft.replace(path)
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
