"""`quietcrank open`: a page on which a design is changed and seen at once."""

import os
import socket
import sys
import webbrowser
from pathlib import Path

import click

from designs import status
from designs.command import files, inputs
from designs.reading import BadFile


@click.command(name="open")
@click.argument("designs", nargs=-1, metavar="DESIGN [OTHER]...", required=True)
@click.option("--no-browser", is_flag=True, help="Print the address only; open no browser.")
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="PORT", help="Serve at this port; else at a free one."
)
@click.option("--allow-above", is_flag=True, help="Let the file name tables that do not stand beside it.")
@inputs.units
def command(designs: tuple[str, ...], no_browser: bool, port: int, allow_above: bool) -> None:
    """Open DESIGN on a page in the browser: change its entries and see at once what that does.

    The page is served on this machine only, and to no one who does not have its address. Only DESIGN is ever
    written, and only as you save; OTHER designs stand beside it as they are. It ends as you close the page, or with
    Ctrl-C. Exit status 0: it was closed; 2: a design could not be read; 4: the port is taken.
    """
    paths = [Path(each) for each in designs]
    _, complaints = inputs.several(tuple(map(str, paths)), allow_above=allow_above)
    if complaints:
        inputs.stop(complaints)
    door = _door(port)
    # The server, and all that draws, is loaded once the designs are known to be good.
    from designs.live.serve import serve

    try:
        session = serve(paths, allow_above, door, lambda address: _tell(address, no_browser))
    except BadFile as error:
        inputs.stop([error])
    if not session.saved:
        click.echo(f"Not saved: {', '.join('.'.join(keys) for keys in session.differs) or 'what was changed'}.")
    click.echo("closed")


def _tell(address: str, no_browser: bool) -> None:
    """Say where the page is, and open it."""
    click.echo(f"{address}\nServed on this machine only. Close the page, or press Ctrl-C here, to end.")
    sys.stdout.flush()
    if not no_browser and not webbrowser.open(address):
        click.echo("No browser could be opened; open this address in one.")


def _door(port: int) -> socket.socket:
    """Return where the page will be served: on this machine alone."""
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # where it lets no other listen too, but makes a port free as soon as it is left
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        door.bind(("127.0.0.1", port))
    except OSError as error:
        files.refuse(f"port {port}: {error.strerror or error}; allowed: another port, or none to take a free one",
                     status.REFUSED)  # fmt: skip
    return door
