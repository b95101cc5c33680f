"""`quietcrank size`: the thinnest shaft that passes every limit."""

import sys

import click

from balance.machine.materials import MATERIALS, Material
from designs import status
from designs.changing.edit import edited
from designs.changing.groups import bearing_counts, group_edits
from designs.command import VERSION, files, inputs, screen
from designs.design import Design
from designs.design.stock import Stock
from designs.options import sizing
from designs.options.sized import failure, sizing_table
from designs.reading.units import BadQuantity, quantity
from designs.shown import said
from designs.stock import ball_name, stock_with
from designs.verdict.row import names_of, worst_first
from shafts.bearings.ball import Ball

SHOWN = 7  # limits of the nearest shaft that are told by themselves


@click.command(name="size")
@click.argument("design", required=False)
@inputs.options
@click.option("--diameter", metavar="LIST", help="Diameters to try, as '6 mm, 8 mm'; all in stock if left out.")
@click.option("--overhang", metavar="LIST", help="Distances from the first bearing to the nearest throw to try.")
@click.option("--span", metavar="LIST", help="Distances between the outer bearings to try.")
@click.option("--material", metavar="LIST", help="Shaft materials to try, as 'silver-steel, stainless-steel'.")
@click.option("--all", "every", is_flag=True, help="Show every shaft that was tried, and what failed it.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI.")
@inputs.sure_if_asked
@inputs.units
def command(
    design: str | None, option: str | None, allow_above: bool, diameter: str | None,
    overhang: str | None, span: str | None, material: str | None, every: bool, as_json: bool, sure: float | None,
) -> None:  # fmt: skip
    """Find the thinnest standard shaft with which DESIGN holds every limit that shafts have a say in.

    All of them are tried, whether or not a thinner one has passed. Exit status 0: one passes; 1: none does;
    2: bad input; 3: the best fails nothing, but not all of it could be looked at.
    """
    named = inputs.one(design, option, allow_above)
    stock = stock_with(named.design.stock)
    wanted = sizing.choices(
        stock,
        _diameters(diameter, stock) or sizing.standard_diameters(stock),
        _materials(material) or [None],
        _lengths("--overhang", overhang) or [None],
        _lengths("--span", span) or [None],
    )
    sized = sizing.size(named.design, wanted, sure)
    table = sizing_table(sized, every or as_json)
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
        judged = screen.wrapped(inputs.how_sure(named.design, sure))
        click.echo(f"{screen.titled(named)}\n{_answer(sized, every)}\n\n{judged}\n")
        screen.show([table] if table.rows else [])
    sys.exit(status.FAILS if sized.best is None else status.of_verdict(sized.mattering(sized.best)))


def _answer(sized: sizing.Sized, every: bool) -> str:
    best, nearest = sized.best, sized.nearest
    if best is not None:
        fixed = names_of(sized.fixed)
        more = f" That is for the shafts; whatever they are, it still fails: {fixed}." if fixed else ""
        open_ = dict.fromkeys(row.key for row in sized.mattering(best) if row.left_out)
        found = f"Thinnest that passes: {_named(best)}."
        if open_:
            found = f"Thinnest that fails nothing: {_named(best)}. Not checked, and so no pass: {names_of(open_)}."
        return screen.wrapped(f"{found}{more} {_binds(sized)} {_to_do(sized.design, best)}")
    if nearest is None:
        reason = f"None of these can be built. The first: {sized.tried[0].why_not}."
        return screen.wrapped(reason + ("" if every else " --all shows every one."))
    failed = worst_first(sized.failed(nearest))
    lines = [f"None of these passes. The nearest is {_named(nearest)}; what it fails, the worst first ({len(failed)}):"]
    if every:
        rows = sizing.advised(sized.design, nearest.choice)
        lines += [f"- {failure(row)}: {rows[row.key, row.what].change}" for row in failed]
    else:
        lines += [f"- {failure(row)}" for row in failed[:SHOWN]]
        rest = names_of(row.key for row in failed[SHOWN:])
        lines += [f"  and {len(failed) - SHOWN} nearer to passing: {rest}"] if rest else []
        lines.append("--all says what would help each; `quietcrank mend` looks for what helps all of them together.")
    return "\n".join(screen.wrapped(line, "  ") for line in lines)


def _binds(sized: sizing.Sized) -> str:
    """Say in a sentence which limits the next thinner shaft fails."""
    thinner = [each for each in sized.tried if not each.why_not and each.choice.diameter < sized.best.choice.diameter]  # type: ignore[union-attr]
    if not thinner:
        return "Nothing thinner was tried."
    thickest = max(thinner, key=lambda each: (each.choice.diameter, -len(sized.failed(each))))
    failed = names_of(row.key for row in sized.failed(thickest))
    return f"What binds: {failed}, which {said(thickest.choice.diameter, 'm', 'g')} fails."


def _to_do(design: Design, best: sizing.Tried) -> str:
    """Say in a sentence what to do with the answer."""
    counts = bearing_counts(design)
    number, others = counts["ball"], counts.total() - counts["ball"]
    material = (best.choice.material or design.shafts.material).name
    bearing = ball_name(best.choice.ball)
    thick = said(best.choice.diameter, "m", "g") + _steps(design, best.choice.ball)
    more = f" and {others} of the other bearings for that shaft" if others else ""
    return f"Make both shafts of {material} {thick}, buy {number} x {bearing}{more}, and check again."


def _steps(design: Design, ball: Ball) -> str:
    """Say how thick the steps of a stepped shaft become, which keep their proportion; nothing of a plain one."""
    segments = edited(design, group_edits(design, ball)).shafts.segments
    sizes = [said(float(each.diameter), "m", "g") for each in segments]
    return f" ({', then '.join(sizes)})" if len({*sizes}) > 1 else ""


def _named(tried: sizing.Tried) -> str:
    ball = tried.choice.ball
    return f"{float(ball.bore) * 1e3:g} mm, on bearings of {ball.size} mm"


def _lengths(name: str, text: str | None) -> list[float]:
    lengths = []
    for each in [] if text is None else text.split(","):
        try:
            lengths.append(quantity(each.strip(), "m"))
        except BadQuantity as error:
            files.refuse(f"{name}: read {error.read}; allowed: {error.allowed}")
    return lengths


def _diameters(text: str | None, stock: Stock) -> list[float]:
    diameters = _lengths("--diameter", text)
    if unknown := [each for each in diameters if not sizing.balls_for(each, stock)]:
        known = ", ".join(f"{said(each, 'm', 'g')}" for each in sizing.standard_diameters(stock))
        files.refuse(
            f"--diameter: read {said(unknown[0], 'm', 'g')}, for which no bearing is in stock; allowed: {known}"
        )
    return diameters


def _materials(text: str | None) -> list[Material]:
    materials = []
    for each in [] if text is None else text.split(","):
        name = each.strip().replace(" ", "-").replace("_", "-")
        if name not in MATERIALS:
            files.refuse(f"--material: read {each.strip()!r}; allowed: {', '.join(MATERIALS)}")
        materials.append(MATERIALS[name])
    return materials
