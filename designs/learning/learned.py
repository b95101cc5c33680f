"""All readings together on the machine's model: what they leave of each entry, and what they foretell."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import partial

import numpy as np

from balance.evidence.importance import Posterior, learned
from balance.many import legal, one, options_of, unchecked
from designs.design import Design
from designs.doubt.judging import AS_SEEN, Closer, closer_look, placed, value_of
from designs.doubt.unknowns import Unknown, machines, unknowns_of
from designs.evaluate import Evaluation, evaluate_finely
from designs.learning.evidence import Evidence, evidence
from designs.learning.observing import Observable, Touching, observed
from designs.verdict import gap

DRAWS, SEED = 20_000, 1
FORECAST = 2000
"""Draws on which each redesign is worked out."""
OWN = "this machine"
ALONE = 3
"""Machines of each forecast worked out by themselves, for how far the middle one's vibration is off in them."""
Look = Callable[[np.ndarray], np.ndarray]
TOLD_SPREAD, TOLD_SHIFT = 0.9, 0.3
"""An entry is told of if its spread falls below this share, or its mean moves by more than this many deviations."""
FAR = 3.0
"""Deviations of a reading itself by which it may lie beyond them."""
EDGE = 1e-3
"""Share of machines at either end beyond which a reading lies outside all that was thought possible."""


@dataclass(frozen=True, eq=False)
class Before:
    """A machine before readings: its design, what is not known of it, and its counterweights as cut."""

    evaluation: Evaluation
    unknowns: list[Unknown]

    def many(self, z: np.ndarray, wanted: Sequence[Observable]) -> np.ndarray:
        """Return what is wanted of the machines at standard normal unknowns z, (draws, unknowns)."""
        from scipy.special import ndtr  # heavy, and needed only here

        bare = unchecked(self.evaluation.design, {"measured": None, "found": (), "doubts": {}})
        shares = ndtr(z).T
        if not len(shares):  # nothing is in doubt: all machines are the same one
            observables = observed(_alike(bare), wanted, self.evaluation.weights)
            return np.broadcast_to(observables[:1], (len(z), observables.shape[1]))
        return observed(machines(bare, self.unknowns, shares), wanted, self.evaluation.weights)

    def alone(self, z: np.ndarray) -> np.ndarray:
        """Return contact and least gap of one machine, z (unknowns,), with its own vibration; NaN if it cannot be."""
        from scipy.special import ndtr

        bare = unchecked(self.evaluation.design, {"measured": None, "found": (), "doubts": {}})
        design = machines(bare, self.unknowns, ndtr(z)[:, None])
        if options_of(design) is None or not legal(design, 1)[0]:
            return np.full(2, np.nan)
        return Touching().values(Evaluation(one(design, 0), cut=self.evaluation.weights)).ravel()


def _alike(design: Design) -> Design:
    from balance.many import planted

    return planted(design, (("speed", "least"),), np.full(2, float(design.speed.least)))


@dataclass(frozen=True, eq=False)
class Forecast:
    """What is foretold of one machine: this one, or a redesign made on it.

    contact : rad/s.   gap : least over the speed range, m; both (draws,) before and after with their weights.
    """

    name: str
    most: float
    contact: tuple[np.ndarray, np.ndarray]
    gap: tuple[np.ndarray, np.ndarray]
    weights: tuple[np.ndarray, np.ndarray]

    def touches(self, after: bool) -> float:
        """Return the share of machines whose yokes touch within the speed range."""
        return float(np.clip(self.weights[int(after)] @ (self.contact[int(after)] <= self.most), 0.0, 1.0))

    def doubt_of_share(self, after: bool) -> float:
        """Return the standard deviation of that share from the number of draws alone."""
        weights, touching = self.weights[int(after)], self.contact[int(after)] <= self.most
        share = 0.0 if np.all(touching == touching[0]) else self.touches(after)
        return float(np.sqrt(share * (1 - share) * (weights @ weights)))

    def gap_mean_sd(self, after: bool) -> tuple[float, float]:
        """Return mean and standard deviation of the least gap, m."""
        weights, gap_ = self.weights[int(after)], self.gap[int(after)]
        middle = float(weights @ gap_)
        return middle, float(np.sqrt(weights @ (gap_ - middle) ** 2))

    def contact_quantiles(self, after: bool, shares: Sequence[float]) -> list[float]:
        """Return speeds of first contact below which these shares of the machines lie, rad/s; inf for none."""
        return quantiles(self.contact[int(after)], self.weights[int(after)], shares)


def quantiles(values: np.ndarray, weights: np.ndarray, shares: Sequence[float]) -> list[float]:
    """Return weighted quantiles."""
    order = np.argsort(values)
    places = np.minimum(np.searchsorted(np.cumsum(weights[order]), shares), len(values) - 1)
    return [float(each) for each in values[order][places]]


@dataclass(frozen=True, eq=False)
class Learned:
    """What was learned.

    before : the machine.   told : the readings.   posterior : weighted draws; observables as in `wanted`.
    kept : draws, evenly weighted, for what takes long: their standard normal unknowns, (draws, unknowns).
    strange : readings that lie outside all that was thought possible.
    """

    before: Before
    told: list[Evidence]
    wanted: list[Observable]
    posterior: Posterior
    kept: np.ndarray
    strange: list[str]

    @property
    def agrees(self) -> bool:
        """Whether model and readings agree well enough for anything to be told."""
        return self.posterior.enough and not self.strange

    def entry(self, index: int, after: bool) -> tuple[float, float]:
        """Return mean and standard deviation of an unknown's first entry, SI."""
        from scipy.special import ndtr

        values = self.before.unknowns[index].range.at(ndtr(self.posterior.z[:, index]))
        if not after:
            values = values[: self.posterior.first]
            return float(np.mean(values)), float(np.std(values))
        return float(self.posterior.mean(values)), float(self.posterior.sd(values))

    def is_told(self, index: int) -> bool:
        """Return whether the readings tell of an unknown."""
        (mean, sd), (new_mean, new_sd) = self.entry(index, False), self.entry(index, True)
        return sd > 0 and (new_sd < TOLD_SPREAD * sd or abs(new_mean - mean) > TOLD_SHIFT * sd)

    def combination(self) -> list[tuple[int, float]]:
        """Return the unknowns that the speed of first contact hangs on, each with its pull: rad/s a deviation."""
        z, contact = self.posterior.z[: self.posterior.first], self.posterior.observables[: self.posterior.first, 0]
        usable = np.isfinite(contact) & (contact > 0)
        if usable.sum() < 10 * z.shape[1] or not z.shape[1]:
            return []
        columns = np.column_stack([np.ones(usable.sum()), z[usable]])
        pulls = np.linalg.lstsq(columns, contact[usable], rcond=None)[0][1:]
        return [(int(index), float(pulls[index])) for index in np.argsort(-np.abs(pulls))]


def learn(design: Design, draws: int = DRAWS, seed: int = SEED) -> Learned:
    """Return what the readings of a single design tell."""
    before = Before(Evaluation(design), unknowns_of(design))
    told = evidence(design)
    wanted: list[Observable] = [Touching()]
    wanted += [each.of for each in told if not isinstance(each.of, Touching)]
    closer = closer_looks(design)

    def likelihood(z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        values = before.many(z, wanted)
        values[:, :2] = as_seen(closer, values[:, :2])
        log_l = np.where(np.isnan(values[:, 0]), -np.inf, 0.0)
        for each in told:
            log_l = log_l + each.log_likelihood(values[:, _columns(each.of, wanted)])
        return np.where(np.isnan(log_l), -np.inf, log_l), values

    posterior = learned(likelihood, len(before.unknowns), draws, seed)
    return Learned(before, told, wanted, posterior, _kept(posterior), _strange(told, wanted, posterior))


def _columns(of: Observable, wanted: list[Observable]) -> slice:
    """Return where the columns of an observable stand."""
    start = 0
    for each in wanted:
        if each is of or (isinstance(of, Touching) and isinstance(each, Touching)):
            break
        start += each.columns
    return slice(start, start + of.columns)


def closer_looks(design: Design) -> list[Look]:
    """Return what the closer look, at every degree and with vibration, makes of the middle machine: contact, gap."""
    looks_at = evaluate_finely(design), Evaluation(design, without_vibration=True)  # as many at once are looked at
    close, quick = (placed(gap.rows(each)) for each in looks_at)
    looks: list[Look] = []
    for key in gap.KEYS[::-1]:
        look = closer_look(value_of(close.get((key, 0))), value_of(quick[(key, 0)])) if (key, 0) in quick else None
        looks.append(partial(_moved, look or AS_SEEN))
    return looks


def _moved(look: Closer, values: np.ndarray) -> np.ndarray:
    return values * look.factor + look.more


def _kept(posterior: Posterior) -> np.ndarray:
    """Return draws of even weight by systematic resampling (from memory), or those of before if nothing fits."""
    if not posterior.enough:
        return posterior.z[:FORECAST]
    steps = (np.arange(FORECAST) + 0.5) / FORECAST
    return posterior.z[np.minimum(np.searchsorted(np.cumsum(posterior.weights), steps), len(posterior.z) - 1)]


def _strange(told: list[Evidence], wanted: list[Observable], posterior: Posterior) -> list[str]:
    strange = []
    for each in told:
        values = posterior.observables[: posterior.first, _columns(each.of, wanted).start]
        low, high = np.quantile(values[~np.isnan(values)], (EDGE, 1 - EDGE), method="nearest")
        far = FAR * each.sd
        if each.read > high + far or (each.read < low - far and not each.one_sided):
            strange.append(each.what)
    return strange


def forecasts(result: Learned, redesigns: dict[str, Design]) -> list[Forecast]:
    """Return what is foretold of this machine and of each redesign, before and after."""
    design, posterior = result.before.evaluation.design, result.posterior
    first = posterior.first
    contact, gap_ = posterior.observables[:, 0], posterior.observables[:, 1]
    sides = ((contact[:first], gap_[:first], np.ones(first)), (contact, gap_, posterior.weights))
    few = _few(result.kept)
    taken = as_seen(closer_looks(design), result.before.many(few, [Touching()]))
    present = _forecast(OWN, design, sides, _off(result.before, few, taken))
    return [present, *(_redesigned(result, name, each) for name, each in redesigns.items())]


def _few(z: np.ndarray) -> np.ndarray:
    """Return the machines that are worked out by themselves, evenly from many."""
    return z[np.linspace(0, len(z) - 1, ALONE + 2).astype(int)[1:-1]]


def as_seen(closer: list[Look], values: np.ndarray) -> np.ndarray:
    """Return contact and gap of many machines as a closer look would see them, (draws, 2); at rest it sees no more."""
    contact, gap_ = (look(values[:, column]) for column, look in enumerate(closer))
    return np.stack([np.where(values[:, 0] > 0, contact, values[:, 0]), gap_], axis=-1)


def _off(machine: Before, z: np.ndarray, taken: np.ndarray) -> np.ndarray:
    """Return how far contact and gap of machines are from what was taken with the middle one's vibration, (2,), rms."""
    with np.errstate(invalid="ignore"):  # what is never touched is as far from that as nothing
        apart = np.array([machine.alone(each) for each in z]) - taken
    return np.array([np.sqrt(np.mean(each[np.isfinite(each)] ** 2)) if np.any(np.isfinite(each)) else 0.0
                     for each in apart.T])  # fmt: skip


def _forecast(
    name: str, design: Design, sides: Sequence[tuple[np.ndarray, np.ndarray, np.ndarray]], off: np.ndarray
) -> Forecast:
    """Return a forecast from contact, gap and weights before and after; machines that cannot be built do not count.

    off : standard deviations of contact and gap that come on top of what was drawn.
    """
    parts, random = [], np.random.default_rng(SEED)
    for contact, gap_, weights in sides:
        fine = ~np.isnan(contact)
        total = max(float(np.sum(weights[fine])), 1e-300)
        more = off * random.standard_normal((int(fine.sum()), 2))
        moved = np.where(contact[fine] > 0, np.maximum(contact[fine] + more[:, 0], 0.0), 0.0)
        parts.append((moved, gap_[fine] + more[:, 1], weights[fine] / total))
    (contact, gap_, weights), (new_contact, new_gap, new_weights) = parts
    return Forecast(name, float(design.speed.most), (contact, new_contact), (gap_, new_gap), (weights, new_weights))


def _redesigned(result: Learned, name: str, design: Design) -> Forecast:
    after = Before(Evaluation(design), unknowns_of(design))
    base = result.before
    shared = _shared(base.evaluation.design, name, base.unknowns)
    closer = closer_looks(design)
    sides, off = [], np.zeros(2)
    for seed, drawn in enumerate((result.posterior.z[: min(FORECAST, result.posterior.first)], result.kept)):
        z = _carried_over(drawn, shared, after.unknowns, seed)
        values = as_seen(closer, after.many(np.concatenate([z, _few(z)]), [Touching()]))
        off = _off(after, _few(z), values[len(z) :]) if seed else off
        sides.append((*values[: len(z)].T, np.ones(len(z))))
    return _forecast(name, design, sides, off)


def key_of(unknown: Unknown) -> object:
    """Return what tells whether two unknowns of two designs are the same."""
    path, range_ = unknown.entries[0]
    return range_.alike or path


def _shared(design: Design, option: str, unknowns: list[Unknown]) -> dict[object, int]:
    """Return the unknowns that a redesign leaves as they are; a part of which it changes anything is another part."""
    changes = design.options.get(option) or {}
    heads = []
    for path in changes:
        keys = path.split(".")
        heads.append(".".join(keys[:-1] if len(keys) > 1 else keys))
    return {
        key_of(each): index
        for index, each in enumerate(unknowns)
        if not any(_touched(".".join(path), head) for path, _ in each.entries for head in heads)
    }


def _touched(path: str, head: str) -> bool:
    return fnmatchcase(path, head) or fnmatchcase(path, f"{head}.*")


def _carried_over(z: np.ndarray, shared: dict[object, int], unknowns: list[Unknown], seed: int) -> np.ndarray:
    """Return a redesign's unknowns: what is left of this machine as drawn, what is new afresh."""
    redrawn = np.random.default_rng(1000 + seed).standard_normal((len(z), len(unknowns)))
    for index, each in enumerate(unknowns):
        if (before := shared.get(key_of(each))) is not None:
            redrawn[:, index] = z[:, before]
    return redrawn
