"""`quietcrank size`: the thinnest shaft that passes every limit."""

import sys

import click

from balance.machine.materials import MATERIALS, Material
from designs import status
from designs.command import VERSION, files, inputs, screen
from designs.options import sizing
from designs.options.sized import failure, sizing_table
from designs.reading.units import BadQuantity, quantity


@click.command(name="size")
@click.argument("design", required=False)
@inputs.options
@click.option(
    "--diameter", metavar="LIST", help="Diameters to try, as '6 mm, 8 mm'; every standard bearing bore if left out."
)
@click.option("--overhang", metavar="LIST", help="Distances from the first bearing to the nearest throw to try.")
@click.option("--span", metavar="LIST", help="Distances between the outer bearings to try.")
@click.option("--material", metavar="LIST", help="Shaft materials to try, as 'silver-steel, stainless-steel'.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI.")
@inputs.sure_if_asked
def command(
    design: str | None, option: str | None, allow_above: bool, diameter: str | None,
    overhang: str | None, span: str | None, material: str | None, as_json: bool, sure: float | None,
) -> None:  # fmt: skip
    """Find the thinnest standard shaft with which DESIGN holds every limit that shafts have a say in.

    All of them are tried, whether or not a thinner one has passed. Exit status 0: one passes; 1: none does;
    2: bad input; 3: the best fails nothing, but not all of it could be looked at.
    """
    named = inputs.one(design, option, allow_above)
    wanted = sizing.choices(
        _lengths("--diameter", diameter) or sizing.standard_diameters(),
        _materials(material) or [None],
        _lengths("--overhang", overhang) or [None],
        _lengths("--span", span) or [None],
    )
    sized = sizing.size(named.design, wanted, sure)
    table = sizing_table(sized)
    if as_json:
        screen.put_json(
            {
                "quietcrank": VERSION,
                "title": named.name,
                "file": str(named.path),
                "results": screen.tables_json([table]),
            }
        )
    else:
        click.echo(f"{named.name}  [{named.path.name}]\n\n{_answer(sized)}\n\n{inputs.how_sure(named.design, sure)}\n")
        screen.show([table])
    sys.exit(status.FAILS if sized.best is None else status.of_verdict(sized.mattering(sized.best)))


def _answer(sized: sizing.Sized) -> str:
    best, nearest = sized.best, sized.nearest
    if best is not None:
        fixed = ", ".join(key.replace("_", " ") for key in sized.fixed)
        more = f" That is for the shafts; whatever they are, it still fails: {fixed}." if fixed else ""
        return f"Thinnest that passes: {_named(best)}.{more}"
    if nearest is None:
        return "None of these can be built."
    lines = [f"None of these passes. The nearest is {_named(nearest)}; what it fails, and what would help:"]
    lines += [f"- {failure(row)}: {row.change}" for row in sized.failed(nearest)]
    return "\n".join(click.wrap_text(line, width=100, subsequent_indent="  ") for line in lines)


def _named(tried: sizing.Tried) -> str:
    bore, outside, width = (f"{part * 1e3:g}" for part in tried.choice.ball)
    return f"{bore} mm, on bearings of {bore} x {outside} x {width} mm"


def _lengths(name: str, text: str | None) -> list[float]:
    found = []
    for each in [] if text is None else text.split(","):
        try:
            found.append(quantity(each.strip(), "m"))
        except BadQuantity as error:
            files.refuse(f"{name}: read {error.read}; allowed: {error.allowed}")
    if name == "--diameter" and (unknown := [each for each in found if not sizing.balls_for(each)]):
        known = ", ".join(f"{each * 1e3:g} mm" for each in sizing.standard_diameters())
        files.refuse(f"{name}: read {unknown[0] * 1e3:g} mm, for which no bearing is known; allowed: {known}")
    return found


def _materials(text: str | None) -> list[Material]:
    found = []
    for each in [] if text is None else text.split(","):
        name = each.strip().replace(" ", "-").replace("_", "-")
        if name not in MATERIALS:
            files.refuse(f"--material: read {each.strip()!r}; allowed: {', '.join(MATERIALS)}")
        found.append(MATERIALS[name])
    return found
