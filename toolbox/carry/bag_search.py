"""A pit bag without any solver: a greedy one, then a search that proves small cases.

It answers with the same bag as the solver wherever it comes to its end.
"""

from __future__ import annotations

from toolbox.carry.bag_problem import BagProblem, Choice, Worth, covered, within, worth

NODES = 10_000  # a few seconds of plain Python; after that the best bag so far counts


def searched_bag(problem: BagProblem, nodes: int = NODES) -> Choice:
    """The best bag found within so many ``nodes``; proved when the search came to its end."""
    return _Search(problem, nodes).run()


def greedy_bag(problem: BagProblem) -> frozenset[int] | None:
    """A bag by common sense: jobs that must be covered, then most work for each gram.

    None when the jobs that must be covered do not fit this way, which proves nothing.
    """
    chosen: frozenset[int] = frozenset()
    for needs, must in zip(problem.jobs, problem.must, strict=True):
        if must:
            chosen |= _lightest_addition(problem, needs, chosen)
    if not within(problem, chosen):
        return None
    for work in (problem.urgent, problem.other):
        while better := _next_job(problem, work, chosen):
            chosen = better
    return _without_idle(problem, chosen)


def _lightest_addition(
    problem: BagProblem, needs: tuple[tuple[int, ...], ...], chosen: frozenset[int]
) -> frozenset[int]:
    """For each need not yet served the lightest tool that serves it."""
    added: frozenset[int] = frozenset()
    for need in needs:
        if (chosen | added).isdisjoint(need):
            added |= {min(need, key=lambda t: (problem.grams[t], t))}
    return added


def _next_job(
    problem: BagProblem, work: tuple[int, ...], chosen: frozenset[int]
) -> frozenset[int] | None:
    """The bag with one more job: the one with the most work for each gram that still fits."""
    best: tuple[float, frozenset[int]] | None = None
    done = covered(problem, chosen)
    for needs, amount, ok in zip(problem.jobs, work, done, strict=True):
        if ok or not amount:
            continue
        added = _lightest_addition(problem, needs, chosen)
        ratio = amount / (1 + sum(problem.grams[t] for t in added))
        if within(problem, chosen | added) and (best is None or ratio > best[0]):
            best = (ratio, chosen | added)
    return best[1] if best else None


def _without_idle(problem: BagProblem, chosen: frozenset[int]) -> frozenset[int]:
    """The bag without tools that no covered job misses, the heaviest taken out first."""
    before = covered(problem, chosen)
    for tool in sorted(chosen, key=lambda t: -problem.grams[t]):
        if covered(problem, chosen - {tool}) == before:
            chosen -= {tool}
    return chosen


class _Search:
    """Branch and bound: each tool in turn taken along or left, jobs falling away as they must."""

    def __init__(self, problem: BagProblem, nodes: int) -> None:
        self._problem = problem
        self._nodes = nodes
        self._needs = [[sum(1 << t for t in need) for need in needs] for needs in problem.jobs]
        start = greedy_bag(problem)
        self._best: Worth | None = worth(problem, start) if start is not None else None

    def run(self) -> Choice:
        """Search to the end or until the nodes are used up."""
        order = self._order()
        stack = [(0, 0, (1 << len(order)) - 1)]  # depth, taken, not yet decided
        while stack and self._nodes > 0:
            self._nodes -= 1
            depth, taken, undecided = stack.pop()
            if not self._promising(taken, undecided) or depth == len(order):
                continue
            bit = 1 << order[depth]
            stack.append((depth + 1, taken, undecided & ~bit))
            stack.append((depth + 1, taken | bit, undecided & ~bit))
        return Choice(self._best.tools if self._best else None, not stack)

    def _order(self) -> list[int]:
        """Tools that most work hangs on come first, so that jobs fall away early."""
        pull = [0] * len(self._problem.grams)
        heavy = 1 + sum(self._problem.urgent)
        for j, needs in enumerate(self._problem.jobs):
            value = self._problem.urgent[j] + heavy * self._problem.must[j]
            for tool in {t for need in needs for t in need}:
                pull[tool] += value
        return sorted(range(len(pull)), key=lambda t: (-pull[t], t))

    def _promising(self, taken: int, undecided: int) -> bool:
        """False when nothing below this node can be better; a bag that counts is kept."""
        chosen = _numbers(taken)
        if not self._fits(chosen):
            return False
        open_jobs, urgent, other = False, 0, 0
        for j, needs in enumerate(self._needs):
            unserved = [need & undecided for need in needs if not need & taken]
            if not unserved:
                continue
            if self._out_of_reach(chosen, unserved):
                if self._problem.must[j]:
                    return False
                urgent += self._problem.urgent[j]
                other += self._problem.other[j]
            else:
                open_jobs = True
        here = worth(self._problem, frozenset(chosen))
        if within(self._problem, frozenset(chosen)) and (self._best is None or here < self._best):
            self._best = here
        bound = (urgent, other, here.grams)
        return open_jobs and (self._best is None or bound <= tuple(self._best[:3]))

    def _out_of_reach(self, chosen: list[int], unserved: list[int]) -> bool:
        """True when a need has no server left, or the tools it cannot do without do not fit."""
        forced = 0
        for servers in unserved:
            if not servers:
                return True
            if servers & (servers - 1) == 0:
                forced |= servers
        return not self._fits(chosen + _numbers(forced))

    def _fits(self, chosen: list[int]) -> bool:
        problem = self._problem
        mass, space = problem.limit_g, problem.room
        return (mass is None or sum(problem.grams[t] for t in chosen) <= mass) and (
            space is None or sum(problem.volumes[t] for t in chosen) <= space
        )


def _numbers(bits: int) -> list[int]:
    found = []
    while bits:
        low = bits & -bits
        found.append(low.bit_length() - 1)
        bits ^= low
    return found
