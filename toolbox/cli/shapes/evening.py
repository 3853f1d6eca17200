"""Shapes of commands about the log, the count, supplies, instruments and checklists."""

from __future__ import annotations

from toolbox.cli.shapes.flight import LINE
from toolbox.cli.shapes.kinds import Either, Shape, maybe

LOGGED = {
    "done": str,
    "entry": str,
    "words": str,
    "moved": str,
    "mixed_fluids": [str],
    "past_date": [str],
    "out": [{"tool": str, "name": str, "why": str}],
}
SAID = {"words": str, "entry": str}
PIECE = {"copy": str, "part": maybe(str), "number": int, "name": str}
MISSING = PIECE | {
    "since": str,
    "outcome": maybe(str),
    "words": str,
    "where": str,
    "until": maybe(str),
    "author": maybe(str),
}
USE = maybe({"job": maybe(str), "step": maybe(int), "bike": str, "at": str, "author": str})
OUTCOME = PIECE | {
    "at": str,
    "author": str,
    "where": str,
    "note": str,
    "ended": maybe(str),
}
HELD = {
    "supply": str,
    "name": str,
    "measure": str,
    "box": maybe(int),
    "reserve": int,
    "left": int,
    "usable": int,
    "out_of_date": int,
    "good_until": maybe(str),
    "count": bool,
    "used_this_week": int,
    "days_of_cover": maybe(int),
    "runs_out": maybe({"day": str, "chance": float}),
    "words": str,
}
RESTOCKING = {
    "day": str,
    "trip": maybe(str),
    "tasks": [
        {
            "number": int,
            "key": str,
            "what": str,
            "supply": str,
            "place": maybe(str),
            "way": [str],
            "where": str,
            "amount": int,
            "words": str,
            "why": str,
        }
    ],
    "buy": [{"supply": str, "packs": int, "amount": int, "when": str, "words": str, "why": str}],
    "runs_out": [{"supply": str, "words": str}],
    "mixed_fluids": [str],
    "entry": maybe(str),
}
STOCK_SAID = {"words": str, "left": int, "stands": str, "entry": maybe(str)}
STANDS = {
    "tool": str,
    "name": str,
    "carried": bool,
    "out": bool,
    "why": [str],
    "soon": str,
    "checked": maybe(str),
    "good_until": maybe(str),
    "uses": int,
    "uses_left": maybe(int),
    "halved": bool,
    "wind_down": bool,
    "unit": maybe(str),
}
POINT = {
    "at": int,
    "error": float,
    "worst": float,
    "within": float,
    "low": maybe(float),
    "high": maybe(float),
    "percent": maybe(float),
    "verdict": maybe(str),
}
SERIES = {
    "at": int,
    "values": [{"day": str, "value": float, "within": float}],
    "low": float,
    "high": float,
    "per_day": maybe(float),
    "significant": maybe(bool),
    "good_until": maybe(str),
    "earliest": maybe(str),
    "latest": maybe(str),
    "not_known": maybe(str),
}
INSTRUMENT = STANDS | {
    "checks": [
        {
            "at": str,
            "author": str,
            "verdict": maybe(str),
            "reference": str,
            "readings": [{"at": int, "shown": int, "reference": int, "way": str}],
            "celsius": maybe(int),
            "note": str,
        }
    ],
    "last": [POINT],
    "series": maybe(SERIES),
    "caution": str,
}
CORRECTION = {
    "tool": str,
    "wanted": int,
    "show": int,
    "true": float,
    "within": float,
    "unit": str,
    "note": str,
    "out": bool,
    "why": [str],
    "caution": str,
}
OF_JOB = {
    "job": str,
    "name": str,
    "steps": [
        {
            "step": int,
            "text": str,
            "instruments": [str],
            "out": [{"tool": str, "name": str, "why": str}],
        }
    ],
    "caution": str,
}
JUDGED = {
    "tool": str,
    "verdict": maybe(str),
    "refused": [str],
    "notes": [str],
    "points": [POINT],
    "hysteresis": maybe(float),
    "unit": str,
    "entry": maybe(str),
    "caution": str,
}

SHAPES: dict[str, Shape] = {
    "log": LOGGED,
    "pick": LOGGED,
    "spend": LOGGED,
    "undo": Either(LOGGED, {"entries": [{"entry": str, "at": str, "words": str, "live": bool}]}),
    "count": {
        "day": str,
        "complete": bool,
        "refused": bool,
        "hindrances": [str],
        "closed": maybe(
            {
                "complete": bool,
                "against": maybe(str),
                "reason": str,
                "author": str,
                "at": str,
            }
        ),
        "places": [
            {
                "id": maybe(str),
                "name": str,
                "tools": int,
                "pieces": int,
                "counted": bool,
                "author": maybe(str),
                "at": maybe(str),
                "short": [MISSING],
                "things": [{"copy": str, "name": str, "pieces": int}],
            }
        ],
        "short": [MISSING],
        "away": [MISSING],
        "entry": maybe(str),
    },
    "settle": SAID,
    "missing": {
        "missing": [
            MISSING
            | {
                "known_by": {str: str},
                "last_used": USE,
                "bikes": [{"bike": str, "last_used": USE, "released": bool, "words": str}],
                "uses_without_bike": int,
                "others": [str],
                "record": [str],
            }
        ]
    },
    "release": Either(SAID, {"held": [{"bike": str, "could_hold": [str]}]}),
    "lent": {"lent": [OUTCOME | {"until": maybe(str), "overdue": bool}]},
    "losses": {
        "losses": [OUTCOME],
        "to_double": [
            {
                "tool": str,
                "name": str,
                "copies": int,
                "losses": int,
                "urgency": float,
                "product": float,
            }
        ],
    },
    "stock": Either(
        {"day": str, "supplies": [HELD]},
        {"day": str}
        | HELD
        | {
            "level": int,
            "level_why": str,
            "chances": [{"day": str, "chance": float}],
            "opening": {"box": int, "reserve": int, "day": maybe(str)},
            "earlier": int,
            "history": [
                {
                    "at": str,
                    "what": str,
                    "amount": int,
                    "where": str,
                    "job": maybe(str),
                    "author": maybe(str),
                    "box": int,
                    "reserve": int,
                    "short": int,
                    "off": maybe(int),
                }
            ],
        },
    ),
    "restock": RESTOCKING,
    "buy": RESTOCKING,
    "recount": STOCK_SAID,
    "weighing": {
        "stored": [{"id": str, "name": str, "mass_g": int, "before": str}],
        "refused": [{"line": int, "text": str, "reason": str}],
        "of": int,
        "weighed": int,
        "catalogue": int,
        "guessed": int,
        "without_mass": int,
        "trip": maybe(str),
        "next": [{"id": str, "name": str, "mass": str, "why": str}],
    },
    "waste": STOCK_SAID,
    "opened": STOCK_SAID,
    "wish": {
        "wishes": [{"number": int, "key": str, "words": str, "why": str, "got": bool}],
        "entry": maybe(str),
    },
    "instruments": Either(
        {"instruments": [STANDS], "caution": str}, INSTRUMENT, CORRECTION, OF_JOB
    ),
    "test": Either(JUDGED, {"said": str, "entry": maybe(str), "caution": str}),
    "happened": {"tool": str, "what": str, "entry": str},
    "wound": {"tools": [str], "entry": maybe(str)},
    "gauges": {
        "unit": str,
        "certified": [str],
        "gauges": [{"name": str, "tool": maybe(str), "error": float, "within": float}],
        "apart": [str],
        "surely": maybe(float),
        "words": str,
        "caution": str,
    },
    "lists": Either(
        {"file": str},
        {
            "lists": [{"list": str, "title": str, "when": str, "done": int, "lines": int}],
            "examples": [str],
        },
        {
            "list": str,
            "title": str,
            "about": str,
            "done": int,
            "open": int,
            "carried_over": int,
            "lines": [
                LINE
                | {
                    "bike": str,
                    "torque_mnm": maybe(int),
                    "tool": maybe(str),
                    "tool_out": maybe(str),
                    "since": maybe(str),
                }
            ],
            "entry": maybe(str),
        },
    ),
}
