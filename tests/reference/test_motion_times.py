"""Motion times against published sequences, and the metric rows against the inch rows.

Inch rows, codes and the sheet of worked sequences come from outside the program: the
MTM-1 data card (inch rows) and the sources named at each test.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from toolbox.reach import motions
from toolbox.reach.motions import MOVE_B, REACH, Reach, Rows, milliseconds, weighted

# Inch rows of the MTM-1 card: inches, then TMU for A, B, C and D.
INCH_REACH = """
3 5.3 5.3 7.3
4 6.1 6.4 8.4
8 7.9 10.1 11.5
12 9.6 12.9 14.2
14 10.5 14.4 15.6
16 11.4 15.8 17.0
20 13.1 18.6 19.8
24 14.9 21.5 22.5
30 17.5 25.8 26.7
"""
PAST_30 = {Reach.A: "0.4", Reach.B: "0.7", Reach.C: "0.7", Reach.D: "0.7"}
INCH_MOVE_B = "4 6.9|8 10.6|10 12.2|12 13.4|16 15.8|20 18.2|24 20.6|30 24.3"
INCH = 254


def inch_reach(case: Reach) -> Rows:
    """The inch column of a reach case."""
    column = 1 + "ABC".index("C" if case is Reach.D else case.name)
    lines = [line.split() for line in INCH_REACH.split("\n") if line]
    rows = tuple((int(line[0]) * INCH, Fraction(line[column])) for line in lines)
    return Rows(rows, Fraction(PAST_30[case]) / INCH)


def inch_move() -> Rows:
    """The inch column of move B."""
    pairs = [row.split() for row in INCH_MOVE_B.split("|")]
    return Rows(tuple((int(d) * INCH, Fraction(t)) for d, t in pairs), Fraction("0.6") / INCH)


def pounds(amount: int) -> int:
    """Whole grams of so many pounds (1 lb = 453.59237 g)."""
    return round(Fraction(amount * 45_359_237, 100_000))


def test_ten_motions_of_a_worked_sequence() -> None:
    """King Saud University, Industrial Engineering, Homework 10 solution, after M. P. Groover,
    Work Systems, 2007, ch. 14: 86.44 TMU, 3.11184 s.
    """
    reach_b, reach_c, move_b = inch_reach(Reach.B), inch_reach(Reach.C), inch_move()
    m8c = Fraction("11.8")  # the card's row; moves of case C are not used by the program
    sequence = (
        reach_c.at(16 * INCH),
        motions.G4A.tmu,
        weighted(move_b.at(10 * INCH), pounds(5)),
        motions.RL1.tmu,
        reach_b.at(14 * INCH),
        motions.G1B.tmu,
        weighted(m8c, pounds(3)),
        motions.P1NSE.tmu,
        motions.RL1.tmu,
    )
    assert weighted(move_b.at(10 * INCH), pounds(5)) == Fraction("15.132")
    assert weighted(m8c, pounds(3)) == Fraction("14.708")
    assert sum(sequence) == Fraction("86.44")
    assert sum(sequence) * motions.TMU_MS == Fraction("3111.84")
    assert milliseconds(sum(sequence)) == 3112


def test_reach_forty_centimetres_and_pick_up() -> None:
    """R40B 15.6 + G1A 2.0 = 17.6 TMU = 0.63 s (MTM-1 card, two entries; weak source of the sum)."""
    reached = motions.reach(Reach.B, 4000, "reach")
    assert reached.code == "R40B"
    assert reached.tmu + motions.G1A.tmu == Fraction("17.6")
    assert milliseconds(Fraction("17.6")) == 634  # 633.6 ms


def test_reach_into_a_bucket_of_mixed_items() -> None:
    """R16C 17.0, G1A 2.0, M9A 10.5: a published question, answered from the card's rows."""
    m9a = Fraction("10.5")  # moves of case A are not used by the program
    total = inch_reach(Reach.C).at(16 * INCH) + motions.G1A.tmu + weighted(m9a, 0)
    assert total == Fraction("29.5")


@pytest.mark.parametrize(
    ("motion", "tmu"),
    [
        (motions.G1A, "2.0"), (motions.G1B, "3.5"), (motions.G1C1, "7.3"), (motions.G1C2, "8.7"),
        (motions.G1C3, "10.8"), (motions.G4A, "7.3"), (motions.G4B, "9.1"), (motions.G5, "0"),
        (motions.RL1, "2.0"), (motions.P1SE, "5.6"), (motions.P1NSE, "10.4"),
        (motions.BEND, "29.0"), (motions.EYE_FOCUS, "7.3"),
        (motions.G4C, "12.9"), (motions.ARISE, "31.9"),  # these two from memory
    ],
    ids=lambda value: getattr(value, "code", value),
)  # fmt: skip
def test_single_figures_of_the_card(motion: motions.Motion, tmu: str) -> None:
    """Grasps, releases, positions and body motions as on the MTM-1 data card."""
    assert motion.tmu == Fraction(tmu)


def test_one_tmu_is_the_hundred_thousandth_part_of_an_hour() -> None:
    """1 TMU = 0.00001 h (MTM-1 data card, 2019)."""
    assert Fraction(3_600_000, 100_000) == motions.TMU_MS


@pytest.mark.parametrize("case", list(Reach), ids=lambda case: case.name)
def test_metric_reach_rows_agree_with_the_inch_rows(case: Reach) -> None:
    """Every centimetre row lies within 0.11 TMU of the line through the inch rows (computed)."""
    inches = inch_reach(case)
    rows = REACH[case].rows
    assert [d for d, _ in rows] == [1000 * n for n in range(1, 9)]
    for distance, tmu in rows:
        assert abs(inches.at(distance) - tmu) <= Fraction("0.11"), distance


def test_metric_move_rows_agree_with_the_inch_rows() -> None:
    """Every centimetre row of move B lies within 0.11 TMU of the inch rows (computed)."""
    for distance, tmu in MOVE_B.rows:
        assert abs(inch_move().at(distance) - tmu) <= Fraction("0.11"), distance


def test_past_the_last_row_each_inch_takes_the_step_of_the_card() -> None:
    """Past 30 in the card adds 0.4 (A) or 0.7 (B, C, D) for each inch of reach, 0.6 of move B."""
    for case, step in PAST_30.items():
        rows = REACH[case]
        assert rows.at(8000 + 10 * INCH) - rows.at(8000) == 10 * Fraction(step)
    assert MOVE_B.at(8000 + 10 * INCH) - MOVE_B.at(8000) == 6


@pytest.mark.parametrize(
    ("most", "factor", "constant"),
    [
        ("2.5", "1.00", "0"), ("7.5", "1.06", "2.2"), ("12.5", "1.11", "3.9"),
        ("17.5", "1.17", "5.6"), ("22.5", "1.22", "7.4"), ("27.5", "1.28", "9.1"),
        ("32.5", "1.33", "10.8"), ("37.5", "1.39", "12.5"), ("42.5", "1.44", "14.3"),
        ("47.5", "1.50", "16.0"),
    ],
)  # fmt: skip
def test_weight_rows_of_the_card(most: str, factor: str, constant: str) -> None:
    """Up to so many pounds: time = constant + factor × table value (MTM-1 card, pound rows)."""
    last_gram = int(Fraction(most) * Fraction(45_359_237, 100_000))
    expected = Fraction(constant) + Fraction(factor) * 20
    assert weighted(Fraction(20), last_gram) == expected
    if most != "47.5":
        assert weighted(Fraction(20), last_gram + 1) > expected
