"""`quietcrank parts`: what to buy and what to make."""

import click

from designs.command import VERSION, files, inputs, screen
from designs.evaluate import evaluate_finely
from designs.parts import for_the_shop, parts, parts_tables, to_get_from


@click.command(name="parts")
@click.argument("design", required=False)
@click.argument("other", required=False)
@inputs.options
@click.option("--json", "form", flag_value="json", help="As JSON, numbers in SI with the unit in the key.")
@click.option("--csv", "form", flag_value="csv", help="As CSV, what to buy and then what to make.")
@click.option("--markdown", "form", flag_value="markdown", help="As Markdown.")
@click.option("-o", "--output", metavar="FILE", help="Write to FILE instead of the screen.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
@inputs.units
def command(
    design: str | None, other: str | None, option: str | None, allow_above: bool,
    form: str | None, output: str | None, force: bool,
) -> None:  # fmt: skip
    """List what to buy and what to make for DESIGN; with OTHER, only what it takes to get from DESIGN to OTHER."""
    out = files.free(output, force)
    first = inputs.one(design, option, allow_above)
    found, title = parts(evaluate_finely(first.design)), ""
    if other is not None:
        second = inputs.one(other, None, allow_above)
        found = to_get_from(found, parts(evaluate_finely(second.design)))
        title = f"to get from {first.path.name} to {second.path.name}"
    tables = parts_tables(found, title)
    if form is None and out is None:
        click.echo(screen.titled(first))
        screen.show(for_the_shop(tables))
        return
    if form == "json":
        import json

        text = (
            json.dumps(
                {"quietcrank": VERSION, "file": str(first.path), "results": screen.tables_json(tables)}, indent=1
            )
            + "\n"
        )
    elif form == "csv":
        text = "\n".join(table.csv() for table in tables)
    else:
        text = "\n".join(table.markdown() for table in tables)
    if out is None:
        click.echo(text, nl=False)
    else:
        files.write_text(out, text, force)
