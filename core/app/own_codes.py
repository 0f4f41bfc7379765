"""A collector's own reference codes: one a variety, read by the look-up line. None is shipped."""

from collections.abc import Sequence

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.errors import NotFound, Refused
from core.lookup.line import MOST_CODE_WORDS, code_words, means_something
from core.model.issue import Description, Series, SeriesId, VarietyId
from core.model.label import describe
from core.store.unit import Unit

LONGEST = 24
"""Characters a code may have."""


def set_own_code(series_id: SeriesId, variety_id: VarietyId, code: str) -> Operation:
    """Keep a code for a variety, in place of the one it had.

    Refused where the line could not read it, or another variety has it.
    """
    tidy = " ".join(code.split())

    def work(unit: Unit, context: Context) -> Changes:
        name = _variety(context, series_id, variety_id)
        kept = unit.read.own_codes()
        if kept.get(tidy) == (series_id, variety_id):
            return Changes()
        _require_readable(tidy, context.series.all_known())
        for other, (of, variety) in kept.items():
            is_other = (of, variety) != (series_id, variety_id)
            if is_other and code_words(other) == code_words(tidy):
                raise Refused(
                    f"“{other}” is the code of {variety} of {of} already. Choose another, or "
                    "remove it there first."
                )
        unit.set_own_code(series_id, variety_id, tidy)
        unit.about = name
        return Changes(is_codes=True)

    return Operation(f"set the own code {tidy}", work)


def remove_own_code(series_id: SeriesId, variety_id: VarietyId) -> Operation:
    """Forget a variety's code; raises NotFound where it has none."""

    def work(unit: Unit, context: Context) -> Changes:
        if (series_id, variety_id) not in unit.read.own_codes().values():
            raise NotFound(
                f"{_variety(context, series_id, variety_id)} has no code of your own; there is "
                "nothing to remove."
            )
        unit.set_own_code(series_id, variety_id, "")
        return Changes(is_codes=True)

    return Operation("remove an own code", work)


def _variety(context: Context, series_id: SeriesId, variety_id: VarietyId) -> str:
    """What a variety is called, with its issue; raises UnknownSeries or NotFound."""
    return variety_name(context.series.get(series_id), variety_id)


def variety_name(series: Series, variety_id: VarietyId) -> str:
    """3 over 2 of 1943-P; raises NotFound, naming the varieties that there are."""
    variety = series.variety(variety_id)
    if variety is None:
        near = ", ".join(str(one.id) for one in series.varieties[:6]) or "none"
        raise NotFound(
            f"{series.title} have no variety “{variety_id}”. There are {near}; "
            f"slotleaf series show {series.id} --varieties lists them all."
        )
    return f"{variety.name} of {describe(series, Description(series.id, variety.applies))}"


def _require_readable(code: str, series: Sequence[Series]) -> None:
    words = code_words(code).split()
    if not words:
        raise Refused("A code needs a letter or a figure, such as K12.")
    if len(code) > LONGEST or len(words) > MOST_CODE_WORDS:
        raise Refused(
            f"A code has at most {LONGEST} characters and {MOST_CODE_WORDS} words; shorten it."
        )
    if code[0] in "-+/>" or code.endswith("?") or '"' in code or "//" in code:
        raise Refused(
            f"“{code}” holds a sign that the look-up line reads by itself; leave out - + / > in "
            "front, ? at the end, and quotes."
        )
    if means_something(code, series):
        raise Refused(
            f"“{code}” means something in an entry already; choose a code that is no date, letter, "
            "grade or word of the look-up line."
        )
