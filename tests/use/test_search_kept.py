"""What a search keeps in a folder: one owner at a time, no wrong block taken, no process left behind."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from designs.command import group
from designs.command.inputs import SHIPPED
from designs.options.batch import limits_of
from designs.options.findings import aim
from designs.options.journal import Journal, OtherSearchError
from designs.options.search import Search, run
from designs.options.varying import variation
from designs.reading import design_of, read_tree
from designs.status import BAD_INPUT, ENDED, REFUSED

LINUX = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks at processes in /proc")
FAN = SHIPPED / "redesign.yaml"
VARY = "cranks.webs.0.mass=20 g..30 g"
ONE = ("--top", "1")  # whole verdict
SCRIPT = "from designs.start import main; main()"


def searched(samples: int) -> Search:
    from designs.evaluate import Evaluation

    tree = read_tree(FAN)
    design = design_of(tree, FAN)
    keys = tuple(limits_of(Evaluation(design)))
    return Search(design, (variation(VARY, tree, design),), (aim("most:margin"),), keys, "hypercube", samples, 1)


def values_of(search: Search, journal: Journal, workers: int = 1) -> np.ndarray:
    return run(search, journal, lambda count: None, workers=workers).ranked().verdicts.values


@pytest.fixture(scope="module")
def search() -> Search:
    return searched(320)  # five blocks


@pytest.fixture(scope="module")
def alone(search: Search) -> np.ndarray:
    return values_of(search, Journal(None, search.keys, "same"))


def kept(search: Search, folder: Path) -> Journal:
    return Journal(folder, search.keys, "same")


# Blocks


def test_a_block_that_another_wrote_meanwhile_shifts_nothing(search: Search, alone: np.ndarray, tmp_path: Path) -> None:
    """However it came there: the plan is made once, and every block has its own verdicts."""
    journal = kept(search, tmp_path / "whole")
    values_of(search, journal)
    blocks = sorted((tmp_path / "whole").glob("*.npz"))
    assert len(blocks) == 5

    def meddle(count: int) -> None:
        (tmp_path / "kept" / blocks[2].name).write_bytes(blocks[2].read_bytes())

    meddled = run(search, kept(search, tmp_path / "kept"), meddle, workers=1)
    np.testing.assert_array_equal(meddled.ranked().verdicts.values, alone)
    np.testing.assert_array_equal(values_of(search, kept(search, tmp_path / "kept")), alone)


def cut_short(content: bytes) -> bytes:
    return content[: len(content) // 2]


def one_bit_turned(content: bytes) -> bytes:
    middle = len(content) // 2
    return content[:middle] + bytes([content[middle] ^ 4]) + content[middle + 1 :]


@pytest.mark.parametrize("damage", [cut_short, one_bit_turned, lambda _: b"", lambda _: b"no archive at all"])
def test_a_damaged_block_is_named_and_done_again(search: Search, alone: np.ndarray, tmp_path: Path, damage) -> None:
    values_of(search, kept(search, tmp_path / "kept"))
    block = tmp_path / "kept" / "000003.npz"
    block.write_bytes(damage(block.read_bytes()))
    journal = kept(search, tmp_path / "kept")
    np.testing.assert_array_equal(values_of(search, journal), alone)
    assert journal.damaged == [block]
    again = kept(search, tmp_path / "kept")
    np.testing.assert_array_equal(values_of(search, again), alone)
    assert again.damaged == []


def test_a_block_about_other_options_is_done_again(search: Search, alone: np.ndarray, tmp_path: Path) -> None:
    values_of(search, kept(search, tmp_path / "kept"))
    one, other = (tmp_path / "kept" / f"00000{number}.npz" for number in (1, 2))
    other.write_bytes(one.read_bytes())
    journal = kept(search, tmp_path / "kept")
    np.testing.assert_array_equal(values_of(search, journal), alone)
    assert journal.damaged == [other]


def test_what_was_damaged_is_said(tmp_path: Path) -> None:
    words = ["search", str(FAN), "--vary", VARY, "--samples", "100", *ONE, "--resume", str(tmp_path / "kept"), "--json"]
    first = CliRunner().invoke(group, words)
    (tmp_path / "kept" / "000001.npz").write_bytes(b"")
    second = CliRunner().invoke(group, words)
    assert (second.stdout, second.exit_code) == (first.stdout, first.exit_code)
    assert "000001.npz: damaged" in second.stderr


def test_what_a_run_left_that_ended_while_it_wrote_is_cleared_away(search: Search, tmp_path: Path) -> None:
    kept(search, tmp_path / "kept")
    (tmp_path / "kept" / ".0123456789abcdef.part.npz").write_bytes(b"half")
    kept(search, tmp_path / "kept")
    assert not list((tmp_path / "kept").glob(".*"))


# Processes


def start(folder: Path, *words: str, **more) -> subprocess.Popen:
    command = ["search", str(FAN), "--vary", VARY, *ONE, "--resume", str(folder), "--json", "--processes", "2", *words]
    return subprocess.Popen(
        [sys.executable, "-c", SCRIPT, *command], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more
    )


def under_way(process: subprocess.Popen, folder: Path) -> None:
    while not list(folder.glob("0*.npz")):
        assert process.poll() is None, process.stderr.read()
        time.sleep(0.01)


def of_family(parent: int) -> list[int]:
    """Return the processes that a process has started."""
    return [int(child) for child in Path(f"/proc/{parent}/task/{parent}/children").read_text().split()]


def gone(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] == "Z"
    except OSError:
        return True


def all_gone(processes: list[int]) -> bool:
    """Wait for processes to end; generously, for what is looked for are those that never do."""
    for _ in range(1000):
        if all(map(gone, processes)):
            return True
        time.sleep(0.02)
    return False


@LINUX
def test_a_second_search_in_the_same_folder_is_refused_and_the_first_is_right(tmp_path: Path) -> None:
    samples = ("--samples", "12000")
    with start(tmp_path / "kept", *samples) as first:
        under_way(first, tmp_path / "kept")
        with start(tmp_path / "kept", *samples) as second:
            _, said = second.communicate()
        assert second.returncode == BAD_INPUT
        assert "another search works in it" in said
        shown, _ = first.communicate()
    whole = CliRunner().invoke(group, ["search", str(FAN), "--vary", VARY, *ONE, *samples, "--json"])
    assert json.loads(shown) == json.loads(whole.stdout)
    assert first.returncode == whole.exit_code


@LINUX
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_nothing_is_left_of_a_search_that_is_ended(tmp_path: Path, how: signal.Signals) -> None:
    """Its processes end with it, its folder is free, and what it kept is good."""
    with start(tmp_path / "kept", "--samples", "400000") as process:
        under_way(process, tmp_path / "kept")
        workers = of_family(process.pid)
        assert len(workers) == 2
        process.send_signal(how)
        assert process.wait() == {signal.SIGTERM: ENDED, signal.SIGKILL: -signal.SIGKILL}[how]
        assert all_gone(workers)
        assert "Traceback" not in process.stderr.read()
    for file in (tmp_path / "kept").glob("0*.npz"):
        with np.load(file) as block:
            assert len(block["legal"]) == block["options"].shape[1]
    with start(tmp_path / "kept", "--samples", "100") as other:
        assert "another version" in other.communicate()[1]  # and not that another search works in it


@LINUX
def test_a_process_that_is_taken_away_is_told(tmp_path: Path) -> None:
    with start(tmp_path / "kept", "--samples", "400000") as process:
        under_way(process, tmp_path / "kept")
        os.kill(of_family(process.pid)[0], signal.SIGKILL)
        _, said = process.communicate()
    assert process.returncode == REFUSED
    assert "fewer --processes" in said
    assert "Traceback" not in said


@LINUX
def test_a_disk_that_takes_no_more_is_named_by_its_folder(tmp_path: Path) -> None:
    import resource

    def small_files_only() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))

    with start(tmp_path / "kept", "--samples", "4000", preexec_fn=small_files_only) as process:
        _, said = process.communicate()
    assert process.returncode == REFUSED
    assert said.startswith(f"{tmp_path / 'kept'}: ")
    assert "Traceback" not in said
    assert [each.name for each in (tmp_path / "kept").iterdir() if each.name.startswith(".")] == []


def test_a_folder_in_a_folder_that_is_not_there(search: Search, tmp_path: Path) -> None:
    result = CliRunner().invoke(
        group, ["search", str(FAN), "--vary", VARY, "--samples", "64", "--resume", str(tmp_path / "none" / "kept")]
    )
    assert result.exit_code == BAD_INPUT
    assert str(tmp_path / "none" / "kept") in result.stderr
    with pytest.raises(OtherSearchError):
        Journal(FAN, search.keys, "same")
