"""Amounts of money as text: decimals as the currency has them."""

import re
from collections.abc import Mapping
from decimal import Decimal

from core.errors import BadEntry

# Currencies whose minor unit is not a hundredth: its digits.
# Source: ISO 4217:2015, table A.1, as amended to 2024.
_NO_DIGITS = ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI",
              "VND", "VUV", "XAF", "XOF", "XPF")  # fmt: skip
_THREE_DIGITS = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
_FOUR_DIGITS = ("CLF", "UYW")
MINOR_DIGITS: Mapping[str, int] = {
    **dict.fromkeys(_NO_DIGITS, 0),
    **dict.fromkeys(_THREE_DIGITS, 3),
    **dict.fromkeys(_FOUR_DIGITS, 4),
}


def minor_digits(currency: str) -> int:
    """How many decimals a currency has; 2 for one that is not known or not named."""
    return MINOR_DIGITS.get(currency, 2)


def money_text(minor: int, currency: str) -> str:
    """1250 USD as 12.50."""
    digits = minor_digits(currency)
    return f"{Decimal(minor).scaleb(-digits):.{digits}f}"


_AMOUNT = re.compile(r"-?[0-9]{1,19}(?:[.,][0-9]{1,4})?")
_MOST = 2**63 - 1


def read_money(text: str, currency: str) -> int:
    """An amount as typed to minor units of its currency, 12.50 or 12,5; raises BadEntry."""
    typed = text.strip()
    digits = minor_digits(currency)
    if _AMOUNT.fullmatch(typed):
        minor = Decimal(typed.replace(",", ".")).scaleb(digits)
        if minor == minor.to_integral_value() and -_MOST <= minor <= _MOST:
            return int(minor)
    example = money_text(1250, currency)
    raise BadEntry(f"“{typed}” is no amount; write it such as {example}, thousands without a sign.")
