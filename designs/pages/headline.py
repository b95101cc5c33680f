"""The verdict in a word and a few lines: what a person who reads nothing else must know."""

import re
from dataclasses import dataclass

import numpy as np

from designs import status
from designs.evaluate import Evaluation
from designs.pages.limits import FACTOR, said
from designs.shown import RPM, number
from designs.shown import said as in_words
from designs.summary import tightest_pair
from designs.tables.verdict import amount
from designs.verdict.row import Row, names_of, used, worst_first
from shafts.gap.pair import YokePair, budget

LINES = 3
NAMES = 8  # of limits
GAP_KEYS = ("gap", "contact", "gap_uneven")
AGAIN = {"shaking_force_uneven": "shaking_force", "uplift": "vibration"}
"""Limits that say once more what another one says."""


@dataclass(frozen=True)
class Headline:
    """A word, whether it is good, bad or open, and lines."""

    word: str
    state: str
    lines: tuple[str, ...]


def headline(evaluation: Evaluation, rows: list[Row]) -> Headline:
    """Return the verdict in a word, what is worst in a few lines, and how many limits stand how."""
    word = status.in_a_word(rows)
    state = {"FAILS": "bad", "passes": "good"}.get(word, "open")
    found = status.counts(rows)
    names = {"pass": "hold", "FAIL": "fail", "depends": "depend on what is not known", "not checked": "not checked"}
    named = {"FAIL": _named(rows, "FAIL"), "depends": _named(rows, "depends")}
    count = ", ".join(f"{found[each]} {words}{named.get(each, '')}" for each, words in names.items() if found[each])
    return Headline(
        word, state, (*[each for each in (_gap(evaluation, rows), *_worst(rows)) if each][:LINES], f"Limits: {count}.")
    )


def _named(rows: list[Row], state: str) -> str:
    """Return the names of limits that stand so, the worst first, in brackets."""
    keys = list(dict.fromkeys(row.key for row in worst_first([row for row in rows if row.state == state])))
    more = f" and {len(keys) - NAMES} more" if len(keys) > NAMES else ""
    return f" ({names_of(keys[:NAMES])}{more})" if keys else ""


def _gap(evaluation: Evaluation, rows: list[Row]) -> str:
    pair = tightest_pair(evaluation)
    if pair is None:
        return ""
    most, contact = float(evaluation.design.speed.most), evaluation.contact(pair)
    gap = float(pair.least(evaluation.tightest_speed(pair))[0])
    if contact <= most:
        start = f"The yokes touch from {contact * RPM:.0f} rpm" if contact > 0 else "The yokes overlap at rest"
        return f"{start}; it runs up to {most * RPM:.0f} rpm.{_blame(evaluation, pair)}"
    limit = float(evaluation.design.limits.gap)
    states = {row.state for row in rows if row.key in GAP_KEYS}
    if gap < limit:
        against = f"{in_words(limit, 'm', 'g')} is asked for"
    elif "depends" in states:
        against = "whether that is enough depends on what is not known"
    else:
        against = "as far as it was looked at" if "not checked" in states else "they do not touch"
    return f"{in_words(gap, 'm', '.3f')} is left between the yokes where they come nearest; {against}."


def _blame(evaluation: Evaluation, pair: YokePair) -> str:
    """Return what takes the most of the gap where it is least, as the budget beside it has it."""
    nominal, items = budget(pair, evaluation.tightest_speed(pair))
    name = min(items, key=items.__getitem__)
    if nominal <= 0 or items[name] >= 0:
        return ""
    taken, whole = number(-items[name], "m", ".3f"), in_words(nominal, "m", ".3f")
    return f" {name[:1].upper()}{name[1:]} takes the most: {taken} of the {whole} on the drawing."


def _worst(rows: list[Row]) -> list[str]:
    """Return the failing limits, else those that are open, that use most of their limit, each in a sentence."""
    kept: list[Row] = []
    for row in worst_first(rows):
        known = {each.key for each in kept} | set(GAP_KEYS)
        if row.state in ("FAIL", "depends") and row.key not in known and AGAIN.get(row.key) not in known:
            kept.append(row)
    return [_sentence(row) for row in kept]


def _sentence(row: Row) -> str:
    what, value, limit = row.what, said(amount(row, row.value)), said(amount(row, row.limit))
    first, *more = re.split(r"[,;(]", what[:1].upper() + what[1:])
    what = first.strip() + next((f",{each.rstrip()}" for each in more if each.startswith(" of ")), "")
    if row.state == "depends":
        return f"{what}: it depends on what is not known."
    share = used(row)
    if share is not None and FACTOR < share < np.inf and row.sense == "at most":
        return f"{what}: {value}, x {share:.0f} of the limit."
    if row.limit == 0 and row.value is not None:
        return f"{what}: {f'short by {said(amount(row, -row.value))}' if row.sense == 'at least' else value}."
    return f"{what}: {value}, {limit} {_asked(row)}."


def _asked(row: Row) -> str:
    return "allowed" if row.sense == "at most" else "asked for"
