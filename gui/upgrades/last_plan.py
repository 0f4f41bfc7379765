"""The budget and aim last planned with, kept in the settings: how one looks, not what one decided.

A slider makes a hundred of them, and a file that is only looked at has them too; so they are no
orders, and not in the collection.
"""

from core.errors import BadEntry
from core.model.money import minor_digits
from core.planning.aim import Aim, read_aim

USUAL_BUDGET = 250


def plan_text(aim: Aim, budget: int | None, currency: str) -> str:
    """Aim, currency and budget (minor units, or none) as the settings keep them."""
    return f"{aim.name} {currency} {'none' if budget is None else budget}"


def read_plan_text(text: str, currency: str) -> tuple[Aim | None, int | None]:
    """The aim, None for the usual one, and the budget; an amount of another currency is none."""
    usual = USUAL_BUDGET * 10 ** minor_digits(currency)
    try:
        name, of, amount = text.split(" ")
        aim, budget = read_aim(name), None if amount == "none" else int(amount)
    except (ValueError, BadEntry):
        return None, usual
    is_one = of == currency and (budget is None or budget >= 0)
    return aim, budget if is_one else usual
