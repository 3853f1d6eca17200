"""The curve of savings against moves, as a table with bars."""

from __future__ import annotations

from typing import Any

from toolbox.cli.words import paragraph, say, say_json, seconds, table
from toolbox.desk.moves import Curve, Evening
from toolbox.desk.plan_words import knee_words, needed_words

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
    say(paragraph(knee_words(curve)))
    needed = needed_words(curve)
    if needed:
        say(paragraph(needed))
    say('Nothing was saved. Plan an evening with "toolbox plan --moves NUMBER".')


def _row(row: Evening) -> tuple[str, ...]:
    limit = str(row.limit) if row.limit is not None else f"all ({row.moves})"
    if row.saved is None:
        return (limit if row.limit is not None else "all", "none found", "", "", "")
    share = "" if row.share is None else f"{100 * row.share:.0f} %"
    gap = "" if row.gap is None else f"{100 * row.gap:.2f} %"
    bar = "#" * round(_BAR * max(0.0, min(1.0, row.share or 0.0)))
    return (limit, seconds(row.saved), share, gap, bar)


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
