"""What the lower bound promises: rising reports, quick stops, the same answer again, proofs.

Sources beside each check; the bench figures are those of the bench's README.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from bench.instances import read_instance

from toolbox.kit.box import Inside
from toolbox.layout import bound, bound_apart
from toolbox.layout.bound import lower_bound
from toolbox.layout.bound_apart import lower_bound_apart
from toolbox.layout.problem import Item, LayoutProblem, Place, Visit
from toolbox.layout.solver import solver_there

needs_solver = pytest.mark.skipif(not solver_there(), reason="needs the solver package")


def never() -> bool:
    """A stop signal nobody throws."""
    return False


def unheard(value: int) -> None:
    """A listener that does not care."""


def laid(length: int, width: int, sides: list[tuple[int, int]], spare: bool) -> LayoutProblem:
    """Things that cost nothing in one place, or 10 each in a large spare one."""
    items = tuple(Item(f"plate {n}", a, b, 1, 1) for n, (a, b) in enumerate(sides))
    places = [Place("tray", Inside.LAID, length, width, 1, 10**6, 0, ())]
    if spare:
        places.append(Place("shelf", Inside.LAID, 10**4, 10**4, 1, 10**6, 0, ()))
    homes = tuple(range(len(places)))
    cost = tuple((0, 10)[: len(places)] for _ in items)
    return LayoutProblem(items, tuple(places), (), 0, cost, (), tuple(homes for _ in items))


SQUARED = {
    # Duijvestijn, J. Combinatorial Theory B 25 (1978) 240-243
    (112, 112): (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50),
    (33, 32): (18, 15, 14, 10, 9, 8, 7, 4, 1),  # Moron 1925 [memory]; OEIS A002839
    (65, 47): (25, 24, 23, 22, 19, 17, 11, 6, 5, 3),  # order 10, OEIS A002839
}


@pytest.mark.parametrize("sides", SQUARED)
def test_published_squared_rectangles_are_not_refused(sides: tuple[int, int]) -> None:
    """Squares that tile a rectangle lie in it for nothing: the bound is 0 and not impossible."""
    squares = [(n, n) for n in SQUARED[sides]]
    for spare in (True, False):
        problem = laid(*sides, squares, spare)
        found = lower_bound(problem, stop=never, report=unheard, work=12)
        assert (found.value, found.proved_impossible) == (0, False)


@needs_solver
@pytest.mark.parametrize(
    ("length", "width", "sides"),
    [
        (10, 10, [(6, 6), (6, 6)]),  # 72 of 100: each must cover the middle
        (11, 11, [(6, 6)] * 3),  # two sixes side by side are longer than eleven
        (10, 10, [(7, 3)] * 5),  # more area than there is
        (9, 9, [(5, 5), (5, 4), (5, 4), (5, 4)]),  # side by side the fives are too long
        # squares 1 to 5 fit no rectangle of area below 60 (OEIS A038666)
        (11, 5, [(n, n) for n in range(1, 6)]),
        (8, 7, [(n, n) for n in range(1, 6)]),
    ],
)
def test_one_thing_must_leave_a_place_too_small(
    length: int, width: int, sides: list[tuple[int, int]]
) -> None:
    """What cannot lie together costs at least one thing in the dear place (10)."""
    found = lower_bound(laid(length, width, sides, True), stop=never, report=unheard, work=12)
    assert found.value >= 10


def test_squares_one_to_eight_fit_their_published_rectangle() -> None:
    """14 x 15 holds squares 1 to 8 (OEIS A038666, area 210)."""
    problem = laid(15, 14, [(n, n) for n in range(1, 9)], True)
    assert lower_bound(problem, stop=never, report=unheard, work=12).value == 0


def test_more_area_than_all_places_is_impossible() -> None:
    """Five plates of 21 cells do not lie in 100: said as proved, without search."""
    problem = laid(10, 10, [(7, 3)] * 5, False)
    assert lower_bound(problem, stop=never, report=unheard).proved_impossible == solver_there()


def test_a_thing_without_any_place_is_impossible() -> None:
    """A bar longer than every place is refused at once."""
    found = lower_bound(laid(10, 10, [(11, 1)], False), stop=never, report=unheard)
    assert found.proved_impossible
    assert found.homes is None


def test_nothing_to_lay_costs_nothing() -> None:
    """An empty list of things has the bound 0."""
    found = lower_bound(laid(10, 10, [], False), stop=never, report=unheard)
    assert (found.value, found.homes, found.proved_impossible) == (0, (), False)


def three_jobs() -> LayoutProblem:
    """Two openings, one place behind each; three visits pay 7 or 5 for them.

    By hand: all three things behind opening 1 cost 3 * 5; one of them does not fit there
    (length 10 for widths 4 + 4 + 4), the cheapest one to move pays 7 in its one visit.
    """
    items = tuple(Item(f"key {n}", 4, 4, 1, 1) for n in range(3))
    places = (
        Place("left", Inside.ROW, 10, 10, 1, 100, 0, (0,)),
        Place("right", Inside.ROW, 10, 10, 1, 100, 0, (1,)),
    )
    visits = tuple(Visit((7, 5), (n,)) for n in range(3))
    return LayoutProblem(items, places, ("lid", "front"), 0, ((0, 0),) * 3, visits, ((0, 1),) * 3)


def test_a_box_worked_out_by_hand() -> None:
    """Two visits at 5 and one at 7 make 17; the bound may not exceed it."""
    found = lower_bound(three_jobs(), stop=never, report=unheard)
    assert found.value == 17 if solver_there() else 15 <= found.value <= 17


def test_without_the_solver_package_a_bound_is_still_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The walk of prices alone gives a valid, useful bound."""
    monkeypatch.setattr(bound, "solver_there", lambda: False)
    found = lower_bound(three_jobs(), stop=never, report=unheard)
    assert 15 <= found.value <= 17


@pytest.fixture(scope="module")
def instances() -> Path:
    """The folder of the bench's instances."""
    folder = Path(__file__).parents[2].parent / "shared" / "bench" / "layout"
    if not folder.is_dir():
        pytest.skip(f"no bench at {folder}")
    return folder


def read(folder: Path, name: str) -> LayoutProblem:
    """A bench instance as a layout question."""
    return read_instance(folder / f"{name}.json")


@needs_solver
@pytest.mark.parametrize(
    ("name", "least", "known"),
    # README of the bench: geometry-free bounds 1346.1 and 1305.0, less 0.4 %; layouts that exist.
    [("small-40", 1340.7, 1350.3), ("race-128", 1299.8, 1350.4)],
)
def test_bench_bounds_lie_between_the_published_figures(
    instances: Path, name: str, least: float, known: float
) -> None:
    """Close to the published geometry-free bound at once, never above a published layout."""
    found = lower_bound(read(instances, name), stop=never, report=unheard, work=2)
    assert least <= found.value / 1e6 <= known


@needs_solver
def test_the_same_work_gives_the_same_bound(instances: Path) -> None:
    """Without seconds two runs agree to the last figure, reports included."""
    problem = read(instances, "small-40")
    runs = []
    for _ in range(2):
        told: list[int] = []
        found = lower_bound(problem, stop=never, report=told.append, work=4)
        runs.append((found, told))
    assert runs[0] == runs[1]


@needs_solver
@pytest.mark.parametrize("asked", [1, 5, 60, 90])
def test_a_thrown_stop_ends_it(instances: Path, asked: int) -> None:
    """Thrown at the first, fifth, ... question: it ends with the best value reported so far."""
    told: list[int] = []
    questions = 0

    def stop() -> bool:
        nonlocal questions
        questions += 1
        return questions >= asked

    problem = read(instances, "race-128")
    found = lower_bound(problem, stop=stop, report=told.append, work=10_000)
    assert found.value == max(told)
    assert found.homes is not None
    assert questions < asked + 50  # it stops asking because it stops


@needs_solver
def test_nothing_is_printed(instances: Path, capfd: pytest.CaptureFixture[str]) -> None:
    """No solver writes to the terminal."""
    lower_bound(read(instances, "small-40"), stop=never, report=unheard, work=9)
    out = capfd.readouterr()
    assert (out.out, out.err) == ("", "")


def test_the_bound_of_a_child_process_is_the_same() -> None:
    """A process of its own tells rising bounds and the answer that is found here."""
    told: list[int] = []
    apart = lower_bound_apart(three_jobs(), stop=never, report=told.append, seconds=30.0)
    assert apart == lower_bound(three_jobs(), stop=never, report=unheard)
    assert told == sorted(told)
    assert told[-1] == apart.value


@needs_solver
def test_a_child_process_ends_with_the_stop(instances: Path) -> None:
    """Once a value was told, the stop ends the child and that value is the answer."""
    told: list[int] = []
    problem = read(instances, "race-128")
    found = lower_bound_apart(problem, stop=lambda: len(told) > 2, report=told.append, seconds=60.0)
    assert (found.value, found.homes) == (told[-1], None)


def test_without_a_child_process_the_bound_is_found_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no process can be started the answer is the same."""

    def refuse() -> None:
        raise PermissionError("no processes here")

    monkeypatch.setattr(bound_apart, "_start", refuse)
    found = lower_bound_apart(three_jobs(), stop=never, report=unheard, seconds=30.0)
    assert found.value == lower_bound(three_jobs(), stop=never, report=unheard).value
