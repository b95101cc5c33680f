"""The command `quietcrank`: one file a subcommand, each imported only when it is called."""

import importlib
from difflib import get_close_matches

import click

from designs import status

__all__ = ["SUBCOMMANDS", "VERSION", "group"]

VERSION = "0.1.0"
SUBCOMMANDS = {
    "check": "Verdict on designs: every limit, and what to change.",
    "balance": "How a design moves and shakes, and its counterweights.",
    "shafts": "How its shafts bend and carry, and whether the yokes touch.",
    "compare": "Designs and their options side by side, and what differs.",
    "open": "A page on which a design is changed, and seen at once, and saved.",
    "report": "One page that shows a design whole: verdict, moving drawing, pictures, worked sheet.",
    "mend": "The least change that makes every limit hold, from what can be bought.",
    "search": "Try many options of a design and find the best.",
    "size": "The thinnest shaft that holds every limit, and what failed the others.",
    "measure": "What to find out first at the bench, and a card to print for each.",
    "learn": "What all readings together tell of a machine, and what they foretell.",
    "parts": "What to buy and what to make; or what it takes to get from one design to another.",
    "cut": "Draw the counterweights at 1:1 as DXF, and prove that they fit.",
    "new": "Write a commented design to start from.",
    "schema": "Print the JSON Schema of design files, for editors.",
}


class Lazy(click.Group):
    """A group that knows its subcommands by name and imports the one that is called."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Return the subcommand that is called; refuse an unknown name with the nearest there is."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            near = get_close_matches(args[0], SUBCOMMANDS, 1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            raise click.UsageError(error.message + hint, ctx) from None

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order in which a person needs them."""
        return list(SUBCOMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        """Import a subcommand; None for an unknown name."""
        if name not in SUBCOMMANDS:
            return None
        module = importlib.import_module(f"designs.command.{name}")
        return module.command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of subcommands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(SUBCOMMANDS.items()))


@click.group(
    cls=Lazy,
    epilog=status.in_words(),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(VERSION, prog_name="quietcrank")
def group() -> None:
    """Balance and size the cranks of a small hot-air engine before you cut metal.

    DESIGN is a YAML file; start one with `quietcrank new FILE`. Without DESIGN, `check` looks at a
    shipped demonstration engine.
    """
