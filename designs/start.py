"""Where the command begins and ends: whatever happens in between, one line says so, and one status."""

import codecs
import contextlib
import errno
import gc
import importlib.util
import os
import signal
import sys
import traceback
import unicodedata
from pathlib import Path
from typing import NoReturn

from designs import status
from designs.whole_file import clear_away

OBJECTS = 20_000
"""New objects after which rings of dead ones are looked for: all that is known is gone through for it."""

PLAIN = {
    "−": "-", "–": "-", "—": "-", "×": "x", "·": "*", "µ": "u", "μ": "u", "≤": "<=", "≥": ">=", "≈": "~", "±": "+-",
    "°": " deg ", "→": "->", "…": "...", "‘": "'", "’": "'", "“": '"', "”": '"', "√": "sqrt", "ω": "omega",
}  # fmt: skip
"""What is written for a sign that the screen or the file behind standard output has no letter for."""


def main() -> NoReturn:
    """Run the command and end with its status."""
    # The matrices here are small: several threads on one of them only wait for each other, for seconds on a busy
    # machine. Set before anything loads the linear algebra; what the caller has set stands.
    for name in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    gc.set_threshold(OBJECTS, 10, 10)
    signal.signal(signal.SIGTERM, _end)
    _write_what_can_be_written()
    ended = _status()
    if sys.stdout is not None:
        _let_go(sys.stdout.fileno())
    gc.freeze()  # what is left is not looked through once more for rings of dead objects: the process ends
    sys.exit(ended)


def _end(*_: object) -> NoReturn:
    """End as from outside, at once: threads and locks may be in any state. Processes that were started see it end."""
    clear_away()
    os._exit(status.ENDED)


def _status() -> int:
    """Run the command and return how it ended."""
    if sys.stdout is None:
        return _say(status.REFUSED, "standard output is closed, so nothing can be shown")
    try:
        return _run()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else status.FAULT
    except KeyboardInterrupt:
        return _say(status.STOPPED, "stopped")
    except BrokenPipeError:
        return status.READER_GONE  # as `| head` does; nothing more can be said to it
    except OSError as error:
        whose = "this process" if error.errno in (errno.EMFILE, errno.ENFILE) else "standard output"
        return _say(status.REFUSED, f"{error.filename or whose}: {error.strerror or error}")
    except MemoryError:
        return _say(status.REFUSED, "the memory of this machine is used up; allowed: a smaller design or fewer options")
    except ImportError as error:
        return _say(status.BROKEN, f"{error}\n{WHOLE}")
    except Exception as error:
        if type(error).__name__ == "BadDesign":  # found where it is worked out, not where it is read
            return _say(status.BAD_INPUT, str(error))
        last = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{Path(last.filename).name}, line {last.lineno}"
        said = " ".join(str(error).split())
        return _say(status.FAULT, f"a fault of quietcrank itself: {type(error).__name__}: {said} ({where})\n{REPORT}")


WHOLE = "quietcrank is not installed whole; install it again, in an environment of its own"
REPORT = "nothing that it said before is wrong for that; please report it with the design file"


def _run() -> int:
    """Run the command; what it cannot write is to be known here, not when all is torn down."""
    try:
        if (foreign := _foreign()) is not None:
            raise ImportError(foreign)
        return _command()
    finally:
        sys.stdout.flush()


def _command() -> int:
    import click  # what may be missing is loaded where that can be told

    from designs.command import group

    if "_QUIETCRANK_COMPLETE" in os.environ:  # a shell asks what could follow
        group.main(prog_name="quietcrank")
    try:
        with group.make_context("quietcrank", sys.argv[1:]) as context:
            group.invoke(context)
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.Abort as stop:
        raise KeyboardInterrupt from stop
    except click.ClickException as error:
        error.show()
        return status.BAD_INPUT
    return status.HOLDS


def _foreign() -> str | None:
    """Say which of this project's packages is another's, if one is: two of the names are in use elsewhere."""
    home = Path(__file__).resolve().parents[1]
    for name in ("balance", "shafts"):
        spec = importlib.util.find_spec(name)
        if spec is None:
            return f"the package {name!r} is missing"
        file = Path(spec.origin or "").resolve()
        if file.parent.parent != home:
            return f"the package {name!r} in {file.parent} belongs to another project"
    return None


def _say(ended: int, words: str) -> int:
    """Say why, where anybody can hear it, and return the status."""
    with contextlib.suppress(OSError, ValueError):
        print(words, file=sys.stderr, flush=True)  # noqa: T201  click may be what is missing
    return ended


def _let_go(number: int) -> None:
    """Turn what is still waiting to be written to nowhere: that it cannot be written has been said."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), number)


def _write_what_can_be_written() -> None:
    """Let standard output and error show a plain letter for what their encoding lacks."""
    codecs.register_error("plain", _plainly)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="plain")


def _plainly(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    return "".join(map(_plain, error.object[error.start : error.end])), error.end


def _plain(letter: str) -> str:
    alike = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode()
    return PLAIN.get(letter) or alike or "?"
