"""Short and spoken words of the trade, written out before a line is read.

The short forms are those that collectors' lists and talk have used for decades; none is shipped
for a single maker's catalogue. A word that a searched series has itself is left as it is.
"""

from collections.abc import Callable, Mapping, Sequence

SPOKEN: dict[str, str] = {
    "wheatie": "wheat cent",
    "wheaty": "wheat cent",
    "steelie": "steel cent",
    "steely": "steel cent",
    "zincoln": "zinc cent",
    "ihc": "indian head cent",
    "war nick": "silver nickel",
    "war nickel": "silver nickel",
    "wartime nickel": "silver nickel",
    "nick": "nickel",
    "jeff": "jefferson nickel",
    "buff": "buffalo nickel",
    "merc": "mercury dime",
    "rosie": "roosevelt dime",
    "slq": "standing liberty quarter",
    "atb": "national park quarter",
    "walker": "walking liberty half",
    "wlh": "walking liberty half",
    "frankie": "franklin half",
    "jfk": "kennedy half",
    "ike": "eisenhower dollar",
    "sba": "anthony dollar",
}
"""Spoken names of coins, singular, and the words that name the series or its design."""

SHORT: dict[str, str] = {
    "ld": "large date",
    "lg": "large",
    "lgdt": "large date",
    "sd": "small date",
    "sm": "small",
    "smdt": "small date",
    "dt": "date",
    "wam": "wide am",
    "rev": "reverse",
    "obv": "obverse",
    "dd": "doubled die",
    "ty1": "type 1",
    "ty2": "type 2",
    "t1": "type 1",
    "t2": "type 2",
    "cu": "copper",
    "zn": "zinc",
}
"""Short words of facets and varieties; read so only where the series has what they stand for."""

COUNTRIES: dict[str, str] = {
    "us": "United States",
    "usa": "United States",
    "american": "United States",
    "ca": "Canada",
    "can": "Canada",
    "canadian": "Canada",
    "uk": "United Kingdom",
    "gb": "United Kingdom",
    "british": "United Kingdom",
    "english": "United Kingdom",
    "de": "Germany",
    "german": "Germany",
    "ie": "Ireland",
    "irish": "Ireland",
    "jp": "Japan",
    "japanese": "Japan",
    "mx": "Mexico",
    "mexican": "Mexico",
    "ch": "Switzerland",
    "swiss": "Switzerland",
    "aus": "Australia",
    "australian": "Australia",
}
"""Words for an issuer that may stand before the coin; the issuer's own name always may."""

_MOST_WORDS = 2


def _never(_word: str) -> bool:
    return False


def written_out(
    words: Sequence[str], table: Mapping[str, str], is_known: Callable[[str], bool] = _never
) -> list[str]:
    """The words with the table's short ones written out, each known word left as it is."""
    found: list[str] = []
    at = 0
    while at < len(words):
        for size in range(min(_MOST_WORDS, len(words) - at), 0, -1):
            phrase = " ".join(words[at : at + size])
            plain, mark = (phrase[:-1], "?") if phrase.endswith("?") else (phrase, "")
            full = table.get(plain) or table.get(plain.removesuffix("s"))
            if full and not is_known(plain):
                found += f"{full}{mark}".split()
                at += size
                break
        else:
            found.append(words[at])
            at += 1
    return found
