"""Which designs a command is to look at, and what is said when one cannot be read."""

import sys
from dataclasses import dataclass
from pathlib import Path

import click

from designs import status
from designs.design import Design
from designs.reading import BadFile, read

SHIPPED = Path(__file__).parents[1]
DEMO = SHIPPED / "as-built.yaml"


@dataclass(frozen=True)
class Named:
    """A design and the name under which it is shown."""

    name: str
    path: Path
    design: Design


def one(path: str | None, option: str | None, allow_above: bool = False) -> Named:
    """Read one design, or the demonstration engine; ends the command with status 2 if it cannot be read."""
    found, complaints = several((path,) if path else (), option, allow_above)
    if complaints:
        stop(complaints)
    return found[0]


def several(
    paths: tuple[str, ...], option: str | None = None, allow_above: bool = False
) -> tuple[list[Named], list[BadFile]]:
    """Read every design that can be read, and return what is wrong with the others."""
    found, complaints = [], []
    for path in [Path(each) for each in paths] or [DEMO]:
        try:
            design = read(path, option, allow_above)
            found.append(Named(design.title if option is None else f"{design.title}: {option}", path, design))
        except BadFile as error:
            complaints.append(error)
    return found, complaints


def tell(complaints: list[BadFile]) -> None:
    """Say on standard error what is wrong with files."""
    for each in complaints:
        click.echo(str(each), err=True)


def stop(complaints: list[BadFile]) -> None:
    """Say what is wrong with files and end with status 2."""
    tell(complaints)
    sys.exit(status.BAD_INPUT)


def options(command):
    """Add the options that every command that reads one design has."""
    command = click.option("--option", metavar="NAME", help="Look at this redesign from the file's options.")(command)
    above = "Let the file name tables that do not stand beside it."
    return click.option("--allow-above", is_flag=True, help=above)(command)
