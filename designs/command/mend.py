"""`quietcrank mend`: the least change that makes every limit hold."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from designs import status
from designs.cautions import CAUTION
from designs.changing.edit import Edit, text, unit_at
from designs.command import VERSION, files, inputs, screen
from designs.counsel.advice import as_told, befores, change_words, step_words
from designs.counsel.free import below, free_choices
from designs.counsel.limits import in_the_way
from designs.counsel.mending import Mended, families, mend
from designs.counsel.plan import Plan, changed_entries, planned
from designs.counsel.trial import tried
from designs.design import Design
from designs.doubt import SURE
from designs.options.writing import as_given, with_entries, with_option
from designs.reading import BadFile, design_of, read_tree
from designs.reading.changes import changed
from designs.reading.source import parse
from designs.shown import system_of
from designs.table import Column, plain
from designs.verdict.row import name_of, names_of


@click.command(name="mend")
@click.argument("design", required=False)
@inputs.options
@click.option(
    "--keep", multiple=True, metavar="PATH", help="Do not change what stands at PATH or below; * for any key."
)
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    help="Write the mended design: the same file, comments and all. With --option, that option changes more.",
)
@click.option("--nearest", is_flag=True, help="Where no way passes, write the nearest one, which fails less.")
@click.option(
    "--way", type=click.IntRange(1, 3), default=1, show_default=True, help="Which of the ways shown to write."
)
@click.option(
    "--json",
    "as_json",
    is_flag=True,
    help="Print one JSON object: entries as a file says them, values in SI with the unit in the key.",
)
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
@inputs.clustered
@inputs.units
def command(
    design: str | None, option: str | None, allow_above: bool, keep: tuple[str, ...],
    output: str | None, nearest: bool, way: int, as_json: bool, force: bool,
) -> None:  # fmt: skip
    """Find the least work that makes DESIGN hold every limit, from what can be bought.

    Fewest parts to make anew come first, then fewest to buy. What may change is every free choice of a part, unless
    the design narrows it with `may_change:`, or --keep does; what can be bought follows its `stock:`. The same design
    gives the same answer. Exit status: 0 a way passes every limit; 1 none does; 2 bad input; 3 nothing fails, but not
    all could be looked at; 130 stopped by Ctrl-C.
    """
    out = files.free(output, force, (".yaml", ".yml"))
    named = inputs.one(design, option, allow_above)
    _refuse_unknown(named.design, keep)
    mended = _watched(named.design, keep)
    try:
        if as_json:
            screen.put_json({"quietcrank": VERSION, "title": named.name, "file": str(named.path), **_json(mended)})
        else:
            _show(named, mended, keep)
    finally:  # a reader that goes away, as `| head` does, takes minutes of work with it otherwise
        if out is not None:
            plan = mended.plans[way - 1] if way <= len(mended.plans) else mended.nearest if nearest else None
            _write(named, option, plan, way, (out, force), allow_above)
    sys.exit(status.STOPPED if mended.interrupted else _status(mended))


def _status(mended: Mended) -> int:
    """Return the exit status: that of the design where nothing fails, else of the way that leaves least unlooked."""
    if mended.base.trial.passes:
        return status.of_verdict(mended.base.trial.rows)
    every = [status.of_verdict(plan.trial.rows) for plan in mended.plans]
    return min(every, key=(status.HOLDS, status.NOT_ALL_CHECKED, status.FAILS).index, default=status.FAILS)


def _whole(mended: Mended) -> str:
    """Return one word for the whole."""
    if not mended.plans:
        return "NOT MENDED"
    return "MENDED" if _status(mended) == status.HOLDS else "MENDED, AS FAR AS IT WAS LOOKED AT"


def _refuse_unknown(design: Design, keep: tuple[str, ...]) -> None:
    """A path that touches nothing is a slip, not a wish."""
    paths = [path for dial in free_choices(design) for path in dial.paths]
    for each in keep:
        if not any(below(path, each) or below(each, path) for path in paths):
            files.refuse(
                f"--keep {each}: read a path that mend does not change; allowed: {', '.join(dict.fromkeys(paths))}"
            )


def _watched(design: Design, keep: tuple[str, ...]) -> Mended:
    """Mend with its progress on a terminal, and silently elsewhere."""
    told: Callable[[str], None] = lambda words: None  # noqa: E731
    if sys.stderr.isatty():

        def told(words: str) -> None:
            click.echo(f"\r\x1b[K{words[:78]}", nl=False, err=True)

    mended = mend(design, keep, told)
    mended = replace(mended, plans=[as_told(each) for each in mended.plans], nearest=as_told(mended.nearest))
    if sys.stderr.isatty():
        click.echo("\r\x1b[K", nl=False, err=True)
    return mended


def _show(named: inputs.Named, mended: Mended, keep: tuple[str, ...]) -> None:
    base = mended.base
    if base.trial.passes:
        click.echo(screen.titled(named, "PASSES: "))
        click.echo("Every limit that could be checked holds; there is nothing to mend.")
    else:
        click.echo(screen.titled(named, f"{_whole(mended)}: "))
        click.echo(screen.wrapped(f"Fails: {_named(base.trial.failing)}."))
    for number, plan in enumerate(mended.plans, start=1):
        click.echo("\n" + screen.wrapped(f"Way {number}: {', '.join(families(plan))}", "   "))
        click.echo(screen.wrapped(f"   {plan.work.words or 'nothing to make or buy'}", "   "))
        _steps(plan, number == 1)
        _left_over(plan)
    if not mended.plans and not base.trial.passes:
        _nearest(mended, keep)
    if mended.interrupted:
        click.echo("\nStopped before the end: there may be a way with less work.")
    if left := _never_checked(mended):
        words = f"\nNot checked, and so not mended: {_named(left)}. `check --all` says what to give."
        click.echo(screen.wrapped(words))
    thinner = any("shafts" in families(plan) for plan in mended.plans)
    note = f"{NOTE} {THINNER}" if thinner else NOTE
    click.echo(f"\n{screen.wrapped(note)}\n\n{screen.wrapped(CAUTION)}")


def _never_checked(mended: Mended) -> tuple[str, ...]:
    """Return the limits that were looked at neither as the design stands nor in any way that is told."""
    told = mended.plans or [mended.nearest]
    return tuple(key for key in mended.base.trial.unchecked if all(key in each.trial.unchecked for each in told))


THINNER = "A way is what the search came to first: thinner shafts may do, and `quietcrank size` tries every one."
NOTE = (
    f"Each way had the whole verdict and holds in {100 * SURE:.0f} of 100 machines that it may be; what single changes "
    "do was looked at without vibration of the shafts. Masses are kept as given, but for webs, crankpins, rods, bars "
    "of yokes and flywheels that change; weigh what you made and check again."
)


def _steps(plan: Plan, with_effects: bool = True) -> None:
    """Write the changes of a plan in order, and what each does upon those before it."""
    before = planned(plan.base, (), still=True)
    for number, (step, design) in enumerate(zip(plan.steps, befores(plan), strict=True), start=1):
        said = "; ".join(filter(None, (step_words(step, design), step.level.work.words)))
        if with_effects:
            part = planned(plan.base, plan.steps[:number], before, still=True)
            said, before = change_words(before, part), part
        click.echo(screen.wrapped(f"{number}. {said}", "   "))


def _left_over(plan: Plan) -> None:
    """Write what binds: the limits with the least to spare."""
    known = [(float(each.margin), each.key) for each in plan.trial.figures.values()
             if each.margin is not None and each.passed is not None and 0 < float(each.margin) < 0.25]  # fmt: skip
    if known:
        said = ", ".join(f"{name_of(key)} ({margin * 100:.0f} percent)" for margin, key in sorted(known)[:3])
        click.echo(screen.wrapped(f"   Least to spare: {said}.", "   "))
    new = [key for key in plan.trial.unchecked if key not in plan.base.unchecked]
    if new:
        click.echo(screen.wrapped(f"   Not checked any more: {_named(tuple(new))}.", "   "))


def _nearest(mended: Mended, keep: tuple[str, ...]) -> None:
    plan = mended.nearest
    why = "Nothing that was tried, of what may change and can be bought, makes every limit hold."
    why = "Stopped before a way was found." if mended.interrupted else why
    click.echo(f"\n{screen.wrapped(f'{why} The nearest:')}")
    _steps(plan)
    for words in in_the_way(plan, free_choices(plan.base.design, keep)):
        click.echo(screen.wrapped(f"- {words}", "  "))


def _named(keys: Sequence[str]) -> str:
    return names_of(keys)


def _json(mended: Mended) -> dict[str, Any]:
    base = mended.base.trial
    return {
        "passes": base.passes,
        "failing": list(base.failing),
        "not_checked": list(base.unchecked),
        "interrupted": mended.interrupted,
        "ways": [_plan_json(plan) for plan in mended.plans],
        "nearest": None if mended.plans or base.passes else _plan_json(mended.nearest),
    }


def _plan_json(plan: Plan) -> dict[str, Any]:
    design, changes = plan.base.design, []
    for step in plan.steps:
        edits = step.level.edits(design)
        changes.append({
            "part": step.dial.name, "family": step.dial.family, "was": step.dial.now, "is": step.level.shown,
            "entries": {edit.path: _text(design, edit) for edit in edits},
        })  # fmt: skip
        design = step.level.of(design)
    return {
        "kind": list(families(plan)),
        "changes": changes,
        "make": dict(plan.work.make),
        "buy": dict(plan.work.buy),
        "failing": list(plan.trial.failing),
        "not_checked": list(plan.trial.unchecked),
        "values": {Column(key, "", each.unit).json_key: plain(each.value) for key, each in plan.trial.figures.items()},
    }


def _text(design: Design, edit: Edit) -> str:
    return text(edit.value, unit_at(design, edit.keys))


def _write(
    named: inputs.Named, option: str | None, plan: Plan | None, way: int, to: tuple[Path, bool], allow_above: bool
) -> None:
    """Write a way; says so where there is none.   option : whose entries change, in the same file.

    to : the file, and whether it may be replaced.
    """
    out, force = to
    if plan is None or not plan.steps:
        click.echo(f"{out}: not written, since there is no way {way} that passes every limit", err=True)
        return
    text, tree = named.path.read_text("utf-8-sig"), read_tree(named.path)
    entries = changed_entries(plan.base.design, plan.steps)
    values = as_given(tree if option is None else changed(tree, option), entries, system_of(named.path))
    written = with_entries(text, tree, values) if option is None else with_option(text, tree, option, values)
    try:
        read = parse(written, str(out))
        again = design_of(read if option is None else changed(read, option), out, allow_above)
    except BadFile as error:
        files.refuse(f"{error}\n(write it beside {named.path.name}, where its tables are)")
    failing = tried(again).failing
    if more := [key for key in failing if key not in plan.trial.failing]:
        # What is written is checked once more: it must be what was tried.
        files.refuse(f"{out}: not written, since read again it fails {_named(more)}")
    files.write_text(out, written, force)
    still = f", the nearest, which still fails {_named(plan.trial.failing)}" if plan.trial.failing else ""
    click.echo(f"wrote {out}{still}" + (f": look at it with --option {option!r}" if option else ""))
