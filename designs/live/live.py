"""The design while it is looked at: takes what pages ask, tells all of them what follows, slow things when idle.

All that touches the session runs in one thread, one thing after another; the server's own loop never waits for it.
"""

import asyncio
import contextlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

from designs.live.draft import Draft, Keys
from designs.live.fields import with_unit
from designs.live.helper import LOST, Helper
from designs.live.job import Job
from designs.live.session import Refused, Session
from designs.live.stages import Stages
from designs.live.trouble import words_of
from designs.shown import choose, chosen
from designs.verdict import SOURCES

IDLE, SLOW = 0.15, 0.35  # seconds after an edit until pictures, and what takes seconds, are begun
REMEMBERED = 40  # verdicts and advice that are not worked out again


class Live:
    """One session, its pages, and what they were told last."""

    def __init__(self, session: Session, others: dict[Path, Draft]):
        self.session, self.stages = session, Stages(session, others)
        self.pages: set[asyncio.Queue] = set()
        self.was_seen = False
        self._told: dict[str, dict[str, Any]] = {}
        self._thread = ThreadPoolExecutor(1, initializer=choose, initargs=(chosen(),))
        self._waiting = ThreadPoolExecutor(1)
        self._helper = Helper()
        self._slow: dict[tuple, dict[str, Any]] = {}
        self._rest: asyncio.Task | None = None
        self._turn = asyncio.Lock()

    # Pages

    def join(self) -> asyncio.Queue:
        """Return what a page is to be told, beginning with all that holds now."""
        page: asyncio.Queue = asyncio.Queue()
        for each in self._told.values():
            page.put_nowait(each)
        self.pages.add(page)
        self.was_seen = True
        return page

    def leave(self, page: asyncio.Queue) -> None:
        """Forget a page that was closed."""
        self.pages.discard(page)

    def tell(self, kind: str, found: dict[str, Any]) -> None:
        """Tell all pages, and those that come later: in the order in which it was told, and of this version alone."""
        said = {"kind": kind, "version": self.session.version, **found}
        if any(each["version"] != said["version"] for each in self._told.values()):
            self._told.clear()
        self._told.pop(kind, None)
        self._told[kind] = said
        for page in self.pages:
            page.put_nowait(said)

    # What is asked

    async def begin(self) -> None:
        """Work out the design as it is on disk."""
        await self._change(lambda: None)

    async def edit(self, changes: dict[Keys, str], gesture: str | None) -> None:
        """Change entries as they were typed."""

        def change() -> None:
            stood = self.session.good.values
            self.session.edit({keys: with_unit(text, stood.get(keys, "")) for keys, text in changes.items()}, gesture)

        await self._change(change)

    async def take(self, number: int) -> None:
        """Take the changes of a line of advice, and of those before it."""
        lines = self._told.get("advice", {}).get("lines", [])
        if not 0 <= number < len(lines):
            raise Refused("The advice is being worked out anew.")
        entries = {tuple(each["keys"]): each["text"] for each in lines[number]["entries"]}
        await self._change(lambda: self.session.edit(entries))

    async def undo(self) -> None:
        """Go one step back."""
        await self._change(self.session.undo)

    async def redo(self) -> None:
        """Do again what was undone."""
        await self._change(self.session.redo)

    async def keep(self, name: str) -> None:
        """Keep what was changed as an option of the file."""

        def keep() -> None:
            self.session.keep(name)
            self.stages.beside = " ".join(name.split())

        await self._change(keep)

    async def save(self) -> None:
        """Write the file."""
        await self._change(self.session.save)

    async def follow(self) -> None:
        """Look at the file again, as something may have been written into it."""
        if await self._work(self.session.is_behind):
            await self._change(self.session.follow)

    async def look(self, rpm: float | None, beside: str | None) -> None:
        """Look at another speed, or put another design beside."""

        def look() -> None:
            if rpm is not None:
                self.stages.rpm = min(max(rpm, 0.0), float(self.stages.now.evaluation.top_speed) * 10.0)
            if beside is not None and beside not in self.stages.choices:
                raise Refused("There is no such design to put beside.")
            self.stages.beside = beside or self.stages.beside

        if beside is not None:
            await self._change(look)
            return
        async with self._turn:
            await self._work(look)
            self.tell("look", await self._tried(self.stages.look))

    async def end(self) -> None:
        """Stop all that is under way."""
        await self._stop_rest()
        self._helper.stop()
        self._thread.shutdown(wait=False, cancel_futures=True)
        self._waiting.shutdown(wait=False, cancel_futures=True)

    # What follows

    async def _change(self, change: Callable[[], object]) -> None:
        """Change something and tell what follows at once; what may come later begins anew, also if it was refused."""
        async with self._turn:
            await self._stop_rest()  # so that nothing of the design before is told as if it were of this one
            try:
                await self._work(change)
                await self._tell("moved")
                await self._tell("state")
            finally:
                self._rest = asyncio.create_task(self._later())

    async def _later(self) -> None:
        """Tell what may come later, a little at a time, so that an edit waits for little."""
        await self._tell("gap")
        await self._tell("fields")
        for source in SOURCES:
            await self._tried(partial(self.stages.rows_of, source))
        await self._tell("rows")
        await self._tell_beside(only_known=True)
        await asyncio.sleep(IDLE)
        await self._tell_frames()
        await self._tell("pictures")
        await asyncio.sleep(SLOW)
        await self._tell_slow("verdict")
        await self._tell_beside()
        await self._tell_slow("matter")
        await self._tell_slow("advice")

    async def _tell_frames(self) -> None:
        found = await self._worked_out(self.stages.frames_job())
        if found is not None and "trouble" not in found:
            found = {**found, "before": await self._tried(partial(self.stages.before, found["frames"]))}
        if found is not None:
            self.tell("frames", found)

    async def _stop_rest(self) -> None:
        if self._rest is not None and not self._rest.done():
            self._rest.cancel()
            self._helper.drop()
            with contextlib.suppress(asyncio.CancelledError):
                await self._rest
        self._rest = None

    async def _tell(self, kind: str) -> None:
        self.tell(kind, await self._tried(getattr(self.stages, kind)))

    async def _tried(self, work: Callable[[], Any]) -> Any:
        """Return what comes of some work, or what went wrong: the page says so, and the rest goes on."""
        try:
            return await self._work(work)
        except Exception as error:
            return {"trouble": words_of(error)}

    async def _tell_slow(self, kind: str) -> None:
        found = await self._worked_out(Job(kind, self.session.good.text, *self._where))
        if found is not None:
            self.tell(kind, found)

    async def _tell_beside(self, only_known: bool = False) -> None:
        """Tell the rows of the design beside; those that are not known yet only when there is time."""
        job = await self._work(self.stages.other_job)
        if job is None:
            self.tell("beside", {})
        elif not only_known or tuple(job) in self._slow:
            found = await self._worked_out(job)
            if found is not None:
                self.tell("beside", found)

    @property
    def _where(self) -> tuple[str, bool]:
        return str(self.session.path), self.session.allow_above

    async def _worked_out(self, job: Job) -> dict[str, Any] | None:
        if tuple(job) not in self._slow:
            loop = asyncio.get_running_loop()
            found = await loop.run_in_executor(self._waiting, self._helper.run, job)
            if found is None or found is LOST:
                return found
            while len(self._slow) >= REMEMBERED:
                self._slow.pop(next(iter(self._slow)))
            self._slow[tuple(job)] = found
        return self._slow[tuple(job)]

    async def _work(self, work: Callable[[], Any]) -> Any:
        return await asyncio.get_running_loop().run_in_executor(self._thread, work)
