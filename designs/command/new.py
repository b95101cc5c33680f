"""`quietcrank new`: a design to start from."""

from pathlib import Path

import click

from designs.command import files, inputs

FURTHER = Path(__file__).with_name("further-entries.yaml")
ARRANGEMENTS = {"A": "rhombic.yaml", "B": "redesign.yaml"}
DIAPHRAGM = "as-built.yaml"


@click.command(name="new")
@click.argument("file")
@click.option(
    "--arrangement",
    type=click.Choice(list(ARRANGEMENTS), case_sensitive=False),
    default="B",
    show_default=True,
    help="A: both yokes on one crankpin, one above the cranks and one below. B: two throws, both yokes above.",
)
@click.option(
    "--diaphragm",
    is_flag=True,
    help="B with a diaphragm in place of the piston, as before a rebuild: its limits fail as it stands.",
)
def command(file: str, arrangement: str, diaphragm: bool) -> None:
    """Write a commented design to FILE, to start from.

    It checks as it stands; change its entries one by one to those of your own machine. An existing file is
    never touched.
    """
    if diaphragm and arrangement.upper() != "B":
        files.refuse(f"--diaphragm: read with arrangement {arrangement.upper()}; allowed: with B")
    path = files.free(file, force=False, endings=(".yaml", ".yml"))
    assert path is not None
    parts = (inputs.SHIPPED / (DIAPHRAGM if diaphragm else ARRANGEMENTS[arrangement.upper()]), FURTHER)
    files.write_text(path, "\n".join(part.read_text("utf-8") for part in parts))
    click.echo(f"Wrote {path}. Look at it with: quietcrank check {path}")
