"""`leaves`: an album as drawn, as leaf sheets (PDF), as a picture (PNG, SVG), or as a card."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from core.cli.past import as_of_option, day_gone_by
from core.cli.show import A_PATH, file_argument, opened
from core.errors import BadEntry

if TYPE_CHECKING:
    from core.app.picture_order import RealOrder


@click.command()
@file_argument
@click.argument("album")
@click.option(
    "-o",
    "--output",
    required=True,
    type=A_PATH,
    help="The file to write: .pdf for sheets to print, .png or .svg for a picture.",
)
@click.option("--card", is_flag=True, help="A 16:9 card of the whole album, ready to be shown.")
@click.option(
    "--since", default="", metavar="DAY", help="Ring what changed after a day: 2024-05-31."
)
@click.option("--leaf", type=click.IntRange(min=1), help="Only that leaf, counted from 1.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "a5"]),
    help="The paper of sheets; a4 if left.",
)
@click.option("--width", type=click.IntRange(min=1), metavar="PX", help="Width of a picture.")
@click.option(
    "--scale",
    type=click.FloatRange(min=0, min_open=True),
    help="Size of a picture: 1 is that of the screen, and the size if left; a card is 1600 wide.",
)
@click.option("--transparent", is_flag=True, help="Leave the ground around the leaves clear.")
@click.option(
    "--theme",
    type=click.Choice(["light", "dark", "paper"]),
    help="Colours of a picture; light if left. Paper is black on white, as sheets always are.",
)
@click.option(
    "--real-size",
    is_flag=True,
    help="Sheets of holes as large as the coins, cut over several where a leaf needs them.",
)
@click.option("--hole", metavar="MM", help="A hole's diameter; the coin's own if left.")
@click.option("--clearance", metavar="MM", help="How much wider than its coin a hole is; 0.4.")
@click.option(
    "--landscape/--portrait",
    "is_wide",
    default=None,
    help="How the paper lies; as fewer sheets need it if left.",
)
@as_of_option
def leaves(
    file: Path,
    album: str,
    output: Path,
    card: bool,
    since: str,
    leaf: int | None,
    paper: str | None,
    width: int | None,
    scale: float | None,
    transparent: bool,
    theme: str | None,
    real_size: bool,
    hole: str | None,
    clearance: str | None,
    is_wide: bool | None,
    as_of: str,
) -> None:
    """Draw an album: sheets to print, a picture of its leaves, or a card to show."""
    from core.app.picture_order import Kind, PictureOrder, What
    from core.app.pictures import draw, drawn_of
    from core.printing.checklist import Paper
    from core.printing.whole_file import write_whole

    ending = output.suffix.lower().removeprefix(".")
    if ending not in list(Kind):
        raise BadEntry(
            f"“{output.name}” does not tell what to make: let its name end in .pdf for sheets to "
            "print, or in .png or .svg for a picture."
        )
    _check_options(
        ending == "pdf",
        {"--card": card, "--leaf": leaf, "--paper": paper, "--width": width, "--scale": scale},
        {"--transparent": transparent, "--theme": theme},
    )
    is_sheets = ending == "pdf" and not card
    _check_real(
        real_size,
        is_sheets and not since,
        {"--hole": hole, "--clearance": clearance, "--landscape and --portrait": is_wide},
    )
    real = _real_order(hole, clearance, is_wide) if real_size else None
    order = PictureOrder(
        Kind(ending),
        What.CARD if card else What.ALBUM,
        leaf,
        theme or "light",
        width,
        scale or 1.0,
        transparent,
        Paper(paper or "a4"),
        real,
    )
    with opened(file, read_only=True) as collection:
        days = day_gone_by(collection, as_of), day_gone_by(collection, since)
        drawn = drawn_of(collection, collection.find_album(album).id, *days)
    data = draw(drawn, order)
    what = "The card" if card else "The sheets" if ending == "pdf" else "The picture"
    write_whole(output, data, ending.upper(), what)
    told = f", {len(drawn.shown_changes):,} changed since {since}" if since else ""
    click.echo(f"Wrote {output}: {drawn.view.album.name}, {drawn.view.headline.text}{told}.")


def _check_real(is_asked: bool, is_apt: bool, sizes: dict[str, object]) -> None:
    """Raise BadEntry where --real-size and its options do not go with the others."""
    given = next((name for name, value in sizes.items() if value is not None), None)
    if given and not is_asked:
        raise BadEntry(f"{given} is for sheets at real size: add --real-size, or leave it out.")
    if is_asked and not is_apt:
        raise BadEntry(
            "--real-size makes sheets of empty holes to print: let the name end in .pdf, without "
            "--card and --since."
        )


def _real_order(hole: str | None, clearance: str | None, is_wide: bool | None) -> "RealOrder":
    from core.app.picture_order import RealOrder, read_clearance
    from core.model.arrangement import read_hole

    real = RealOrder(read_hole(hole) if hole is not None else None, is_wide=is_wide)
    return replace(real, clearance_mm=read_clearance(clearance)) if clearance is not None else real


def _check_options(is_pdf: bool, sizes: dict[str, object], looks: dict[str, object]) -> None:
    """Raise BadEntry where options do not go together."""
    card, leaf, paper = sizes["--card"], sizes["--leaf"], sizes["--paper"]
    if card and leaf is not None:
        raise BadEntry("A card shows the whole album; leave out --card or --leaf.")
    if paper and (card or not is_pdf):
        raise BadEntry("--paper is for sheets to print: let the name end in .pdf, without --card.")
    if sizes["--width"] and sizes["--scale"]:
        raise BadEntry("--width and --scale both set the size; leave one of them out.")
    if is_pdf and (sizes["--width"] or sizes["--scale"]):
        raise BadEntry("A PDF has no pixels: leave out --width and --scale, or make a .png.")
    if is_pdf and not card and any(looks.values()):
        names = " and ".join(name for name, value in looks.items() if value)
        raise BadEntry(f"Sheets are black on white paper: {names} is for pictures and cards.")


COMMANDS = (leaves,)
