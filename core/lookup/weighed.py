"""What the weight of a coin tells of its metal, pieces on a wrong planchet included."""

from collections.abc import Iterable, Sequence

from core.lookup.trouble import Trouble
from core.lookup.vocabulary import Vocabulary
from core.lookup.words import name_words
from core.model.issue import Composition, Facet, Series, Variety
from core.model.label import join_and, join_or

OFF_METAL = "off-metal"
"""The kind of a variety that was struck on a planchet of another metal."""


def metals_by_weight(series: Series, mask: int, grams: float) -> tuple[str, ...]:
    """The compositions of these issues that a coin of this weight may have.

    First those whose own tolerance holds the weight; where none does, those a worn coin may
    have: wear only takes metal away, so up to twice the tolerance too light, never too heavy.
    A composition of unknown weight or tolerance cannot be excluded.
    """
    return _fitting(metals_of(series, mask), grams)


def metals_of(series: Series, mask: int) -> list[Composition]:
    """The compositions of these issues, once each."""
    ids = dict.fromkeys(issue.composition for issue in series.issues_of(mask))
    return [series.composition(one) for one in ids]


def off_metals(known: Vocabulary, mask: int, grams: float) -> list[Variety]:
    """The off-metal varieties of these issues that weigh so much, though the issues do not."""
    series = known.series
    own = {metal.id for metal in metals_of(series, mask)}
    found = (series.variety(t.variety) for t in known.things if t.variety and t.mask & mask)
    return [
        variety
        for variety in found
        if variety is not None and variety.kind == OFF_METAL
        if _fitting([m for m in _planchets(known, variety) if m.id not in own], grams)
    ]


def names_only_metal(known: Vocabulary, variety: Variety, words: Sequence[str]) -> bool:
    """Whether words tell of an off-metal variety nothing but the metal: `copper`."""
    metals = frozenset().union(*(_metal_words(known, metal) for metal in known.series.compositions))
    return variety.kind == OFF_METAL and set(words) <= metals


def not_weighed_so(series: Series, mask: int, called: str, grams: float) -> Trouble:
    """That none of these issues weighs so much, and what they weigh."""
    spans = [
        (m.weight_g - 2 * m.tolerance_g, m.weight_g + m.tolerance_g, m.title)
        for m in metals_of(series, mask)
        if m.weight_g is not None and m.tolerance_g is not None
    ]
    told = ", ".join(f"{title} {low:.2f}–{high:.2f} g" for low, high, title in spans)
    away = min(max(low - grams, grams - high) / high for low, high, _ in spans)
    return Trouble(
        3,
        f"no {called.removeprefix('a ')} weighs {grams:g} g, even worn: {told}. Weigh it again, "
        "name its damage, or leave the weight out.",
        title=series.title,
        away=away,
    )


def weight_told(grams: float, own: Iterable[Composition], varieties: Sequence[Variety]) -> str:
    """That a weight is not of the coin's own metals but of an off-metal piece."""
    titles = join_or([metal.title for metal in own])
    where = dict.fromkeys(variety.where for variety in varieties)
    named = join_or([variety.name for variety in varieties])
    return f"{grams:g} g is not {titles}: {named}? check {join_and(list(where))}"


def _fitting(metals: Sequence[Composition], grams: float) -> tuple[str, ...]:
    unknown = [m.id for m in metals if m.weight_g is None or m.tolerance_g is None]
    for below in (1, 2):
        fitting = [
            m.id
            for m in metals
            if m.weight_g is not None
            and m.tolerance_g is not None
            and m.weight_g - below * m.tolerance_g - 1e-9
            <= grams
            <= m.weight_g + m.tolerance_g + 1e-9
        ]
        if fitting:
            return tuple(fitting + unknown)
    return tuple(unknown)


def _planchets(known: Vocabulary, variety: Variety) -> list[Composition]:
    """The metals of its series that an off-metal variety's name may mean, the nearest alone."""
    named = set(name_words(variety.name))
    alike = [
        (len(named & _metal_words(known, metal)), metal)
        for metal in known.series.compositions
        if metal.weight_g is not None and metal.tolerance_g is not None
    ]
    most = max((count for count, _ in alike), default=0)
    return [metal for count, metal in alike if count == most > 0]


def _metal_words(known: Vocabulary, metal: Composition) -> frozenset[str]:
    """The words that may stand for a metal, with the figures of its title: 40 of 40 % silver."""
    things = (t for t in known.things if t.facet == Facet.COMPOSITION and t.value == metal.id)
    figures = {word for word in name_words(metal.title) if word.isdecimal()}
    return frozenset().union(figures, *(thing.keys for thing in things))
