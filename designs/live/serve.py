"""Running the server until its page is closed."""

import asyncio
import contextlib
import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from designs.live.draft import Draft, read_draft
from designs.live.live import Live
from designs.live.server import Serving
from designs.live.session import Session
from designs.reading import BadFile


def serve(paths: list[Path], allow_above: bool, door: socket.socket, tell: Callable[[str], None]) -> Session:
    """Serve a design, and others beside it, until it ends; `tell` is called with the address once it answers.

    Returns the session as it was at the end; raises BadFile for a design that cannot be read.
    """
    session = Session(paths[0], allow_above)
    others = {path: _read(path, allow_above) for path in paths[1:]}
    with contextlib.suppress(KeyboardInterrupt):  # the usual end
        asyncio.run(_serve(session, others, door, tell))
    return session


def _read(path: Path, allow_above: bool) -> Draft:
    draft = read_draft(path.read_bytes(), path, allow_above)
    if draft.design is None:
        raise BadFile(*draft.complaints)
    return draft


async def _serve(session: Session, others: dict[Path, Draft], door: socket.socket, tell: Callable[[str], None]) -> None:
    serving = Serving(Live(session, others), door.getsockname()[1], session.path.resolve())
    config = uvicorn.Config(
        serving.app, http="h11", ws="none", loop="asyncio", log_level="critical", access_log=False,
        server_header=False, timeout_graceful_shutdown=2,
    )  # fmt: skip
    server = uvicorn.Server(config)
    watching = asyncio.create_task(_end_together(server, serving, tell))
    await server.serve(sockets=[door])
    watching.cancel()


async def _end_together(server: uvicorn.Server, serving: Serving, tell: Callable[[str], None]) -> None:
    """Let the server end with its pages, and the pages with the server."""
    while not server.started:
        await asyncio.sleep(0.01)
    await asyncio.to_thread(tell, serving.address)
    while not server.should_exit:
        await asyncio.sleep(0.1)
        server.should_exit = server.should_exit or serving.ending.is_set()
    serving.ending.set()
