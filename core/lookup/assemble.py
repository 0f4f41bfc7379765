"""Puts the claims of an entry together: one coin for each date they may mean."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from core.errors import BadEntry, BadGrade
from core.lookup.claims import MOST_QUANTITY, Claims, Named, Sense
from core.lookup.giving_way import given_by_name, never_struck, not_so_struck
from core.lookup.trouble import Trouble
from core.lookup.vocabulary import Thing, Vocabulary
from core.lookup.weighed import (
    metals_by_weight,
    metals_of,
    names_only_metal,
    not_weighed_so,
    off_metals,
    weight_told,
)
from core.lookup.words import CHANGES_WEIGHT, Claim
from core.model.coin import Coin, CoinId, Finding
from core.model.foreign_grade import is_grade_extra
from core.model.grade import Grade, parse_grade
from core.model.grade_tables import tables_of_issuer
from core.model.issue import (
    COLLECTORS_ISSUE,
    Description,
    Facet,
    Release,
    Strike,
    Variety,
    VarietyId,
)
from core.model.label import NO_DATE, describe, join_or

_NO_LETTER = "missing mint mark"
"""The kind of a variety whose letter a fault of the die left out."""
_FINDINGS = {
    Sense.SEEN: Finding.CONFIRMED,
    Sense.SUSPECTED: Finding.SUSPECTED,
    Sense.RULED_OUT: Finding.RULED_OUT,
}


@dataclass(slots=True)
class Assembled:
    """A coin put together, and what was assumed for it."""

    coin: Coin
    said: list[str] = field(default_factory=list)
    one_of: tuple[VarietyId, ...] = ()


def assemble(
    known: Vocabulary, claims: Claims, may_be_collectors: bool = False, is_in_hand: bool = False
) -> list[Assembled]:
    """A coin for every date that the claims may mean; raises Trouble where there is none.

    `may_be_collectors`: where nothing is said of strike and release and no such date and mint
    went to banks, the circulation strike that was sold to collectors is meant. `is_in_hand`: the
    coin is looked up, so it may go without a date, be one of several varieties, and a named
    variety decides over the letter and strike that would only be assumed.
    """
    _refuse_unknown(known, claims)
    grade = _grade(claims)
    found: list[Assembled] = []
    troubles: list[Trouble] = []
    for date in _dates(known, claims):
        try:
            build = _Assembly(known, claims, grade, date, may_be_collectors, is_in_hand).build
            try:
                built = build()
            except Trouble as trouble:
                given = given_by_name(known, claims, date) if is_in_hand else None
                if given is None or trouble.stage < 3:
                    raise
                more, said = given
                built = _Assembly(known, more, grade, date, may_be_collectors, True).build()
                built.said.append(said)
            built.said += [w.said for w in claims.table_words[:1]]
            found.append(built)
        except Trouble as trouble:
            troubles.append(trouble)
    if not found:
        raise max(troubles, key=lambda trouble: trouble.stage)
    return found


def _refuse_unknown(known: Vocabulary, claims: Claims) -> None:
    if not claims.unknown:
        return
    word = claims.unknown[0]
    title = known.series.title
    if word.endswith(" x"):
        raise Trouble(0, f"“{word}” is no quantity; write 1 to {MOST_QUANTITY:,}, such as 3 x 58d.")
    if len(word) == 1 and word.isalpha():
        letters = join_or([m.id for m in known.series.mints if m.id])
        raise Trouble(
            0,
            f"“{word.upper()}” is no mint letter of {title} ({letters}). Correct the letter, "
            "or leave it out and write ? after the date if it can't be read.",
            tuple(claims.unknown),
        )
    raise Trouble(
        0,
        f"“{word}” is not a word known for {title}. Write a date, letter, grade, weight, problem, "
        f"design or variety, or put a note in quotes at the end.{_own_grades(known)}",
        tuple(claims.unknown),
    )


def _own_grades(known: Vocabulary) -> str:
    """The grade words of the issuer's tables, "" where it has none."""
    tables = tables_of_issuer(known.series.issuer)
    told = "; ".join(f"{t.name} {t.listed}" for t in tables)
    return f" Grades here: {told}; or US steps such as VF-20." if told else ""


def _grade(claims: Claims) -> Grade | None:
    try:
        if claims.table_words:
            return _table_grade(claims)
        return parse_grade(" ".join(claims.grades)) if claims.grades else None
    except BadGrade as bad:
        raise Trouble(1, str(bad)) from bad


def _table_grade(claims: Claims) -> Grade:
    """The grade of a table's word; beside it stand only colour, strike words and details."""
    found = claims.table_words[0]
    if found.table is None or found.spelling is None:
        raise TypeError("a word of the 1–70 scale is no table's")
    told = {(w.table.name, w.spelling.text) for w in claims.table_words if w.table and w.spelling}
    others = [word for word in claims.grades if not is_grade_extra(word)]
    if len(told) > 1 or others:
        words = [*sorted(text for _, text in told), *(word.upper() for word in others)]
        raise Trouble(1, f"The entry holds two grades, {' and '.join(words)}; leave one out.")
    return found.table.grade(found.spelling, claims.grades)


def _dates(known: Vocabulary, claims: Claims) -> list[str | None]:
    """The dates the entry may mean; [None] where it says that the date is not known."""
    series = known.series
    written = dict.fromkeys(claims.dates)
    if claims.worn_dates and not written:
        return [None]
    if Claim.NO_DATE in claims.said:
        if written:
            raise Trouble(
                2,
                f"The entry says both that the date is not known and {next(iter(written))[0]}; "
                "leave one out.",
            )
        return [None]
    if not written:
        return [None]
    for word, dates in written:
        if not dates:
            raise never_struck(series, word)
    common = [d for d in next(iter(written))[1] if all(d in dates for _, dates in written)]
    if not common:
        told = " and ".join(word for word, _ in written)
        raise Trouble(2, f"The entry holds two dates, {told}; write one entry for each coin.")
    return list(common)


class _Assembly:
    """One coin in the making: a date (None: not known) and what the claims narrow it to."""

    def __init__(
        self,
        known: Vocabulary,
        claims: Claims,
        grade: Grade | None,
        date: str | None,
        may_be_collectors: bool,
        is_in_hand: bool,
    ) -> None:
        self._known, self._series, self._claims = known, known.series, claims
        self._grade, self._date = grade, date
        self._may_be_collectors, self._is_in_hand = may_be_collectors, is_in_hand
        self._one_of: tuple[VarietyId, ...] = ()
        self._said: list[str] = []
        self._is_sold = False
        self._assumed_mark = ""
        self._findings: dict[str, Finding] = {}
        self._is_flagged = Claim.VERIFY in claims.said
        self._description = Description.of(known.series.id, self._strike_and_release())

    def build(self) -> Assembled:
        """The coin; raises Trouble where its facts disagree."""
        self._set_date()
        self._set_mint()
        waiting = [v for named in self._claims.named for v in self._name_facets(named)]
        self._weigh()
        self._require_date()
        self._read_missing_letter()
        for words, sense, things in waiting:
            self._set_varieties(words, sense, things)
        self._say_open_mint()
        self._say_only_letter(self._assumed_mark)
        coin = Coin(
            CoinId(0),
            self._description,
            self._grade,
            tuple(dict.fromkeys(self._claims.problems)),
            is_genuine=Claim.NOT_GENUINE not in self._claims.said,
            is_flagged=self._is_flagged,
            varieties=tuple(
                sorted((v.id, self._findings[v.id]) for v in self._series.varieties
                       if v.id in self._findings)
            ),
            weight_mg=self._claims.weight_mg,
        )  # fmt: skip
        return Assembled(coin, self._said, self._one_of)

    @property
    def _mask(self) -> int:
        return self._series.may_be(self._description)

    @property
    def _called(self) -> str:
        """The coin as far as it is described: 1943, 1943-D, a coin of unknown date (D).

        What is open of it goes unsaid.
        """
        told = describe(self._series, self._description)
        if told.startswith(NO_DATE):
            known = told.removeprefix(NO_DATE).removeprefix(", ")
            return f"a coin of unknown date ({known})" if known else "a coin of unknown date"
        _, mark, rest = told.partition("?")
        return f"{self._date}{rest}" if self._date and mark else told

    def _strike_and_release(self) -> dict[str, str]:
        said = self._claims.said
        is_named = any(  # reverse proof, proof finish; not a proof-style reverse
            named.words[-1:] == ("proof",) or named.words == ("proof", "finish")
            for named in self._claims.named
        )
        is_graded = self._grade is not None and self._grade.is_proof
        if Claim.PROOF in said or is_graded or is_named:
            facets = {Facet.STRIKE.value: Strike.PROOF.value}
        elif Claim.SPECIMEN in said:
            facets = {Facet.STRIKE.value: Strike.SPECIMEN.value}
        elif Claim.COLLECTORS in said:
            facets = {}
        else:
            return self._unsaid()
        if Claim.COLLECTORS in said:
            facets[Facet.RELEASE.value] = Release.COLLECTORS.value
            if Claim.CIRCULATION in said and Facet.STRIKE.value not in facets:
                facets[Facet.STRIKE.value] = Strike.CIRCULATION.value
        return facets

    def _unsaid(self) -> dict[str, str]:
        """The strike and release of an entry that says nothing of them."""
        series, date = self._series, self._date
        if not self._may_be_collectors or date is None:
            return dict(series.usual)
        written = self._claims.mints
        here: dict[str, str | Iterable[str]] = {Facet.DATE.value: date}
        if written:
            here[Facet.MINT.value] = [m for m in written[0] if all(m in ids for ids in written)]
        if series.may_be(Description.of(series.id, {**here, **series.usual})):
            return dict(series.usual)
        theirs = Description.of(series.id, {**here, **COLLECTORS_ISSUE})
        if not series.may_be(theirs):
            return dict(series.usual)
        marks = {issue.mark for issue in series.matching(theirs)} if written else {""}
        name = date + "".join(f"-{mark}" for mark in marks if mark)
        self._said.append(f"no {name} went to banks: read as the one sold to collectors")
        self._is_sold = True
        return dict(COLLECTORS_ISSUE)

    def _require(self, description: Description) -> Description:
        try:
            return self._series.require(description)
        except BadEntry as bad:
            raise Trouble(3, str(bad)) from bad

    def _narrow(self, facet: str, values: Iterable[str]) -> None:
        """Set a facet where that leaves fewer issues; raises Trouble where it leaves none."""
        narrower = self._require(self._description.with_facet(facet, values))
        if self._series.may_be(narrower) != self._mask:
            self._description = narrower

    def _set_date(self) -> None:
        if self._date is None:
            if self._claims.worn_dates:
                self._narrow(Facet.DATE, self._claims.worn_dates)
            return
        dated = self._description.with_facet(Facet.DATE, self._date)
        if not self._series.may_be(dated) and not self._claims.mints:
            raise self._not_so_struck(self._date, ())
        self._description = dated
        written = self._claims.dates[0][0]
        if written.isdecimal() and written != self._date:
            self._said.append(f"read {written} as {self._date}")

    def _set_mint(self) -> None:
        if not self._claims.mints:
            return
        common = [m for m in self._claims.mints[0] if all(m in ids for ids in self._claims.mints)]
        if not common:
            told = " and ".join(join_or(ids) for ids in self._claims.mints)
            raise Trouble(2, f"The entry names two mints, {told}; leave one out.")
        minted = self._description.with_facet(Facet.MINT, common)
        if not self._series.may_be(minted):
            if self._date is not None:
                raise self._not_so_struck(self._date, tuple(common))
            self._require(minted)
        elif self._date is not None:  # two mints may share a letter, in different years
            minted = minted.with_facet(Facet.MINT, {i.mint for i in self._series.matching(minted)})
        if self._claims.is_letter_doubted:
            self._said.append(f"the letter {join_or(common)} is not certain: to verify")
            self._is_flagged = True
        self._description = minted

    def _not_so_struck(self, date: str, mints: tuple[str, ...]) -> Trouble:
        return not_so_struck(self._series, self._description, date, mints)

    def _name_facets(self, named: Named) -> Iterator[tuple[tuple[str, ...], Sense, list[Thing]]]:
        """Narrow the facets that words name; gives the varieties they name, to set later."""
        if self._name_facets_only(named):
            return
        words = named.words
        while words:
            for size in range(len(words), 0, -1):
                things = self._things(words[:size], self._mask)
                if things:
                    break
            else:
                if named.sense is Sense.RULED_OUT and self._is_variety(words):
                    self._said.append(f"no {' '.join(words)} is listed here: nothing to rule out")
                    return
                raise Trouble(3, self._impossible(named))
            facets = [t for t in things if t.variety is None]
            if facets:
                self._name_facet(words[:size], named.sense, facets)
            else:
                yield words[:size], named.sense, things
            words = words[size:]

    def _name_facets_only(self, named: Named) -> bool:
        """Narrow by words that all name facets: `small date copper` as a date size and a metal."""
        before, said, words = self._description, list(self._said), named.words
        while words:
            for size in range(len(words), 0, -1):
                facets = [t for t in self._things(words[:size], self._mask) if t.variety is None]
                if facets:
                    self._name_facet(words[:size], named.sense, facets)
                    words = words[size:]
                    break
            else:
                self._description, self._said = before, said
                return False
        return True

    def _is_variety(self, words: tuple[str, ...]) -> bool:
        things = self._things(words, self._series.everything)
        return bool(things) and all(t.variety is not None for t in things)

    def _things(self, words: tuple[str, ...], mask: int) -> list[Thing]:
        """What these words may name among the issues of a mask, surest meaning first."""
        here = [t for t in self._known.things if t.mask & mask]
        whole = [t for t in here if len(words) > 1 and words == t.name]
        if whole:
            return whole
        things = [t for t in here if set(words) <= t.words and set(words) & t.keys]
        sure = [t for t in things if t.variety is None and set(words) <= t.sure]
        return sure or things

    def _name_facet(self, words: tuple[str, ...], sense: Sense, things: list[Thing]) -> None:
        facets = list(dict.fromkeys(t.facet for t in things))
        told = " ".join(words)
        if len(facets) > 1:
            raise Trouble(3, f"“{told}” may be a {join_or(facets)}; add which is meant.")
        facet = facets[0]
        if sense is Sense.SUSPECTED:
            self._said.append(f"{told} is not certain: left open")
            return
        values = {t.value for t in things if t.facet == facet}
        if sense is Sense.RULED_OUT:
            here = {v for i in self._series.issues_of(self._mask) if (v := i.value(facet))}
            if not here - values:
                raise Trouble(3, f"“not {told}” leaves nothing of what this coin may be.")
            values = here - values
        had = set(self._description.values(facet))
        self._narrow(facet, had & values or values)

    def _impossible(self, named: Named) -> str:
        """Why words that name something do not go with the rest of the entry."""
        told = " ".join(named.words)
        things = self._things(named.words, self._series.everything)
        values: dict[str, list[str]] = {}
        for thing in things:
            if thing.variety is None:
                values.setdefault(thing.facet, []).append(thing.value)
        for facet, named_values in values.items():
            had = self._description.values(facet)
            if had and not set(had) & set(named_values):
                return f"The entry says both {facet} {join_or(had)} and {told}; leave one out."
            try:
                self._require(self._description.with_facet(facet, named_values))
            except Trouble as trouble:
                return str(trouble)
        varieties = [v for t in things if t.variety and (v := self._series.variety(t.variety))]
        return self._known_elsewhere(told, varieties)

    def _known_elsewhere(self, told: str, varieties: list[Variety]) -> str:
        series = self._series
        places = [describe(series, Description(series.id, v.applies)) for v in varieties[:4]]
        more = ", …" if len(varieties) > len(places) else ""
        return (
            f"“{told}” is not known on {self._called}; it is listed for "
            f"{', '.join(dict.fromkeys(places))}{more}. Check the date and letter, or put it in "
            "quotes as a note."
        )

    def _weigh(self) -> None:
        weight_mg = self._claims.weight_mg
        if weight_mg is None or not self._mask:  # that there is no such coin is told below
            return
        grams = weight_mg / 1000
        if CHANGES_WEIGHT & set(self._claims.problems):
            self._said.append("weight kept, but a damaged coin's weight does not tell its metal")
            return
        fitting = metals_by_weight(self._series, self._mask, grams)
        metals = metals_of(self._series, self._mask)
        if not fitting:
            self._weigh_off_metal(grams)
            return
        if len(fitting) < len(metals):
            titles = [self._series.composition(i).title for i in fitting]
            self._said.append(f"{grams:g} g is {join_or(titles)}")
            self._narrow(Facet.COMPOSITION, fitting)

    def _weigh_off_metal(self, grams: float) -> None:
        """Suspect the varieties that weigh so much, where the coin's own metals do not."""
        found = off_metals(self._known, self._mask, grams)
        if not found:
            raise not_weighed_so(self._series, self._mask, self._called, grams)
        self._said.append(weight_told(grams, metals_of(self._series, self._mask), found))
        self._findings |= dict.fromkeys((v.id for v in found), Finding.SUSPECTED)

    def _require_date(self) -> None:
        """Where no date is written, take the one date that is left, or ask for it."""
        if self._date is not None or self._claims.worn_dates or Claim.NO_DATE in self._claims.said:
            return
        dates = {i.date for i in self._series.issues_of(self._mask)}
        if len(dates) != 1 and self._is_in_hand and self._is_narrowed():
            self._said.append("no date given: any it may bear")
            return
        if len(dates) != 1:
            raise Trouble(
                1,
                "The entry names no date; write it as on the coin, such as "
                f"{self._series.dates[-1][0]}, or ? where it is worn away.",
            )
        self._date = dates.pop()
        self._description = self._description.with_facet(Facet.DATE, self._date)
        self._said.append(f"only {self._date} is so")

    def _is_narrowed(self) -> bool:
        """Whether a design, metal or choice is known of a coin without a date."""
        told = (Facet.DESIGN, Facet.COMPOSITION)
        choices = {name for issue in self._series.issues for name, _ in issue.choices}
        return any(self._description.values(f) for f in (*told, *choices))

    def _read_missing_letter(self) -> None:
        """A date alone means the issue without a letter, where that date has one."""
        unread = Claim.LETTER_UNREAD in self._claims.said
        if Claim.NO_LETTER in self._claims.said:
            self._require_no_letter()
        elif self._claims.mints or unread or not (self._date or self._claims.worn_dates):
            return
        marks = {i.mark for i in self._series.issues_of(self._mask)}
        plain = self._description.with_facet(Facet.MARK, "" if "" in marks else ())
        mints = {i.mint for i in self._series.matching(plain)}
        if len(marks) == 1 and Claim.NO_LETTER not in self._claims.said:
            self._assumed_mark = next(iter(marks))
        if len(mints) == 1:
            minted = self._description.with_facet(Facet.MINT, mints)
            if self._series.may_be(minted) == self._series.may_be(plain):
                plain = minted
        self._description = plain

    def _say_only_letter(self, mark: str) -> None:
        """Tell that a date alone was taken as the one issue left of it, which bears a letter."""
        if self._date is None or not mark or self._is_sold:
            return
        missing = self._without_letter()
        if self._findings.keys() & missing:
            return
        kept = (Facet.STRIKE, Facet.RELEASE)
        struck = Description(self._series.id, tuple(
            pair for pair in self._description.facets if pair[0] in kept))  # fmt: skip
        alike = self._series.matching(struck)
        here = {issue.mark for issue in alike if issue.date == self._date}
        if len({issue.mark for issue in alike}) == 1:  # every coin of the series bears it
            return
        name = f"{self._date}-{mark}"
        if len(here) > 1:
            self._said.append(f"only {name} is so")
            return
        strike = self._description.only(Facet.STRIKE)
        kind = f" {strike}" if strike and strike != Strike.CIRCULATION else ""
        told = f"no {self._date}{kind} was struck without a letter: taken as {name}"
        self._said = [one for one in self._said if not one.startswith("read ")]  # told by this
        self._said.append(told + "; look closer if it has none" * bool(missing))

    def _without_letter(self) -> dict[str, Variety]:
        """The varieties of these issues on which the letter is missing, by their ids."""
        here = self._series.varieties_open_to(self._mask)
        return {variety.id: variety for variety in here if variety.kind == _NO_LETTER}

    def _require_no_letter(self) -> None:
        """A missing letter where each of that date bears one: a variety, or else refused."""
        here = list(self._series.issues_of(self._mask))
        if not self._claims.mints and not (here and all(issue.mark for issue in here)):
            return
        missing = {} if self._claims.mints or not self._is_in_hand else self._without_letter()
        if not missing:
            raise Trouble(
                3,
                f"{self._called} bears a letter, and the entry says that there is none. Leave one "
                "out; a letter missing by a fault of the die is a variety, such as “no D”.",
                title=self._series.title,
            )
        mints = {i.mint for v in missing.values() for i in self._series.matching(
            Description(self._series.id, v.applies))}  # fmt: skip
        self._description = self._require(self._description.with_facet(Facet.MINT, mints))
        names = " or ".join(f"“{v.name}”" for v in missing.values())
        self._said.append(f"each {self._date} bore a letter: perhaps {names}, look closer")
        self._findings |= dict.fromkeys(missing, Finding.SUSPECTED)
        self._one_of = tuple(v.id for v in missing.values()) if len(missing) > 1 else ()

    def _say_open_mint(self) -> None:
        here = list(self._series.issues_of(self._mask))
        unread = Claim.LETTER_UNREAD in self._claims.said
        if self._date and not self._claims.mints and not unread and len({i.mint for i in here}) > 1:
            self._said.append(f"every {self._date} bore a letter: mint not known")

    def _is_off_metal(self, variety: Variety, sense: Sense, words: tuple[str, ...]) -> bool:
        """Whether a coin in hand is called by a metal that only an off-metal piece has."""
        is_seen = self._is_in_hand and sense is Sense.SEEN
        return is_seen and names_only_metal(self._known, variety, words)

    def _set_varieties(self, words: tuple[str, ...], sense: Sense, things: list[Thing]) -> None:
        told = " ".join(words)
        here = [t for t in things if t.mask & self._mask]
        varieties = [v for t in here if t.variety and (v := self._series.variety(t.variety))]
        if not varieties and sense is Sense.RULED_OUT:
            self._said.append(f"no {told} is listed here: nothing to rule out")
            return
        if not varieties:
            known = [v for t in things if t.variety and (v := self._series.variety(t.variety))]
            raise Trouble(3, self._known_elsewhere(told, known))
        if sense is Sense.SEEN and len(varieties) > 1:
            whole = {t.variety for t in here if words == t.name or t.sure == set(words)}
            varieties = [v for v in varieties if v.id in whole] or varieties
        if sense is Sense.SEEN and len(varieties) > 1 and self._is_in_hand:
            self._one_of = tuple(v.id for v in varieties)
            self._said.append(f"{told}: one of {len(varieties)}, not settled")
            self._findings |= dict.fromkeys(self._one_of, Finding.SUSPECTED)
            return
        if sense is Sense.SEEN and len(varieties) > 1:
            names = "; ".join(v.name for v in varieties)
            raise Trouble(
                3,
                f"“{told}” may be one of {len(varieties)}: {names}. Add the words that tell which, "
                f"or write {told}? while it is not settled.",
            )
        if len(varieties) > 1:
            self._said.append(f"{told}: {len(varieties)} varieties {sense.value}")
        elif self._is_off_metal(varieties[0], sense, words):
            rare = varieties[0]
            if rare.id not in self._findings:  # else its weight has told so
                self._said.append(f"{told} here is off-metal: {rare.name}? check {rare.where}")
            sense = Sense.SUSPECTED
        for variety in varieties:
            self._findings[variety.id] = _FINDINGS[sense]
            if sense is Sense.SEEN:
                for facet, values in variety.applies:
                    had = set(self._description.values(facet))
                    self._narrow(facet, had & set(values) or values)
