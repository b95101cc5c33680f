"""A process beside the server for what takes long, so that no edit waits; what nobody wants any more is stopped."""

import multiprocessing
import threading
from multiprocessing.connection import Connection
from typing import Any

from designs.live.job import Job
from designs.live.trouble import words_of
from designs.shown import System, choose, chosen

LONG = ("advice",)
"""What is stopped once nobody wants it; all else is over before a new process would have begun."""

LOST = {
    "trouble": "What worked this out was ended from outside, perhaps for want of memory; change an entry to try again."
}


class Helper:
    """The process; started when it is first needed, anew after it was stopped in the middle of something."""

    def __init__(self) -> None:
        self._lock, self._system = threading.Lock(), chosen()
        self._process: Any = None
        self._line: Connection | None = None
        self._busy = ""

    def run(self, job: Job) -> dict[str, Any] | None:
        """Return what came of a job, with `trouble` where it went wrong; None where it was stopped. Waits for it.

        LOST if the process was ended from outside: the next job gets a new one.
        """
        with self._lock:
            line = self._line or self._start()
            self._busy = job.kind
        try:
            line.send(job)
            return line.recv()
        except (EOFError, OSError):
            with self._lock:
                if self._line is not line:
                    return None
                self._process = self._line = None
            return LOST
        finally:
            self._busy = ""

    def drop(self) -> None:
        """Stop what is being worked out, if it would take long."""
        if self._busy in LONG:
            self.stop()

    def stop(self) -> None:
        """End the process."""
        with self._lock:
            if self._process is not None:
                self._process.terminate()
                self._process.join(2)
            self._process = self._line = None

    def _start(self) -> Connection:
        # A process of its own from the start: a copy of this one would have its threads' locks without its threads.
        context = multiprocessing.get_context("spawn")
        self._line, far = context.Pipe()
        self._process = context.Process(target=work, args=(far, self._system), daemon=True)
        self._process.start()
        far.close()
        return self._line


def work(line: Connection, system: System) -> None:
    """Work out one job after another until the other end is closed.   system : of units that people see."""
    from designs.live.slow import Work  # loads what the server itself has no use for
    from designs.many.parallel import serve

    serve()
    choose(system)
    known: list[Work] = []
    while True:
        try:
            job = Job(*line.recv())
        except EOFError:
            return
        try:
            of = (job.text, job.path, job.option)
            one = next((each for each in known if each.key == of), None) or Work(*job[1:5])
            known = [one, *(each for each in known if each is not one)][:3]
            line.send(getattr(one, job.kind)(job))
        except Exception as error:  # whatever it is, the page is told and the next job has its turn
            line.send({"trouble": words_of(error)})
