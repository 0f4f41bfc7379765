"""The `@` part of a line: what a coin seen costs, where, until when, how many.

`1914-d f12 @ 210`, `@ 210 eur until 2026-12-31 at the spring show`, `@ 4.50 x 3`. The coin before
the `@` is read as any other; what follows is read here.
"""

import re
from dataclasses import dataclass
from datetime import date

from core.errors import BadEntry
from core.model.money import read_money

_CODE = re.compile(r"[A-Za-z]{3}")
_TIMES = re.compile(r"(?<=\s)x\s*(\d{1,5})\b", re.IGNORECASE)
_UNTIL = re.compile(r"\buntil\s+(\S+)", re.IGNORECASE)
_WHERE = re.compile(r"(?:^|\s)(?:at|from)\s+(.*\S)\s*$", re.IGNORECASE)
_NOTE = re.compile(r'(?:\s//|"[^"]*"\s*$)')
_UNGRADED = re.compile(r"\b(?:ungraded|no grade)\b", re.IGNORECASE)
EXAMPLE = "@ 210 eur until 2026-12-31 at the spring show"


@dataclass(frozen=True, slots=True)
class OfferTerms:
    """What is asked for a coin: an amount in minor units, where, until when, how many there are."""

    minor: int
    currency: str
    where: str = ""
    until: date | None = None
    quantity: int = 1


def has_terms(text: str) -> bool:
    """Whether a line tells what a coin costs: an `@` before any note."""
    return split_terms(text) is not None


def split_terms(text: str) -> tuple[str, str] | None:
    """The coin's part of a line and what follows the `@`; None where it has none."""
    at = text.find("@")
    if at < 0:
        return None
    note = _NOTE.search(text)
    return None if note and note.start() < at else (text[:at].strip(), text[at + 1 :].strip())


def part_ungraded(coin: str) -> tuple[str, bool]:
    """The coin's part of a line without the words `ungraded` or `no grade`; whether it had them."""
    bare, found = _UNGRADED.subn(" ", coin)
    return (" ".join(bare.split()), True) if found else (coin, False)


def read_terms(text: str, base: str) -> OfferTerms:
    """What follows the `@`; `base` is the currency meant where none is told. Raises BadEntry."""
    rest = f" {text.strip()}"
    where, until, quantity = "", None, 1
    found = _WHERE.search(rest)
    if found:
        # “until …” may stand after the place too.
        where, rest = found.group(1), rest[: found.start()]
        told = _UNTIL.search(where)
        if told:
            rest += " " + told.group(0)
            where = " ".join((where[: told.start()] + where[told.end() :]).split())
    found = _UNTIL.search(rest)
    if found:
        until = _day(found.group(1).rstrip(",;"))
        rest = rest[: found.start()] + rest[found.end() :]
    found = _TIMES.search(rest)
    if found:
        quantity = int(found.group(1))
        rest = rest[: found.start()] + rest[found.end() :]
    words = rest.replace(";", " ").split()
    codes = [word for word in words if _CODE.fullmatch(word)]
    amounts = [word for word in words if word not in codes]
    if len(codes) > 1 or len(amounts) != 1:
        raise BadEntry(
            f"“@ {text.strip()}” is no price; write an amount, then what else is known, such as "
            f"{EXAMPLE}."
        )
    currency = codes[0].upper() if codes else base
    return OfferTerms(
        read_money(amounts[0].rstrip(","), currency), currency, where, until, quantity
    )


def _day(text: str) -> date:
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            pass
    raise BadEntry(f"“{text}” is no day; write year, month and day such as 2026-12-31.")
