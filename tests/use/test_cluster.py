"""The workers of a scheduler do what processes of this machine do: the same answer, though one of them is lost."""

import json
import os
import signal
import socket
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from designs.command import group
from designs.command.inputs import SHIPPED
from designs.counsel import mending
from designs.many.parallel import HELPERS, Helpers
from designs.status import BAD_INPUT

distributed = pytest.importorskip("distributed")
FAN = str(SHIPPED / "redesign.yaml")
WORDS = ["search", FAN, "--vary", "cranks.webs.0.mass=20 g..30 g", "--samples", "800", "--top", "1", "--json"]
pytestmark = pytest.mark.filterwarnings("ignore")  # what the cluster's own libraries warn of is not ours to mend


@pytest.fixture(scope="module")
def cluster():
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        yield cluster


def kept(folder: Path) -> dict[str, list[np.ndarray]]:
    found = {}
    for file in sorted(folder.glob("*.npz")):
        with np.load(file) as block:
            found[file.name] = [block[name] for name in sorted(block.files)]
    return found


def test_a_search_whose_worker_is_taken_away_gives_the_same_answer(cluster, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr("designs.many.parallel.ProcessPoolExecutor", None)  # nobody here is to do it
    nanny = next(iter(cluster.workers.values()))
    lost = nanny.pid

    def take_away() -> None:
        while len(list((tmp_path / "there").glob("*.npz"))) < 2:
            time.sleep(0.01)
        os.kill(lost, signal.SIGKILL)

    taking = threading.Thread(target=take_away, daemon=True)
    taking.start()
    there = CliRunner().invoke(
        group, [*WORDS, "--resume", str(tmp_path / "there"), "--cluster", cluster.scheduler_address]
    )
    assert there.exception is None or isinstance(there.exception, SystemExit), there.exception
    taking.join(timeout=10)
    assert not taking.is_alive()
    with distributed.Client(cluster, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=20)
    assert nanny.pid not in (None, lost)
    here = CliRunner().invoke(group, [*WORDS, "--resume", str(tmp_path / "here"), "--processes", "1"])
    assert (there.exit_code, json.loads(there.stdout)) == (here.exit_code, json.loads(here.stdout))
    one, other = kept(tmp_path / "here"), kept(tmp_path / "there")
    assert one.keys() == other.keys() and len(one) > 10
    for name, arrays in one.items():
        for mine, theirs in zip(arrays, other[name], strict=True):
            np.testing.assert_array_equal(mine, theirs)


def test_mend_lets_others_look_for_its_other_ways(monkeypatch) -> None:
    monkeypatch.setattr("designs.many.parallel.ProcessPoolExecutor", None)  # nobody here is to do it
    monkeypatch.setattr(mending, "usable_processors", lambda: 2)
    monkeypatch.setattr(mending, "_search_without", lambda design, keep, family: ((family, design),))
    with ThreadPoolExecutor(2) as pool:
        token = HELPERS.set(Helpers(pool, 2))
        found = mending._in_processes([("fan", (), "shafts"), ("fan", (), "webs")])
        HELPERS.reset(token)
    assert found == [(("shafts", "fan"),), (("webs", "fan"),)]


@pytest.mark.parametrize(
    ("more", "said"),
    [(["--processes", "2"], "allowed: one of the two"), (["--method", "global"], "allowed: grid or hypercube"),
     ([], "allowed: a running scheduler")],
)  # fmt: skip
def test_what_a_cluster_cannot_do_is_refused(more: list[str], said: str, monkeypatch) -> None:
    monkeypatch.setattr("designs.options.cluster.WAIT", 0.5)
    result = CliRunner().invoke(group, [*WORDS, *more, "--cluster", "tcp://127.0.0.1:9"])
    assert result.exit_code == BAD_INPUT
    assert said in result.stderr


@pytest.mark.parametrize("deaf", [False, True], ids=["nobody there", "what takes calls and says nothing"])
def test_an_address_that_does_not_answer_leaves_nothing_behind(deaf: bool, monkeypatch) -> None:
    """Half a client, which the next one in this process would wait for, and which complains as it is let go of."""
    monkeypatch.setattr("designs.options.cluster.WAIT", 0.5)
    before = threading.active_count()
    with socket.create_server(("127.0.0.1", 0)) as server:
        address = f"tcp://127.0.0.1:{server.getsockname()[1] if deaf else 9}"
        result = CliRunner().invoke(group, [*WORDS, "--cluster", address])
    assert result.exit_code == BAD_INPUT
    assert f"{address}: " in result.stderr
    assert threading.active_count() == before
