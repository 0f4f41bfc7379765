"""`slotleaf COMMAND …`: every command once. Exit 0; 1 with one plain line; 2 for usage."""

import sys

import click

from core.cli import albums, coins, files, series
from core.errors import Cancelled, CollectionError


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


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="slotleaf")
def cli() -> None:
    """Date-and-mint coin albums: fill them, plan them, print what is missing.

    slotleaf [FILE] opens the window; a first word that is a command is a command.
    """


for _module in (files, series, albums, coins):
    for _command in _module.COMMANDS:
        cli.add_command(_command)


def command_names() -> frozenset[str]:
    """The words that are commands when they stand first."""
    return frozenset(cli.commands)


def main(arguments: list[str] | None = None) -> int:
    """Run the command line; the exit code."""
    try:
        cli.main(arguments, prog_name="slotleaf", standalone_mode=True)
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
