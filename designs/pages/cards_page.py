"""The cards for the bench as one page to print."""

from designs.measuring.card_texts import FILLING
from designs.measuring.cards import Plan
from designs.pages.page import environment

CAUTION = (
    "Measure on a cold machine that stands still, unless a card says otherwise. This does not replace local codes or a "
    "licensed engineer's judgement where people can be hurt."
)


def cards_page(name: str, plan: Plan) -> str:
    """Return the cards of a plan as HTML text."""
    shown = [{**vars(card), "worth": plan.worth(card), "filled": card.filled} for card in plan.cards]
    return environment().get_template("cards.html").render(name=name, cards=shown, filling=FILLING, caution=CAUTION)
