"""What to read next: by how much each card would narrow what is still open."""

from dataclasses import dataclass
from fnmatch import fnmatchcase

import numpy as np

from balance.evidence.importance import variance_gone
from designs.design.readings import Feeler
from designs.learning.learned import OWN, Forecast, Learned
from designs.learning.observing import AtRest, Touching
from designs.measuring.card_texts import CARDS, CardText
from designs.measuring.cards import card_names, patterns_of


@dataclass(frozen=True)
class Next:
    """A card and the share of the variance of what is open that its reading would take away."""

    title: str
    gains: float


@dataclass(frozen=True)
class Following:
    """What is open, in words, and the cards by what they would take of its variance."""

    of: str
    cards: list[Next]


def following(learned: Learned, foretold: list[Forecast]) -> Following:
    """Return what to read next: for the least gap of this machine or redesign of which least is settled.

    By the straight-line rule on the draws that are left (see `gone`); readings of single entries by a card come
    together. All is worked out on this machine's own entries, so a redesign's new parts stay open.
    """
    open_ = max(foretold, key=lambda each: each.touches(True) * (1 - each.touches(True)))
    z, q = _draws(learned, open_)
    cards = [
        Next(text.title.format(**names), gone(q, *_read(text, names, learned, z)))
        for text in CARDS
        for names in card_names(text, learned.before.evaluation)
    ]
    ranked = sorted((each for each in cards if each.gains > 0), key=lambda each: -each.gains)
    return Following(f"the least gap of {open_.name}", ranked)


def _draws(learned: Learned, open_: Forecast) -> tuple[np.ndarray, np.ndarray]:
    """Return even draws of the unknowns and the open gap on each of them."""
    if open_.name != OWN and len(open_.gap[1]) == len(learned.kept):
        return learned.kept, open_.gap[1]
    return learned.kept, learned.before.many(learned.kept, [Touching()])[:, 1]


def _read(text: CardText, names: dict[str, str], learned: Learned, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return what a card reads on each draw, (draws, readings), and the standard deviation of each reading."""
    from scipy.special import ndtr  # heavy, and needed only here

    columns, sds = [], []
    for index in _entries(text, names, learned):
        values = learned.before.unknowns[index].range.at(ndtr(z[:, index]))
        columns.append(values)
        sds.append(text.repeats * abs(float(np.mean(values))) if text.share else _repeats(text, learned, index))
    if text.key == "feeler":
        pair = (names["upper"], names["lower"])
        feeler = Feeler(yokes=pair, at=float(np.deg2rad(float(names["angle"]))), feeler=(0.0, 1e-5))
        columns.append(learned.before.many(z, [AtRest(feeler)])[:, 0])
        sds.append(text.repeats)
    measured = learned.before.evaluation.design.measured
    if text.key == "knock" and (measured is None or measured.first_contact is None):
        contact = learned.before.many(z, [Touching()])[:, 0]
        top = float(learned.before.evaluation.top_speed)
        columns.append(np.minimum(contact, top))
        sds.append(text.repeats * top)
    return np.reshape(columns, (len(columns), len(z))).T, np.array(sds)


def _repeats(text: CardText, learned: Learned, index: int) -> float:
    """Return what a reading is good to; angles are read to a twentieth of a degree (common practice, no source)."""
    return np.deg2rad(0.05) if learned.before.unknowns[index].range.si == "rad" else text.repeats


def _entries(text: CardText, names: dict[str, str], learned: Learned) -> list[int]:
    patterns = patterns_of(text, names)
    return [
        index
        for index, each in enumerate(learned.before.unknowns)
        if any(fnmatchcase(".".join(path), pattern) for path, _ in each.entries for pattern in patterns)
    ]


def gone(q: np.ndarray, y: np.ndarray, sd: np.ndarray) -> float:
    """Return the share of the variance of q that readings y with doubts sd would take away, of draws that have both.

    q : (draws,).   y : (draws, readings).   Nothing is promised of less than ten draws.
    """
    usable = np.isfinite(q) & np.all(np.isfinite(y), axis=1)
    if not y.shape[1] or usable.sum() < 10:
        return 0.0
    return variance_gone(q[usable], y[usable], np.full(usable.sum(), 1 / usable.sum()), sd)
