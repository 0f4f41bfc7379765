"""The fixed words of an entry line: problems, flags, strikes, grades, and how text is cut."""

import re
import unicodedata
from enum import StrEnum

from core.model.coin import Problem
from core.model.grade import STRIKE_WORDS, WORDS, Colour


class Claim(StrEnum):
    """What a fixed phrase says of the coin."""

    NOT_GENUINE = "not genuine"
    VERIFY = "to verify"
    PROOF = "proof"
    SPECIMEN = "specimen"
    CIRCULATION = "circulation strike"
    COLLECTORS = "for collectors"
    NO_DATE = "date not known"
    LETTER_UNREAD = "letter not known"
    NO_LETTER = "no letter"
    ENDER = "at the end of a roll"


CLAIMS: dict[str, Claim] = {
    "not genuine": Claim.NOT_GENUINE,
    "fake": Claim.NOT_GENUINE,
    "counterfeit": Claim.NOT_GENUINE,
    "forgery": Claim.NOT_GENUINE,
    "verify": Claim.VERIFY,
    "to verify": Claim.VERIFY,
    "flag": Claim.VERIFY,
    "flagged": Claim.VERIFY,
    "check": Claim.VERIFY,
    "proof": Claim.PROOF,
    "pf": Claim.PROOF,
    "pr": Claim.PROOF,
    "specimen": Claim.SPECIMEN,
    "sms": Claim.SPECIMEN,
    "circulation": Claim.CIRCULATION,
    "circulation strike": Claim.CIRCULATION,
    "business strike": Claim.CIRCULATION,
    "collectors": Claim.COLLECTORS,
    "collectors'": Claim.COLLECTORS,
    "for collectors": Claim.COLLECTORS,
    "collectors only": Claim.COLLECTORS,
    "no date": Claim.NO_DATE,
    "nodate": Claim.NO_DATE,
    "dateless": Claim.NO_DATE,
    "nd": Claim.NO_DATE,
    "worn date": Claim.NO_DATE,
    "date worn": Claim.NO_DATE,
    "date not known": Claim.NO_DATE,
    "letter not known": Claim.LETTER_UNREAD,
    "mint not known": Claim.LETTER_UNREAD,
    "any mint": Claim.LETTER_UNREAD,
    "nmm": Claim.NO_LETTER,
    "no mm": Claim.NO_LETTER,
    "no mint mark": Claim.NO_LETTER,
    "no mintmark": Claim.NO_LETTER,
    "no letter": Claim.NO_LETTER,
    "ender": Claim.ENDER,
    "end coin": Claim.ENDER,
    "roll end": Claim.ENDER,
    "nifc": Claim.COLLECTORS,
    "not issued for circulation": Claim.COLLECTORS,
    "special mint set": Claim.SPECIMEN,
}

CIRCULATION_TOO = frozenset({"nifc", "not issued for circulation", "for collectors"})
"""Phrases for collectors' issues that mean a circulation strike, not a proof."""

PROBLEMS: dict[str, Problem] = {
    **{problem.value.casefold(): problem for problem in Problem},
    "clean": Problem.CLEANED,
    "harshly cleaned": Problem.CLEANED,
    "buffed": Problem.POLISHED,
    "altered": Problem.ALTERED_SURFACE,
    "corrosion": Problem.CORRODED,
    "corrode": Problem.CORRODED,
    "rusted": Problem.CORRODED,
    "rust": Problem.CORRODED,
    "rusty": Problem.CORRODED,
    "pitted": Problem.CORRODED,
    "verdigris": Problem.CORRODED,
    "environmental": Problem.ENVIRONMENTAL,
    "rotted": Problem.ZINC_ROT,
    "rot": Problem.ZINC_ROT,
    "pvc": Problem.PVC_RESIDUE,
    "spot": Problem.CARBON_SPOT,
    "spots": Problem.CARBON_SPOT,
    "carbon": Problem.CARBON_SPOT,
    "spotted": Problem.CARBON_SPOT,
    "scratch": Problem.SCRATCHED,
    "scratches": Problem.SCRATCHED,
    "engraved": Problem.GRAFFITI,
    "hole": Problem.HOLED,
    "drilled": Problem.HOLED,
    "ex-mount": Problem.MOUNT_REMOVED,
    "ex mount": Problem.MOUNT_REMOVED,
    "ex jewellery": Problem.MOUNT_REMOVED,
    "ex jewelry": Problem.MOUNT_REMOVED,
    "rim ding": Problem.RIM_DAMAGE,
    "rim dings": Problem.RIM_DAMAGE,
    "rim nick": Problem.RIM_DAMAGE,
    "rim bump": Problem.RIM_DAMAGE,
    "filed": Problem.FILED_RIM,
    "chopmark": Problem.CHOPMARKED,
    "counterstamp": Problem.COUNTERSTAMPED,
    "counterstruck": Problem.COUNTERSTAMPED,
    "recoloured": Problem.QUESTIONABLE_COLOUR,
    "recolored": Problem.QUESTIONABLE_COLOUR,
    "questionable color": Problem.QUESTIONABLE_COLOUR,
    "clipped": Problem.CLIPPED,
    "dryer": Problem.DRYER_COIN,
    "altered date": Problem.ALTERED_DATE,
    "altered mint mark": Problem.ALTERED_DATE,
    "impaired": Problem.IMPAIRED_PROOF,
    "damage": Problem.DAMAGED,
    "problem": Problem.DAMAGED,
    "gouged": Problem.DAMAGED,
    "cull": Problem.DAMAGED,
    "culls": Problem.DAMAGED,
    "lacquered": Problem.ALTERED_SURFACE,
    "env damage": Problem.ENVIRONMENTAL,
    "pierced": Problem.HOLED,
}

CHANGES_WEIGHT = frozenset(
    {
        Problem.CORRODED,
        Problem.ENVIRONMENTAL,
        Problem.ZINC_ROT,
        Problem.HOLED,
        Problem.PLUGGED,
        Problem.MOUNT_REMOVED,
        Problem.FILED_RIM,
        Problem.TOOLED,
        Problem.CLIPPED,
        Problem.MACHINE_DAMAGE,
        Problem.DRYER_COIN,
        Problem.DAMAGED,
    }
)
"""Problems that take metal away or add it: the weight of such a coin does not tell its metal."""

GRADE_PHRASES: dict[str, str] = {
    "poor": "P",
    "fair": "FR",
    "about good": "AG",
    "good": "G",
    "very good": "VG",
    "fine": "F",
    "very fine": "VF",
    "extremely fine": "XF",
    "extra fine": "XF",
    "about uncirculated": "AU",
    "uncirculated": "UNC",
    "mint state": "MS",
    "g+": "G-6",
    "vg+": "VG-10",
    "f+": "F-15",
    "ch f": "F-15",
    "ch vf": "VF-30",
    "ch xf": "XF-45",
    "ch ef": "XF-45",
    "ch au": "AU-55",
    "ch bu": "MS-63",
    "ch unc": "MS-63",
    "choice fine": "F-15",
    "choice vf": "VF-30",
    "choice xf": "XF-45",
    "choice au": "AU-55",
    "choice bu": "MS-63",
    "choice unc": "MS-63",
    "gem": "MS-65",
    "gem bu": "MS-65",
    "gem unc": "MS-65",
    "gem proof": "PF-65",
    "red": "RD",
    "red-brown": "RB",
    "red brown": "RB",
    "brown": "BN",
}

MOST_WORDS = max(len(p.split()) for p in (*CLAIMS, *PROBLEMS, *GRADE_PHRASES))
"""The longest phrase of the tables above, in words."""

PROOF_CODES = ("pf", "pr", "proof")
_POINTS = "|".join(sorted((*(w.casefold() for w in WORDS), *PROOF_CODES), key=len, reverse=True))
_EXTRA_WORDS = [w.casefold() for w in (*Colour.__members__, *STRIKE_WORDS, "DPL", "UCAM")]
_EXTRAS = "|".join(sorted(_EXTRA_WORDS, key=len, reverse=True))
_STEP = rf"(?:{_POINTS})-?\d{{1,2}}\+?"
_GRADE = re.compile(rf"{_STEP}|(?:{_POINTS})\+?")
_RANGE = re.compile(rf"(?:{_STEP}|(?:{_POINTS})\+?)-(?:{_STEP}|(?:{_POINTS})\+?|\d{{1,2}})")
_WITH_EXTRAS = re.compile(rf"({_STEP})-?((?:{_EXTRAS})+)")
_EXTRA = re.compile(rf"(?:{_EXTRAS})|details?|det")
_ONE_EXTRA = re.compile(_EXTRAS)


def grade_words(word: str) -> list[str]:
    """The grade's words in one written word: `vf20`, `vf-xf`, `ms65rd`, `details`; [] if none."""
    if _EXTRA.fullmatch(word):
        return ["details" if word.startswith("det") else word]
    if _GRADE.fullmatch(word) or _RANGE.fullmatch(word):
        return [word]
    glued = _WITH_EXTRAS.fullmatch(word)
    return [glued[1], *_ONE_EXTRA.findall(glued[2])] if glued else []


def is_bare_grade(word: str) -> bool:
    """Whether a word is a grade's word without its number: `vf`, `proof`."""
    return word.upper() in WORDS or word in PROOF_CODES


_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-") | {"×": "x", "’": "'", "‘": "'"})
_NOTE = re.compile(
    r'\s//\s*(?P<slashed>.*)$|^//\s*(?P<all>.*)$|["“](?P<quoted>[^"”]*)["”]\s*$'
    r"|\s['‘](?P<single>[^'‘’]*[^\W\d][^'‘’]*)['’]\s*$"
)
_OVER = re.compile(r"(?<!\S)(\w{1,4}) over (?:horizontal |inverted )?(\w{1,4})(?!\S)")
_COMMA_WEIGHT = re.compile(r"(?<=\d),(?=\d+ ?g)")
_TIMES = re.compile(r"(?<=\d)\s*\*|\*(?=\s*\d+\s*$)")
"""The keypad's sign for `3 x 58d` and `58d x 3`."""
_INITIALS = re.compile(r"(?<=[^\W\d])\.(?=\w|\s|$)")
_TRAILING = ".,;:"


def fold(text: str) -> str:
    """Text with case, dashes and compatibility forms made alike."""
    return unicodedata.normalize("NFKC", text).translate(_DASHES).casefold()


def cut(text: str) -> tuple[list[str], str]:
    """An entry's words, folded, and its note: text in quotes at the end, or after `//`."""
    note = ""
    found = _NOTE.search(text)
    if found:
        note = next((g for g in found.groups() if g), "").strip()
        text = text[: found.start()]
    plain = _COMMA_WEIGHT.sub(".", _TIMES.sub(" x ", fold(text)))
    plain = re.sub(r"\s*/\s*", "/", re.sub(r",(?!\d)|;", " ", plain))
    plain = _INITIALS.sub("", _OVER.sub(r"\1/\2", " ".join(plain.split())))
    return [w for word in plain.split() if (w := word.rstrip(_TRAILING).lstrip("'"))], note


def written_name(name: str) -> tuple[str, ...]:
    """A whole name cut as an entry is, and at hyphens too: `copper-plated zinc` is three words."""
    return tuple(part for word in cut(name)[0] for part in word.split("-") if part)


def name_words(name: str) -> list[str]:
    """The words of a name in the catalogue, cut as an entry is: `D over S` gives `d/s`."""
    plain = fold(name).replace(",", " ").replace(":", " ").replace("(", " ").replace(")", " ")
    plain = _OVER.sub(r"\1/\2", " ".join(plain.split()))
    plain = re.sub(r"(?<!\S)no (\w)(?!\w)", r"no-\1", plain)
    out: list[str] = []
    for word in plain.replace(".", "").split():
        out += [word] if re.fullmatch(r"no-\w", word) else [w for w in word.split("-") if w]
    return out
