"""Amounts of money as text: decimals as the currency has them."""

from collections.abc import Mapping
from decimal import Decimal

# Currencies whose minor unit is not a hundredth: its digits.
# Source: ISO 4217:2015, table A.1, as amended to 2024.
_NO_DIGITS = ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI",
              "VND", "VUV", "XAF", "XOF", "XPF")  # fmt: skip
_THREE_DIGITS = ("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND")
MINOR_DIGITS: Mapping[str, int] = {
    **dict.fromkeys(_NO_DIGITS, 0),
    **dict.fromkeys(_THREE_DIGITS, 3),
}


def minor_digits(currency: str) -> int:
    """How many decimals a currency has; 2 for one that is not known or not named."""
    return MINOR_DIGITS.get(currency, 2)


def money_text(minor: int, currency: str) -> str:
    """1250 USD as 12.50."""
    digits = minor_digits(currency)
    return f"{Decimal(minor).scaleb(-digits):.{digits}f}"
