"""Work in a second process: the same answers in the same order, whatever becomes of that process."""

import multiprocessing
import os

import pytest

from designs.many import beside as room
from designs.many.beside import ahead, beside, shared


@pytest.fixture(params=[True, False], ids=["two processes", "one"])
def two(request, monkeypatch) -> bool:
    """Whether there is a second process; where no copy of one can be made there is none."""
    monkeypatch.setattr(room, "usable_processors", lambda: 2 if request.param else 1)
    monkeypatch.setattr(room, "active_count", lambda: 1)  # threads of who runs the tests hold nothing
    monkeypatch.setattr(room, "parent_process", lambda: None)
    return request.param and "fork" in multiprocessing.get_all_start_methods() and room.sys.platform != "darwin"


def test_all_is_made_once_and_in_order_by_two_where_there_are_two(two: bool) -> None:
    for count in range(6):
        found = shared(lambda each: (each, os.getpid()), range(count))
        assert [each for each, _ in found] == list(range(count))
        assert len({process for _, process in found}) == min(count, 1 + two)
    assert not multiprocessing.active_children()


def test_whoever_is_done_takes_the_next(two: bool) -> None:
    done = multiprocessing.Value("i", 0)

    def worked(each: int) -> int:
        while each == 1 and done.value < 4:  # the second one waits for all others, which this process must make
            pass
        done.value += each != 1
        return os.getpid()

    found = shared(worked, range(5))
    assert [each == os.getpid() for each in found] == [True, not two, True, True, True]


def test_what_was_begun_ahead_is_ended_by_both(two: bool) -> None:
    here, joined = os.getpid(), multiprocessing.Event()

    def worked(each: int) -> tuple[int, bool]:
        if os.getpid() == here:
            joined.set()
        else:
            joined.wait()
        return each, os.getpid() == here

    with ahead(worked, range(4)) as rest:
        found = rest()
    assert [each for each, _ in found] == [*range(4)]
    assert [own for _, own in found[:2]] == [not two, True]
    with ahead(worked, ()) as rest:
        assert rest() == []
    assert not multiprocessing.active_children()


def test_what_is_lost_with_a_process_is_made_here(two: bool) -> None:
    here = os.getpid()
    assert shared(lambda each: each if os.getpid() == here else os._exit(9), range(5)) == [*range(5)]


def test_what_is_patient_lets_others_go_first(two: bool) -> None:
    with beside(lambda: os.nice(0), patient=True) as told:
        assert told() - os.nice(0) == (19 if two else 0)


def test_what_is_wrong_is_said_as_if_there_were_one_process(two: bool) -> None:
    with pytest.raises(ZeroDivisionError, match="by zero"):
        shared(lambda each: 1 // (each - 1), range(4))  # the second one, which is the other process's
    assert not multiprocessing.active_children()


def test_a_process_that_is_gone_is_stood_in_for(two: bool) -> None:
    here = os.getpid()
    with beside(lambda: "done" if os.getpid() == here else os._exit(9)) as told:
        assert told() == "done"


def test_what_cannot_be_handed_over_is_made_here(two: bool) -> None:
    with beside(lambda: lambda: 7) as told:  # a function without a name cannot be sent
        assert told()() == 7


def test_nobody_waits_for_what_nobody_wants(two: bool) -> None:
    with pytest.raises(KeyboardInterrupt), beside(lambda: multiprocessing.Event().wait()):
        raise KeyboardInterrupt
    assert not multiprocessing.active_children()


@pytest.mark.parametrize(
    ("name", "value"), [("parent_process", lambda: "another"), ("active_count", lambda: 2)], ids=["helper", "threads"]
)
def test_what_helps_another_and_what_has_threads_makes_no_copy(monkeypatch, name: str, value) -> None:
    monkeypatch.setattr(room, "usable_processors", lambda: 2)
    monkeypatch.setattr(room, "active_count", lambda: 1)
    monkeypatch.setattr(room, "parent_process", lambda: None)
    monkeypatch.setattr(room, name, value)
    assert set(shared(lambda _: os.getpid(), range(4))) == {os.getpid()}
