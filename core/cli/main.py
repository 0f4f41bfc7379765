"""`slotleaf COMMAND …`: every command once. Exit 0; 1 with one plain line; 2 for usage."""

import io
import sys
import traceback

import click

from core.cli import (
    across,
    album_edit,
    albums,
    arrange,
    checklist,
    coins,
    exchange,
    files,
    leaves,
    look,
    own_codes,
    own_series,
    past,
    prices,
    search,
    series,
    upgrades,
    wants,
    weigh,
)
from core.errors import Cancelled, CollectionError


def _keep_report(fault: Exception) -> str:
    """Write what went wrong to a file for a report, and name it in one line."""
    from platformdirs import user_log_path

    report = "".join(traceback.format_exception(fault))
    try:
        folder = user_log_path("slotleaf", appauthor=False, ensure_exists=True)
        path = folder / "last-fault.txt"
        path.write_text(report, encoding="utf-8")
    except OSError:
        return f"Something unforeseen went wrong ({type(fault).__name__}: {fault})."
    return f"Something unforeseen went wrong ({type(fault).__name__}); a report is in {path}."


class _Group(click.Group):
    """Turns errors into one plain line on standard error; no traceback reaches a user."""

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except CollectionError as error:
            click.echo(f"slotleaf: {' '.join(str(error).split(chr(10)))}", err=True)
            ctx.exit(1)
        except (BrokenPipeError, Cancelled):
            ctx.exit(1)
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as fault:  # noqa: BLE001 (no traceback may reach a user; it is kept)
            click.echo(f"slotleaf: {_keep_report(fault)}", err=True)
            ctx.exit(1)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="slotleaf")
def cli() -> None:
    """Date-and-mint coin albums: fill them, plan them, print what is missing.

    slotleaf [FILE] opens the window; a first word that is a command is a command.
    """


for _module in (
    files, series, own_series, albums, album_edit, arrange, across, checklist, coins, past, leaves,
    exchange, search, look, own_codes, weigh, prices, upgrades, wants,
):  # fmt: skip
    for _command in _module.COMMANDS:
        cli.add_command(_command)


def command_names() -> frozenset[str]:
    """The words that are commands when they stand first."""
    return frozenset(cli.commands)


def main(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a console without a sign shows “?” for it
    try:
        cli.main(arguments, prog_name="slotleaf", standalone_mode=True)
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else 1


if __name__ == "__main__":
    sys.exit(main())
