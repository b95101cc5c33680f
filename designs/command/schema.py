"""`quietcrank schema`: the JSON Schema of design files."""

import click

from designs.command.screen import put_json


@click.command(name="schema")
def command() -> None:
    """Print the JSON Schema of design files.

    Save it beside your designs and point your editor's YAML support to it for completion.
    """
    from designs.reading.schema import schema

    put_json(schema())
