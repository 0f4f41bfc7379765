"""Stays in slots whose days meet: a slot holds one coin at a time, a coin is in one slot."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Span:
    """From when until when a coin sat in a slot; `until` None: it still does.

    `place` orders stays of the same days: a line of a sheet or a coin's number. `told` names the
    stay in words where it is not one of the sheet, else "".
    """

    since: date
    until: date | None
    place: int
    told: str = ""


def meeting(spans: Iterable[Span]) -> Iterator[tuple[Span, Span]]:
    """Pairs of which the first begins while the second lasts; on the day one ends another may."""
    lasting: Span | None = None
    for span in sorted(spans, key=lambda s: (s.since, s.until or date.max, s.place)):
        if lasting is not None and (lasting.until is None or span.since < lasting.until):
            yield span, lasting
            if lasting.until is None or (span.until is not None and span.until <= lasting.until):
                continue
        lasting = span
