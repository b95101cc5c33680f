"""What all readings together tell: entries before and after, forecasts, and what to read next."""

from designs.learning.following import Following
from designs.learning.learned import ALONE, TOLD_SHIFT, TOLD_SPREAD, Forecast, Learned
from designs.shown import RPM
from designs.table import Column, Table
from designs.tables.measured import Amount

MOST_PULLS = 4
WORTH = 0.02


def entries_table(learned: Learned) -> Table:
    """Return every unknown before and after the readings."""
    columns = (
        Column("entry", "entry"),
        Column("before", "before"),
        Column("before_half_width", "+-"),
        Column("after", "after"),
        Column("after_half_width", "+-"),
        Column("spread", "spread, of before", "share"),
        Column("shift", "moved (deviations)", "1"),
        Column("told", "told"),
    )
    rows = []
    for index, each in enumerate(learned.before.unknowns):
        (mean, sd), (new_mean, new_sd) = learned.entry(index, False), learned.entry(index, True)
        si, size = each.range.si, max(abs(mean), abs(new_mean))
        pairs = ((mean, 2 * sd), (new_mean, 2 * new_sd))
        amounts = [Amount(value, si, size, half) for middle, half in pairs for value in (middle, half)]
        spread, shift = (new_sd / sd, (new_mean - mean) / sd) if sd else (1.0, 0.0)
        rows.append((each.name, *amounts, spread, shift, "told" if learned.is_told(index) else "silent"))
    note = (
        f"Told: the spread falls below {TOLD_SPREAD:.0%} of what it was, or the mean moves by more than {TOLD_SHIFT:g} "
        "of its deviations. Silent: the readings say next to nothing of it alone, perhaps of a sum that it is part of."
    )
    return Table(
        "entries", "Entries before and after the readings", columns, sorted(rows, key=lambda row: row[5]), note
    )


def forecast_table(foretold: list[Forecast]) -> Table:
    """Return what is foretold of this machine and its redesigns."""
    columns = (
        Column("machine", "machine"),
        Column("touches", "touches, of 100", "share"),
        Column("touches_doubt", "+-", "share"),
        Column("touched_before", "was", "share"),
        Column("gap", "least gap", "m"),
        Column("gap_half_width", "+-", "m"),
        Column("gap_before", "was", "m"),
        Column("gap_before_half_width", "+-", "m"),
        Column("contact_5", "first contact, 5 of 100 below", "rad/s"),
        Column("contact_50", "50 below", "rad/s"),
        Column("contact_95", "95 below", "rad/s"),
    )
    rows = []
    for each in foretold:
        (gap, sd), (was, was_sd) = each.gap_mean_sd(True), each.gap_mean_sd(False)
        contact = each.contact_quantiles(True, (0.05, 0.5, 0.95))
        share = (each.touches(True), 2 * each.doubt_of_share(True), each.touches(False))
        rows.append((each.name, *share, gap, 2 * sd, was, 2 * was_sd, *contact))
    note = (
        "Of machines that agree with all readings: how many touch within the speed range, and the least gap over it. "
        "+- of the share is from the number of draws alone. A redesign keeps what it does not change; a part of which "
        "it changes anything is a new one, about which no reading tells. Counterweights stay as they were cut. "
        f"Shafts vibrate as in the middle machine; by how much {ALONE} machines worked out by themselves differ counts."
    )
    return Table("forecasts", "What is foretold", columns, rows, note)


def next_table(next_: Following) -> Table:
    """Return what to read next."""
    columns = (Column("card", "card"), Column("takes", "takes of the open variance", "share"))
    rows = [(each.title, each.gains) for each in next_.cards if each.gains >= WORTH]
    note = (
        f"Open: {next_.of}. A reading as careful as the card asks would take that share of its variance, by a straight "
        "line; `quietcrank measure --all` prints the cards."
    )
    return Table("next", "What to read next", columns, rows, note)


def tables(learned: Learned, foretold: list[Forecast], next_: Following) -> list[Table]:
    """Return all tables; no forecast where model and readings disagree."""
    if not learned.agrees:
        return []
    return [table for table in (forecast_table(foretold), next_table(next_), entries_table(learned)) if table.rows]


def combination_words(learned: Learned) -> str:
    """Return which sum of entries the speed of first contact speaks of, "" if of none."""
    pulls = learned.combination()[:MOST_PULLS]
    if not pulls:
        return ""
    names = [f"{learned.before.unknowns[index].name} {pull * RPM:+.0f} rpm" for index, pull in pulls]
    return f"First contact speaks of a sum of entries; for one deviation more of each: {', '.join(names)}."


def disagreement_words(learned: Learned) -> str:
    """Return why nothing is told, "" if model and readings agree."""
    if learned.agrees:
        return ""
    strange = (
        f" Outside all that was thought possible: {'; '.join(learned.strange)}."
        if learned.strange
        else " Each reading by itself is possible: more machines (--draws) may hold some that fit all."
    )
    return (
        f"Model and readings disagree: {learned.posterior.effective:.0f} of {len(learned.posterior.z)} machines fit "
        f"them all.{strange} Nothing is foretold. Look for a slip in the readings; then for what the design leaves out "
        "or counts as rigid (webs and pins without a size, a case that yields, play that was not given), ranges that "
        "are too narrow, and a knock that was of another part."
    )


def forecast_words(forecast: Forecast) -> str:
    """Return a forecast in one sentence."""
    now, was = round(100 * forecast.touches(True)), round(100 * forecast.touches(False))
    return f"{forecast.name}: touches in {now} of 100, was {was}."
