"""Shapes of commands about trips by air and the papers that go along."""

from __future__ import annotations

from toolbox.cli.shapes.box import FILES
from toolbox.cli.shapes.kinds import Shape, maybe

LOAD = {
    "leg": str,
    "mass_g": int,
    "low_g": int,
    "high_g": int,
    "limit_g": maybe(int),
    "limit": str,
    "chance_over": maybe(float),
    "verdict": maybe(str),
}
FINDING = {
    "item": str,
    "name": str,
    "copies": [str],
    "bag": maybe(str),
    "answer": str,
    "todo": str,
    "reason": str,
    "source": str,
    "reasons": [{"reason": str, "source": str}],
    "over": int,
}
CHECK = {
    "fits": bool,
    "masses_fit": bool,
    "bags": [{"id": str, "name": str, "flies": bool, "things": int} | LOAD | {"legs": [LOAD]}],
    "pools": [{"people": [str], "bags": [str]} | LOAD],
    "findings": [FINDING],
    "matters": [str],
}
MOVE = {"item": str, "name": str, "from": maybe(str), "to": maybe(str), "fate": str}
RULES = {"rules": {"name": str, "dated": str, "warning": str}, "cautions": [str]}
LINE = {
    "number": int,
    "key": str,
    "words": str,
    "why": str,
    "source": str,
    "pieces": maybe(int),
    "counted": int,
    "state": str,
    "by_itself": bool,
    "note": str,
    "author": str,
    "at": maybe(str),
}
LISTED = {
    "number": int,
    "thing": str,
    "part": str,
    "words": str,
    "pieces": int,
    "grams": maybe(int),
    "hundredths": maybe(int),
    "origin": str,
    "serial": str,
}
CHANGE = {
    "change": str,
    "number": maybe(int),
    "thing": str,
    "part": str,
    "words": str,
    "what": str,
    "was": str,
    "now": str,
}

SHAPES: dict[str, Shape] = {
    "trip": {"trip": str, "file": str},
    "flight": {
        "trip": str,
        "name": str,
        **CHECK,
        "weigh_next": [{"bag": str, "scale": str, "things": [str], "u_after_g": float}],
        "planned": bool,
        "moves": [MOVE],
        "repacks": [[MOVE]],
        "cost": maybe(
            {
                "hundredths": int,
                "currency": str,
                "charges": [{"leg": maybe(str), "hundredths": int, "words": str}],
            }
        ),
        "proven": bool,
        "aims": [{"aim": str, "value": int, "bound": maybe(int), "gap": maybe(float)}],
        "after": maybe(CHECK),
        "lost_jobs": [str],
        "undoable_jobs": [str],
        "if_lost": [{"bag": str, "possible": [str]}],
        "reasons": [str],
        "lifting": [
            {
                "bag": str,
                "lifts": [{"what": str, "limit_g": int, "index": maybe(float), "words": str}],
                "above_reference_mass_for": [str],
            }
        ],
        **RULES,
        "stopped": bool,
    },
    "goods": {"trip": str, "answers": [FINDING], **RULES},
    "stow": {"trip": str, "stowed": [str], "bag": maybe(str), **CHECK},
    "weigh": {
        "bag": str,
        "reading_g": int,
        "scale": str,
        "listed_g": int,
        "difference_g": int,
        "u_g": float,
        "agrees": bool,
        "unexplained": bool,
        "accepted": str,
        "by": str,
        "explanations": [{"missing": [str], "extra": [str], "words": str, "probability": float}],
        "other_probability": float,
        "cautions": [str],
    },
    "preflight": {
        "trip": str,
        "name": str,
        "days_left": maybe(int),
        "done": int,
        "open": int,
        "carried_over": int,
        "lines": [LINE],
        "entry": maybe(str),
        "cautions": [str],
    },
    "sheets": {
        "trip": str,
        "made": str,
        "files": [{"file": str, "bag": maybe(str), "how": str}],
        "stale": [str],
        "cautions": [str],
    },
    "customs": {
        "trip": str,
        "issue": maybe(int),
        "day": str,
        "bags": [str],
        "left_out": [str],
        "country": str,
        "currency": str,
        "unit": str,
        "sets": str,
        "lines": [LISTED],
        "totals": {
            "items": int,
            "pieces": int,
            "grams": maybe(int),
            "hundredths": maybe(int),
        },
        "words": {"en": [str], "fr": [str]},
        "refusals": [{"thing": str, "name": str, "wrong": str, "cure": str}],
        "last_issue": maybe(int),
        "changes": [CHANGE],
        "files": FILES,
        "cautions": [str],
    },
    "claim": {
        "trip": str,
        "bag": str,
        "mishap": str,
        "days": int,
        "counted_from": str,
        "last_day": str,
        "keep_to": str,
        "days_left": int,
        "running": bool,
        "words": str,
        "things": [
            {
                "thing": str,
                "name": str,
                "pieces": int,
                "grams": int,
                "hundredths": maybe(int),
                "currency": maybe(str),
                "serial": str,
                "last_seen": str,
            }
        ],
        "totals": {
            "pieces": int,
            "grams": int,
            "values": [{"hundredths": int, "currency": str}],
            "unvalued": int,
        },
        "possible_jobs": [str],
        "lost_jobs": [str],
        "files": FILES,
        "cautions": [str],
    },
}
