"""Hand-made series, coins and slots for tests: small, and shaped like real ones.

The dates, letters and metals are those of the coins named; mintages are left out (not known)
save where a test needs one, so that nobody takes a test's figure for a fact.
"""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from core.model.album import AlbumId, Slot, SlotId, Target, Wish, parse_target
from core.model.coin import Coin, CoinId
from core.model.grade import parse_grade
from core.model.issue import (
    Composition,
    Description,
    Design,
    Facet,
    Issue,
    Mint,
    Release,
    RollOdds,
    Series,
    SeriesId,
    Strike,
    Variety,
    VarietyId,
)

PHILADELPHIA = Mint("P", "Philadelphia", "")
DENVER = Mint("D", "Denver", "D")
SAN_FRANCISCO = Mint("S", "San Francisco", "S")
US_MINTS = (PHILADELPHIA, DENVER, SAN_FRANCISCO)

DDO_1955 = VarietyId("1955-ddo")
DDO_1972_1 = VarietyId("1972-ddo-1")
DDO_1972_2 = VarietyId("1972-ddo-2")
WIDE_AM_1998 = VarietyId("1998-wide-am")
RPM_1944 = VarietyId("1944-d-rpm")
STEEL_1944 = VarietyId("1944-steel")
OVERDATE_1943 = VarietyId("1943-over-2")


class _Sheet:
    """Gathers the issues of one series, numbering them as they come."""

    def __init__(self) -> None:
        self.issues: list[Issue] = []

    def add(
        self,
        date: str,
        mints: str,
        design: str,
        composition: str,
        *,
        marks: Mapping[str, str] | None = None,
        year: int | None = None,
        strike: Strike = Strike.CIRCULATION,
        release: Release = Release.BANKS,
        choices: Iterable[Mapping[str, str]] = ({},),
        mintage: int | None = None,
    ) -> None:
        """Add one issue for each mint of `mints` and each set of choices."""
        for mint in mints.split():
            mark = "" if mint == "P" else mint
            for chosen in choices:
                self.issues.append(
                    Issue(
                        len(self.issues),
                        date,
                        int(date) if year is None else year,
                        mint,
                        (marks or {}).get(mint, mark),
                        design,
                        composition,
                        strike,
                        release,
                        tuple(chosen.items()),
                        mintage,
                    )
                )

    def proof(self, date: str, mints: str, design: str, composition: str, **more: Any) -> None:
        """Add proofs, let go to collectors only."""
        strike, release = Strike.PROOF, Release.COLLECTORS
        self.add(date, mints, design, composition, strike=strike, release=release, **more)


def a_variety(
    variety_id: VarietyId,
    name: str,
    kind: str,
    odds: RollOdds = RollOdds.POSSIBLE,
    **applies: str,
) -> Variety:
    """A variety known on the issues that `applies` names."""
    facets = tuple(sorted((facet, (value,)) for facet, value in applies.items()))
    return Variety(variety_id, name, kind, "the date", "a second image", odds, facets)


SMALL_LARGE = ({"date size": "large"}, {"date size": "small"})


@cache
def cents() -> Series:
    """Cents 1909–2017 in part: initials, steel, two metals in 1962 and 1982, date sizes."""
    sheet = _Sheet()
    add = sheet.add
    add("1909", "P S", "wheat-vdb", "bronze")
    add("1909", "P S", "wheat", "bronze")
    add("1922", "D", "wheat", "bronze")
    add("1941", "P D S", "wheat", "bronze")
    add("1943", "P D S", "wheat", "steel")
    add("1944", "P D S", "wheat", "brass")
    add("1955", "P D S", "wheat", "bronze")
    add("1958", "P D", "wheat", "bronze")
    add("1960", "P D", "memorial", "bronze", choices=SMALL_LARGE)
    add("1962", "P D", "memorial", "bronze")
    add("1962", "P D", "memorial", "brass")
    for date in ("1965", "1966", "1967"):
        add(date, "P", "memorial", "brass")
    add("1970", "P D", "memorial", "brass")
    add("1970", "S", "memorial", "brass", choices=SMALL_LARGE)
    sheet.proof("1970", "S", "memorial", "brass", choices=SMALL_LARGE)
    add("1972", "P D S", "memorial", "brass")
    add("1976", "P D", "memorial", "brass")
    add("1982", "P", "memorial", "brass", choices=SMALL_LARGE)
    add("1982", "D", "memorial", "brass", choices=({"date size": "large"},))
    add("1982", "P D", "memorial", "zinc", choices=SMALL_LARGE)
    sheet.proof("1982", "S", "memorial", "brass", choices=({"date size": "large"},))
    add("1998", "P D", "memorial", "zinc")
    sheet.proof("1998", "S", "memorial", "zinc")
    add("2009", "P D", "log-cabin", "zinc")
    add("2009", "P D", "formative-years", "zinc")
    add("2017", "P D", "shield", "zinc", marks={"P": "P"})
    very_rare = RollOdds.VERY_RARE
    return Series(
        SeriesId("us-cent-lincoln"), "Lincoln cents", "United States", "cent", 1, "USD", 19.05,
        US_MINTS,
        (
            Design("wheat-vdb", "Wheat ears, with VDB"),
            Design("wheat", "Wheat ears"),
            Design("memorial", "Memorial"),
            Design("log-cabin", "Log cabin"),
            Design("formative-years", "Formative years"),
            Design("shield", "Shield"),
        ),
        (
            Composition("bronze", "95 % copper, 5 % tin and zinc", 3.11, 0.13, 0.0),
            Composition("steel", "zinc-coated steel", 2.689, 0.13, 0.0),
            Composition("brass", "95 % copper, 5 % zinc", 3.11, 0.13, 0.0),
            Composition("zinc", "copper-plated zinc", 2.5, 0.1, 0.0),
        ),
        tuple(sheet.issues),
        varieties=(
            a_variety(RPM_1944, "D over D", "RPM", date="1944", mint="D"),
            a_variety(STEEL_1944, "steel planchet", "off-metal", very_rare, date="1944"),
            a_variety(DDO_1955, "doubled die obverse", "DDO", date="1955", mint="P"),
            a_variety(DDO_1972_1, "doubled die obverse, die 1", "DDO", date="1972", mint="P"),
            a_variety(DDO_1972_2, "doubled die obverse, die 2", "DDO", date="1972", mint="P"),
            a_variety(VarietyId("1941-ddo"), "doubled die obverse", "DDO", very_rare,
                      date="1941", mint="P"),
            a_variety(WIDE_AM_1998, "wide AM", "design", RollOdds.FINDABLE,
                      date="1998", mint="P"),
            a_variety(VarietyId("1998-s-close-am"), "close AM", "design", RollOdds.NOT_IN_ROLLS,
                      date="1998", mint="S", strike="proof"),
        ),
        words=("cent", "cents", "penny", "pennies", "1c"),
    )  # fmt: skip


@cache
def nickels() -> Series:
    """Nickels 1938–2005 in part: both metals of 1942, letters over the dome, two designs a year."""
    sheet = _Sheet()
    add = sheet.add
    over_dome = {"P": "P"}
    add("1938", "P D S", "monticello", "cupronickel")
    add("1942", "P D", "monticello", "cupronickel")
    add("1942", "P S", "monticello", "silver", marks=over_dome)
    add("1943", "P D S", "monticello", "silver", marks=over_dome)
    add("1946", "P D S", "monticello", "cupronickel")
    add("1965", "P", "monticello", "cupronickel")
    add("1970", "D S", "monticello", "cupronickel")
    add("1980", "P D", "monticello", "cupronickel", marks=over_dome)
    sheet.proof("1980", "S", "monticello", "cupronickel")
    for design in ("peace-medal", "keelboat"):
        add("2004", "P D", design, "cupronickel", marks=over_dome)
    for design in ("bison", "ocean-in-view"):
        add("2005", "P D", design, "cupronickel", marks=over_dome)
    return Series(
        SeriesId("us-nickel-jefferson"), "Jefferson nickels", "United States", "nickel", 5, "USD",
        21.21, US_MINTS,
        (
            Design("monticello", "Monticello"),
            Design("peace-medal", "Peace medal"),
            Design("keelboat", "Keelboat"),
            Design("bison", "American bison"),
            Design("ocean-in-view", "Ocean in view"),
        ),
        (
            Composition("cupronickel", "75 % copper, 25 % nickel", 5.0, 0.194, 0.0),
            Composition("silver", "56 % copper, 35 % silver, 9 % manganese", 5.0, 0.194, 0.05626),
        ),
        tuple(sheet.issues),
        varieties=(
            a_variety(OVERDATE_1943, "3 over 2", "overdate", date="1943", mint="P"),
        ),
        words=("nickel", "nickels", "5c"),
    )  # fmt: skip


@cache
def dimes() -> Series:
    """Dimes 1946–1982 in part: silver to 1964, clad after."""
    sheet = _Sheet()
    for date in ("1946", "1958"):
        sheet.add(date, "P D S" if date == "1946" else "P D", "torch", "silver")
    sheet.add("1964", "P D", "torch", "silver")
    sheet.add("1965", "P", "torch", "clad")
    sheet.add("1982", "P D", "torch", "clad", marks={"P": "P"})
    return Series(
        SeriesId("us-dime-roosevelt"), "Roosevelt dimes", "United States", "dime", 10, "USD",
        17.91, US_MINTS, (Design("torch", "Torch"),),
        (
            Composition("silver", "90 % silver, 10 % copper", 2.5, 0.097, 0.07234),
            Composition("clad", "copper-nickel clad copper", 2.268, 0.091, 0.0),
        ),
        tuple(sheet.issues),
        words=("dime", "dimes", "10c"),
    )  # fmt: skip


@cache
def quarters() -> Series:
    """Quarters 1932–1977 in part: no 1933 or 1975, the dual date, silver only for collectors."""
    sheet = _Sheet()
    add = sheet.add
    add("1932", "P D S", "eagle", "silver")
    add("1934", "P D", "eagle", "silver")
    add("1943", "P D S", "eagle", "silver")
    add("1964", "P D", "eagle", "silver")
    for date in ("1965", "1966", "1967"):
        add(date, "P", "eagle", "clad")
    add("1974", "P D", "eagle", "clad")
    dual: dict[str, Any] = {"year": 1976}
    add("1776-1976", "P D", "drummer", "clad", **dual)
    add("1776-1976", "S", "drummer", "silver-clad", release=Release.COLLECTORS, **dual)
    sheet.proof("1776-1976", "S", "drummer", "clad", **dual)
    sheet.proof("1776-1976", "S", "drummer", "silver-clad", **dual)
    add("1977", "P D", "eagle", "clad")
    return Series(
        SeriesId("us-quarter-washington"), "Washington quarters", "United States", "quarter", 25,
        "USD", 24.26, US_MINTS, (Design("eagle", "Eagle"), Design("drummer", "Drummer")),
        (
            Composition("silver", "90 % silver, 10 % copper", 6.25, 0.194, 0.18085),
            Composition("clad", "copper-nickel clad copper", 5.67, 0.227, 0.0),
            Composition("silver-clad", "40 % silver clad", 5.75, 0.2, 0.07395),
        ),
        tuple(sheet.issues),
        words=("quarter", "quarters", "25c"),
    )  # fmt: skip


@cache
def tokens() -> Series:
    """An invented series whose dates are text of an era, at mints with letters of their own."""
    sheet = _Sheet()
    for era, year in (("Tide 9", 1901), ("Tide 10", 1902), ("Tide 14", 1906), ("Tide 18", 1910)):
        sheet.add(era, "H K", "gull", "tin", year=year, marks={"H": "", "K": "K"})
    return Series(
        SeriesId("harbour-penny"), "Harbour tokens", "the invented harbour", "token", 1, "HBR",
        None, (Mint("H", "Harbour", ""), Mint("K", "Kiln", "K")), (Design("gull", "Gull"),),
        (Composition("tin", "tin", None, None, None),),
        tuple(sheet.issues), is_invented=True, words=("token", "tokens"),
    )  # fmt: skip


def all_series() -> tuple[Series, ...]:
    """The four real-looking series."""
    return cents(), nickels(), dimes(), quarters()


def a_series() -> Series:
    """The series most tests use."""
    return cents()


def a_description(series: Series | None = None, **facets: str | Iterable[str]) -> Description:
    """A usual issue, a circulation strike released to banks, of which these facets are known."""
    named = {name.replace("_", " "): values for name, values in facets.items()}
    series = series or a_series()
    return Description.of(series.id, {**series.usual, **named})


def _dated(
    date: str | None, mint: str | None, series: Series | None, facets: Mapping[str, Any] | None
) -> Description:
    known: dict[str, Any] = dict(facets or {})
    if date is not None:
        known[Facet.DATE.value] = date
    if mint is not None:
        known[Facet.MINT.value] = mint
    return a_description(series, **known)


def a_coin(
    date: str | None = "1944",
    mint: str | None = "P",
    grade: str = "",
    *,
    number: int = 1,
    series: Series | None = None,
    facets: Mapping[str, Any] | None = None,
    **fields: Any,
) -> Coin:
    """A held coin of a date and mint (None: not known); `grade` as a collector writes it.

    `facets` adds to or replaces what is known; other keywords are fields of `Coin`.
    """
    description = fields.pop("description", None) or _dated(date, mint, series, facets)
    points = parse_grade(grade) if grade else None
    return Coin(CoinId(number), description, points, **fields)


def a_slot(
    date: str | None = "1944",
    mint: str | None = "P",
    target: str = "",
    *,
    number: int = 1,
    album: int = 1,
    series: Series | None = None,
    facets: Mapping[str, Any] | None = None,
    variety: VarietyId | None = None,
    wish: Wish = Wish.WANTED,
    **fields: Any,
) -> Slot:
    """A slot that accepts a date and mint (None: any); `target` as a collector writes it."""
    accepts = fields.pop("accepts", None) or _dated(date, mint, series, facets)
    label = fields.pop("label", f"{date or 'any date'}-{mint or 'any'}")
    position = fields.pop("position", number - 1)
    wanted: Target | None = parse_target(target) if target else None
    return Slot(
        SlotId(number), AlbumId(album), position, label, accepts, variety, wish, wanted, **fields
    )
