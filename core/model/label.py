"""How issues, descriptions and slots read: 1944, 1944-D, 1944 any mint, 1960-D small date."""

from collections.abc import Collection, Sequence

from core.model.arrangement import ShowP
from core.model.coin import Coin, Finding
from core.model.issue import Description, Facet, Issue, Release, Series, Strike

FOR_COLLECTORS = "for collectors"
NO_DATE = "date not known"
"""How a description of which no date is known begins."""


def join_or(words: list[str] | tuple[str, ...]) -> str:
    """`P`, `P or D`, `P, D or S`."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " or " + words[-1]


def join_and(words: list[str] | tuple[str, ...]) -> str:
    """`P`, `P and D`, `P, D and S`."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


def choice_text(name: str, value: str) -> str:
    """An exclusive choice in words: small date, plain edge, reverse of 1940, reverse proof."""
    if value.endswith(" proof"):
        return value
    return f"{name} of {value}" if value.isdigit() else f"{value} {name.removesuffix(' size')}"


def letter(issue: Issue, show_p: ShowP) -> str:
    """The letter that a label shows for an issue, "" for none."""
    match show_p:
        case ShowP.ALWAYS:
            return issue.mark or issue.mint
        case ShowP.NEVER:
            return "" if issue.mint == "P" else issue.mark
        case ShowP.AS_ON_COIN:
            return issue.mark


def _letters(issues: tuple[Issue, ...], show_p: ShowP) -> list[str]:
    return list(dict.fromkeys(letter(issue, show_p) for issue in issues))


def _varying(
    series: Series, issues: tuple[Issue, ...], date: str, also: Collection[Issue] = ()
) -> list[str]:
    """Facets in which a date's issues, so minted and struck, differ but these agree, as words.

    `also` are further issues that these are to be told from.
    """
    kinds = {(i.mint, i.strike, i.release) for i in issues}
    dated = series.issues_of(series.facet_mask(Facet.DATE, (date,)))
    peers = [i for i in dated if (i.mint, i.strike, i.release) in kinds]
    peers += [i for i in also if i not in peers]
    words = []
    if len({i.design for i in peers}) > 1 and len({i.design for i in issues}) == 1:
        words.append(series.design(issues[0].design).title)
    if len({i.composition for i in peers}) > 1 and len({i.composition for i in issues}) == 1:
        words.append(series.composition(issues[0].composition).title)
    for name in dict.fromkeys(name for i in peers for name, _ in i.choices):
        values = {i.value(name) for i in issues}
        if len(values) == 1 and (value := values.pop()) is not None:
            words.append(choice_text(name, value))
    return words


def _beside(series: Series, accepts: Description) -> tuple[Issue, ...]:
    """What a slot would take of its mints if it asked for no design, metal or choice."""
    mints = {issue.mint for issue in series.matching(accepts)}
    kept = (Facet.DATE, Facet.MINT, Facet.MARK, Facet.STRIKE, Facet.RELEASE)
    asked = {facet.value: accepts.values(facet) for facet in kept if accepts.values(facet)}
    wider = series.matching(Description.of(accepts.series, asked))
    return tuple(issue for issue in wider if issue.mint in mints)


def strike_text(issues: tuple[Issue, ...]) -> list[str]:
    """Words for what is not an ordinary circulation strike released to banks."""
    words = []
    strikes = {i.strike for i in issues}
    if Strike.CIRCULATION not in strikes and len(strikes) == 1:
        words.append(strikes.pop().value)
    elif {i.release for i in issues} == {Release.COLLECTORS}:
        words.append(FOR_COLLECTORS)
    return words


def _named_metal(series: Series, accepts: Description) -> list[str]:
    """The metal of a slot for any mint that asks for one: mints of a date may differ in it."""
    metal = accepts.only(Facet.COMPOSITION)
    if metal is None or accepts.values(Facet.MINT) or not accepts.values(Facet.DATE):
        return []
    return [series.composition(metal).title]


def _stands_beside_usual(series: Series, issues: tuple[Issue, ...]) -> bool:
    """Whether a usual issue bears the same date, mint and design as one of these collectors'."""
    cells = {(i.date, i.mint, i.design) for i in issues}
    return any((i.date, i.mint, i.design) in cells for i in series.issues if series.is_usual(i))


def _set_apart(series: Series, issues: tuple[Issue, ...]) -> list[str]:
    """`_struck`; of collectors' strikes only what tells them from usual ones of that cell."""
    is_plain = all(series.is_for_collectors(i) for i in issues)
    if is_plain and not _stands_beside_usual(series, issues):
        return []
    return _struck(series, issues)


def _struck(series: Series, issues: tuple[Issue, ...]) -> list[str]:
    """`strike_text` without what goes without saying of this series."""
    return [] if all(series.is_usual(issue) for issue in issues) else strike_text(issues)


def _in_words(text: str, told: Sequence[str], struck: Sequence[str]) -> str:
    """All in one line; a strike that a choice names already (reverse proof) is not told twice."""
    named = {word for part in told for word in part.split()}
    return " ".join([text, *told, *(word for word in struck if word not in named)])


def describe(series: Series, description: Description, show_p: ShowP = ShowP.AS_ON_COIN) -> str:
    """A description as collectors write it; one that no issue meets reads facet by facet."""
    issues = series.matching(description)
    if not issues:
        facts = [
            f"{n} {join_or([v or 'none' for v in values])}" for n, values in description.facets
        ]
        return ", ".join(facts) or series.title
    dates = list(dict.fromkeys(i.date for i in issues))
    if len(dates) > 3:
        worn = NO_DATE if not description.values(Facet.DATE) else join_or(dates)
        return _without_date(series, issues, description, worn, show_p)
    letters = _letters(issues, show_p)
    text = join_or(dates)
    if len(letters) == 1:
        text += f"-{letters[0]}" if letters[0] else ""
    elif len({i.mint for i in issues}) > 1:
        text += f", {join_or([x or 'no letter' for x in letters])}?"
    extra = _varying(series, issues, dates[0]) if len(dates) == 1 else []
    return _in_words(text, extra, _struck(series, issues))


def coin_name(series: Series, coin: Coin, is_one_of: bool = False) -> str:
    """What a coin is: its description, then its varieties, those suspected with a question mark.

    `is_one_of`: those suspected are a set of which it is one.
    """
    return f"{describe(series, coin.description)} {found_text(series, coin, is_one_of)}".rstrip()


def found_text(series: Series, coin: Coin, is_one_of: bool = False) -> str:
    """The varieties of a coin, "" for none.

    D over D; doubled die obverse?; doubled die obverse? (die 1, die 2); doubled die obverse, one
    of 3.
    """
    named = {v: finding for v, finding in coin.varieties if finding is not Finding.RULED_OUT}
    here = [v for v in series.varieties if v.id in named]
    doubtful = [v.name for v in here if named[v.id] is Finding.SUSPECTED]
    words = [v.name for v in here if named[v.id] is not Finding.SUSPECTED]
    if is_one_of and len(doubtful) > 1:
        heads = list(dict.fromkeys(name.partition(", ")[0] for name in doubtful))
        return ", ".join([*words, join_or(heads), f"one of {len(doubtful)}"])
    ends: dict[str, list[str]] = {}
    for name in doubtful:
        head, _, end = name.partition(", ")
        ends.setdefault(head, []).append(end)
    for head, these in ends.items():
        if len(these) == 1:
            words.append(", ".join(filter(None, (head, *these))) + "?")
        else:
            told = ", ".join(filter(None, these))  # alike by name on several dates: nothing
            words.append(f"{head}? ({told})" if told else f"{head}?")
    return ", ".join(words)


def varieties_text(series: Series, coin: Coin) -> str:
    """What is known of varieties: D over D confirmed, doubled die obverse ruled out."""
    found = dict(coin.varieties)
    return ", ".join(f"{v.name} {found[v.id]}" for v in series.varieties if v.id in found)


def _without_date(
    series: Series, issues: tuple[Issue, ...], description: Description, worn: str, show_p: ShowP
) -> str:
    letters = _letters(issues, show_p)
    words = [worn]
    if len(letters) == 1:
        words.append(letters[0] or "no letter")
    if description.values(Facet.DESIGN):
        titles = [series.design(d).title for d in dict.fromkeys(i.design for i in issues)]
        words.append(join_or(titles))
    if description.values(Facet.COMPOSITION):
        metals = dict.fromkeys(i.composition for i in issues)
        words.append(join_or([series.composition(m).title for m in metals]))
    return ", ".join([*words, *_struck(series, issues)])


def slot_name(
    series: Series, accepts: Description, variety: str = "", show_p: ShowP = ShowP.AS_ON_COIN
) -> str:
    """A slot's label: what it accepts, with “any mint” where it takes several, and its variety.

    Where a date, mint and design was sold to collectors only, that goes without saying.
    """
    issues = series.matching(accepts)
    date = accepts.only(Facet.DATE)
    mints = {i.mint for i in issues}
    if date and len(mints) > 1 and not accepts.values(Facet.MINT):
        told = _varying(series, issues, date, _beside(series, accepts))
        extra = told or _named_metal(series, accepts)
        text = _in_words(f"{date} any mint", extra, _set_apart(series, issues))
    elif date and issues and len(mints) == 1:
        letters = _letters(issues, show_p)
        text = date + (f"-{letters[0]}" if letters[0] and "" not in letters else "")
        told = _varying(series, issues, date, _beside(series, accepts))
        text = _in_words(text, told, _set_apart(series, issues))
    else:
        text = describe(series, accepts, show_p)
    return f"{text} {variety}".strip()


def what_differs(series: Series, accepts: Description, variety: str = "") -> str:
    """What heads a further row of a date: the design, composition, choice or variety."""
    date = accepts.only(Facet.DATE)
    issues = series.matching(accepts)
    words = _varying(series, issues, date, _beside(series, accepts)) if date and issues else []
    words = words or _named_metal(series, accepts)
    if series.has_collectors_issues and all(series.is_for_collectors(i) for i in issues):
        words += _set_apart(series, issues)
    return " ".join([*words, variety] if variety else words)
