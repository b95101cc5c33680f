"""Files and streams that fail: a clear message, the old file intact, nothing half written or in another place."""

import json
import os
import signal
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from designs.command import files, group
from designs.command.inputs import SHIPPED
from designs.status import BAD_INPUT, REFUSED, STOPPED
from designs.whole_file import write_whole

POSIX = pytest.mark.skipif(os.name != "posix", reason="needs the permissions and signals of POSIX")
FAN = SHIPPED / "as-built.yaml"
PASSING = SHIPPED / "rhombic.yaml"  # a verdict on what fails tries changes, for many times as long


def run(*words: str) -> Result:
    result = CliRunner().invoke(group, list(words), catch_exceptions=True)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def left_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


# Writing


def test_a_file_that_came_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    """Another run takes the place between the look at it and the writing."""
    place = tmp_path / "fan.csv"

    def save(part: Path) -> None:
        part.write_text("mine")
        place.write_text("theirs")

    with pytest.raises(FileExistsError) as told:
        write_whole(place, save)
    assert str(told.value) == f"{place}: it exists already"  # nothing of the file beside it, which is gone
    assert place.read_text() == "theirs"
    assert left_in(tmp_path) == ["fan.csv"]
    write_whole(place, lambda part: part.write_text("forced"), replace=True)
    assert place.read_text() == "forced"


def test_a_file_that_came_meanwhile_is_named(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    place = tmp_path / "fan.csv"
    place.write_text("theirs")
    with pytest.raises(SystemExit) as end:
        files.write_text(place, "mine")
    assert end.value.code == 2
    assert "fan.csv: it exists already" in capsys.readouterr().err
    assert place.read_text() == "theirs"


def test_disks_without_second_names_are_written_to_as_well(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    place = tmp_path / "fan.csv"
    write_whole(place, lambda part: part.write_text("mine"))
    assert place.read_text() == "mine"
    with pytest.raises(FileExistsError) as told:
        write_whole(place, lambda part: part.write_text("again"))
    assert str(told.value) == f"{place}: it exists already"
    assert (place.read_text(), left_in(tmp_path)) == ("mine", ["fan.csv"])


@pytest.mark.parametrize("fault", [OSError(28, "No space left on device"), KeyboardInterrupt(), RuntimeError("bug")])
def test_nothing_half_written_is_left_and_the_old_file_is_intact(tmp_path: Path, fault: BaseException) -> None:
    place = tmp_path / "fan.svg"
    place.write_text("old")

    def save(part: Path) -> None:
        part.write_text("half of a pict")
        raise fault

    with pytest.raises(type(fault)):
        write_whole(place, save, replace=True)
    assert (place.read_text(), left_in(tmp_path)) == ("old", ["fan.svg"])


def test_two_runs_write_the_same_file_at_once(tmp_path: Path) -> None:
    """Whoever is first has it, whole; the other is refused, and neither spoils the other's."""
    place, outcomes = tmp_path / "fan.csv", []
    together = threading.Barrier(8)

    def write(number: int) -> None:
        def save(part: Path) -> None:
            part.write_text(str(number) * 10_000)
            together.wait()

        try:
            write_whole(place, save)
            outcomes.append("written")
        except FileExistsError:
            outcomes.append("refused")

    runs = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for each in runs:
        each.start()
    for each in runs:
        each.join()
    assert sorted(outcomes) == ["refused"] * 7 + ["written"]
    assert len(set(place.read_text())) == 1
    assert len(place.read_text()) == 10_000
    assert left_in(tmp_path) == ["fan.csv"]


WRITERS = {
    "new": ("new", "{}/made.yaml"),
    "compare": ("compare", str(PASSING), "--csv", "--output", "{}/made.csv"),
    "plot": ("shafts", str(FAN), "--plot", "{}/made.svg"),
}


@POSIX
@pytest.mark.parametrize("words", WRITERS.values(), ids=WRITERS)
def test_a_folder_that_cannot_be_written_to(words: tuple[str, ...]) -> None:
    """/proc takes no files, not even from root."""
    if not Path("/proc/self").is_dir():
        pytest.skip("no folder here that refuses even root")
    result = run(*(word.format("/proc") for word in words))
    assert result.exit_code in (BAD_INPUT, REFUSED)  # /proc says that there is no such file, not that it refuses one
    assert "/proc/made" in result.stderr
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize("words", WRITERS.values(), ids=WRITERS)
def test_a_folder_that_is_not_there_and_a_file_that_is(tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run(*(word.format(tmp_path / "none") for word in words))
    assert (result.exit_code, "its folder does not exist" in result.stderr) == (2, True)
    [name] = [word.format(tmp_path) for word in words if "{}" in word]
    Path(name).write_text("mine")
    result = run(*(word.format(tmp_path) for word in words))
    assert (result.exit_code, "it exists already" in result.stderr) == (2, True)
    assert (Path(name).read_text(), left_in(tmp_path)) == ("mine", [Path(name).name])


@POSIX
def test_folders_and_devices_are_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "made.csv").mkdir()
    for place in (tmp_path / "made.csv", Path(os.devnull)):
        result = run("compare", str(PASSING), "--csv", "--force", "--output", str(place))
        assert (result.exit_code, "it exists already" in result.stderr) == (2, True)
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


@POSIX
@pytest.mark.parametrize("force", [(), ("--force",)])
def test_links_that_go_round_in_a_circle(tmp_path: Path, force: tuple[str, ...]) -> None:
    """As a place to write to they are a file in the way, which may be replaced."""
    one, other = tmp_path / "one.csv", tmp_path / "other.csv"
    one.symlink_to(other)
    other.symlink_to(one)
    result = run("parts", str(PASSING), "--csv", "--output", str(one), *force)
    assert (result.exit_code, "it exists already" in result.stderr) == ((0, False) if force else (2, True))
    assert one.is_symlink() != bool(force)


def test_names_too_long_for_the_disk(tmp_path: Path) -> None:
    for name in ("x" * 300 + ".yaml", "x" * 251 + ".yaml"):
        result = run("new", str(tmp_path / name))
        assert result.exit_code == 2
        assert result.stderr
    assert run("check", str(tmp_path / ("x" * 300))).exit_code == 2
    assert left_in(tmp_path) == []


# Streams

SCRIPT = "from designs.start import main; main()"


def start(*words: str, **streams: object) -> subprocess.Popen:
    return subprocess.Popen([sys.executable, "-c", SCRIPT, *words], stderr=subprocess.PIPE, **streams)


@POSIX
def test_a_full_disk_behind_standard_output() -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("no device here that is always full")
    with full.open("w") as out, start("check", str(PASSING), "--json", stdout=out) as process:
        said = process.communicate()[1].decode()
    assert process.returncode == REFUSED
    assert "Traceback" not in said
    assert "No space left" in said


@POSIX
@pytest.mark.parametrize("words", [("shafts", "--json"), ("check", str(PASSING)), ("schema",)])
def test_a_reader_that_goes_away(words: tuple[str, ...]) -> None:
    with start(*words, stdout=subprocess.PIPE) as process:
        process.stdout.close()
        said = process.stderr.read().decode()
    assert "Traceback" not in said
    assert "BrokenPipe" not in said


@POSIX
def test_ctrl_c_in_the_middle_ends_without_a_trace(tmp_path: Path) -> None:
    """A design that waits to be read, from a pipe that stays open."""
    script = (
        "import sys, designs.command.inputs as inputs\n"
        "def wait(*_):\n    print('reading', flush=True)\n    import time\n    time.sleep(60)\n"
        "inputs.read = wait\n" + SCRIPT
    )
    process = subprocess.Popen(
        [sys.executable, "-c", script, "check", str(FAN)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path
    )
    assert process.stdout.readline() == b"reading\n"
    process.send_signal(signal.SIGINT)
    _, said = process.communicate()
    assert process.returncode == STOPPED
    assert b"Traceback" not in said
    assert left_in(tmp_path) == []


# Reading nothing but what is named


@POSIX
@pytest.mark.parametrize(
    "name", ["/etc/passwd", "../outside.csv", "sub/../../outside.csv", "link.csv", "~/x.csv", "C:\\x.csv"]
)
def test_a_table_outside_the_designs_folder_is_not_read(tmp_path: Path, name: str) -> None:
    (tmp_path / "outside.csv").write_text("0,100\n90,120\n180,100\n270,90\n")
    home = tmp_path / "home"
    (home / "sub").mkdir(parents=True)
    (home / "link.csv").symlink_to(tmp_path / "outside.csv")
    text = FAN.read_text("utf-8")
    start_of_gas = text.index("gas:\n")
    rest = text[text.index("\ncounterweights:") :]
    (home / "fan.yaml").write_text(
        text[:start_of_gas] + f"gas: {{model: indicated, table: {json.dumps(name)}, case_pressure: 101 kPa}}\n" + rest
    )
    result = run("check", str(home / "fan.yaml"))
    assert result.exit_code == 2
    assert "fan.yaml:" in result.stderr
    assert "gas.table" in result.stderr
    assert "root:" not in result.stderr + result.stdout


@POSIX
@pytest.mark.parametrize("kind", ["folder", "fifo", "device", "missing", "unreadable name"])
def test_what_is_no_file_is_refused_at_once(tmp_path: Path, kind: str) -> None:
    place = tmp_path / "fan.yaml"
    if kind == "folder":
        place.mkdir()
    elif kind == "fifo":
        os.mkfifo(place)
    elif kind == "device":
        place = Path("/dev/zero")
    elif kind == "unreadable name":
        place = Path(str(tmp_path) + "/fan\udcff.yaml")
    result = run("check", str(place))
    assert result.exit_code == 2
    assert "file" in result.stderr


def test_a_huge_file_is_not_read_to_its_end(tmp_path: Path) -> None:
    place = tmp_path / "fan.yaml"
    with place.open("wb") as file:
        file.truncate(2**33)  # a hole of 8 GiB
    result = run("check", str(place))
    assert (result.exit_code, "a shorter file" in result.stderr) == (2, True)


def test_nothing_is_written_by_commands_that_only_look(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    before = {each: each.stat().st_mtime_ns for each in SHIPPED.glob("*.yaml")}
    for command in ("check", "balance", "shafts", "compare"):
        run(command, str(SHIPPED / "rhombic.yaml"), "--json")
    assert left_in(tmp_path) == []
    assert before == {each: each.stat().st_mtime_ns for each in SHIPPED.glob("*.yaml")}
