"""What a person does while designing a leaf: each act with every key and click that it takes.

The window is worked with exactly these strokes; without a screen the act itself is carried out by a
`Drawing`. Both are then asked what stands on the leaf. A story counts the strokes of its acts.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from core.app.album_edit import edit_album, falling_text, plan_edit, present_choice
from core.app.collection import Collection
from core.app.design import (
    ExtraSlot,
    Likeness,
    add_slot,
    arrange_album,
    as_map,
    dates_only_choice,
    falling_out,
    keep_arrangement,
    move_slots,
    needs_other_slots,
    portable,
    relabel_slot,
    select_like,
    set_leads,
    take_out_slots,
)
from core.app.operations import Operation, set_wish
from core.app.views import AlbumView
from core.arrange.plan import NOT_STRUCK_CODE, STATE_BITS, LeafPlan
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, Slot, SlotId, Wish
from core.model.arrangement import Arrangement, ArrangementKind, Break, Order, parse_map
from core.model.issue import Facet

SECONDS_A_STROKE = 1.2
"""A key or a click, with the look and the thought before it: assumed for the stories, not measured
(common practice when work at a screen is planned; letters typed in a row go faster)."""
MOST_SECONDS = 120.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """A key ("Ctrl+Right"), a typed letter, a turn of the wheel, or a click.

    `on`: what is clicked, by its spoken name; "slot" for the slot whose label `what` is. `what` is
    the line of a list or menu that is clicked then.
    """

    what: str
    on: str = ""
    is_letter: bool = False
    is_drag: bool = False
    """The button stays down from here, or is let go here."""


Strokes = tuple[Stroke, ...]
WHEEL = Stroke("wheel")


@dataclass(frozen=True, slots=True)
class DesignAct:
    """The strokes that something takes, and the same done without a screen."""

    strokes: Strokes
    draw: "Callable[[Drawing], None]"


def strokes_of(acts: Iterable[DesignAct]) -> int:
    """How many keys and clicks acts take."""
    return sum(len(act.strokes) for act in acts)


def seconds(acts: Iterable[DesignAct]) -> float:
    """How long acts take at SECONDS_A_STROKE."""
    return SECONDS_A_STROKE * strokes_of(acts)


def told_pace(acts: Sequence[DesignAct]) -> str:
    """61 strokes, 73 s."""
    return f"{strokes_of(acts)} strokes, {seconds(acts):.0f} s"


def keys(*names: str) -> Strokes:
    """These keys, by their names."""
    return tuple(Stroke(name) for name in names)


def typed(text: str) -> Strokes:
    """A text, letter by letter."""
    return tuple(Stroke(letter, is_letter=True) for letter in text)


def _click(on: str, line: str = "") -> Strokes:
    return (Stroke(line, on),)


# ---- acts on the leaf -------------------------------------------------------------------------


def begin() -> DesignAct:
    """Design the open album."""
    return DesignAct(keys("Q"), lambda _drawing: None)


def end() -> DesignAct:
    """Leave designing."""
    return DesignAct(keys("Escape"), lambda _drawing: None)


def at(label: str) -> DesignAct:
    """Click on a slot, once the wheel has brought it into sight."""
    return DesignAct((WHEEL, *_click("slot", label)), lambda drawing: drawing.go_to(label))


def drag(label: str, past: str) -> DesignAct:
    """Take a slot with the mouse and let it go just after another one."""
    strokes = (WHEEL, Stroke(label, "slot", is_drag=True), Stroke(past, "slot", is_drag=True))
    return DesignAct(strokes, lambda drawing: drawing.move_past(label, past))


def select_mint() -> DesignAct:
    """Select every slot of the mint of the slot one stands on."""
    return DesignAct(keys("Shift+M"), lambda drawing: drawing.select(Likeness.MINT))


def optional() -> DesignAct:
    """The selected slots are optional."""
    return DesignAct(keys("O"), lambda drawing: drawing.set_wish(Wish.OPTIONAL))


def new_leaf() -> DesignAct:
    """A leaf begins with the slot one stands on."""
    return DesignAct(keys("L"), lambda drawing: drawing.begin_leaf())


def mint_to_the_left() -> DesignAct:
    """The column one stands in changes places with the one to its left."""
    return DesignAct(keys("Ctrl+Left"), lambda drawing: drawing.mint_to_the_left())


def add(words: str, wish: Wish = Wish.OPTIONAL) -> DesignAct:
    """Add a slot in one's own words after the one one stands on."""
    given = keys("Return")
    if wish is not Wish.OPTIONAL:
        given = (*_click(f"Sought: {wish.value}"), *_click("Add the slot"))
    strokes = (*keys("Insert"), *typed(words), *given)
    return DesignAct(strokes, lambda drawing: drawing.add(words, wish))


def take_out() -> DesignAct:
    """Take out the slot one stands on."""
    return DesignAct(keys("Delete"), lambda drawing: drawing.take_out())


def agree() -> DesignAct:
    """Say yes to what is asked above the leaf, from the leaf."""
    return DesignAct(keys("Return"), lambda drawing: drawing.agree())


def call(label: str) -> DesignAct:
    """Give the slot one stands on a label of its own."""
    return DesignAct((*keys("F2"), *typed(label), *keys("Return")),
               lambda drawing: drawing.call(label))  # fmt: skip


# ---- acts in the Shape panel ------------------------------------------------------------------


def form(name: str) -> DesignAct:
    """Choose a form."""
    return DesignAct(_click("Form", name), lambda drawing: drawing.take_form(_FORMS[name]))


def number(of: str, count: int) -> DesignAct:
    """Write a number into its field."""
    part = _NUMBERS[of]
    strokes = (*_click(of), *keys("Ctrl+A"), *typed(str(count)), *keys("Return"))
    return DesignAct(strokes, lambda drawing: drawing.change(**{part: count}))


def press(of: str, choice: str) -> DesignAct:
    """Press one of a few that stand side by side."""
    part, value = _CHOICES[of, choice]
    return DesignAct(_click(f"{of}: {choice}"), lambda drawing: drawing.change(**{part: value}))


def leaf_break(at_every: str) -> DesignAct:
    """Where a new leaf begins of itself."""
    value = Break(at_every.removeprefix("every "))
    strokes = (WHEEL, *_click("New leaf at"), *_click("New leaf at", at_every))
    return DesignAct(strokes, lambda drawing: drawing.change(leaf_break=value))


def labels_written(template: str) -> DesignAct:
    """Write what the labels are made of."""
    strokes = (WHEEL, *_click("Text of the labels"), *typed(template), *keys("Return"))
    return DesignAct(strokes, lambda drawing: drawing.change(label=template))


MAP_FIELD = "Row map: slots row by row, a leaf a line"


def map_written(text: str) -> DesignAct:
    """Write the row map anew."""
    strokes = (*_click(MAP_FIELD), *keys("Ctrl+A"), *typed(text), *keys("Ctrl+Return"))
    return DesignAct(strokes, lambda drawing: drawing.write_map(text))


def map_end(old: str, new: str) -> DesignAct:
    """Write another end of the row map; one stands at its end still."""
    strokes = (*keys(*["Backspace"] * len(old)), *typed(new), *keys("Ctrl+Return"))
    return DesignAct(strokes, lambda drawing: drawing.write_map_end(old, new))


def keep(name: str) -> DesignAct:
    """Keep the shape under a name."""
    strokes = (WHEEL, *_click("Keep as…"), *keys("Ctrl+A"), *typed(name), *keys("Return"))
    return DesignAct(strokes, lambda drawing: drawing.keep(name))


def use(name: str) -> DesignAct:
    """Give the album a shape that was kept."""
    strokes = (WHEEL, *_click("Use"), *_click("Use", name))
    return DesignAct(strokes, lambda drawing: drawing.use(name))


_FORMS = {
    "years × mints": ArrangementKind.YEARS_BY_MINTS,
    "running": ArrangementKind.RUNNING,
    "by decade": ArrangementKind.BY_DECADE,
    "by type": ArrangementKind.BY_TYPE,
    "one row a design": ArrangementKind.BY_DESIGN,
    "dates only": ArrangementKind.DATES_ONLY,
    "row map": ArrangementKind.ROW_MAP,
}
_NUMBERS = {
    "slots to a row": "per_row",
    "rows to a leaf": "rows_per_leaf",
    "blocks abreast": "blocks",
}
_CHOICES: dict[tuple[str, str], tuple[str, object]] = {
    ("Order", "as listed"): ("order", Order.AS_LISTED),
    ("Order", "by date"): ("order", Order.DATE),
    ("Order", "by mint"): ("order", Order.MINT),
    ("Places not struck", "kept"): ("is_closed", False),
    ("Places not struck", "closed up"): ("is_closed", True),
}


# ---- what stands on the leaf ------------------------------------------------------------------

FREE, NOT_STRUCK = "_", "×"


def drawn_rows(plan: LeafPlan) -> list[list[str]]:
    """Leaf by leaf and row by row what is drawn: (P, D, S), then 1932: 1932, 1932-D, ×.

    The heads of the columns first where there are any; then each row: its head with a colon where
    it has one, then the slots' labels as drawn (in columns of mints, where none is, as spoken); `_`
    for a spacer (those at the end left out), `×` for a coin that was not struck. Titles inside a
    row stand in brackets, as optional slots do.
    """
    return [
        [
            *([f"({', '.join(leaf.heads)})"] if leaf.heads else ()),
            *(_drawn_row(plan, leaf.first_row + number) for number in range(leaf.rows)),
        ]
        for leaf in plan.leaves
    ]


def _drawn_row(plan: LeafPlan, number: int) -> str:
    cells = [_drawn_cell(plan, cell) for cell in plan.cells_of_row(number)]
    while cells and cells[-1] == FREE:
        cells.pop()
    head = plan.row_head[number]
    return (f"{head}: " if head else "") + ", ".join(cells)


def _drawn_cell(plan: LeafPlan, cell: int) -> str:
    name = plan.lines[plan.names[cell]]
    if plan.slot_ids[cell]:
        return plan.lines[plan.l1[cell]] if plan.has_two_lines else name
    if plan.codes[cell] & STATE_BITS == NOT_STRUCK_CODE:
        return NOT_STRUCK
    return f"[{name}]" if name else FREE


# ---- the same without a screen ----------------------------------------------------------------


class Drawing:
    """Carries acts out on one album, through `core.app`."""

    def __init__(self, collection: Collection, album: AlbumId) -> None:
        self._collection, self.album = collection, album
        self._chosen: tuple[SlotId, ...] = ()
        self._asked: Operation | None = None
        self._falling = self._map_text = ""

    @property
    def asked(self) -> str:
        """The coins that would leave their slots if one agreed; "" where nothing is asked."""
        return self._falling if self._asked is not None else ""

    @property
    def _view(self) -> AlbumView:
        return self._collection.album_view(self.album)

    @property
    def _here(self) -> Slot:
        (slot,) = self._chosen
        return self._view.by_id[slot].slot

    def _slot(self, label: str) -> Slot:
        return self._collection.find_slot(self._view.album, label)

    def _run(self, operation: Operation) -> None:
        self._collection.run(operation)

    def go_to(self, label: str) -> None:
        """Stand on a slot."""
        self._chosen = (self._slot(label).id,)

    def select(self, what: Likeness) -> None:
        """Choose the slots like the one stood on."""
        self._chosen = select_like(self._view, self._here.id, what)

    def set_wish(self, wish: Wish) -> None:
        """Of the chosen slots."""
        self._run(set_wish(self._chosen, wish))

    def move_past(self, label: str, past: str) -> None:
        """One slot just after another."""
        view = self._view
        order = sorted(view.places, key=view.places.__getitem__)
        behind = order[order.index(self._slot(past).id) + 1 :]
        self._run(move_slots(self.album, [self._slot(label).id], next(iter(behind), None)))

    def begin_leaf(self) -> None:
        """With the slot stood on, whatever begins there now."""
        here = self._here
        lead = replace(here.lead, new_leaf=not here.lead.new_leaf, new_row=False)
        self._run(set_leads(self.album, {here.id: lead}))

    def mint_to_the_left(self) -> None:
        """In a matrix."""
        view = self._view
        used = {shown.slot.accepts.only(Facet.MINT) for shown in view.slots}
        order = [mint.id for mint in view.series.mints if mint.id in used]
        named = view.album.arrangement.mints
        order.sort(key=lambda mint: named.index(mint) if mint in named else len(named))
        place = order.index(self._here.accepts.only(Facet.MINT) or "")
        order[place - 1], order[place] = order[place], order[place - 1]
        self.change(mints=tuple(order))

    def add(self, words: str, wish: Wish) -> None:
        """After the slot stood on."""
        series = self._view.series
        coin = parse_entry(words, [series], series.id).coin
        variety = coin.varieties[0][0] if coin.varieties else None
        extra = ExtraSlot(coin.description, "", variety, wish)
        self._run(add_slot(self.album, extra, self._here.id))

    def take_out(self) -> None:
        """The slot stood on; one is asked where its coin would fall out."""
        falling = falling_out(self._view, self._chosen)
        going = take_out_slots(self.album, self._chosen, [one.coin for one in falling])
        if falling:
            self._asked, self._falling = going, falling_text(falling)
        else:
            self._run(going)

    def agree(self) -> None:
        """To what was asked last."""
        assert self._asked is not None
        self._run(self._asked)
        self._asked = None

    def call(self, label: str) -> None:
        """The slot stood on."""
        self._run(relabel_slot(self._here.id, label))

    # ---- the shape ----------------------------------------------------------------------------

    def _take(self, shape: Arrangement) -> None:
        view = self._view
        if not needs_other_slots(view, shape):
            self._run(arrange_album(view, shape))
            return
        choice = dates_only_choice(view, shape)
        falling = plan_edit(view, choice, present_choice(view).plan).falling_out
        self._asked = edit_album(view.album.id, choice, [one.coin for one in falling])
        self._falling = falling_text(falling)

    def change(self, **parts: object) -> None:
        """Parts of the arrangement by their names in the model."""
        shape = self._view.album.arrangement
        self._take(replace(shape, **parts))  # type: ignore[arg-type]  # names and values from above

    def take_form(self, kind: ArrangementKind) -> None:
        """A first row map is that of the leaves as they are."""
        view = self._view
        shape = view.album.arrangement
        if kind is ArrangementKind.ROW_MAP and not shape.row_map:
            self._take(as_map(view))
        else:
            self._take(replace(shape, kind=kind))

    def write_map(self, text: str) -> None:
        """Leaves after a stroke."""
        self._map_text = text
        self.change(row_map=parse_map(text))

    def write_map_end(self, old: str, new: str) -> None:
        """Other letters at the end of what was written."""
        assert self._map_text.endswith(old)
        self.write_map(self._map_text.removesuffix(old) + new)

    def keep(self, name: str) -> None:
        """For other albums."""
        self._run(keep_arrangement(name, portable(self._view)))

    def use(self, name: str) -> None:
        """A kept one."""
        kept = {one.name: one.arrangement for one in self._collection.saved_arrangements()}
        self._take(kept[name])
