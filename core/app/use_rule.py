"""What is of use to a collector, and what is being searched: the frame of a look-up."""

from dataclasses import dataclass, replace

from core.errors import BadEntry
from core.model.album import AlbumId
from core.model.issue import SeriesId


@dataclass(frozen=True, slots=True)
class UseRule:
    """What is of use to the collector.

    `gaps`: a coin for an empty slot. `upgrade_points`: an upgrade counts from so many grade points
    on (0: none counts); `upgrade_by_word`: it also counts from one grade word to the next, however
    few points. `spares_of_each`: a spare is kept while fewer of its kind are held.
    `hole_fillers`: a coin with a problem is welcome in a gap. `albums`: only these count (() all),
    in this order.
    """

    gaps: bool = True
    upgrade_points: int = 1
    spares_of_each: int = 0
    hole_fillers: bool = True
    albums: tuple[AlbumId, ...] = ()
    upgrade_by_word: bool = False

    @property
    def text(self) -> str:
        """As the settings keep it: `gaps, upgrades 1, spares 0, hole fillers, albums 3 5`."""
        words = ["gaps" if self.gaps else "no gaps", f"upgrades {self.upgrade_points}"]
        words += ["words"] * self.upgrade_by_word
        words += [f"spares {self.spares_of_each}"]
        words += ["hole fillers" if self.hole_fillers else "no hole fillers"]
        if self.albums:
            words.append("albums " + " ".join(str(int(a)) for a in self.albums))
        return ", ".join(words)

    @staticmethod
    def from_text(text: str) -> "UseRule":
        """Read `text` back; raises BadEntry for what it does not know."""
        rule = UseRule()
        for part in filter(None, (p.strip() for p in text.split(","))):
            name, _, rest = part.rpartition(" ")
            if part in ("gaps", "no gaps"):
                rule = replace(rule, gaps=part == "gaps")
            elif part in ("hole fillers", "no hole fillers"):
                rule = replace(rule, hole_fillers=part == "hole fillers")
            elif part == "words":
                rule = replace(rule, upgrade_by_word=True)
            elif name == "upgrades" and rest.isdecimal():
                rule = replace(rule, upgrade_points=int(rest))
            elif name == "spares" and rest.isdecimal():
                rule = replace(rule, spares_of_each=int(rest))
            elif part.startswith("albums "):
                ids = part.removeprefix("albums ").split()
                if not all(i.isdecimal() for i in ids):
                    raise BadEntry(f"“{part}” names no albums by their numbers.")
                rule = replace(rule, albums=tuple(AlbumId(int(i)) for i in ids))
            else:
                raise BadEntry(
                    f"“{part}” is no part of a rule. Write gaps or no gaps, upgrades N, words, "
                    "spares N, hole fillers or no hole fillers, albums N …, with commas between."
                )
        return rule


@dataclass(frozen=True, slots=True)
class Scope:
    """What is being searched: series (() all in use), the first year there can be, the rule.

    `counters` are the collector's own.
    """

    series: tuple[SeriesId, ...] = ()
    nothing_before: int | None = None
    rule: UseRule = UseRule()
    counters: tuple[str, ...] = ()
