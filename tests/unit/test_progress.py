"""How long jobs report how far they are, and stop when asked."""

import pytest

from core.app.work import Progress
from core.errors import Cancelled, CollectionError


def test_a_job_tells_how_far_it_is() -> None:
    told: list[tuple[float, str]] = []
    progress = Progress(lambda share, doing: told.append((share, doing)))
    progress.report(0.5, "looking at slots")
    progress.check()
    assert told == [(0.5, "looking at slots")]


def test_a_job_nobody_listens_to_reports_to_nobody() -> None:
    Progress().report(0.5)


def test_a_cancelled_job_stops_at_its_next_look_and_is_no_error_to_show() -> None:
    told: list[float] = []
    progress = Progress(lambda share, _doing: told.append(share))
    progress.cancel()
    with pytest.raises(Cancelled):
        progress.check()
    with pytest.raises(Cancelled):
        progress.report(0.9)
    assert told == []
    assert not issubclass(Cancelled, CollectionError)
