"""The page served on this machine only: who may ask, what is answered, and when it ends."""

import asyncio
import contextlib
import json
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from designs.live.live import Live
from designs.live.page import files, page
from designs.live.session import Refused
from designs.live.trouble import words_of

HOST = "127.0.0.1"
GRACE = 5.0  # seconds without any page until all ends; a page that is loaded anew is away for less
BEAT = 0.4  # seconds between looks at whether all ends
LARGEST = 100_000  # bytes that a page may send
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class Guard:
    """Lets through only what this page, opened at the address with its token, asks of this machine.

    So no other page of the same browser can read the design or change it, by this name or by another.
    """

    def __init__(self, app: ASGIApp, token: str, port: int):
        self.app, self.token = app, token
        self.host = f"{HOST}:{port}"
        self.origin = f"http://{self.host}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Any) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message["headers"], *((k.encode(), v.encode()) for k, v in HEADERS.items())]
            await send(message)

        why = self._refused(Request(scope))
        await (PlainTextResponse(why, 403) if why else self.app)(scope, receive, send_with_headers)

    def _refused(self, request: Request) -> str:
        token = request.url.path.split("/")[1]
        if request.headers.getlist("host") != [self.host]:
            return "refused: this page is served on this machine alone, at the address that was printed"
        if not secrets.compare_digest(token.encode(), self.token.encode()):
            return "refused: open the address that was printed, with all that stands behind the last number"
        origin = request.headers.get("origin")
        asks = request.method not in ("GET", "HEAD")
        if (origin is not None or asks) and origin != self.origin:
            return "refused: asked from another page"
        if request.headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return "refused: asked from another page"
        if asks and request.headers.get("content-type") != "application/json":
            return "refused: not what this page sends"
        return ""


class Serving:
    """A live design as a server.   ending : set once all is to end."""

    def __init__(self, live: Live, port: int, watched: Path):
        self.live, self.watched = live, watched
        self.token = secrets.token_urlsafe(16)
        self.address = f"http://{HOST}:{port}/{self.token}/"
        self.ending = asyncio.Event()
        below = f"/{self.token}"
        asked = {"edit": self._edit, "undo": self._undo, "redo": self._redo, "save": self._save, "keep": self._keep,
                 "take": self._take, "look": self._look}  # fmt: skip
        routes = [
            Route(f"{below}/", self._page),
            Route(f"{below}/news", self._news),
            Route(f"{below}/{{name}}", self._file),
            *(Route(f"{below}/{name}", self._answering(do), methods=["POST"]) for name, do in asked.items()),
        ]
        guard = Middleware(Guard, token=self.token, port=port)
        self.app = Starlette(routes=routes, middleware=[guard], lifespan=self._living)

    @contextlib.asynccontextmanager
    async def _living(self, _: Starlette) -> AsyncIterator[None]:
        tasks = [asyncio.create_task(each) for each in (self.live.begin(), self._follow(), self._wait_for_end())]
        try:
            yield
        finally:
            for each in tasks:
                each.cancel()
            await self.live.end()

    async def _follow(self) -> None:
        """Look at the file again whenever something in its folder has changed; editors often put a new one there."""
        from watchfiles import awatch  # watches a folder by the means of the system

        folder, name = self.watched.parent, self.watched.name
        for by_asking in (False, True):  # where the system does not tell of changes, the folder is looked at
            with contextlib.suppress(OSError, RuntimeError):
                async for changes in awatch(
                    folder, recursive=False, debounce=200, step=50, stop_event=self.ending, force_polling=by_asking
                ):
                    if any(Path(path).name == name for _, path in changes):
                        await self.live.follow()
                return

    async def _wait_for_end(self) -> None:
        """End once the page was closed, unless something would be lost."""
        alone = 0.0
        while not self.ending.is_set():
            await asyncio.sleep(BEAT)
            away = self.live.was_seen and not self.live.pages and self.live.session.saved
            alone = alone + BEAT if away else 0.0
            if alone >= GRACE:
                self.ending.set()

    # Answers

    async def _page(self, _: Request) -> Response:
        return Response(page(self.live), media_type="text/html")

    async def _file(self, request: Request) -> Response:
        found = files().get(request.path_params["name"])
        if found is None:
            return PlainTextResponse("there is nothing of this name", 404)
        return Response(found.content, media_type=found.kind)

    async def _news(self, _: Request) -> Response:
        return StreamingResponse(self._told(), media_type="text/event-stream")

    async def _told(self) -> AsyncIterator[str]:
        """Yield what a page is told as it comes, for as long as it listens."""
        news = self.live.join()
        try:
            yield ": here it begins\n\n"
            while not self.ending.is_set():
                try:
                    said = await asyncio.wait_for(news.get(), BEAT)
                except TimeoutError:
                    continue
                yield f"data: {json.dumps(said, separators=(',', ':'), allow_nan=False)}\n\n"
            yield f"data: {json.dumps({'kind': 'end'})}\n\n"
        finally:
            self.live.leave(news)

    def _answering(self, do: Callable[[Any], Awaitable[None]]) -> Callable[[Request], Awaitable[Response]]:
        """Return an answer to what a page asks for: done, or why not."""

        async def answer(request: Request) -> Response:
            try:
                await do(await _sent(request))
            except Refused as error:
                return JSONResponse({"refused": str(error), "version": self.live.session.version}, 409)
            except Exception as error:  # no fault may end the session, in which changes are not saved yet
                return JSONResponse({"refused": words_of(error)}, 500)
            return JSONResponse({"version": self.live.session.version})

        return answer

    async def _edit(self, sent: dict[str, Any]) -> None:
        keys, text, gesture = sent.get("keys"), sent.get("text"), sent.get("gesture")
        if not isinstance(keys, list) or not keys or not all(isinstance(each, str) for each in keys):
            raise Refused("There is no such entry.")
        if not isinstance(text, str) or not isinstance(gesture, str | None):
            raise Refused("An entry is a text.")
        if tuple(keys) not in self.live.session.good.values:
            raise Refused("There is no such entry.")
        await self.live.edit({tuple(keys): text}, gesture)

    async def _undo(self, _: dict[str, Any]) -> None:
        await self.live.undo()

    async def _redo(self, _: dict[str, Any]) -> None:
        await self.live.redo()

    async def _save(self, _: dict[str, Any]) -> None:
        await self.live.save()

    async def _keep(self, sent: dict[str, Any]) -> None:
        await self.live.keep(str(sent.get("name", "")))

    async def _take(self, sent: dict[str, Any]) -> None:
        number = sent.get("number")
        if not isinstance(number, int):
            raise Refused("There is no such line of advice.")
        await self.live.take(number)

    async def _look(self, sent: dict[str, Any]) -> None:
        rpm, beside = sent.get("rpm"), sent.get("beside")
        if not isinstance(rpm, int | float | None) or not isinstance(beside, str | None):
            raise Refused("There is no such view.")
        await self.live.look(None if rpm is None else float(rpm), beside)


async def _sent(request: Request) -> dict[str, Any]:
    """Return what a page sent; raises Refused for what no page of ours sends."""
    content = b""
    async for part in request.stream():
        content += part
        if len(content) > LARGEST:
            raise Refused("That is too much at once.")
    try:
        found = json.loads(content)
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise Refused("That was not understood.")
    return found
