"""Small forms of the prices: the rules one reckons by, and a rate."""

from dataclasses import replace
from datetime import date

from PySide6.QtWidgets import QLineEdit, QWidget

from core.errors import BadEntry
from core.model.money import money_text, read_money
from core.model.prices import Choose, PriceRules, read_rate, require_currency, require_rules
from gui.search.form import Choice, FieldTrouble, Form

SILVER, COPPER = "Silver, a troy ounce", "Copper, a kilogram"


class RulesForm(Form):
    """Base currency, age, several sources, shares, spot prices."""

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
        self.problem = self.count(rules.problem_share, 0, 100)
        self.add("A problem coin costs, %", self.problem, "Of what a sound one does.")
        self.resale = self.count(rules.resale_share, 0, 100)
        self.add("A freed coin brings, %", self.resale, "Of its price on the list.")
        self.silver = self._amount(rules.silver_minor)
        self.add(SILVER, self.silver, "The metal's price, if you want it; empty: none.")
        self.copper = self._amount(rules.copper_minor)
        self.add(COPPER, self.copper)

    def _amount(self, minor: int | None) -> QLineEdit:
        return self.line("" if minor is None else money_text(minor, self._rules.base))

    def _spot(self, field: QLineEdit, name: str, base: str) -> int | None:
        try:
            return read_money(field.text(), base) if field.text().strip() else None
        except BadEntry as bad:
            raise FieldTrouble(name, str(bad)) from bad

    def read(self) -> PriceRules:
        base = self.base.text().strip().upper()
        try:
            require_currency(base)
        except BadEntry as bad:
            raise FieldTrouble("Base currency", str(bad)) from bad
        silver = self._spot(self.silver, SILVER, base)
        copper = self._spot(self.copper, COPPER, base)
        is_new = (silver, copper) != (self._rules.silver_minor, self._rules.copper_minor)
        day = self._today if is_new else self._rules.spot_day
        chosen = self.choose.value
        assert isinstance(chosen, Choose)
        rules = replace(
            self._rules,
            base=base,
            oldest_days=self.days.value(),
            choose=chosen,
            problem_share=self.problem.value(),
            resale_share=self.resale.value(),
            silver_minor=silver,
            copper_minor=copper,
            spot_day=day if silver is not None or copper is not None else None,
        )
        require_rules(rules)
        return rules

    @classmethod
    def ask(cls, parent: QWidget | None, rules: PriceRules, today: date) -> PriceRules | None:
        """The rules as edited, None when it was cancelled."""
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
