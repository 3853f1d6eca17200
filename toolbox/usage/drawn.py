"""Usage as it may truly be: rates drawn from what is believed of them.

Every job and every tool has dice of its own with a fixed seed, so the k-th draw is
the same every time and however many more are drawn.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace

from toolbox.usage.engine import JobRate, ToolUse, Usage
from toolbox.usage.gamma import Gamma

_SEED = "settled"
_CERTAIN = 1e12  # days behind a rate that is taken for known


def drawn_jobs(job: JobRate, draws: int) -> list[float]:
    """Rates of a job a working day, drawn from the belief about it."""
    return _drawn(f"job {job.job}", job.belief, draws)


def drawn_loose(use: ToolUse, draws: int) -> list[float]:
    """Rates of a tool's trips outside any job, drawn from the belief about them."""
    return _drawn(f"loose {use.item}", use.loose, draws)


def drawn_usages(usage: Usage, draws: int) -> tuple[Usage, ...]:
    """So many usages, each with drawn rates taken for known.

    Picks in a visit and urgent shares stay as they are. Order and grades of the tools
    stay those of ``usage`` too: whoever wants the ranking of a draw ranks it.
    """
    jobs = {job.job: drawn_jobs(job, draws) for job in usage.jobs}
    loose = {use.item: drawn_loose(use, draws) for use in usage.tools}
    return tuple(
        _usage(
            usage,
            {job: rates[k] for job, rates in jobs.items()},
            {item: rates[k] for item, rates in loose.items()},
        )
        for k in range(draws)
    )


def _usage(usage: Usage, jobs: dict[str, float], loose: dict[str, float]) -> Usage:
    per_day: dict[str, list[float]] = {use.item: [loose[use.item]] for use in usage.tools}
    for job in usage.jobs:
        for pick in job.picks:
            per_day[pick.item].append(pick.mean * jobs[job.job])
    return replace(
        usage,
        jobs=tuple(
            replace(job, belief=_known(rate), low=rate, high=rate)
            for job, rate in ((job, jobs[job.job]) for job in usage.jobs)
        ),
        tools=tuple(
            replace(use, per_day=total, low=total, high=total, loose=_known(loose[use.item]))
            for use, total in ((use, math.fsum(per_day[use.item])) for use in usage.tools)
        ),
    )


def _known(rate: float) -> Gamma:
    """A belief that leaves no doubt about a rate."""
    return Gamma(rate * _CERTAIN, _CERTAIN)


def _drawn(name: str, belief: Gamma, draws: int) -> list[float]:
    dice = random.Random(f"{_SEED} {name}")
    return [dice.gammavariate(belief.shape, 1.0 / belief.rate) for _ in range(draws)]
