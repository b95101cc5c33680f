"""Work done in a second process while this one goes on: a copy of it, which has all that is known already."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.connection import Connection
from threading import active_count
from typing import TypeVar

from designs.many.parallel import serve, usable_processors

Asked = TypeVar("Asked")
Done = TypeVar("Done")


@contextmanager
def beside(work: Callable[[], Done], worth: bool = True) -> Iterator[Callable[[], Done]]:
    """Have something worked out while this process goes on; what is yielded waits for it and returns it.

    Where no copy can be made, or it fails, this process does the work once it is asked: the answer is the same.
    worth : whether it takes long enough.
    """
    if not (worth and _can_copy()):
        yield work
        return
    fork = get_context("fork")
    receiver, sender = fork.Pipe(duplex=False)
    helper = fork.Process(target=_tell, args=(work, sender), daemon=True)
    helper.start()
    sender.close()
    try:
        yield partial(_told, receiver, work)
    finally:
        receiver.close()
        helper.kill()  # nobody wants it any more, if it is still at work
        helper.join()


def shared(work: Callable[[Asked], Done], asked: Sequence[Asked]) -> list[Done]:
    """Return what some work makes of each, in order; every other one is made in a second process where there is one."""
    if len(asked) < 2:
        return [work(each) for each in asked]
    with beside(lambda: [work(each) for each in asked[1::2]]) as others:
        made: list[Done] = [work(each) for each in asked[::2]]
        for index, each in enumerate(others()):
            made.insert(2 * index + 1, each)
    return made


def _can_copy() -> bool:
    """Whether a copy of this process is of use, and safe: what another thread holds would stay held in it for good.

    A process that helps another has no second processor to itself. On a Mac such copies may crash.
    """
    alone = parent_process() is None and active_count() == 1
    possible = "fork" in get_all_start_methods() and sys.platform != "darwin"
    return alone and possible and usable_processors() > 1


def _tell(work: Callable[[], Done], sender: Connection) -> None:
    serve()
    try:
        sender.send(work())
    except Exception:  # whoever waits does the same work, and says what is wrong
        sender.close()


def _told(receiver: Connection, work: Callable[[], Done]) -> Done:
    try:
        return receiver.recv()
    except EOFError:
        return work()
