"""Work done in a second process while this one goes on: a copy of it, which has all that is known already."""

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import chain
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.connection import Connection
from threading import active_count
from typing import TypeVar

from designs.many.parallel import serve, usable_processors

Asked = TypeVar("Asked")
Done = TypeVar("Done")

YIELDS = 19  # steps of niceness
NUMBER = 4  # bytes


@contextmanager
def beside(work: Callable[[], Done], worth: bool = True, patient: bool = False) -> Iterator[Callable[[], Done]]:
    """Have something worked out while this process goes on; what is yielded waits for it and returns it.

    Where no copy can be made, or it fails, this process does the work once it is asked: the answer is the same.
    worth : whether it takes long enough.   patient : whether it waits while other processes want the processor.
    """
    if not (worth and _can_copy()):
        yield work
        return
    fork = get_context("fork")
    receiver, sender = fork.Pipe(duplex=False)
    helper = fork.Process(target=_tell, args=(work, sender, patient), daemon=True)
    helper.start()
    sender.close()
    try:
        yield partial(_told, receiver, work)
    finally:
        receiver.close()
        helper.kill()  # nobody wants it any more, if it is still at work
        helper.join()


@contextmanager
def ahead(
    work: Callable[[Asked], Done], asked: Sequence[Asked], patient: bool = False
) -> Iterator[Callable[[], list[Done]]]:
    """Have a second process begin with what some work makes of each, where there is one, while this one goes on.

    What is yielded takes its share of what is left, waits, and returns all in order.   patient : as of `beside`.
    """
    waiting = _in_line(range(1, len(asked)))
    try:
        with beside(lambda: {n: work(asked[n]) for n in chain([0], _taken(waiting))}, bool(asked), patient) as others:
            yield lambda: _joined(work, asked, waiting, others)
    finally:
        os.close(waiting)


def _joined(
    work: Callable[[Asked], Done], asked: Sequence[Asked], waiting: int, others: Callable[[], dict[int, Done]]
) -> list[Done]:
    made = {n: work(asked[n]) for n in _taken(waiting)}
    made |= others() if asked else {}
    return [made[n] if n in made else work(each) for n, each in enumerate(asked)]  # what was lost with a process


def shared(work: Callable[[Asked], Done], asked: Sequence[Asked]) -> list[Done]:
    """Return what some work makes of each, in order; a second process takes the second one, where there is one.

    Of the others whoever is done takes the next.
    """
    with ahead(work, asked[1:]) as others:
        return [*(work(each) for each in asked[:1]), *others()]


def _in_line(numbers: Sequence[int]) -> int:
    """Return a pipe from which each number can be read once, by whoever comes first."""
    waiting, into = os.pipe()
    os.write(into, b"".join(number.to_bytes(NUMBER, "big") for number in numbers))
    os.close(into)
    return waiting


def _taken(waiting: int) -> Iterator[int]:
    while number := os.read(waiting, NUMBER):
        yield int.from_bytes(number, "big")


def _can_copy() -> bool:
    """Whether a copy of this process is of use, and safe: what another thread holds would stay held in it for good.

    A process that helps another has no second processor to itself. On a Mac such copies may crash.
    """
    alone = parent_process() is None and active_count() == 1
    possible = "fork" in get_all_start_methods() and sys.platform != "darwin"
    return alone and possible and usable_processors() > 1


def _tell(work: Callable[[], Done], sender: Connection, patient: bool) -> None:
    serve()
    if patient:
        os.nice(YIELDS)
    try:
        sender.send(work())
    except Exception:  # whoever waits does the same work, and says what is wrong
        sender.close()


def _told(receiver: Connection, work: Callable[[], Done]) -> Done:
    try:
        return receiver.recv()
    except EOFError:
        return work()
