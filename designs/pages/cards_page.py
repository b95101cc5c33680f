"""The cards for the bench as one page to print."""

from designs.cautions import AT_THE_BENCH
from designs.measuring.card_texts import FILLING
from designs.measuring.cards import Plan
from designs.pages.page import environment


def cards_page(name: str, plan: Plan) -> str:
    """Return the cards of a plan as HTML text."""
    shown = [{**vars(card), "worth": plan.worth(card), "filled": card.filled} for card in plan.cards]
    return (
        environment().get_template("cards.html").render(name=name, cards=shown, filling=FILLING, caution=AT_THE_BENCH)
    )
