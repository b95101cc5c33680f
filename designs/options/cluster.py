"""A Dask scheduler that hands out the work, in place of processes of this machine."""

import asyncio
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, CancelledError
from contextlib import contextmanager
from typing import Any

from balance import __version__
from designs.many.parallel import HELPERS, Helpers

WAIT = 10  # s, for a scheduler to answer and for its first worker
ENDED = "{}: the scheduler went away, or one block ended several workers; allowed: fewer of them, or another scheduler"


class NoClusterError(Exception):
    """There is no cluster at an address that could do the work."""


@contextmanager
def helped_by(address: str | None) -> Iterator[None]:
    """Let the workers of a scheduler look at options inside this context; without an address nothing is changed.

    Who dies is replaced: its blocks go to others, and the answer is the same. Raises NoClusterError if nobody of the
    same version is there, and BrokenExecutor if the scheduler goes away.
    """
    if address is None:
        yield
        return
    with _client(address) as client:
        count = sum(client.nthreads().values())
        token = HELPERS.set(Helpers(client.get_executor(pure=False), count))
        try:
            yield
        except _broken() as error:
            raise BrokenExecutor(ENDED.format(address)) from error
        finally:
            HELPERS.reset(token)


def _client(address: str) -> Any:
    """Return a client of a scheduler that has workers, all of this version."""
    try:
        from distributed import Client  # an extra, and half a second to load
    except ImportError:
        raise NoClusterError(
            f"{address}: read a scheduler, but Dask is not installed; allowed: the extra 'cluster'"
        ) from None
    try:
        asyncio.run(_answer(address))
        client = Client(address, timeout=WAIT, set_as_default=False)
        try:
            client.wait_for_workers(1, timeout=WAIT)
            versions = set(client.run(_version).values())
        except BaseException:
            client.close()
            raise
    except (OSError, ValueError, TypeError, ImportError, EOFError) as error:
        why = (str(error) or f"no answer within {WAIT} s").splitlines()[0]
        raise NoClusterError(
            f"{address}: {why}; allowed: a running scheduler with workers, as tcp://192.0.2.1:8786"
        ) from error
    if versions != {_version()}:
        client.close()
        raise NoClusterError(f"{address}: workers of version {', '.join(sorted(versions))}; allowed: {_version()}")
    return client


async def _answer(address: str) -> None:
    """Ask a scheduler who it is: a client of what does not answer would never be done, nor let go of."""
    from distributed.core import rpc

    async def asked() -> None:
        async with rpc(address, timeout=WAIT) as scheduler:
            await scheduler.identity()

    await asyncio.wait_for(asked(), WAIT)


def _version() -> str:
    return __version__


def _broken() -> tuple[type[Exception], ...]:
    from distributed import KilledWorker
    from distributed.client import FutureCancelledError
    from distributed.comm import CommClosedError

    return CancelledError, KilledWorker, FutureCancelledError, CommClosedError
