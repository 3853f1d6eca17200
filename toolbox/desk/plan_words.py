"""What a plan costs, proves and saves, in sentences that commands and screens share.

Names in them are as people typed them: whoever shows a sentence makes it harmless.
"""

from __future__ import annotations

from dataclasses import dataclass

from toolbox.desk.figures import count, seconds
from toolbox.desk.folder import name_of_copy
from toolbox.desk.moves import Curve
from toolbox.desk.plans import Comparison, Found, Plan
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout

CAUTION = (
    "Before you rebuild the box: lift with two people or empty it first, keep blades and "
    "spikes covered, and keep fluids upright. The plan knows only the sizes and masses you gave."
)
OLD = (
    "The kit, the journal or the day has changed since this plan was made; its cost is "
    "worked out anew here, its proof no longer holds."
)
NOTHING_TO_COMPARE = (
    "Nobody has said how the box lies today, so there is nothing to compare it with."
)


def gap_words(cost: int, bound: int | None) -> str:
    """How far a cost can be above the best there can be; both in microseconds a day."""
    if bound is None or bound <= 0:
        return "how far above the best there can be is not known"
    if cost <= bound:
        return "the best there can be"
    # Rounded up: "at most" must stay true.
    hundredths = -(-10_000 * (cost - bound) // bound)
    if hundredths < 100:
        return f"at most {hundredths / 100:.2f} % above the best there can be"
    return f"at most {-(-hundredths // 10) / 10:.1f} % above the best there can be"


def cost_words(kit: Kit, made: Plan) -> str:
    """What a plan costs a day."""
    weight = f"{float(kit.settings.urgent_weight):g}"
    return f"Plan: {seconds(made.cost)} of reaching a day (urgent seconds count {weight} times)."


def proof_words(made: Plan) -> str:
    """What is proved of a plan."""
    if made.optimal:
        return "Proved: no layout that keeps your rules costs less."
    if made.bound is None or made.gap is None:
        return "How far from the best it can be is not known."
    return (
        f"Proved: none can cost less than {seconds(made.bound)}, so it is "
        f"{gap_words(made.cost, made.bound)}."
    )


def saving_words(versus: Comparison) -> str:
    """What the plan saves against today, weighted and on the plain stopwatch, and its moves."""
    saved = versus.present - versus.planned
    plain = versus.plain_present - versus.plain_planned
    share = f" ({100 * abs(saved) / versus.present:.1f} %)" if versus.present > 0 else ""
    return (
        f"Today's layout: {seconds(versus.present)} a day. The plan {_saves(saved)}{share}; on "
        f"the plain stopwatch, urgent or not, it {_saves(plain)}. "
        f"It moves {count(len(versus.moves), 'thing')}."
    )


def _saves(microseconds: int) -> str:
    if microseconds < 0:
        return f"costs {seconds(-microseconds)} a day more"
    return f"saves {seconds(microseconds)} a day"


def unplaced_words(kit: Kit, versus: Comparison) -> str:
    """Which things have no place today, "" when all have."""
    if not versus.unplaced:
        return ""
    names = "; ".join(name_of_copy(kit, copy) for copy in versus.unplaced)
    return f"Without a place today, so counted alike on both sides: {names}"


def fault_words(versus: Comparison) -> tuple[str, ...]:
    """A sentence for each way in which today's layout does not hold."""
    return tuple(f"Today's layout does not hold: {fault}" for fault in versus.present_faults)


def knee_words(curve: Curve) -> str:
    """From how many moves on more of them bring little."""
    bend = curve.knee
    if curve.rows[-1].saved is not None and not any((row.saved or 0) > 0 for row in curve.rows):
        return "No layout was found that saves anything against today's."
    if bend is None or not bend.moves or bend.share is None:
        return "Every move brings about as much as the one before: the curve has no knee."
    moves = count(bend.moves, "move")
    gives = "gives" if bend.moves == 1 else "give"
    return (
        f"{moves} {gives} {100 * bend.share:.0f} % of the gain; after that each move brings less."
    )


def needed_words(curve: Curve) -> str:
    """How many moves it takes at least where none or few are not enough, "" where they are."""
    if all(row.cost is not None for row in curve.rows):
        return ""
    least = min((row.moves for row in curve.rows if row.moves is not None), default=None)
    if least is None:
        return "No layout was found with any number of moves."
    return (
        "The box as it lies breaks a rule or does not fit; the fewest moves found that make "
        f"it hold are {least}."
    )


def kept_words(found: Found, made: Plan) -> str:
    """What became of a search: its plan saved, or the better one of before left alone."""
    assert found.answer.cost is not None, "what was found has a cost"
    figures = f"{seconds(made.cost)} a day, {gap_words(made.cost, made.bound)}"
    if made.cost < found.answer.cost:
        return f"Stopped. The plan saved before is better and stays: {figures}."
    return f"Plan saved: {figures}."


def adopted_words(layout: Layout) -> str:
    """What became of adopting a plan."""
    things = count(len(layout.spots), "thing")
    return f"Today's layout is now the plan: {things} in their places."


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A copy that changes compartment, in names: ``origin`` is "nowhere" without a place today."""

    copy: str
    thing: str
    origin: str
    target: str


def move_lines(kit: Kit, versus: Comparison) -> tuple[MoveLine, ...]:
    """What moves, those with the same target together."""
    names = {c.id: c.name for c in kit.box.compartments}
    return tuple(
        MoveLine(
            move.copy,
            name_of_copy(kit, move.copy),
            names[move.origin] if move.origin else "nowhere",
            names[move.target],
        )
        for move in sorted(versus.moves, key=lambda move: (names[move.target], move.copy))
    )
