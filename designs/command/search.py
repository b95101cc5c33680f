"""`quietcrank search`: the best among many options."""

import sys
from concurrent.futures import BrokenExecutor
from pathlib import Path

import click

from designs import status
from designs.changing.edit import text as in_words
from designs.changing.edit import unit_at
from designs.changing.groups import ball_for, group_edits
from designs.command import VERSION, files, inputs, screen
from designs.design import Design
from designs.evaluate import Evaluation
from designs.options import found
from designs.options.batch import alone, limits_of
from designs.options.figures import NoFigureError
from designs.options.findings import MARGIN, Aim, Findings, Ranking, aim
from designs.options.journal import Journal, OtherSearchError, fingerprint
from designs.options.search import Search, check, run
from designs.options.varying import BadSearchError, variation
from designs.options.writing import with_entries, with_values
from designs.reading import BadFile, design_of, read_tree
from designs.reading.source import Entries, parse

LOST = (
    "a process that looked at options was ended from outside, perhaps for want of memory; allowed: fewer --processes, "
    "and --resume to keep what is done"
)


@click.command(name="search")
@click.argument("design", required=False)
@click.option(
    "--vary",
    multiple=True,
    required=True,
    metavar="PATH=VALUES",
    help="Entry to vary: values with commas (=5 mm,6 mm), or a range (=10 mm..14 mm); * in PATH stands for all.",
)
@click.option(
    "--aim",
    "aims",
    multiple=True,
    metavar="SENSE:KEY",
    help="least:KEY or most:KEY; KEY is a limit or TABLE.COLUMN. By default most:margin, the least of all limits.",
)
@click.option(
    "--method",
    type=click.Choice(["grid", "hypercube", "global"]),
    help="Every combination, a Latin hypercube, or differential evolution; else grid for lists, hypercube.",
)
@click.option(
    "--samples",
    type=click.IntRange(1, 10_000_000),
    default=2000,
    show_default=True,
    help="Options to try, but in a grid.",
)
@click.option(
    "--seed", type=click.IntRange(0), default=1, show_default=True, help="The same seed gives the same answer."
)
@click.option("--resume", metavar="FOLDER", help="Keep results in FOLDER as they come, and go on from those in it.")
@click.option("--best", metavar="FILE", help="Write the best option as a design file.")
@click.option("--top", type=click.IntRange(1, 1000), default=10, show_default=True, help="Options to show.")
@click.option("--plot", metavar="FILE", help="Draw the passing options and the front: .png, .svg or .pdf.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, figures in SI.")
@click.option(
    "--processes", type=click.IntRange(1), help="Processes to use; by default as many as there are processors."
)
@click.option("--force", is_flag=True, help="Replace files that exist.")
@click.option("--any-size", is_flag=True, help="Vary also in sizes that nobody sells, a shaft's bearings as they are.")
@click.option("--allow-above", is_flag=True, help="Let the file name tables that do not stand beside it.")
@inputs.clustered
@inputs.sure_if_asked
@inputs.units
def command(
    design: str | None, vary: tuple[str, ...], aims: tuple[str, ...], method: str | None, samples: int, seed: int,
    resume: str | None, best: str | None, top: int, plot: str | None, as_json: bool, processes: int | None,
    force: bool, allow_above: bool, any_size: bool, sure: float | None,
) -> None:  # fmt: skip
    """Try many options of DESIGN and show the best of those that keep every limit.

    Exit status: 0 an option passes every limit; 1 none does; 2 bad input; 3 the best fails nothing, but not all of it
    could be looked at; 130 stopped by Ctrl-C, after showing what was found so far.
    """
    out, picture = files.free(best, force, (".yaml", ".yml")), files.free(plot, force, files.PICTURES)
    path = Path(design) if design else inputs.DEMO
    try:
        tree = read_tree(path)
        base = design_of(tree, path, allow_above)
        search = _search(tree, base, vary, aims, method, samples, seed, any_size)
        journal = Journal(
            Path(resume) if resume else None,
            search.keys,
            fingerprint(VERSION, base, vary, search.method, samples, seed),
        )
        findings = _watched(search, journal, processes)
    except (BadFile, BadSearchError, NoFigureError, OtherSearchError) as error:
        files.refuse(str(error))
    except BrokenExecutor:
        files.refuse(LOST, status.REFUSED)
    except OSError as error:
        files.refused(error.filename, error)
    for each in journal.damaged:
        click.echo(f"{each}: damaged; its options were looked at again", err=True)
    if not findings.tried:
        files.refuse("stopped before anything was tried", status.STOPPED)
    ranking = findings.ranked() if findings.tried > findings.illegal else None
    if ranking is None:
        files.refuse(f"none of {findings.tried:,} options can be built; allowed: values that fit together")
    full = found.whole_verdicts(search, ranking, top, sure)
    _show(search, findings, ranking, full, top, as_json)
    if not as_json:
        click.echo(screen.wrapped(inputs.how_sure(base, sure)))
    if picture:
        from designs.pages.front import draw  # matplotlib is loaded only to draw

        files.write(picture, lambda part: draw(search, ranking, part), force)
    chosen = found.best_of(full) if ranking.passes else None
    if out and (text := _text_of_best(search, ranking, chosen, tree, path, out, allow_above)) is not None:
        files.write_text(out, text, force)
    ended = status.FAILS if chosen is None else chosen.status
    sys.exit(status.STOPPED if findings.interrupted else ended)


def _search(
    tree: Entries,
    base: Design,
    vary: tuple[str, ...],
    aims: tuple[str, ...],
    method: str | None,
    samples: int,
    seed: int,
    any_size: bool,
) -> Search:
    variations = tuple(variation(text, tree, base, any_size) for text in vary)
    wanted: tuple[Aim, ...] = tuple(aim(text) for text in aims) or (Aim("most", MARGIN),)
    evaluation = Evaluation(base)
    limits = limits_of(evaluation)
    others = dict.fromkeys(each.key for each in wanted if each.key not in limits and each.key != MARGIN)
    for key in others:
        alone(evaluation, key)  # complains of a key that nothing has
    listed = all(each.steps is None for each in variations)
    found_method = method or ("grid" if listed else "hypercube")
    search = Search(base, variations, wanted, (*limits, *others), found_method, samples, seed)  # type: ignore[arg-type]
    check(search)
    return search


def _watched(search: Search, journal: Journal, processes: int | None) -> Findings:
    """Run a search with its progress on a terminal, and silently elsewhere."""
    if not sys.stderr.isatty():
        return run(search, journal, lambda count: None, workers=processes)
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = TextColumn("options"), BarColumn(), MofNCompleteColumn(), TextColumn("time left"), TimeRemainingColumn()
    # No thread of its own: processes are started while it shows.
    with Progress(*columns, console=Console(stderr=True), auto_refresh=False, transient=True) as progress:
        task = progress.add_task("options", total=search.count)

        def told(count: int) -> None:
            progress.update(task, advance=count)
            progress.refresh()

        return run(search, journal, told, workers=processes)


def _show(
    search: Search, findings: Findings, ranking: Ranking, full: list[found.Full], top: int, as_json: bool
) -> None:
    if as_json:
        screen.put_json({"quietcrank": VERSION, **found.data(search, findings, ranking, full)})
    else:
        click.echo(screen.wrapped(found.conclusion(search, ranking, full)) + "\n")
        screen.show(found.tables(search, findings, ranking, full, top))
    if findings.interrupted:
        click.echo(f"Stopped after {findings.tried:,} of {search.count:,} options.", err=True)


def _moved_along(search: Search, ranking: Ranking, chosen: found.Full) -> dict[tuple[str, ...], str]:
    """Return the entries that move with a shaft's diameter, by their keys, as a file says them."""
    entries = {}
    for each, value in zip(search.variations, ranking.values[:, chosen.place], strict=True):
        ball = ball_for(search.design, float(each.si(value))) if each.group else None
        for edit in () if ball is None else group_edits(search.design, ball):
            if edit.keys not in each.targets:
                entries[edit.keys] = in_words(edit.value, unit_at(search.design, edit.keys))
    return entries


def _text_of_best(
    search: Search, ranking: Ranking, chosen: found.Full | None, tree: Entries, path: Path, out: Path, allow_above: bool
) -> str | None:
    """Return the design file of the best option; None, having said so, if none passes."""
    if chosen is None:
        click.echo(f"{out}: not written, since no option passes every limit", err=True)
        return None
    values = {
        each.path: each.written(float(value))
        for each, value in zip(search.variations, ranking.values[:, chosen.place], strict=True)
    }
    text = with_values(path.read_text("utf-8-sig"), tree, values)
    text = with_entries(text, parse(text, str(out)), _moved_along(search, ranking, chosen))
    try:
        design_of(parse(text, str(out)), out, allow_above)
    except BadFile as error:
        files.refuse(f"{error}\n(write it beside {path.name}, where its tables are)")
    return text
