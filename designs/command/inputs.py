"""Which designs a command is to look at, and what is said when one cannot be read."""

import sys
from collections.abc import Iterable
from concurrent.futures import BrokenExecutor
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import Any

import click

from designs import status
from designs.command import files
from designs.design import Design
from designs.reading import BadFile, read
from designs.shown import complaint_words, system_of, using

SHIPPED = Path(__file__).parents[1]
DEMO = SHIPPED / "as-built.yaml"
LOST = (
    "a process that did part of the work was ended from outside, perhaps for want of memory; allowed: to try again "
    "with less else at work on this machine"
)


@dataclass(frozen=True)
class Named:
    """A design and the name under which it is shown."""

    name: str
    path: Path
    design: Design


def one(path: str | None, option: str | None, allow_above: bool = False) -> Named:
    """Read one design, or the demonstration engine; ends the command with status 2 if it cannot be read."""
    read_designs, complaints = several((path,) if path else (), option, allow_above)
    if complaints:
        stop(complaints)
    return read_designs[0]


def several(
    paths: tuple[str, ...], option: str | None = None, allow_above: bool = False
) -> tuple[list[Named], list[BadFile]]:
    """Read every design that can be read, and return what is wrong with the others."""
    read_designs, complaints = [], []
    for path in [Path(each) for each in paths] or [DEMO]:
        try:
            design = read(path, option, allow_above)
            read_designs.append(Named(design.title if option is None else f"{design.title}: {option}", path, design))
        except BadFile as error:
            complaints.append(error)
    return read_designs, complaints


def tell(complaints: Iterable[object]) -> None:
    """Say on standard error what is wrong with files, in words or as they were raised."""
    for each in complaints:
        click.echo(complaint_words(each), err=True)


def stop(complaints: list[BadFile]) -> None:
    """Say what is wrong with files and end with status 2."""
    tell(complaints)
    sys.exit(status.BAD_INPUT)


class Share(click.ParamType):
    """A share of machines: 95% or 0.95."""

    name = "share"

    def convert(self, value: Any, param: Any, ctx: Any) -> float:
        """Return the share as a number between 0.5 and 0.999; says what is allowed otherwise."""
        text = str(value).strip()
        try:
            share = float(text.removesuffix("%")) / (100.0 if text.endswith("%") else 1.0)
        except ValueError:
            share = float("nan")
        if not 0.5 <= share <= MOST_SURE:
            self.fail(f"read {text!r}; allowed: a share of machines from 50% to {MOST_SURE:.1%}, e.g. 95%", param, ctx)
        return share


MOST_SURE = 0.999  # more takes more machines than are worth waiting for


def sure(command):
    """Add the option that says in how many of all machines a limit must hold to pass."""
    words = "Share of the machines that it may be in which a limit must hold to pass."
    return click.option("--sure", type=Share(), default="95%", show_default=True, metavar="SHARE", help=words)(command)


def sure_if_asked(command):
    """Add the same option to a command that else judges what it tries in the middle of all that is not known."""
    words = "Also judge the best on what is not known: share of the machines it may be in which each limit must hold."
    return click.option("--sure", type=Share(), metavar="SHARE", help=words)(command)


def how_sure(design: Design, sure: float | None) -> str:
    """Return in a sentence on which machines what was tried was judged."""
    if not design.doubts:
        return "Nothing is in doubt: every number is exact."
    if sure is None:
        return (
            "Judged in the middle of what is not known, as if it were known; --sure 95% keeps what holds in 95 of 100."
        )
    return f"An answer must hold in {sure:.3g} of all machines that it may be; what fails in the middle was not drawn."


def options(command):
    """Add the options that every command that reads one design has."""
    command = click.option("--option", metavar="NAME", help="Look at this redesign from the file's options.")(command)
    above = "Let the file name tables that do not stand beside it."
    return click.option("--allow-above", is_flag=True, help=above)(command)


def units(command):
    """Add the option that chooses the units on the screen; JSON stays SI, and sentences in it metric."""

    @wraps(command)
    def shown(*words: Any, units: str, **more: Any) -> None:
        given = more.get("designs") or more.get("design")
        file = Path(next(iter([given] if isinstance(given, str) else given or ()), DEMO))
        of_file = system_of(file) if units == "as-file" else "metric"
        chosen: Any = of_file if units == "as-file" else units
        plain = more.get("as_json") or more.get("form") in ("json", "csv")
        with using("metric" if plain else chosen):
            command(*words, **more)

    help_ = (
        "Units on the screen; as-file: those of most lengths in the first file. JSON stays SI, sizes as they are sold."
    )
    choice = click.Choice(["metric", "imperial", "as-file"])
    return click.option("--units", type=choice, default="as-file", show_default=True, help=help_)(shown)


def clustered(command):
    """Add the option that lets the workers of a scheduler do what processes of this machine else do."""

    @wraps(command)
    def helped(*words: Any, cluster: str | None, **more: Any) -> None:
        from designs.options.cluster import NoClusterError, helped_by  # what hands out work is not needed for help

        if cluster and more.get("processes"):
            files.refuse("--processes with --cluster: its workers are as many as they are; allowed: one of the two")
        if cluster and more.get("method") == "global":
            files.refuse("--method global with --cluster: each step waits for the last; allowed: grid or hypercube")
        try:
            with helped_by(cluster):
                command(*words, **more)
        except NoClusterError as error:
            files.refuse(f"--cluster {error}")
        except BrokenExecutor as error:
            files.refuse(f"--cluster {error}" if cluster else LOST, status.REFUSED)

    said = (
        "Let the workers of this Dask scheduler do the work; it needs the extra 'cluster', and the same answer comes."
    )
    return click.option("--cluster", metavar="ADDRESS", help=said)(helped)
