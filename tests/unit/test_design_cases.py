"""Every case that the design names, as one table: an entry or description, a slot, what follows."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import pytest

from core.errors import BadEntry
from core.lookup.parse import parse_entry
from core.model.album import Slot
from core.model.coin import Coin, Finding
from core.model.fit import Fit, fit, open_facets, state_and_level
from core.model.issue import Release, Series, Strike
from core.model.state import SlotState
from tests.builders import (
    DDO_1955,
    RPM_1944,
    STEEL_1944,
    a_coin,
    a_slot,
    cents,
    nickels,
    quarters,
)

FITS, MAY, NOT = Fit.FITS, Fit.MAY_FIT, Fit.DOES_NOT_FIT
PROOF: dict[str, Any] = {"strike": "proof", "release": "collectors"}
ANY_STRIKE: dict[str, Any] = {"strike": (), "release": ()}


@dataclass(frozen=True)
class Case:
    """What a coin so entered may be (as DATE-LETTER words), and how it stands to a slot.

    `settles` are the facets that would settle a coin that only may fit.
    """

    name: str
    series: Series
    coin: str | Coin
    slot: Slot
    expected: Fit
    may_be: tuple[str, ...] = ()
    settles: tuple[str, ...] = ()
    state: SlotState = SlotState.FILLED


def c(**facets: Any) -> dict[str, Any]:
    """Facets of a cent slot, under the names of the model."""
    return {name.replace("_", " "): value for name, value in facets.items()}


def nickel_slot(date: str | None, mint: str | None, **facets: Any) -> Slot:
    return a_slot(date, mint, series=nickels(), facets=c(**facets))


def quarter_slot(date: str | None, mint: str | None, **facets: Any) -> Slot:
    return a_slot(date, mint, series=quarters(), facets=c(**facets))


TWO_VARIETIES = a_coin(
    "1944", "D", varieties=((RPM_1944, Finding.CONFIRMED), (STEEL_1944, Finding.CONFIRMED))
)
VERIFY = SlotState.TO_VERIFY

CASES = [
    # "2005, either design"
    Case("either design fits a slot for both", nickels(), "2005 d", nickel_slot("2005", "D"),
         FITS, ("2005-D bison", "2005-D ocean-in-view")),
    Case("either design may fit the bison's slot", nickels(), "2005-D",
         nickel_slot("2005", "D", design="bison"), MAY,
         ("2005-D bison", "2005-D ocean-in-view"), ("design",), VERIFY),
    Case("the bison fits its slot", nickels(), "05d bison",
         nickel_slot("2005", "D", design="bison"), FITS, ("2005-D bison",)),
    Case("the other design does not", nickels(), "ocean 2005 d",
         nickel_slot("2005", "D", design="bison"), NOT, ("2005-D ocean-in-view",), (), VERIFY),
    # a worn date with a clear S
    Case("a worn date may fit a dated slot", cents(), "? s wheat", a_slot("1944", "S"), MAY,
         ("1909-S wheat", "1909-S wheat-vdb", "1941-S wheat", "1943-S wheat", "1944-S wheat",
          "1955-S wheat"), ("date",), VERIFY),
    Case("a worn date fits a slot for any S wheat cent", cents(), "no date s wheat",
         a_slot(None, "S", facets=c(design=("wheat", "wheat-vdb"))), FITS),
    Case("its clear S keeps it out of Denver's", cents(), "? s", a_slot("1944", "D"), NOT,
         (), (), VERIFY),
    # 1982 known by weight
    Case("3.11 g makes a 1982-D brass", cents(), "1982 d 3.11g",
         a_slot("1982", "D", facets=c(composition="brass")), FITS, ("1982-D brass large",)),
    Case("3.11 g is no zinc cent", cents(), "1982d 3.11 g",
         a_slot("1982", "D", facets=c(composition="zinc")), NOT, (), (), VERIFY),
    Case("2.50 g makes a 1982 zinc, its date size open", cents(), "2.5g 1982 p",
         a_slot("1982", "P", facets=c(composition="zinc")), FITS,
         ("1982 memorial zinc large", "1982 memorial zinc small")),
    Case("2.50 g may fit the small date's slot", cents(), "1982 2.50g",
         a_slot("1982", "P", facets=c(composition="zinc", date_size="small")), MAY,
         (), ("date size",), VERIFY),
    Case("not weighed, a 1982 may fit the zinc slot", cents(), "1982",
         a_slot("1982", "P", facets=c(composition="zinc")), MAY, (), ("composition",), VERIFY),
    Case("not weighed, a 1982 fits a slot for both metals", cents(), "82", a_slot("1982", "P"),
         FITS),
    # an any-mint slot
    Case("a letter that can't be read fits an any-mint slot", cents(), "44?", a_slot("1944", None),
         FITS, ("1944 wheat", "1944-D wheat", "1944-S wheat")),
    Case("it may fit a slot of one mint", cents(), "44?", a_slot("1944", "D"), MAY, (), ("mint",),
         VERIFY),
    Case("a plain date is Philadelphia's", cents(), "44", a_slot("1944", "P"), FITS,
         ("1944 wheat",)),
    Case("a plain date is not Denver's", cents(), "44", a_slot("1944", "D"), NOT, (), (), VERIFY),
    Case("where every mint bore a letter the mint is not known", nickels(), "80",
         nickel_slot("1980", "P"), MAY, ("1980-P", "1980-D"), ("mint",), VERIFY),
    Case("1942 without a letter is cupronickel", nickels(), "1942",
         nickel_slot("1942", None, composition="cupronickel"), FITS, ("1942 monticello",)),
    # a type slot
    Case("any wheat cent fits a type slot", cents(), "41s", a_slot(None, None, facets=c(
        design="wheat")), FITS),
    # two varieties on one coin
    Case("two varieties: the slot of one", cents(), TWO_VARIETIES,
         a_slot("1944", "D", variety=RPM_1944), FITS),
    Case("two varieties: the slot of the other", cents(), TWO_VARIETIES,
         a_slot("1944", "D", variety=STEEL_1944), FITS),
    Case("two varieties: the plain slot", cents(), TWO_VARIETIES, a_slot("1944", "D"), FITS),
    Case("a variety not looked at may fit", cents(), "44d", a_slot("1944", "D", variety=RPM_1944),
         MAY, (), ("D over D",), VERIFY),
    Case("a suspected variety may fit", cents(), "55 ddo?", a_slot("1955", "P", variety=DDO_1955),
         MAY, (), ("doubled die obverse",), VERIFY),
    Case("a confirmed variety fits", cents(), "1955 ddo", a_slot("1955", "P", variety=DDO_1955),
         FITS),
    Case("a variety ruled out does not", cents(), "1955 -ddo",
         a_slot("1955", "P", variety=DDO_1955), NOT, (), (), VERIFY),
    # the 1976 dual date
    *(
        Case(f"{entry} is the dual date", quarters(), entry, quarter_slot("1776-1976", "P"), FITS,
             ("1776-1976 drummer",))
        for entry in ("76", "1976", "1776-1976", "1776–1976", "bicen", "1776/1976", "1776-76")
    ),
    Case("with a letter too", quarters(), "bicen d", quarter_slot("1776-1976", "D"), FITS,
         ("1776-1976-D drummer",)),
    # 1965–67: no letters anywhere
    *(
        Case(f"{date} has no letter and one mint", cents(), date, a_slot(date, "P"), FITS,
             (f"{date} memorial",))
        for date in ("1965", "1966", "1967")
    ),
    # 1970-S with unclear size
    Case("1970-S of unclear size fits the plain slot", cents(), "70s", a_slot("1970", "S"), FITS,
         ("1970-S memorial large", "1970-S memorial small")),
    Case("it may fit the small date's", cents(), "1970-S",
         a_slot("1970", "S", facets=c(date_size="small")), MAY, (), ("date size",), VERIFY),
    Case("a small date fits", cents(), "70s small date",
         a_slot("1970", "S", facets=c(date_size="small")), FITS, ("1970-S memorial small",)),
    # proof against circulation strike
    Case("a proof does not fit a slot that says nothing of it", cents(), "proof 1970-S",
         a_slot("1970", "S"), NOT, ("1970-S proof large", "1970-S proof small"), (), VERIFY),
    Case("a circulation strike does not fit a proof slot", cents(), "1970-S",
         a_slot("1970", "S", facets=PROOF), NOT, (), (), VERIFY),
    Case("a proof fits a proof slot", cents(), "1970s pf65", a_slot("1970", "S", facets=PROOF),
         FITS),
    Case("a strike not known may fit", cents(), a_coin("1970", "S", facets=ANY_STRIKE),
         a_slot("1970", "S"), MAY, (), ("strike",), VERIFY),
    Case("a coin for collectors only does not fit", quarters(), "bicen s collectors 40% silver",
         quarter_slot("1776-1976", "S"), NOT, (), (), VERIFY),
    # not genuine
    Case("a coin that is not genuine fits nothing", cents(), "44 not genuine", a_slot("1944", "P"),
         NOT, ("1944 wheat",), (), VERIFY),
    Case("nor an any-mint slot", cents(), "1944d fake", a_slot("1944", None), NOT, (), (), VERIFY),
    # the impossible description
    Case("a description that no issue meets fits nothing", cents(),
         a_coin("1944", "P", facets=c(composition="steel")), a_slot("1944", None), NOT,
         (), (), VERIFY),
]  # fmt: skip


def words_of(series: Series, mask: int, of: Iterable[str]) -> set[str]:
    """The issues of a mask in the words that the expected ones use."""
    told = set()
    wanted = list(of)
    for issue in series.issues_of(mask):
        name = issue.date + (f"-{issue.mark}" if issue.mark else "")
        facts = {issue.design, issue.composition, *(v for _, v in issue.choices)}
        if issue.strike is not Strike.CIRCULATION:
            facts.add(issue.strike.value)
        if issue.release is Release.COLLECTORS:
            facts.add("collectors")
        kept = [w for row in wanted for w in row.split()[1:] if row.split()[0] == name]
        told.add(" ".join([name, *(w for w in dict.fromkeys(kept) if w in facts)]))
    return told


def read(case: Case) -> Coin:
    if isinstance(case.coin, Coin):
        return case.coin
    return parse_entry(case.coin, [case.series]).coin


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_case_of_the_design(case: Case) -> None:
    coin = read(case)
    assert fit(case.series, case.slot, coin) is case.expected
    assert open_facets(case.series, case.slot, coin) == case.settles
    assert state_and_level(case.series, case.slot, coin)[0] is case.state
    if case.may_be:
        mask = case.series.may_be(coin.description)
        assert words_of(case.series, mask, case.may_be) == set(case.may_be)


IMPOSSIBLE = [
    (cents(), "1943 small date", ("date 1943", "date size small")),
    (cents(), "1982 wheat", ("date 1982", "design Wheat ears")),
    (cents(), "1944 zinc", ("date 1944", "metal copper-plated zinc")),
    (cents(), "1970 d small", ("mint D", "date 1970", "date size small")),
    (nickels(), "2005d keelboat", ("date 2005", "design Keelboat")),
    (quarters(), "1974 silver", ("date 1974", "metal 90 % silver, 10 % copper")),
    (cents(), "1982 d copper 2.5 g", ("2.5 g", "2.85–3.24 g")),
    (cents(), "1982 d 2.7g", ("1982-D", "2.7 g", "2.30–2.60 g", "2.85–3.24 g")),
]


@pytest.mark.parametrize(("series", "entry", "named"), IMPOSSIBLE, ids=lambda v: str(v)[:24])
def test_entering_an_impossible_description_names_the_facts_that_disagree(
    series: Series, entry: str, named: tuple[str, ...]
) -> None:
    with pytest.raises(BadEntry) as caught:
        parse_entry(entry, [series])
    for words in named:
        assert words in str(caught.value)


def test_only_the_facts_that_disagree_are_named() -> None:
    coin = a_coin("1944", "D", facets={"composition": "steel", "design": "wheat"})
    assert cents().facts_against(coin.description) == ("composition", "date")
    with pytest.raises(BadEntry, match=r"metal zinc-coated steel and date 1944\. Check") as caught:
        cents().require(coin.description)
    assert "wheat" not in str(caught.value).lower()
    assert "mint" not in str(caught.value)
