"""`quietcrank learn`: what all readings together tell of the machine."""

import sys
from pathlib import Path
from typing import Any

import click

from designs import status
from designs.cautions import CODES, LOOSE
from designs.command import VERSION, files, inputs, screen
from designs.design import Design
from designs.learning.evidence import unused
from designs.learning.following import Following, following
from designs.learning.learned import DRAWS, SEED, Forecast, Learned, forecasts, learn
from designs.reading import BadFile, read_options
from designs.tables import learned

RARELY = 0.05
"""Share of machines that may touch before the command says so by its status; as a pass of 19 of 20."""
CAUTION = (
    f"A forecast is as good as the readings and the model: start slowly, and stop at the first knock. {LOOSE} {CODES}"
)


@click.command(name="learn")
@click.argument("design", required=False)
@click.option("--allow-above", is_flag=True, help="Let the file name tables that do not stand beside it.")
@click.option("--draws", type=click.IntRange(500, 200_000), default=DRAWS, show_default=True, help="Machines drawn.")
@click.option("--seed", type=click.IntRange(0), default=SEED, show_default=True, help="Of the draws.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, numbers in SI with the unit in the key.")
@click.option("--plot", metavar="FILE", help="Also draw what was thought before and after to FILE: .png, .svg or .pdf.")
@click.option("--force", is_flag=True, help="Replace the plot file if it exists.")
@inputs.clustered
@inputs.units
def command(design: str | None, allow_above: bool, draws: int, seed: int, **how: Any) -> None:
    """Say what all readings under `measured:` in DESIGN tell of its machine together, and what they foretell.

    Exit status 0: the machine touches in less than 5 of 100; 1: in more, or model and readings disagree; 2: bad input.
    """
    plot = files.free(how["plot"], how["force"], files.PICTURES)
    named = inputs.one(design, None, allow_above)
    _refuse_without_readings(named)
    result = learn(named.design, draws, seed)
    redesigns, faulty = _redesigns(named, allow_above)
    foretold = forecasts(result, redesigns) if result.agrees else []
    next_ = following(result, foretold) if foretold else Following("", [])
    if how["as_json"]:
        screen.put_json({"quietcrank": VERSION, "title": named.name, **_json(named, result, foretold, next_)})
    else:
        _show(named, result, foretold, next_)
    if plot is not None and foretold:
        from designs.command.plotting import draw_learned  # matplotlib is loaded only to draw

        draw_learned(foretold, str(plot), how["force"])
    inputs.tell(faulty)
    sys.exit(status.BAD_INPUT if faulty else int(not foretold or foretold[0].touches(True) > RARELY))


def _refuse_without_readings(named: inputs.Named) -> None:
    if named.design.measured is None:
        files.refuse(f"{named.path}: read no 'measured:'; allowed: readings of the machine; see `quietcrank measure`")
    if not any(yoke.outline is not None for yoke in named.design.yokes.values()):
        files.refuse(f"{named.path}: read no outline of any yoke; allowed: yokes.*.outline, so that contact is known")


def _redesigns(named: inputs.Named, allow_above: bool) -> tuple[dict[str, Design], list[BadFile]]:
    every = read_options(Path(named.path), allow_above)
    good = {name: each for name, each in every.items() if isinstance(each, Design)}
    return good, [each for each in every.values() if isinstance(each, BadFile)]


def _show(named: inputs.Named, result: Learned, foretold: list[Forecast], next_: Following) -> None:
    click.echo(screen.titled(named))
    for each in _lines(result, foretold):
        click.echo(screen.wrapped(each, "  "))
    click.echo()
    screen.show(learned.tables(result, foretold, next_))
    click.echo(screen.wrapped(CAUTION))


def _lines(result: Learned, foretold: list[Forecast]) -> list[str]:
    heard = "; ".join(each.what for each in result.told) or "readings of single entries alone"
    lines = [] if result.agrees else [learned.disagreement_words(result)]
    lines += [learned.forecast_words(each) for each in foretold]
    lines += [f"Told by: {heard}."]
    lines += [f"Not used: {each}." for each in unused(result.before.evaluation)]
    lines.append(
        f"{len(result.posterior.z)} machines drawn, worth {result.posterior.effective:.0f} that fit the readings."
    )
    return [*lines, learned.combination_words(result)] if result.agrees and foretold else lines


def _json(named: inputs.Named, result: Learned, foretold: list[Forecast], next_: Following) -> dict[str, Any]:
    return {
        "file": str(named.path),
        "agree": result.agrees,
        "draws": len(result.posterior.z),
        "effective_draws": result.posterior.effective,
        "told_by": [each.what for each in result.told],
        "not_used": unused(result.before.evaluation),
        "disagreement": learned.disagreement_words(result),
        "touches": {each.name: each.touches(True) for each in foretold},
        "results": screen.tables_json(learned.tables(result, foretold, next_)),
    }
