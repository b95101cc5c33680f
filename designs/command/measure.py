"""`quietcrank measure`: what to find out first, and cards for the bench."""

from dataclasses import asdict, replace
from typing import Any

import click

from designs.cautions import AT_THE_BENCH
from designs.command import VERSION, files, inputs, screen
from designs.evaluate import evaluate_finely
from designs.measuring.card_texts import FILLING
from designs.measuring.cards import Card, Plan, chosen, plan


@click.command(name="measure")
@click.argument("design", required=False)
@inputs.options
@click.option("-o", "--output", metavar="FILE.html", help="Write the cards to this file, to print.")
@click.option("--most", type=click.IntRange(1, 100), default=5, show_default=True, help="How many cards to show.")
@click.option("--all", "every", is_flag=True, help="Show every card, whatever it settles.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead.")
@click.option("--force", is_flag=True, help="Replace the file if it exists.")
@inputs.units
def command(design: str | None, option: str | None, allow_above: bool, output: str | None, **how: Any) -> None:
    """Say what to find out first about the machine of DESIGN, and how: tool, steps, what to write down, cautions.

    Each card ends with a blank to fill in, in the form of the design file. Exit status 0; 2: bad input.
    """
    page = files.free(output, how["force"], (".html", ".htm"))
    named = inputs.one(design, option, allow_above)
    whole = plan(evaluate_finely(named.design))
    shown = whole if how["every"] else replace(whole, cards=chosen(whole.cards, how["most"]))
    if page is not None:
        from designs.pages.cards_page import cards_page  # loads what fills in templates

        files.write_text(page, cards_page(named.name, shown), how["force"])
        click.echo(f"wrote {page}")
    elif how["as_json"]:
        screen.put_json({"quietcrank": VERSION, "title": named.name, "file": str(named.path), **_json(shown)})
    else:
        _show(named.name, shown)


def _json(shown: Plan) -> dict[str, Any]:
    return {"settles_is_a_share": shown.by, "cards": [asdict(each) for each in shown.cards]}


def _show(name: str, shown: Plan) -> None:
    click.echo(f"{name}: what to find out first\n")
    for number, card in enumerate(shown.cards, 1):
        _card(number, card, shown)
    click.echo(f"{screen.wrapped(FILLING)}\n\n{screen.wrapped(AT_THE_BENCH)}")


def _card(number: int, card: Card, shown: Plan) -> None:
    click.echo(click.style(f"{number}. {card.title}", bold=True))
    _say(f"{shown.worth(card)} Tool: {card.tool}.")
    for line in card.known:
        _say(line, "- ")
    if card.drawing:
        click.echo("\n" + "\n".join(f"      {line}" for line in card.drawing.splitlines()) + "\n")
    for step, line in enumerate(card.how, 1):
        _say(line, f"{step}. ")
    _say(f"Write down: {'; '.join(card.write)}.")
    if card.caution:
        _say(f"Caution: {card.caution}")
    click.echo("\n" + "\n".join(f"    {line}" for line in card.filled.splitlines()) + "\n")


def _say(text: str, first: str = "") -> None:
    lead = "   " + first
    click.echo(click.wrap_text(text, width=screen.NARROW - 1, initial_indent=lead, subsequent_indent=" " * len(lead)))
