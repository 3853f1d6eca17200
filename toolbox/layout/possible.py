"""Can a layout exist at all: a layout as the witness, a proof that there is none, or not known.

Blocks are shared out among the places by sums alone; each laid place is then laid
exactly. A set of blocks proved too much for a place is forbidden there from then
on, and the sharing out starts again. When no way to share out is left, there is no
layout; no cost is looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from toolbox.layout.bars import rival_blocks
from toolbox.layout.exact_lay import Lay, Verdict
from toolbox.layout.fit import lay, lay_rectangles
from toolbox.layout.problem import Answer, LayoutProblem, Outcome, Put, cost_of
from toolbox.layout.solver import run, solver_there
from toolbox.layout.tables import Tables, bits, tables_of
from toolbox.layout.verify import faults
from toolbox.layout.watch import Stop

ROUNDS = 60  # ways to share out that are laid before the question stays open
_FIT_WORK = 0.2  # deterministic units for one exact fit
_SHRINKING = 0.02  # of them for each try to forbid a smaller set
_STEPS = 50_000  # blocks put into places by the search that needs no solver package


class Standing(Enum):
    """What is known about whether a layout exists."""

    POSSIBLE = "possible"
    IMPOSSIBLE = "impossible"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Finding:
    """A standing; when possible also a verified layout."""

    standing: Standing
    puts: tuple[Put, ...] = ()


@dataclass(frozen=True, slots=True)
class _Shared:
    """A way to share out (homes by block), or why there is none."""

    standing: Standing
    homes: tuple[int, ...] = ()


_Forbidden = list[tuple[int, int]]  # place, set of blocks that it can't hold


def find_out(
    problem: LayoutProblem,
    *,
    work: float = 1.0,
    rounds: int = ROUNDS,
    presolve: bool = True,
    package: bool = True,
    stop: Stop | None = None,
) -> Finding:
    """Decide whether a layout exists, in so many rounds of ``work`` deterministic units.

    ``presolve`` false solves the model as it stands, ``package`` false does without the
    solver package: two more ways to the same answer, to check a proof by. A layout
    found has passed the verifier. A thrown ``stop`` leaves the question open.
    """
    tables = tables_of(problem)
    rivals = rival_blocks(problem, tables.blocks)
    if not all(tables.options) or any(r >> b & 1 for b, r in enumerate(rivals)):
        return Finding(Standing.IMPOSSIBLE)
    share: Callable[[Tables, _Forbidden], _Shared] = _by_hand
    if package and solver_there():
        share = lambda t, f: _by_solver(t, f, work, presolve, stop)  # noqa: E731
    forbidden: _Forbidden = []
    doubtful = False
    for _ in range(rounds):
        if stop is not None and stop():
            break
        shared = share(tables, forbidden)
        if shared.standing is not Standing.POSSIBLE:
            proved = shared.standing is Standing.IMPOSSIBLE and not doubtful
            return Finding(Standing.IMPOSSIBLE if proved else Standing.UNKNOWN)
        lays, wrong, unknown = _lay_all(tables, shared.homes, stop)
        if not wrong and not unknown:
            return Finding(Standing.POSSIBLE, _witness(tables, shared.homes, lays))
        doubtful = doubtful or bool(unknown)
        forbidden += [*wrong, *unknown]
    return Finding(Standing.UNKNOWN)


def _lay_all(
    tables: Tables, homes: Sequence[int], stop: Stop | None
) -> tuple[dict[int, Lay], _Forbidden, _Forbidden]:
    """How each place is laid; what is proved too much; what is not known."""
    lays: dict[int, Lay] = {}
    wrong: _Forbidden = []
    unknown: _Forbidden = []
    for place, shape in enumerate(tables.problem.places):
        blocks = sum(1 << b for b, home in enumerate(homes) if home == place)
        if not blocks:
            continue
        things = [tables.problem.items[i] for b in bits(blocks) for i in tables.blocks[b]]
        lays[place] = lay(shape, things, tables.problem.clearance, work=_FIT_WORK, stop=stop)
        if lays[place].verdict is Verdict.UNKNOWN:
            unknown.append((place, blocks))
        elif lays[place].verdict is Verdict.REFUSED:
            core = _shrunk(tables, place, blocks)
            wrong += [(p, core) for p in tables.no_larger(place)]
    return lays, wrong, unknown


def _shrunk(tables: Tables, place: int, blocks: int) -> int:
    """A smaller set that is proved too much for the place all the same."""
    shape = tables.problem.places[place]
    for b in list(bits(blocks)):
        less = blocks & ~(1 << b)
        sides = [side for k in bits(less) for side in tables.rectangles[k]]
        found = lay_rectangles(shape.length, shape.width, sides, work=_SHRINKING)
        if found.verdict is Verdict.REFUSED:
            blocks = less
    return blocks


def _witness(tables: Tables, homes: Sequence[int], lays: dict[int, Lay]) -> tuple[Put, ...]:
    problem = tables.problem
    puts = [Put(0)] * len(problem.items)
    for place, laid in lays.items():
        inside = [b for b, home in enumerate(homes) if home == place]
        items = [i for b in inside for i in tables.blocks[b]]
        for item, spot in zip(items, laid.spots, strict=True):
            puts[item] = Put(place, *spot)
    cost = cost_of(problem, tuple(put.place for put in puts))
    answer = Answer(Outcome.GOOD, tuple(puts), cost, None, "shared out by sums")
    wrong = faults(problem, answer)
    if wrong:
        raise RuntimeError("the layout found does not hold: " + "; ".join(wrong))
    return answer.puts


def _by_solver(
    tables: Tables, forbidden: _Forbidden, work: float, presolve: bool, stop: Stop | None
) -> _Shared:
    from ortools.sat.python import cp_model

    rivals = rival_blocks(tables.problem, tables.blocks)
    model = cp_model.CpModel()
    put = {(b, p): model.new_bool_var("") for b, ps in enumerate(tables.options) for p in ps}
    for b, places in enumerate(tables.options):
        model.add_exactly_one(put[b, p] for p in places)
    for p in range(len(tables.room)):
        there = [b for b, places in enumerate(tables.options) if p in places]
        model.add(sum(tables.use[b][p] * put[b, p] for b in there) <= tables.room[p])
        model.add(sum(tables.mass[b] * put[b, p] for b in there) <= tables.load[p])
        for b in there:
            for rival in bits(rivals[b]):
                if b < rival and (rival, p) in put:
                    model.add_bool_or(~put[b, p], ~put[rival, p])
    for p, blocks in forbidden:
        if all((b, p) in put for b in bits(blocks)):
            model.add_bool_or(*(~put[b, p] for b in bits(blocks)))
    solver = cp_model.CpSolver()
    solver.parameters.cp_model_presolve = presolve
    status = run(solver, model, work=work, stop=stop)
    # the status first: values of a model without a solution read as zeros
    if status == cp_model.INFEASIBLE:
        return _Shared(Standing.IMPOSSIBLE)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return _Shared(Standing.UNKNOWN)
    homes = (
        next(p for p in ps if solver.boolean_value(put[b, p]))
        for b, ps in enumerate(tables.options)
    )
    return _Shared(Standing.POSSIBLE, tuple(homes))


def _by_hand(tables: Tables, forbidden: _Forbidden) -> _Shared:
    """Share out by trying every place for every block, the choosiest first."""
    rivals = rival_blocks(tables.problem, tables.blocks)
    order = sorted(range(len(tables.blocks)), key=lambda b: (len(tables.options[b]), b))
    room, load, inside = list(tables.room), list(tables.load), [0] * len(tables.room)
    homes = [-1] * len(order)
    steps = 0

    def fill(n: int) -> bool:
        nonlocal steps
        if n == len(order):
            return True
        b = order[n]
        for p in tables.options[b]:
            grown = inside[p] | 1 << b
            full = tables.use[b][p] > room[p] or tables.mass[b] > load[p]
            if full or rivals[b] & inside[p]:
                continue
            if any(p == place and grown & blocks == blocks for place, blocks in forbidden):
                continue
            steps += 1
            if steps > _STEPS:
                return False
            homes[b], inside[p] = p, grown
            room[p] -= tables.use[b][p]
            load[p] -= tables.mass[b]
            if fill(n + 1):
                return True
            inside[p] ^= 1 << b
            room[p] += tables.use[b][p]
            load[p] += tables.mass[b]
        return False

    if fill(0):
        return _Shared(Standing.POSSIBLE, tuple(homes))
    return _Shared(Standing.UNKNOWN if steps > _STEPS else Standing.IMPOSSIBLE)
