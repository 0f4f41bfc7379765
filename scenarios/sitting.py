"""What a person does at the sorting table: each act with every key it takes, and what is seen.

As in `designing`, the window is given exactly these strokes; without a screen a `Table` carries the
act out. Acts are plain words, so that they can also be sent to a process that is then killed.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from core.app.collection import Collection
from core.app.compare import Tick, comparison, settled_coin
from core.app.counted import sighting_of
from core.app.finish_box import Way, finish_box, finish_proposal, finish_task
from core.app.look_up import Answer, Scope
from core.app.search_entry import scope_of, sighting_of_command
from core.app.search_orders import (
    add_box,
    add_container,
    count_seen,
    keep_find,
    next_roll,
    set_roll_coins,
)
from core.app.search_views import BoxView, CampaignView, RollView
from core.model.coin import Coin
from core.model.search import (
    FULL_EIGHTHS,
    Box,
    BoxId,
    Campaign,
    CampaignId,
    Container,
    Search,
    SearchId,
)
from core.search.containers import held_in
from core.search.packaging import packaging
from core.search.records import Record, broken_by, of_box, records, usual_rules
from core.search.tally import Tallier, TallyLine, tally_lines
from scenarios.designing import Strokes, keys, typed

CENTS = "US 1c"
MOST_RECORDS = 4
"""So many records are told beside a box."""
KEY_OF_TICK = {Tick.SEEN: "+", Tick.NOT_SEEN: "-", Tick.CANNOT_TELL: "?"}
_WAIT_S = 60


@dataclass(frozen=True, slots=True)
class TableAct:
    """The keys that something takes, and the deed of `Table` with what it is given."""

    strokes: Strokes
    deed: str
    given: tuple[str | int, ...] = ()


def keys_of(acts: Sequence[TableAct]) -> int:
    """How many keys acts take."""
    return sum(len(act.strokes) for act in acts)


# ---- acts -------------------------------------------------------------------------------------


def to_table() -> TableAct:
    """Go to the sorting table, from anywhere."""
    return TableAct(keys("Ctrl+3"), "stay")


def begin_campaign(goal: str, boxes: int, coins: int) -> TableAct:
    """A campaign for the last album on the shelf with what was done before, and its first box.

    The goal fills in its name, and how many slots are filled of how many. Roll numbers run on.
    """
    form = (
        *keys("Ctrl+Shift+B", "Tab", "Space", "Up", "Return"),
        *keys("Tab"),
        *typed(str(boxes)),
        *keys("Tab"),
        *typed(str(coins)),
        *keys("Tab", "Tab", "Tab", "Space", "Return"),
    )
    return TableAct((*form, *keys("Return")), "begin_campaign", (goal, boxes, coins))


def next_box() -> TableAct:
    """A box as the last one was."""
    return TableAct(keys("Ctrl+B", "Return"), "next_box")


def rolls(many: int) -> list[TableAct]:
    """So many rolls further."""
    return [TableAct(keys("Space"), "next_roll") for _ in range(many)]


def keep(text: str, reading: int = 0) -> TableAct:
    """Keep a coin; `reading` is which it is, from 1, where the line asks."""
    which = typed(str(reading)) if reading else ()
    return TableAct((*typed(text), *keys("Return"), *which), "keep", (text, reading))


def count(text: str) -> TableAct:
    """Count a coin, do not keep it."""
    return TableAct((*typed(text), *keys("Shift+Return")), "count", (text,))


def foreign() -> TableAct:
    """Count a foreign coin."""
    return TableAct(keys("F5"), "count_command", ("+foreign",))


def compare(text: str, ticks: Sequence[tuple[str, Tick]]) -> TableAct:
    """Type a coin, tick its markers from the first on, and keep it.

    `ticks` name each marker by its place and what is seen there; the window is given the key only.
    """
    ticked = typed("".join(KEY_OF_TICK[tick] for _, tick in ticks))
    told = tuple(part for key, tick in ticks for part in (key, tick.value))
    strokes = (*typed(text), *keys("F4"), *ticked, *keys("Return"))
    return TableAct(strokes, "compare", (text, *told))


def undo() -> TableAct:
    """Take the last thing back."""
    return TableAct(keys("Ctrl+Z"), "undo")


def short(coins: int) -> TableAct:
    """The roll in hand has so many coins."""
    return TableAct((*keys("Alt+R"), *typed(str(coins)), *keys("Return")), "short", (coins,))


def filled(name: str, holds: int) -> TableAct:
    """A container that holds so many coins is filled to the brim."""
    strokes = (
        *keys("Alt+J"),
        *typed(name),
        *keys("Tab"),
        *typed(str(holds)),
        *keys("Tab", "Tab", *["Right"] * FULL_EIGHTHS, "Shift+Backtab", "Return"),
    )
    return TableAct(strokes, "filled", (name, holds))


def finish() -> TableAct:
    """Finish the box as it is proposed, look at its report, close that."""
    return TableAct(keys("Alt+F", "Ctrl+Return", "Escape"), "finish")


def figures() -> TableAct:
    """All boxes of the campaign in figures."""
    return TableAct(keys("Alt+A"), "stay")


# ---- what is seen -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Seen:
    """What stands at the table, in its own words.

    `lines`: roll, coin and answer of each entry, oldest first. `tallies`: name, now and on pace.
    `strip`: of each roll that has or is anything, its number, kept, seen, and its coins where told.
    `opened`: how many rolls are. `stands` is the campaign's line, `told` what the answer card says
    above what was kept last.
    """

    box: str
    roll: int
    opened: int
    lines: tuple[tuple[int, str, str], ...]
    tallies: tuple[tuple[str, int, str], ...]
    records: tuple[str, ...]
    strip: tuple[tuple[int, int, int, int | None], ...]
    containers: tuple[str, ...]
    stands: str
    told: str


LOOKED_WORDS = {"": "seen", "looked": "looked, not it", "suspected": "suspected"}


def pace(line: TallyLine) -> str:
    """A tally on pace, to one decimal."""
    return "" if line.on_pace is None else f"{line.on_pace:.1f}"


def strip_of(views: Sequence[RollView]) -> tuple[tuple[int, int, int, int | None], ...]:
    """The rolls of a strip that have or are anything."""
    return tuple(
        (one.shown, one.kept, one.seen, one.coins if one.is_told else None)
        for one in views
        if one.kept or one.seen or one.is_told
    )


# ---- the same without a screen ----------------------------------------------------------------


class Table:
    """Carries acts out on the box in hand, through `core.app`."""

    def __init__(self, collection: Collection) -> None:
        self._collection = collection
        self._told = ""
        self._records: tuple[Record, ...] = ()
        if collection.log.open_box() is not None:
            self._records = self._all_records()

    def do(self, deed: str, given: Sequence[str | int]) -> None:
        """One deed by its name."""
        act: Callable[..., None] = getattr(self, deed)
        act(*given)

    # ---- the box in hand

    @property
    def _box(self) -> BoxId:
        box = self._collection.log.open_box()
        if box is None:  # finished: the last one is looked at
            box = max(self._collection.log.boxes(), key=lambda one: (one.begun, one.id))
        return box.id

    @property
    def _view(self) -> BoxView:
        return self._collection.log.box_view(self._box)

    @property
    def _campaign(self) -> CampaignView:
        return self._collection.log.campaign(self._view.campaign.id)

    @property
    def _scope(self) -> Scope:
        view = self._view
        return scope_of(self._collection, view.box, view.search)

    def _tallier(self) -> Tallier:
        return Tallier({one.id: one for one in self._collection.all_series()})

    def _all_records(self) -> tuple[Record, ...]:
        tallies = self._collection.log.tallies(self._view.box.denomination)
        return records(self._tallier(), usual_rules(tallies), self._campaign.facts)

    def _say(self, told: str) -> None:
        """What is told of the last entry, with the records it broke."""
        before, self._records = self._records, self._all_records()
        self._told = " · ".join((told, *broken_by(before, self._records)))

    # ---- deeds

    def stay(self) -> None:
        """Nothing changes."""

    def begin_campaign(self, goal: str, boxes: int, coins: int) -> None:
        """The first box of a campaign."""
        album = self._collection.find_album(goal)
        stands = self._collection.album_view(album.id).headline
        campaign = Campaign(
            CampaignId(0), goal, album.id, "", boxes, coins, stands.have, stands.wanted, True
        )
        today = self._collection.today
        wraps = packaging(CENTS)
        assert wraps is not None
        assert wraps.rolls is not None
        search = Search(SearchId(0), CampaignId(0), f"cents {today.year}", today)
        box = Box(BoxId(0), SearchId(0), 0, today, CENTS, wraps.rolls, wraps.per_roll)
        self._collection.run(add_box(box, search, campaign))
        self._records = self._all_records()

    def next_box(self) -> None:
        """As the last one."""
        last = self._view.box
        fresh = replace(last, id=BoxId(0), number=0, begun=self._collection.today, seconds=0,
                        at_roll=1, reached=1, is_done=False)  # fmt: skip
        self._collection.run(add_box(fresh))
        self._told = ""

    def next_roll(self) -> None:
        """One further."""
        self._collection.run(next_roll(self._box))
        self._told = ""

    def _answer(self, text: str, reading: int = 0) -> Answer:
        looked = self._collection.look_up(text, self._scope)
        if reading:
            assert looked.must_ask
            return looked.readings[reading - 1]
        assert looked.meant is not None, f"{text}: {looked.trouble or looked.readings}"
        return looked.meant

    def _keep(self, answer: Answer, coin: Coin) -> None:
        order = keep_find(self._box, coin, answer=answer.verdict.value, name=answer.name)
        self._collection.run(order)
        self._say(f"Kept: {answer.name}")

    def keep(self, text: str, reading: int) -> None:
        """As typed."""
        answer = self._answer(text, reading)
        self._keep(answer, answer.entry.coin)

    def count(self, text: str) -> None:
        """As typed."""
        answer = self._answer(text)
        entry = answer.entry
        seen = sighting_of(entry)
        self._collection.run(count_seen(self._box, seen, answer.name))
        times = f"{entry.quantity} × " if entry.quantity > 1 else ""
        self._say(f"Counted, not kept: {times}{answer.name}")

    def count_command(self, text: str) -> None:
        """A counter."""
        command = self._collection.look_up(text, self._scope).command
        assert command is not None
        self._collection.run(count_seen(self._box, sighting_of_command(command)))
        self._say(f"Counted, not kept: {text[:1]} {text[1:]}")

    def compare(self, text: str, *told: str) -> None:
        """Settled by its markers."""
        ticks = {key: Tick(tick) for key, tick in zip(told[::2], told[1::2], strict=True)}
        answer = self._answer(text)
        entry = answer.entry
        series = self._collection.series(entry.series)
        compared = comparison(series, entry.coin, entry.one_of, is_one_of=bool(entry.one_of))
        assert set(ticks) <= {row.key for row in compared.rows}
        coin = settled_coin(series, entry.coin, compared, ticks)
        self._keep(self._collection.look_up_again(answer, coin, self._scope), coin)

    def undo(self) -> None:
        """The newest entry."""
        self._collection.undo()
        self._records = self._all_records()

    def short(self, coins: int) -> None:
        """The roll in hand."""
        view = self._view
        self._collection.run(set_roll_coins(view.box.id, view.box.at_roll, coins))

    def filled(self, name: str, holds: int) -> None:
        """A new container, full."""
        self._collection.run(add_container(Container(0, name, holds, FULL_EIGHTHS, CENTS)))

    def finish(self) -> None:
        """All that is proposed; the rest stay spares."""
        task = finish_task(self._collection, self._box)
        proposal = finish_proposal(task)
        ways = {line.coin.id: Way.SPARE for line in task.rest(proposal)}
        pairs = [move.pair for move in proposal.moves]
        self._collection.run(finish_box(self._box, pairs, ways))

    # ---- seeing

    def seen(self) -> Seen:
        """All of it."""
        view, campaign, log = self._view, self._campaign, self._collection.log
        lines = [(f.find.place, (f.roll, f.label, f.answer)) for f in view.finds]
        lines += [
            (s.sighting.place, (s.roll, s.label, LOOKED_WORDS[s.sighting.looked.value]))
            for s in view.sightings
        ]
        tallies = log.tallies(view.box.denomination)
        found = tally_lines(self._tallier(), tallies, view.facts, campaign.facts.boxes)
        return Seen(
            f"Box {view.box.number}",
            view.now.shown,
            sum(one.is_opened for one in view.rolls),
            tuple(line for _, line in sorted(lines)),
            tuple((one.name, one.now, pace(one)) for one in found),
            tuple(one.text for one in of_box(self._all_records(), view.box.id))[:MOST_RECORDS],
            strip_of(view.rolls),
            tuple(f"{one.name}, full: {held_in(one).text}" for one in log.containers()),
            f"box {campaign.boxes[0].box.number} · have {campaign.have} of {campaign.wanted}",
            self._told,
        )

    def in_figures(self) -> str:
        """The campaign in a line."""
        campaign = self._campaign
        return f"{campaign.text} · {campaign.coins_in_all:,} coins searched"


# ---- being killed -----------------------------------------------------------------------------


def do_and_be_killed(path: Path, acts: Sequence[TableAct], today: date) -> None:
    """Another process opens the file, does the acts and is killed when it has said so.

    The system ends it (SIGKILL where there is one): it closes nothing and writes nothing more.
    """
    lines = [today.isoformat(), *(json.dumps([act.deed, *act.given]) for act in acts)]
    with subprocess.Popen(
        [sys.executable, "-m", "scenarios.sitting", str(path)],
        cwd=Path(__file__).parents[1],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        try:
            child.stdin.write("\n".join([*lines, "", ""]))
            child.stdin.flush()
            said = child.stdout.readline().strip()
        finally:
            child.kill()
            child.wait(_WAIT_S)
    assert said == f"{len(acts)} done", said


def _do_what_is_told(path: Path) -> None:
    """The process that is killed: it does what it reads, says so, and waits for its end."""
    today = date.fromisoformat(sys.stdin.readline().strip())
    collection = Collection.open(path, today=lambda: today)
    table, done = Table(collection), 0
    while line := sys.stdin.readline().strip():
        deed, *given = json.loads(line)
        table.do(deed, given)
        done += 1
    print(f"{done} done", flush=True)
    sys.stdin.readline()  # never comes: the file stays open until the end


if __name__ == "__main__":
    _do_what_is_told(Path(sys.argv[1]))
