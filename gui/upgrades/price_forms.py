"""Small forms of the prices: a price, an offer, a rate, the rules, what metal costs."""

from dataclasses import replace
from datetime import date

from PySide6.QtWidgets import QLineEdit, QWidget

from core.app.price_book import amount_text
from core.app.price_lines import price_of_coin
from core.errors import BadEntry
from core.model.coin import Coin
from core.model.grade import Grade, code_of, parse_grade
from core.model.money import money_text, read_money
from core.model.prices import (
    MOST_QUANTITY,
    Choose,
    Offer,
    Price,
    PriceRules,
    SpotPrice,
    Weight,
    read_rate,
    read_spot,
    require_currency,
    require_offer,
    require_price,
    require_rules,
)
from gui.day_words import typed_day
from gui.search.form import Choice, FieldTrouble, Form

AMOUNT, DAY, UNTIL = "Price", "Day", "Until"
METALS, USUAL = ("Silver", "Copper"), (Weight.OUNCE, Weight.KILO)
NO_GRADE = "no grade"
VARIETIES = ((False, "is its own alone"), (True, "is its issue's, for all"))


class RulesForm(Form):
    """Base currency, age, several sources, shares, what varieties cost."""

    def __init__(self, parent: QWidget | None, rules: PriceRules, today: date) -> None:
        sentence = "How amounts are told and what is reckoned from your prices."
        super().__init__(parent, "Rules of prices", sentence, "Save", 600)
        self._rules, self._today = rules, today
        self.base = self.line(rules.base)
        self.base.setMaxLength(3)
        self.add("Base currency", self.base, "Its three letters; all amounts are told in it.")
        self.days = self.count(rules.oldest_days, 1, 36_600)
        self.add("Old after days", self.days, "Older prices are greyed and counted.")
        self.choose = Choice(
            ((Choose.NEWEST, "the newest counts"), (Choose.MEDIAN, "their median counts")),
            rules.choose,
            self,
        )
        self.add("Several sources", self.choose)
        self.varieties = Choice(VARIETIES, rules.inherits_all, self)
        hint = "Where it has no price of its own; an issue never takes a variety's."
        self.add("A variety's price", self.varieties, hint)
        self.problem = self.count(rules.problem_share, 0, 100)
        self.add("A problem coin costs, %", self.problem, "Of what a sound one does.")
        self.resale = self.count(rules.resale_share, 0, 100)
        self.add("A freed coin brings, %", self.resale, "Of its price on the list.")

    def read(self) -> PriceRules:
        base = self.base.text().strip().upper()
        try:
            require_currency(base)
        except BadEntry as bad:
            raise FieldTrouble("Base currency", str(bad)) from bad
        chosen = self.choose.value
        assert isinstance(chosen, Choose)
        rules = replace(
            self._rules,
            base=base,
            oldest_days=self.days.value(),
            choose=chosen,
            problem_share=self.problem.value(),
            resale_share=self.resale.value(),
            inherits_all=bool(self.varieties.value),
        )
        require_rules(rules)
        return rules

    @classmethod
    def ask(cls, parent: QWidget | None, rules: PriceRules, today: date) -> PriceRules | None:
        """The rules as edited, None when it was cancelled."""
        answer = cls(parent, rules, today).run()
        return answer if isinstance(answer, PriceRules) else None


class SpotForm(Form):
    """What silver and copper cost: amount and currency, by which weight, as of which day."""

    def __init__(self, parent: QWidget | None, rules: PriceRules, today: date) -> None:
        sentence = (
            "Figures of your own, from wherever you read them. They are kept as you type them; "
            "leave a price empty to have none."
        )
        super().__init__(parent, "Prices of metal", sentence, "Save", 600)
        self._rules, self._today = rules, today
        both = tuple(zip((rules.silver, rules.copper), USUAL, strict=True))
        self.amounts = tuple(self._amount(spot) for spot, _ in both)
        self.weights = tuple(self._weight(spot, usual) for spot, usual in both)
        self.days = tuple(self._day(spot) for spot, _ in both)
        for name, field in zip(METALS, self.amounts, strict=True):
            self.add(name, field, f"Such as 30.50, or with its currency; else {rules.base}.")
        for name, choice in zip(METALS, self.weights, strict=True):
            self.add(f"{name} is priced by", choice)
        for name, field in zip(METALS, self.days, strict=True):
            self.add(f"{name}, as of", field)
        for amount, day in zip(self.amounts, self.days, strict=True):
            amount.textEdited.connect(lambda _text, day=day: day.setText(today.isoformat()))

    def _amount(self, spot: SpotPrice | None) -> QLineEdit:
        if spot is None:
            return self.line()
        return self.line(f"{money_text(spot.minor, spot.currency)} {spot.currency}")

    def _weight(self, spot: SpotPrice | None, usual: Weight) -> Choice:
        weights = tuple((one, one.words) for one in Weight)
        return Choice(weights, spot.weight if spot else usual, self)

    def _day(self, spot: SpotPrice | None) -> QLineEdit:
        return self.line((spot.day if spot else self._today).isoformat())

    def read(self) -> PriceRules:
        silver, copper = (self._read(place) for place in range(2))
        rules = replace(self._rules, silver=silver, copper=copper)
        require_rules(rules)
        return rules

    def _read(self, place: int) -> SpotPrice | None:
        name, weight = METALS[place], self.weights[place].value
        assert isinstance(weight, Weight)
        day = _day_of(self.days[place], f"{name}, as of", self._today)
        try:
            return read_spot(self.amounts[place].text(), weight, self._rules.base, day)
        except BadEntry as bad:
            raise FieldTrouble(name, str(bad)) from bad

    @classmethod
    def ask(cls, parent: QWidget | None, rules: PriceRules, today: date) -> PriceRules | None:
        """The rules with other prices of metal, None when it was cancelled."""
        answer = cls(parent, rules, today).run()
        return answer if isinstance(answer, PriceRules) else None


class RateForm(Form):
    """What one unit of a currency is worth in the base."""

    def __init__(self, parent: QWidget | None, base: str, currency: str = "") -> None:
        super().__init__(parent, "A rate", "", "Save", 440)
        self._base = base
        self.currency = self.line(currency)
        self.currency.setMaxLength(3)
        self.add("Currency", self.currency, "Three letters, such as EUR.")
        self.per = self.line()
        self.add(f"One of it in {base}", self.per, "Such as 1.08; today's day is kept with it.")

    def read(self) -> tuple[str, str]:
        currency = self.currency.text().strip().upper()
        try:
            require_currency(currency)
        except BadEntry as bad:
            raise FieldTrouble("Currency", str(bad)) from bad
        if currency == self._base:
            raise FieldTrouble("Currency", f"{self._base} is the base; rates are of others.")
        try:
            return currency, read_rate(self.per.text())
        except BadEntry as bad:
            raise FieldTrouble(f"One of it in {self._base}", str(bad)) from bad

    @classmethod
    def ask(cls, parent: QWidget | None, base: str, currency: str = "") -> tuple[str, str] | None:
        """Currency and rate as typed, None when it was cancelled."""
        answer = cls(parent, base, currency).run()
        return answer if isinstance(answer, tuple) else None


class PriceForm(Form):
    """A price of the list put right: amount, day, source; what it is of stays."""

    def __init__(self, parent: QWidget | None, price: Price, name: str, today: date) -> None:
        super().__init__(parent, "Change a price", name, "Save", 480)
        self._price, self._today = price, today
        self.amount = self.line(amount_text(price.minor, price.currency))
        self.add(AMOUNT, self.amount)
        self.day = self.line(price.day.isoformat())
        self.add(DAY, self.day)
        self.source = self.line(price.source)
        self.source.setMaxLength(80)
        self.add("Source", self.source, "Whose price it is, such as a list's name.", is_wide=True)

    def read(self) -> Price:
        minor, currency = _amount_of(self.amount, self._price.currency)
        day = _day_of(self.day, DAY, self._today)
        source = " ".join(self.source.text().split())
        price = replace(self._price, minor=minor, currency=currency, day=day, source=source)
        require_price(price)
        return price

    @classmethod
    def ask(cls, parent: QWidget | None, price: Price, name: str, today: date) -> Price | None:
        """The price as edited, None when it was cancelled."""
        answer = cls(parent, price, name, today).run()
        return answer if isinstance(answer, Price) else None


class WorthForm(Form):
    """What the coin of a slot is worth, or one for its gap: a price for the list."""

    def __init__(self, parent: QWidget | None, coin: Coin, name: str, base: str, today: date):
        self._is_gap = coin.id == 0
        title = "What it costs" if self._is_gap else "What it is worth"
        super().__init__(parent, title, name, "Save", 520)
        self._coin, self._base, self._today = coin, base, today
        grade = coin.grade
        self.grade = self.line(
            code_of(grade.low, grade.is_proof) if grade else "", "" if self._is_gap else NO_GRADE
        )
        hint = "That this is the price of." if self._is_gap else "Empty for a coin without one."
        self.add("Grade", self.grade, hint)
        self.amount = self.line()
        self.add(AMOUNT, self.amount, f"Such as 4.50, or with its currency; else {base}.")
        self.source = self.line()
        self.source.setMaxLength(80)
        hint = "Whose price it is, such as a list's name. It is that of a sound coin."
        self.add("Source", self.source, hint, is_wide=True)
        self.starts_on = self.grade if self._is_gap and not grade else self.amount

    def read(self) -> Price:
        typed = self.grade.text().strip()
        is_bare = typed.casefold() in ("", NO_GRADE, "ungraded")
        if is_bare and self._is_gap:
            raise FieldTrouble("Grade", "A plan buys by grade; write the one this is of, as g4.")
        try:
            grade = None if is_bare else parse_grade(typed)
        except BadEntry as bad:
            raise FieldTrouble("Grade", str(bad)) from bad
        if grade is not None:
            if grade.is_details:
                raise FieldTrouble("Grade", "A price is of a sound coin; write a plain grade.")
            grade = Grade(grade.low, grade.low, grade.is_proof)
        coin = replace(self._coin, grade=grade, problems=())
        amount = _amount_of(self.amount, self._base)
        price = price_of_coin(coin, is_bare, amount, self._today, self.source.text())
        require_price(price)
        return price

    @classmethod
    def ask(
        cls, parent: QWidget | None, coin: Coin, name: str, base: str, today: date
    ) -> Price | None:
        """The price typed, None when it was cancelled."""
        answer = cls(parent, coin, name, base, today).run()
        return answer if isinstance(answer, Price) else None


class OfferForm(Form):
    """An offer put right: amount, where, until when, how many; the coin stays."""

    def __init__(self, parent: QWidget | None, offer: Offer, name: str, today: date) -> None:
        super().__init__(parent, "Change an offer", name, "Save", 480)
        self._offer, self._today = offer, today
        self.amount = self.line(amount_text(offer.minor, offer.currency))
        self.add(AMOUNT, self.amount)
        self.until = self.line(offer.until.isoformat() if offer.until else "")
        self.add(UNTIL, self.until, "Empty: open. After its day it is not planned with.")
        self.where = self.line(offer.where)
        self.add("Where", self.where)
        self.many = self.count(offer.quantity, 1, MOST_QUANTITY)
        self.add("How many", self.many)
        self.note = self.line(offer.note)
        self.add("Note", self.note, is_wide=True)

    def read(self) -> Offer:
        minor, currency = _amount_of(self.amount, self._offer.currency)
        is_open = not self.until.text().strip()
        offer = replace(
            self._offer,
            minor=minor,
            currency=currency,
            until=None if is_open else _day_of(self.until, UNTIL, self._today),
            where=" ".join(self.where.text().split()),
            quantity=self.many.value(),
            note=self.note.text().strip(),
        )
        require_offer(offer)
        return offer

    @classmethod
    def ask(cls, parent: QWidget | None, offer: Offer, name: str, today: date) -> Offer | None:
        """The offer as edited, None when it was cancelled."""
        answer = cls(parent, offer, name, today).run()
        return answer if isinstance(answer, Offer) else None


def _amount_of(field: QLineEdit, currency: str) -> tuple[int, str]:
    """Minor units and currency; raises FieldTrouble."""
    words = field.text().split()
    try:
        if len(words) == 2:
            currency = words.pop().upper()
            require_currency(currency)
        if len(words) != 1:
            raise BadEntry("Write one amount, with its currency if need be, such as 4.50 EUR.")
        return read_money(words[0], currency), currency
    except BadEntry as bad:
        raise FieldTrouble(AMOUNT, str(bad)) from bad


def _day_of(field: QLineEdit, name: str, today: date) -> date:
    try:
        return typed_day(field.text(), today)
    except BadEntry as bad:
        raise FieldTrouble(name, str(bad)) from bad
