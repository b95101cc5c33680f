"""What takes longer than a hand waits for: limits under doubt, the entries that matter most, advice that is tried.

It is worked out in a process of its own, from the text of the design, and told as plain data.
"""

from functools import cached_property
from pathlib import Path
from typing import Any

from designs import status
from designs.counsel.advice import change_words
from designs.counsel.advised import counsel_of, heed
from designs.counsel.plan import Plan, changed_entries
from designs.doubt import Outcome, under_doubt
from designs.doubt.words import known_of, measure_of
from designs.evaluate import Evaluation, evaluate_finely
from designs.gap_sensitivities import gap_steps
from designs.live import shown
from designs.live.job import Job
from designs.live.shown import rows_data, word_of
from designs.pages.frames import frames, ticks
from designs.pages.headline import headline
from designs.reading import design_of
from designs.reading.changes import changed
from designs.reading.source import parse
from designs.shown import said
from designs.verdict import verdict_of
from designs.verdict.row import name_of

MOST_GAINS = 4  # entries that open the gap most
WORTH = 0.05  # share of what is open that an unknown must settle to be worth a place


class Work:
    """One design and what was worked out of it already."""

    def __init__(self, content: str, path: str, allow_above: bool, option: str | None = None):
        self.key = (content, path, option)
        tree = parse(content, Path(path).name)
        self.design = design_of(tree if option is None else changed(tree, option), Path(path), allow_above)

    def frames(self, job: Job) -> dict[str, Any]:
        """Return the motion at every speed of the slider, and what is marked along it."""
        evaluation = self._evaluation
        sides = shown.drawn(evaluation, job.rpm).sides
        glass = shown.Lens(job.factor).view(evaluation)
        return {"frames": frames(evaluation, sides, glass=glass), "ticks": ticks(evaluation)}

    def verdict(self, _: Job) -> dict[str, Any]:
        """Return every limit under doubt, the word for the whole, and what is worst in a few lines."""
        evaluation = self._evaluation
        rows = self._outcome.rows
        return {
            "rows": rows_data(rows),
            "word": word_of(rows),
            "counts": status.counts(rows),
            "lines": headline(evaluation, rows).lines[:-1],
        }  # fmt: skip

    @cached_property
    def _evaluation(self) -> Evaluation:
        return evaluate_finely(self.design)

    @cached_property
    def _outcome(self) -> Outcome:
        return under_doubt(self._evaluation, verdict_of(self._evaluation))

    def matter(self, _: Job) -> dict[str, Any]:
        """Return the entries that matter most now, by their path, and why each does."""
        found = {each.entry: f"{each.step} opens the gap by {said(each.gained, 'm', '.3f')}"
                 for each in gap_steps(self.design)[:MOST_GAINS] if each.gained > 0}  # fmt: skip
        for each in self._outcome.first:
            if each.share >= WORTH:
                path = ".".join(each.unknown.entries[0][0])
                known = known_of(each.unknown.range)
                settles = f"settles {each.share * 100:.0f} percent of what depends"
                found[path] = f"{settles}; known so far: {known}. {measure_of(each.unknown.range)}"
        return {"entries": [{"path": path, "why": why} for path, why in found.items()]}

    def advice(self, job: Job) -> dict[str, Any]:
        """Return the changes that are worth the most, each tried upon those before it, with the entries they write."""
        if not any(row.state == "FAIL" for row in verdict_of(self._evaluation)):
            return {"lines": [], "left": []}
        heed(self._evaluation, self._outcome)
        counsel = counsel_of(self._evaluation)
        before, lines = counsel.base, []
        for plan in counsel.best:
            lines.append({"words": change_words(before, plan), "entries": _entries(plan)})
            before = plan
        return {"lines": lines, "left": [name_of(each) for each in counsel.left]}


def _entries(plan: Plan) -> list[dict[str, Any]]:
    said = changed_entries(plan.base.design, plan.steps)
    return [{"keys": list(keys), "text": value} for keys, value in said.items()]
