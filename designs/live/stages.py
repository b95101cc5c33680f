"""What the page is told of a design, in the order in which a hand wants it: motion and gap first, then every limit."""

from base64 import b64decode
from collections.abc import Iterable
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from designs.evaluate import Evaluation, evaluate_finely
from designs.live import shown
from designs.live.draft import Draft
from designs.live.fields import fields_of
from designs.live.job import Job
from designs.live.session import Session
from designs.pages.clashes import clashes
from designs.pages.frames import frames, nearest_of, worst_speed
from designs.pages.gap_speed import SpeedCurve, gap_over_speed, speed_curve
from designs.reading import BadFile
from designs.shown import RPM, complaint_words
from designs.summary import tightest_pair
from designs.verdict import (
    SOURCES,
    evenness,
    gap,
    joined,
    power,
    shaking,
    stop,
)
from designs.verdict.row import Row

QUICK = (power, shaking, evenness, joined, stop)
"""Rooms that cost next to nothing once the motion is known: a few milliseconds all together."""
REMEMBERED = 8  # designs that are not worked out again, as one goes back and forth between them
DISK = "as it was"


class Looked:
    """One draft, worked out as far as it was asked for."""

    def __init__(self, draft: Draft):
        assert draft.design is not None
        self.draft = draft
        self.evaluation: Evaluation = evaluate_finely(draft.design)
        self._rows: dict[str, list[Row]] = {}
        self._curves: dict[bytes, list[dict[str, Any]]] = {}

    @cached_property
    def speed_curve(self) -> SpeedCurve | None:
        """The least gap of the nearest two yokes over speed; None where none can meet."""
        pair = tightest_pair(self.evaluation)
        return None if pair is None else speed_curve(self.evaluation, pair)

    def rows(self, sources: Iterable[Any] = SOURCES) -> list[Row]:
        """Return the rows of some sources, in their order."""
        for source in sources:
            if source.__name__ not in self._rows:
                self._rows[source.__name__] = list(source.rows(self.evaluation))
        return [row for source in sources for row in self._rows[source.__name__]]

    def curves(self, rpm: np.ndarray) -> list[dict[str, Any]]:
        """Return the gap over the turn at speeds."""
        if rpm.tobytes() not in self._curves:
            self._curves = {rpm.tobytes(): shown.curves(self.evaluation, rpm)}
        return self._curves[rpm.tobytes()]


class Stages:
    """What is told of the draft of a session, beside another design.

    rpm : the speed at which gap and budget are looked at.   beside : the name of the other design.
    others : further designs, by the path of their file, which stand beside but are not changed.
    """

    def __init__(self, session: Session, others: dict[Path, Draft]):
        self.session = session
        self.paths = _named(others)
        self.others = {name: others[path] for name, path in self.paths.items()}
        self.beside = next(iter(self.others), DISK)
        self._known: list[Looked] = []
        self.rpm = worst_speed(self.now.evaluation) * RPM
        self._lens, self._budget = shown.Lens(), shown.Budget()

    def looked(self, draft: Draft) -> Looked:
        """Return a draft worked out, the same as before if it is the same."""
        found = next((each for each in self._known if each.draft is draft), None) or Looked(draft)
        self._known = [found, *(each for each in self._known if each is not found)][:REMEMBERED]
        return found

    @property
    def now(self) -> Looked:
        """The design that all figures are of."""
        return self.looked(self.session.good)

    @property
    def choices(self) -> list[str]:
        """What may stand beside."""
        return [DISK, *self.session.options, *self.others]

    def other_draft(self) -> Draft | None:
        """Return the design beside; None where there is none, or it is the very same."""
        if self.beside in self.others:
            return self.others[self.beside]
        if self.beside in self.session.options:
            return self._option(self.beside)
        disk = self.session.disk.draft
        return None if disk.design is None or disk.text == self.session.good.text else disk

    def _option(self, name: str) -> Draft | None:
        key = (name, self.session.good.text)
        if getattr(self, "_option_key", None) != key:
            self._option_key = key
            try:
                self._option_draft: Draft | None = self.session.option(name)
            except BadFile:
                self._option_draft = None
        return self._option_draft

    @property
    def other(self) -> Looked | None:
        """The design beside, worked out."""
        draft = self.other_draft()
        return None if draft is None else self.looked(draft)

    # The stages

    def state(self) -> dict[str, Any]:
        """Return where the session stands: what can be undone, what the reader says, the entries as they are."""
        session = self.session
        back, forth = session.steps
        draft = session.draft
        return {
            "title": session.design.title,
            "file": session.path.name,
            "saved": session.saved,
            "undo": back,
            "redo": forth,
            "complaints": [{"keys": list(each.complaint.where), "line": each.place.line, "words": complaint_words(each)}
                           for each in (session.unread or draft).complaints],
            "unread": session.unread is not None,
            "lost": session.lost,
            "changed": len(session.differs),
            "choices": self.choices,
            "beside": self.beside,
        }  # fmt: skip

    def fields(self) -> dict[str, Any]:
        """Return every entry as it is and as it is on disk; what is not understood as it was typed."""
        session = self.session
        typed = {} if session.draft is session.good else session.typed
        found = [each.data for each in fields_of(session.good, session.disk.draft)]
        return {"fields": [each | {"text": typed.get(tuple(each["keys"]), each["text"])} for each in found]}

    def moved(self) -> dict[str, Any]:
        """Return the mechanism, its motion, the gap at the speed looked at, its budget, and the rows that are quick."""
        now, rpm = self.now, np.array([self.rpm])
        drawn = shown.drawn(now.evaluation, self.rpm)
        return {
            "drawing": shown.drawing_data(drawn),
            "frames": frames(now.evaluation, drawn.sides, rpm),
            "rows": shown.rows_data(now.rows(QUICK)),
            **self._budgets(),
        }

    def look(self) -> dict[str, Any]:
        """Return what is seen at the speed looked at."""
        return {**self._budgets(), **self._lens.at(self.now.evaluation, self.rpm)}

    def _budgets(self) -> dict[str, Any]:
        """Return the budget at the speed looked at, and the gap there of the design beside."""
        other, rpm = self.other, np.array([self.rpm])
        return {
            "rpm": self.rpm,
            **self._budget.at(self.now.evaluation, self.rpm, None if other is None else other.evaluation),
            "before": None if other is None else {"curves": other.curves(rpm)},
        }

    def gap(self) -> dict[str, Any]:
        """Return the rows of the gap, and the gap under the lens."""
        rows = shown.rows_data(self.now.rows((gap,)))
        return {"rows": rows, **self._lens.at(self.now.evaluation, self.rpm)}

    def rows_of(self, source: Any) -> None:
        """Work out the rows of one source."""
        self.now.rows((source,))

    def rows(self) -> dict[str, Any]:
        """Return every row in the middle of what is not known, and the machine with what clashes marked."""
        rows, evaluation = self.now.rows(), self.now.evaluation
        found = clashes(evaluation, rows)
        return {
            "rows": shown.rows_data(rows),
            "word": shown.word_of(rows),
            "weighed": not self.session.design.doubts,
            "clashes": [each.data for each in found],
            "drawing": shown.drawing_data(shown.drawn(evaluation, self.rpm, found)) if found else None,
        }

    def other_job(self) -> Job | None:
        """Return how the verdict on the design beside is worked out."""
        draft, session = self.other_draft(), self.session
        if draft is None:
            return None
        path = self.paths.get(self.beside, session.path)
        option = self.beside if self.beside in session.options and self.beside not in self.others else None
        return Job("verdict", draft.text, str(path), session.allow_above, option)

    def frames_job(self) -> Job:
        """Return how the motion at every speed is worked out."""
        session = self.session
        where = str(session.path), session.allow_above, None
        return Job("frames", session.good.text, *where, rpm=self.rpm, factor=self._lens.factor)

    def before(self, frames: dict[str, Any]) -> dict[str, Any] | None:
        """Return the gap of the design beside at the speeds of a motion."""
        other = self.other
        return None if other is None else {"curves": other.curves(np.frombuffer(b64decode(frames["rpm"])))}

    def pictures(self) -> dict[str, Any]:
        """Return the gap over speed, with that of the design beside."""
        now, before = self.now.evaluation, None if self.other is None else self.other.speed_curve
        return {"gap_speed": gap_over_speed(now, max(nearest_of(now), 0), before=before)}


def _named(others: dict[Path, Draft]) -> dict[str, Path]:
    """Return files by a name of their own each."""
    found: dict[str, Path] = {}
    for path in others:
        names = (path.name, str(path), *(f"{path} ({number})" for number in range(2, len(others) + 2)))
        found[next(name for name in names if name not in found)] = path
    return found
