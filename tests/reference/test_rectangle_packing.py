"""The exact fit against published rectangle packings.

Sources: order 21: A. J. W. Duijvestijn, J. Combinatorial Theory B 25 (1978) 240-243
(OEIS A014530). Order 22, side 110, and the squared rectangles of order 9 (33 x 32,
Moron 1925, from memory) and order 10 (65 x 47): OEIS A002839. Squares 1..n in the
least rectangle: OEIS A038666 and A081287; R. E. Korf, ICAPS 2003.
"""

from __future__ import annotations

import pytest

from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import lay_rectangles
from toolbox.layout.rectangles import Rectangle, Spot

ORDER_21 = (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50)
ORDER_22 = (60, 50, 23, 27, 24, 22, 14, 7, 16, 8, 6, 12, 15, 13, 2, 28, 26, 4, 21, 3, 18, 17)
LEAST = {
    1: (1, 1), 2: (2, 3), 3: (3, 5), 4: (5, 7), 5: (5, 12), 6: (9, 11), 7: (11, 14),
    8: (14, 15), 9: (15, 20), 10: (15, 27), 11: (19, 27), 12: (23, 29),
}  # fmt: skip


def squares(sides: tuple[int, ...] | range) -> list[Rectangle]:
    """Squares of these sides."""
    return [Rectangle(side, side) for side in sides]


def holds(length: int, width: int, sizes: list[Rectangle], spots: tuple[Spot, ...]) -> bool:
    """Whether the spots lay every rectangle inside, none over another: checked cell by cell."""
    taken: set[tuple[int, int]] = set()
    for size, spot in zip(sizes, spots, strict=True):
        along, across = (size.width, size.length) if spot.turned else (size.length, size.width)
        if spot.x < 0 or spot.y < 0 or spot.x + along > length or spot.y + across > width:
            return False
        cells = {
            (x, y) for x in range(spot.x, spot.x + along) for y in range(spot.y, spot.y + across)
        }
        if taken & cells:
            return False
        taken |= cells
    return True


@pytest.mark.parametrize(
    ("length", "width", "sides"),
    [
        (112, 112, ORDER_21),
        (110, 110, ORDER_22),
        (33, 32, (18, 15, 14, 10, 9, 8, 7, 4, 1)),
        (65, 47, (25, 24, 23, 22, 19, 17, 11, 6, 5, 3)),
    ],
    ids=["order 21", "order 22", "33x32", "65x47"],
)
def test_perfect_squared_rectangles_are_never_refused(
    length: int, width: int, sides: tuple[int, ...]
) -> None:
    """They fill the rectangle without a gap: found or not known, but never "no"."""
    sizes = squares(sides)
    assert sum(side * side for side in sides) == length * width
    found = lay_rectangles(length, width, sizes, work=1)
    assert found.verdict is not Verdict.REFUSED
    if found.verdict is Verdict.FITS:
        assert holds(length, width, sizes, found.spots)


@pytest.mark.parametrize(
    ("length", "width", "sides"),
    [
        (33, 32, (18, 15, 14, 10, 9, 8, 7, 4, 1)),
        (65, 47, (25, 24, 23, 22, 19, 17, 11, 6, 5, 3)),
    ],
    ids=["33x32", "65x47"],
)
def test_the_small_squared_rectangles_are_found(
    length: int, width: int, sides: tuple[int, ...]
) -> None:
    """The exact method lays the perfect rectangles of orders 9 and 10."""
    sizes = squares(sides)
    found = lay_rectangles(length, width, sizes, work=20)
    assert found.verdict is Verdict.FITS
    assert holds(length, width, sizes, found.spots)


@pytest.mark.slow
@pytest.mark.parametrize(("side", "sides"), [(112, ORDER_21), (110, ORDER_22)])
def test_the_large_squared_squares_are_found(side: int, sides: tuple[int, ...]) -> None:
    """The exact method lays the squared squares of orders 21 and 22, given the work."""
    found = lay_rectangles(side, side, squares(sides), work=600)
    assert found.verdict is Verdict.FITS
    assert holds(side, side, squares(sides), found.spots)


@pytest.mark.parametrize("n", LEAST)
def test_squares_one_to_n_fit_their_least_rectangle(n: int) -> None:
    """OEIS A038666: the consecutive squares are laid in the rectangle of least area."""
    length, width = LEAST[n]
    sizes = squares(range(1, n + 1))
    found = lay_rectangles(length, width, sizes, work=60)
    assert found.verdict is Verdict.FITS
    assert holds(length, width, sizes, found.spots)


@pytest.mark.parametrize(
    ("n", "length", "width"), [(8, 11, 19), (5, 5, 11), (5, 7, 8), (7, 11, 13), (6, 8, 12)]
)
def test_squares_one_to_n_fit_nothing_smaller(n: int, length: int, width: int) -> None:
    """No rectangle below the least area takes them, though the area sum alone would."""
    assert sum(k * k for k in range(1, n + 1)) <= length * width
    found = lay_rectangles(length, width, squares(range(1, n + 1)), work=60)
    assert found.verdict is Verdict.REFUSED


def test_turning_is_what_makes_two_rectangles_fit() -> None:
    """2 x 3 and 3 x 2 in 4 x 3 with quarter turns, not without (computed)."""
    sizes = [Rectangle(2, 3), Rectangle(3, 2)]
    turned = lay_rectangles(4, 3, sizes)
    assert turned.verdict is Verdict.FITS
    assert holds(4, 3, sizes, turned.spots)
    assert lay_rectangles(4, 3, sizes, turning=False).verdict is Verdict.REFUSED


def test_squares_one_to_24_do_not_tile_seventy() -> None:
    """4900 = 70 x 70, yet no tiling exists: whatever the time, the answer is never "fits"."""
    assert sum(k * k for k in range(1, 25)) == 70 * 70
    found = lay_rectangles(70, 70, squares(range(1, 25)), work=2)
    assert found.verdict is not Verdict.FITS
