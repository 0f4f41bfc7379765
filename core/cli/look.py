"""`slotleaf look`: what the coin in hand is worth to the albums of a collection."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.show import Row, as_json, file_argument, opened, write_rows

if TYPE_CHECKING:
    from core.app.look_up import Answer, SlotTold


@click.command()
@file_argument
@click.argument("text", metavar='"39d vf20"')
@click.option(
    "--series", "series_ids", multiple=True, metavar="ID",
    help="A series that is being searched; may be given again. All in use if left out.",
)  # fmt: skip
@click.option("--nothing-before", type=int, metavar="YEAR", help="No coin here is older.")
@click.option("--rule", "rule_text", default="", metavar="RULE", help="What is of use to you.")
@as_json
def look(
    file: Path,
    text: str,
    series_ids: tuple[str, ...],
    nothing_before: int | None,
    rule_text: str,
    as_json: bool,
) -> None:
    """Look up a coin as collectors write it: gap, upgrade, spare or no use; nothing is changed."""
    from core.app.look_up import Scope, UseRule, slots_told
    from core.errors import BadEntry
    from core.model.issue import SeriesId

    rule = UseRule.from_text(rule_text)
    with opened(file, read_only=True) as collection:
        chosen = tuple(collection.series(SeriesId(i)).id for i in series_ids)
        scope = Scope(chosen, nothing_before, rule)
        looked = collection.look_up(f"{text} ", scope)  # a word is finished where the text ends
        if looked.trouble:
            near = f" Struck nearby: {', '.join(looked.neighbours)}." if looked.neighbours else ""
            raise BadEntry(looked.trouble + near)
        if looked.command is not None:
            raise BadEntry(
                f"“{text}” is no coin but an entry of the search log ({looked.command.text}). "
                "Write it in the entries of slotleaf search log."
            )
        if not looked.readings:
            raise BadEntry("The entry is empty; write a date and letter, such as 1943-D vf20.")
        index = collection.look_up_index()
        told = [(answer, slots_told(index, answer, scope)) for answer in looked.readings]
    if as_json:
        write_rows([_row(answer, slots) for answer, slots in told], True, "")
        return
    for at, (answer, slots) in enumerate(told):
        click.echo("\n" * (at > 0) + "\n".join(_lines(answer, slots)))


def _lines(answer: "Answer", slots: tuple["SlotTold", ...]) -> list[str]:
    """An answer as it reads, the second and further lines set in."""
    from core.glyph.codes import state_of

    more = [answer.second]
    if answer.album is not None:
        before, after = state_of(answer.before), state_of(answer.after)
        change = f"{before} to {after}" if before is not after else f"stays {before}"
        more.append(f"{answer.have_text}; {change}")
    more += [answer.more_text, answer.closer_text]
    if answer.said:
        more.append(answer.said[0].upper() + answer.said[1:])
    if slots:
        more.append("Slots:")
        more += [f"  {_slot_text(slot)}" for slot in slots]
    return [f"{answer.verdict_text}: {answer.sentence}", *(f"  {line}" for line in more if line)]


def _slot_text(slot: "SlotTold") -> str:
    """Cents, 1939-D, leaf 4, row 2, place 2: VG-8."""
    doubt = "" if slot.is_sure else " (may fit)"
    return f"{slot.album}, {slot.label}, {slot.where}: {slot.there}{doubt}"


def _row(answer: "Answer", slots: tuple["SlotTold", ...]) -> Row:
    from core.glyph.codes import state_of

    best = slots[0] if slots and answer.slot is not None else None
    return {
        "answer": str(answer.verdict),
        "reading": answer.name,
        "series": str(answer.entry.series),
        "grade": answer.entry.coin.grade.text if answer.entry.coin.grade else None,
        "sentence": answer.sentence,
        "second": answer.second,
        "album": best.album if best else None,
        "slot": best.label if best else None,
        "where": best.where if best else None,
        "before": str(state_of(answer.before)) if best else None,
        "after": str(state_of(answer.after)) if best else None,
        "have": answer.have_before.have if best else None,
        "wanted": answer.have_before.wanted if best else None,
        "have_after": answer.have_after.have if best else None,
        "more_albums": answer.more_albums,
        "slots": "; ".join(map(_slot_text, slots)),
        "varieties": "; ".join(f"{v.name}: {v.known or 'open'}" for v in answer.closer),
        "read_as": answer.said,
    }


COMMANDS = (look,)
