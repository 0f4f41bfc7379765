"""Days in words, whatever the language of the system, and days as people type them."""

import re
from datetime import date, datetime

from core.errors import BadEntry

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_DAY_IN_WORDS = re.compile(r"(\d{1,2})\.?\s+([a-z]{3,9})\.?(?:,?\s+(\d{4}))?")


def day_words(day: date) -> str:
    """3 May 2025."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def long_day(day: date) -> str:
    """Saturday, 3 May 2025."""
    return f"{WEEKDAYS[day.weekday()]}, {day_words(day)}"


def local_today() -> date:
    """Today by the clock on the wall."""
    return datetime.now().astimezone().date()


def typed_day(text: str, today: date) -> date:
    """A day as typed: 2025-05-03, 3.5.2025, 3 May 2025, or 3 May of this year. Raises BadEntry."""
    from gui.coins.draft import read_day

    typed = " ".join(text.casefold().split())
    if met := _DAY_IN_WORDS.fullmatch(typed):
        number, name, year = met.groups()
        months = [at for at, month in enumerate(MONTHS, 1) if month.casefold().startswith(name)]
        if len(months) == 1:
            try:
                return date(int(year or today.year), months[0], int(number))
            except ValueError:
                raise BadEntry(f"There is no day {text.strip()}.") from None
    found = read_day(text)
    if found is None:
        raise BadEntry("Type a day, such as 2025-05-03 or 3 May 2025.")
    return found
