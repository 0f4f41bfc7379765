"""The choices of a plan in the file: rows to model objects and back, asked and written."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, delete, insert, select

from core.errors import CollectionError
from core.model.album import SlotId
from core.model.issue import Description, VarietyId
from core.model.plan_choice import ChoiceKind, Listed, PlanChoice
from core.model.prices import OfferId
from core.store.mapping import read_description, unreadable
from core.store.read import chunks
from core.store.tables import description, plan_choice

Intern = Callable[[Iterable[Description]], Mapping[Description, int]]

_HERE = plan_choice.c
CHOICES = (
    select(
        _HERE.id, _HERE.slot_id, _HERE.kind, description.c.key, _HERE.variety, _HERE.is_proof,
        _HERE.grade, _HERE.offer_id,
    )
    .select_from(plan_choice.outerjoin(description))
    .order_by(_HERE.id)
)  # fmt: skip
_IS_SHOWN = _HERE.kind == ChoiceKind.SHOWN.value


def choice_of(row: Sequence[Any]) -> PlanChoice:
    """A choice of a row of `CHOICES`; raises FileTrouble for one not written like that."""
    number, slot, kind, key, variety, is_proof, grade, offer = row
    try:
        of: Listed | OfferId
        if offer is None:
            named = VarietyId(variety) if variety else None
            of = Listed(read_description(key), grade, named, bool(is_proof))
        else:
            of = OfferId(offer)
        return PlanChoice(SlotId(slot), ChoiceKind(kind), of)
    except (ValueError, TypeError, AttributeError, CollectionError) as error:
        raise unreadable(f"A choice of a plan (number {number})", error) from error


def read_choices(conn: Connection) -> list[PlanChoice]:
    """All choices, as they were made."""
    return [choice_of(row) for row in conn.execute(CHOICES)]


def write_choice(conn: Connection, intern: Intern, one: PlanChoice) -> None:
    """Keep a choice: in place of what was said of this purchase here, or of what is shown."""
    values = _values(intern, one)
    before = _is_of(values) & ~_IS_SHOWN
    if one.kind is ChoiceKind.SHOWN:
        before = (_HERE.slot_id == one.slot) & _IS_SHOWN
    conn.execute(delete(plan_choice).where(before))
    conn.execute(insert(plan_choice).values(kind=one.kind.value, **values))


def delete_choice(conn: Connection, intern: Intern, one: PlanChoice) -> None:
    """Say this no longer; nothing happens where it was not said."""
    this = _is_of(_values(intern, one)) & (_HERE.kind == one.kind.value)
    conn.execute(delete(plan_choice).where(this))


def delete_of_offers(conn: Connection, ids: Collection[OfferId]) -> None:
    """Forget what was chosen of offers that are gone, or taken to the last."""
    for chunk in chunks(ids):
        conn.execute(delete(plan_choice).where(_HERE.offer_id.in_(chunk)))


def _values(intern: Intern, one: PlanChoice) -> dict[str, Any]:
    """The columns of a choice but its kind."""
    if not isinstance(one.of, Listed):
        plain = {"description_id": None, "variety": "", "is_proof": False, "grade": 0}
        return {"slot_id": one.slot, **plain, "offer_id": one.of}
    return {
        "slot_id": one.slot,
        "description_id": intern([one.of.description])[one.of.description],
        "variety": one.of.variety or "",
        "is_proof": one.of.is_proof,
        "grade": one.of.grade,
        "offer_id": None,
    }


def _is_of(values: Mapping[str, Any]) -> ColumnElement[bool]:
    """Whether a row is of this slot and purchase."""
    return and_(
        *(
            _HERE[name].is_(None) if value is None else _HERE[name] == value
            for name, value in values.items()
        )
    )
