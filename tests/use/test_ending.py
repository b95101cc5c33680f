"""How the command ends: one line says why and one status tells it, and status 1 is for failing limits alone."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from designs import status
from designs.command import SUBCOMMANDS
from designs.command.inputs import SHIPPED
from designs.many.parallel import usable_processors
from designs.verdict.row import Row

POSIX = pytest.mark.skipif(os.name != "posix", reason="needs the signals and streams of POSIX")
SCRIPT = "from designs.start import main; main()"
FAN = SHIPPED / "as-built.yaml"
GOOD = str(SHIPPED / "rhombic.yaml")  # nothing fails, so that nobody looks for advice


def run(*words: str, script: str = SCRIPT, **more) -> subprocess.CompletedProcess:
    command = [sys.executable, "-c", script, *words]
    return subprocess.run(command, capture_output="stdout" not in more, check=False, **more)


def row(state: str, asked: bool = True) -> Row:
    values = {"pass": (1.0, 2.0), "FAIL": (3.0, 2.0), "not checked": (None, None)}
    return Row("x", "x", *values[state], "", "at most", "", asked=asked)


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ([row("pass")], status.HOLDS),
        ([row("pass"), row("not checked", asked=False)], status.HOLDS),
        ([row("pass"), row("not checked")], status.NOT_ALL_CHECKED),
        ([row("FAIL"), row("not checked")], status.FAILS),
        ([], status.HOLDS),
    ],
)
def test_the_status_of_a_verdict(rows: list[Row], expected: int) -> None:
    assert status.of_verdict(rows) == expected


def test_the_worst_of_several() -> None:
    assert status.worst([status.HOLDS, status.NOT_ALL_CHECKED]) == status.NOT_ALL_CHECKED
    assert status.worst([status.NOT_ALL_CHECKED, status.FAILS]) == status.FAILS
    assert status.worst([status.FAILS, status.BAD_INPUT]) == status.BAD_INPUT


def test_a_design_that_leaves_things_out_is_told_apart_from_one_that_holds(tmp_path: Path) -> None:
    text = (SHIPPED / "redesign.yaml").read_text("utf-8")
    lines = text.splitlines()
    first = next(number for number, line in enumerate(lines) if line.startswith("mount:"))
    last = next(number for number in range(first + 1, len(lines)) if lines[number] and lines[number][0].isalpha())
    less = tmp_path / "less.yaml"
    less.write_text("\n".join(lines[:first] + lines[last:]), "utf-8")
    assert run("check", str(less)).returncode == status.NOT_ALL_CHECKED


def test_every_status_is_told_by_the_help() -> None:
    said = " ".join(run("--help").stdout.decode().split())
    for each, meaning in status.MEANINGS.items():
        assert f"{each} {meaning}" in said


@POSIX
@pytest.mark.parametrize("words", [("check", GOOD), ("schema",), ("--help",), ("compare", GOOD)])
@pytest.mark.parametrize("stream", ["closed", "full", "without a reader"])
def test_standard_output_that_takes_nothing(words: tuple[str, ...], stream: str) -> None:
    """However little is written, and whatever writes it."""
    expected = status.READER_GONE if stream == "without a reader" else status.REFUSED
    if stream == "closed":
        shell = ["sh", "-c", 'exec "$@" >&-', "sh", sys.executable, "-c", SCRIPT, *words]
        ended = subprocess.run(shell, stderr=subprocess.PIPE, check=False)
    elif stream == "full":
        if not Path("/dev/full").exists():
            pytest.skip("no device here that is always full")
        with Path("/dev/full").open("w") as out:
            ended = run(*words, stdout=out, stderr=subprocess.PIPE)
    else:
        reader, writer = os.pipe()
        os.close(reader)
        ended = run(*words, stdout=writer, stderr=subprocess.PIPE)
        os.close(writer)
    assert ended.returncode == expected
    said = ended.stderr.decode()
    assert "Traceback" not in said
    assert "Exception ignored" not in said
    assert bool(said) == (stream != "without a reader")


WAITING = (
    "import signal, sys, designs.command.inputs as inputs\n"
    "def wait(*_):\n    print('reading', flush=True)\n    import time\n    time.sleep(60)\n"
    "inputs.read = wait\n" + SCRIPT
)


@POSIX
@pytest.mark.parametrize("command", ["check", "size"])
@pytest.mark.parametrize(
    ("how", "expected"), [(signal.SIGINT, status.STOPPED), (signal.SIGTERM, status.ENDED)], ids=["Ctrl-C", "ended"]
)
def test_stopped_in_the_middle(command: str, how: signal.Signals, expected: int) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", WAITING, command, str(FAN)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout.readline() == b"reading\n"
        process.send_signal(how)
        _, said = process.communicate()
    assert process.returncode == expected
    assert b"Traceback" not in said


@POSIX
def test_what_is_half_written_is_put_away_when_ended(tmp_path: Path) -> None:
    script = (
        "import sys, time, designs.command.files as files\n"
        "def slowly(part):\n    part.write_text('half')\n    print('writing', flush=True)\n    time.sleep(60)\n"
        "whole = files.write_whole\n"
        "files.write_whole = lambda path, save, replace: whole(path, slowly, replace)\n" + SCRIPT
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, "new", str(tmp_path / "fan.yaml")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stdout.readline() == b"writing\n"
        assert len(list(tmp_path.iterdir())) == 1
        process.send_signal(signal.SIGTERM)
        process.communicate()
    assert process.returncode == status.ENDED
    assert list(tmp_path.iterdir()) == []


FAULTS = {
    "a package is missing": ("import sys; sys.modules['yaml'] = None", status.BROKEN, "yaml"),
    "what reads commands is missing": ("import sys; sys.modules['click'] = None", status.BROKEN, "click"),
    "no memory": (
        "import designs.command.inputs as inputs\ndef read(*_): raise MemoryError\ninputs.read = read",
        status.REFUSED,
        "memory",
    ),
    "no more open files": (
        "import errno, designs.command.inputs as inputs\n"
        "def read(*_): raise OSError(errno.EMFILE, 'too many open files')\ninputs.read = read",
        status.REFUSED,
        "this process: too many",
    ),
    "a bug": (
        "import designs.command.inputs as inputs\ndef read(*_): raise KeyError('nothing')\ninputs.read = read",
        status.FAULT,
        "KeyError",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_faults_that_are_not_the_designs(fault: str) -> None:
    before, expected, word = FAULTS[fault]
    start = "from designs.start import main; main()"
    ended = run("check", script=f"{before}\n{start}")
    assert ended.returncode == expected
    said = ended.stderr.decode()
    assert word in said
    assert "Traceback" not in said


KILLED = (
    "import os, signal, designs.many.parallel as parallel\n"
    "def killed(): os.kill(os.getpid(), signal.SIGKILL)\n"
    "parallel.serve = killed\n" + SCRIPT
)


@POSIX
@pytest.mark.skipif(sys.platform == "darwin", reason="only a copy of this process is killed as it begins")
@pytest.mark.parametrize(
    "words",
    [("learn",), ("search", "--vary", "cranks.webs.0.mass=20 g..30 g", "--samples", "20000", "--processes", "2")],
    ids=["learn", "search"],
)
def test_a_process_that_is_lost_is_named(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Whoever did part of the work was killed: nobody waits for it, and nobody who was not asked is blamed."""
    if words == ("learn",) and usable_processors() < 2:
        pytest.skip("all is done by one process")
    fan = tmp_path / "fan.yaml"
    fan.write_text(f"{FAN.read_text('utf-8')}\nmeasured: {{first_contact: {{heard: 900 rpm +- 30 rpm}}}}\n", "utf-8")
    ended = run(words[0], str(fan), *words[1:], script=KILLED, timeout=300)
    said = ended.stderr.decode()
    assert ended.returncode == status.REFUSED
    assert "ended from outside" in said
    assert "--cluster" not in said
    assert "Traceback" not in said
    assert ended.stdout == b""


@pytest.mark.parametrize("name", ["balance", "shafts"])
def test_a_package_of_another_project_under_one_of_our_names(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()
    (tmp_path / name / "__init__.py").write_text("")
    ended = run("check", script=f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n{SCRIPT}")
    assert ended.returncode == status.BROKEN
    assert f"{name!r} in {tmp_path / name} belongs to another project" in ended.stderr.decode()


@pytest.mark.parametrize(("encoding", "design"), [("cp1252", "redesign"), ("cp437", "rhombic"), ("latin-1", "rhombic")])
def test_screens_with_fewer_letters(encoding: str, design: str, tmp_path: Path) -> None:
    """A minus that an old screen has no letter for becomes one that it has; what it has stays."""
    fan = tmp_path / "fan.yaml"
    text = (SHIPPED / f"{design}.yaml").read_text("utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    fan.write_text(text.replace(title, "title: 'Gebläse \u2212 30\u00a0mm \u2265 \u4e2d'"), "utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    ended = run("check", str(fan), env=environment)
    assert ended.returncode in (0, 1, 3), ended.stderr
    shown = ended.stdout.decode(encoding)
    assert "Gebläse - 30" in shown
    assert ("mm ≥ ?" if encoding == "cp437" else "mm >= ?") in shown.replace("\u00a0", " ")


@pytest.mark.parametrize("name", SUBCOMMANDS)
def test_no_command_ends_with_1_for_a_word_that_it_does_not_know(name: str) -> None:
    assert run(name, "--no-such-option").returncode == status.BAD_INPUT


@pytest.mark.parametrize("force", [(), ("--force",)])
def test_what_was_read_is_never_written_over(tmp_path: Path, force: tuple[str, ...]) -> None:
    fan = tmp_path / "fan.yaml"
    fan.write_bytes(Path(GOOD).read_bytes())
    for words in (
        ("compare", str(fan), "--csv", "--output", str(fan)),
        ("compare", str(fan), "--csv", "--output", str(tmp_path / "." / "fan.yaml")),
        ("search", str(fan), "--vary", "cranks.webs.0.mass=20 g,22 g", "--best", str(fan)),
    ):
        ended = run(*words, *force)
        assert fan.read_bytes() == Path(GOOD).read_bytes()
        assert ended.returncode == status.BAD_INPUT, words
