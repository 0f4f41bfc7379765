"""What stands under a slot: its own label, or what the album's label template makes of it. Pure."""

import re
from string import Formatter
from typing import Final

from core.model.album import Slot
from core.model.arrangement import Arrangement
from core.model.issue import Facet, Series
from core.model.label import letter

_EMPTY: Final = "\0"
_BETWEEN = r"[\s\-–—/·,:;+]*"
_EMPTY_BRACKETS = re.compile(rf"[(\[]{_BETWEEN}\0(?:{_BETWEEN}\0)*{_BETWEEN}[)\]]")
_DANGLING = re.compile(rf"{_BETWEEN}\0")
_AT_BEGIN = re.compile(r"(^|[(\[])[\s\-–—/·,:;+]+")


def has_labels(arrangement: Arrangement) -> bool:
    """Whether slots are labelled: not in a matrix, whose heads say it, unless it is closed up."""
    return not arrangement.kind.is_matrix or arrangement.is_closed or bool(arrangement.label)


def label_text(series: Series, slot: Slot, arrangement: Arrangement) -> str:
    """What stands under a slot: by the arrangement's template, save where it has its own label."""
    if not arrangement.label or slot.has_own_label:
        return slot.label
    return filled_in(arrangement.label, _fields(series, slot, arrangement)) or slot.label


def filled_in(template: str, values: dict[str, str]) -> str:
    """A template with its fields filled in, on one line.

    A field that is empty goes with the brackets around it, or with what joins it to the text
    before it.
    """
    text = "".join(
        plain + ("" if name is None else values.get(name) or _EMPTY)
        for plain, name, _form, _conversion in Formatter().parse(template)
    )
    text = _EMPTY_BRACKETS.sub(_EMPTY, text)
    text = _DANGLING.sub("", text) if _EMPTY in text else text
    return " ".join(_AT_BEGIN.sub(r"\1", text).split())


def _fields(series: Series, slot: Slot, arrangement: Arrangement) -> dict[str, str]:
    """What a template may name of a slot; "" where that is open or not known.

    The mark is the letter as the arrangement shows it, the mintage only one of these issues alone.
    """
    mask = series.may_be(slot.accepts)
    issues = list(series.issues_of(mask))
    letters = {letter(issue, arrangement.show_p) for issue in issues}
    mints = {issue.mint for issue in issues}
    designs = {issue.design for issue in issues}
    variety = series.variety(slot.variety) if slot.variety else None
    mintage, of_what = series.mintage_of(mask)
    is_known = mintage is not None and not of_what and variety is None
    return {
        "date": slot.accepts.only(Facet.DATE) or "",
        "mark": letters.pop() if len(letters) == 1 else "",
        "mint": series.mint(mints.pop()).name if len(mints) == 1 else "",
        "variety": variety.name if variety else "",
        "design": series.design(designs.pop()).title if len(designs) == 1 else "",
        "mintage": f"{mintage:,}" if is_known else "",
        "label": slot.label,
    }
