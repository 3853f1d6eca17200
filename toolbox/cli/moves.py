"""The curve of savings against moves, as a table with bars."""

from __future__ import annotations

from typing import Any

from toolbox.cli.words import count, paragraph, say, say_json, seconds, table
from toolbox.desk.moves import Curve, Evening

_BAR = 20  # letters of a bar for all that can be saved


def say_curve(curve: Curve, as_json: bool) -> None:
    """Print what each number of moves saves a day, and from where more bring little."""
    if as_json:
        say_json(_curve_json(curve))
        return
    if curve.today is not None:
        say(f"Today's layout: {seconds(curve.today)} of reaching a day (urgent seconds weighted).")
    heads = ("moves", "saved a day", "share", "gap at most", "")
    say(table(heads, [_row(row) for row in curve.rows], right=(0, 1, 2, 3)))
    say(paragraph(_knee(curve)))
    if any(row.cost is None for row in curve.rows):
        say(paragraph(_needed(curve)))
    say('Nothing was saved. Plan an evening with "toolbox plan --moves NUMBER".')


def _row(row: Evening) -> tuple[str, ...]:
    limit = str(row.limit) if row.limit is not None else f"all ({row.moves})"
    if row.saved is None:
        return (limit if row.limit is not None else "all", "none found", "", "", "")
    share = "" if row.share is None else f"{100 * row.share:.0f} %"
    gap = "" if row.gap is None else f"{100 * row.gap:.2f} %"
    bar = "#" * round(_BAR * max(0.0, min(1.0, row.share or 0.0)))
    return (limit, seconds(row.saved), share, gap, bar)


def _knee(curve: Curve) -> str:
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


def _needed(curve: Curve) -> str:
    least = min((row.moves for row in curve.rows if row.moves is not None), default=None)
    if least is None:
        return "No layout was found with any number of moves."
    return (
        "The box as it lies breaks a rule or does not fit; the fewest moves found that make "
        f"it hold are {least}."
    )


def _curve_json(curve: Curve) -> dict[str, Any]:
    """The curve as data: costs in microseconds a day, ``limit`` null where there is none."""
    rows = [
        {
            "limit": row.limit,
            "moves": row.moves,
            "cost_us": row.cost,
            "bound_us": row.bound,
            "saved_us": row.saved,
            "share": row.share,
            "gap": row.gap,
        }
        for row in curve.rows
    ]
    knee = None if curve.knee is None else curve.rows.index(curve.knee)
    return {"present_us": curve.today, "rows": rows, "knee": knee}
