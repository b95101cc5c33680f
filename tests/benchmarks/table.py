"""Print how fast it is as Markdown, side by side with other ways to do the same: `python tests/benchmarks/table.py`.

With the argument `million`, a million options are judged as well.
"""

import platform
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from benchmarks import cases  # noqa: E402 - the path must be known first

from designs.counsel.advised import judge  # noqa: E402
from designs.evaluate import Evaluation  # noqa: E402
from designs.many.parallel import usable_processors  # noqa: E402


def main() -> None:
    counts = [1_000, 10_000, 100_000] + [1_000_000] * ("million" in sys.argv[1:])
    loop = cases.best_of(3, lambda: cases.one_by_one(10))
    mujoco, many = (
        cases.best_of(3, lambda: cases.forces_by_mujoco(3)),
        cases.best_of(3, lambda: cases.forces_of_many(5_000)),
    )
    rates = {
        count: cases.best_of(3 if count < 100_000 else 1, lambda count=count: cases.rate(count)) for count in counts
    }
    check, imports = cases.cold_check(), cases.cold_imports()
    where = f"{usable_processors()} processors ({platform.machine()}, Python {platform.python_version()})"
    print(f"Measured in one run on {where}.\n")
    print("| what | rate or time | against |\n| --- | ---: | --- |")
    for count, rate in rates.items():
        print(f"| verdicts on {count:,} options | {rate:,.0f} a second | {rate / loop:.0f} x a plain loop |")
    core = cases.best_of(2, lambda: cases.rate(100_000, cases.CORE))
    print(f"| the same without mount and teeth, 100,000 options | {core:,.0f} a second | |")
    print(f"| verdicts in a plain Python loop over single designs | {loop:,.0f} a second | 1 |")
    print(
        f"| joint forces of many designs, one process | {many:,.0f} designs a second | {many / mujoco:,.0f} x mujoco |"
    )
    print(f"| joint forces by mujoco, same angles, its Python glue included | {mujoco:,.1f} designs a second | 1 |")
    print(f"| `quietcrank check` from cold | {check:.2f} s | {check / imports:.1f} x the libraries alone |")
    print(f"| python, numpy, scipy.linalg and yaml from cold | {imports:.2f} s | 1 |")
    print(f"| whole verdict on one design, warm | {warm(judge) * 1e3:.1f} ms | |")
    core = warm(lambda evaluation: cases.batch.limits_of(evaluation, cases.CORE))
    print(f"| the same without mount, teeth, stress, whirl and rooms | {core * 1e3:.1f} ms | |")
    for name in cases.SHIPPED:
        moving, still = cases.dynamics(name), cases.without_vibration(name)
        ratio = f"{moving / still:.1f} x its verdict without vibration"
        print(f"| vibration of the shafts of {name} over the range | {moving * 1e3:.0f} ms | {ratio} |")
    few, most = (cases.memory_of(count) for count in (4_096, 65_536))
    print(f"| memory for 4,096 and for 65,536 options | {few:.0f} and {most:.0f} MB | |")


def warm(judged: Callable[[Evaluation], object], runs: int = 10) -> float:
    """Return the least time for a verdict on one design, s."""
    design, found = cases.one(cases.options(1), 0), []
    for _ in range(runs):
        start = time.perf_counter()
        judged(Evaluation(design))
        found.append(time.perf_counter() - start)
    return min(found)


if __name__ == "__main__":
    main()
