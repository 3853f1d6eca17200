"""Shapes of commands about the kit, its box, the ranking and the plan."""

from __future__ import annotations

from toolbox.cli.shapes.kinds import Either, Shape, maybe

FAULTS = [{"file": str, "entry": str, "wrong": str, "cure": str}]
FILES = [{"file": str, "how": str}]
SPOTS = [
    {
        "item": str,
        "compartment": str,
        "x_tenth_mm": maybe(int),
        "y_tenth_mm": maybe(int),
        "turned": bool,
    }
]
PLAN = {
    "cost_us": int,
    "bound_us": maybe(int),
    "gap": maybe(float),
    "optimal": bool,
    "method": str,
    "stamp": str,
    "fresh": bool,
    "present": maybe(
        {
            "cost_us": int,
            "saved_us": int,
            "plain_cost_us": int,
            "plain_saved_us": int,
            "without_place": [str],
            "faults": [str],
            "moves": [{"item": str, "from": maybe(str), "to": maybe(str)}],
        }
    ),
    "spots": SPOTS,
}
CURVE = {
    "present_us": int,
    "rows": [
        {
            "limit": maybe(int),
            "moves": int,
            "cost_us": int,
            "bound_us": maybe(int),
            "saved_us": int,
            "share": maybe(float),
            "gap": maybe(float),
        }
    ],
    "knee": maybe(int),
}
RANKED = {
    "rank": int,
    "tool": str,
    "name": str,
    "per_day": float,
    "low": float,
    "high": float,
    "class": str,
    "cumulative": float,
    "urgent_share": float,
    "times": int,
    "last_used": maybe(str),
    "chance_easily_reached": maybe(float),
    "settled": bool,
    "compartment": maybe(str),
    "cost_us_per_day": maybe(int),
}
USES = {
    "days": int,
    "easily_reached": int,
    "tools": [RANKED],
    "jobs": [
        {
            "job": str,
            "name": str,
            "per_day": float,
            "low": float,
            "high": float,
            "visits": int,
            "urgent_share": float,
        }
    ],
    "log_next": [{"tool": str, "chance": float, "jobs": [str]}],
    "notes": [str],
}
MAP = {
    "layout": str,
    "compartments": [
        {
            "compartment": str,
            "name": str,
            "kind": str,
            "way": [str],
            "grams": int,
            "load_g": maybe(int),
            "things": [
                {
                    "item": str,
                    "name": str,
                    "x_tenth_mm": maybe(int),
                    "y_tenth_mm": maybe(int),
                    "turned": bool,
                }
            ],
        }
    ],
    "without_place": [str],
}
WHY = {
    "item": str,
    "name": str,
    "compartment": str,
    "moves_with": [str],
    "rules": [str],
    "cost_us": int,
    "chance_most_wanted": maybe(float),
    "certainty": maybe(str),
    "others": [
        {
            "compartment": str,
            "extra_us": maybe(int),
            "in_the_way": [{"kind": str, "words": str, "rules": [str], "items": [str]}],
            "would_have_to_leave": maybe({"items": [str], "extra_us": int, "to": [str]}),
        }
    ],
}
CERTAINTY = {
    "most_wanted": int,
    "easily_reached": [str],
    "planned_again": int,
    "placements": [
        {
            "item": str,
            "name": str,
            "compartment": str,
            "chance_most_wanted": float,
            "easily_reached": bool,
            "certainty": str,
            "easily_reached_again": maybe(int),
        }
    ],
}
_TIMED = {"milliseconds": int, "source": str, "spread_ms": maybe([int]), "motions": [str]}
_EDITED = Either(
    {"written": bool, "id": str, "words": str},
    {"written": bool, "faults": [{"key": str, "words": str}]},
    # lists, and one entry with the keys of its file, as they are written
    *({many: [{str: str}]} for many in ("tools", "supplies", "jobs", "compartments")),
    *({one: {str: str}, "named_by": [str]} for one in ("tool", "supply", "job", "compartment")),
)

SHAPES: dict[str, Shape] = {
    "new": {"kit": str, "folder": str, "box": str},
    "check": Either(
        {"folder": str, "faults": FAULTS},
        {
            "folder": str,
            "faults": FAULTS,
            "tools": int,
            "supplies": int,
            "jobs": int,
            "carried": int,
            "carried_g": int,
            "tare_g": int,
            "mixed_fluids": [str],
            "odd_masses": [str],
        },
    ),
    "import": {
        "stored": [str],
        "kind": str,
        "header_line": maybe(int),
        "columns": [{"header": str, "meaning": str, "unit": maybe(str), "how": str}],
        "lines": [
            {
                "line": int,
                "cells": [str],
                "values": {str: {"cell": str, "read": str, "rests_on": str}},
                "group": str,
                "asks": [str],
                "refused": bool,
            }
        ],
        "new": [
            Either(
                {
                    "line": int,
                    "id": str,
                    "name": str,
                    "sort": str,
                    "mass_g": maybe(int),
                    "carried": bool,
                },
                {"line": int, "id": str, "name": str, "sort": str, "steps": int},
            )
        ],
        "changed": [
            {
                "line": int,
                "id": str,
                "name": str,
                "changes": [{"key": str, "old": str, "new": str}],
            }
        ],
        "same": [str],
        "missing": [str],
        "questions": [{"id": str, "asked": str, "choices": [str], "free": bool, "lines": [int]}],
        "refusals": [{"line": int, "column": str, "cell": str, "reason": str, "cure": str}],
        "notes": [str],
        "answers": {str: str},
        "odd_masses": [str],
    },
    "place": {"placed": [str], "compartment": str},
    "edit": _EDITED,
    "uses": Either(
        USES,
        RANKED
        | {
            "urgent_times": int,
            "days": [{"day": str, "times": int}],
            "for": [{"work": str, "times": int}],
        },
    ),
    "reach": {
        "thing": str,
        "openings": [{"opening": str} | _TIMED],
        "compartments": [{"compartment": str} | _TIMED | {"in_hand_ms": int}],
    },
    "plan": Either(PLAN, CURVE),
    "compare": PLAN,
    "why": Either(WHY, CERTAINTY),
    "helps": {
        "cost_us": int,
        "saved_without_change_us": int,
        "changes": [{"change": str, "compartment": str, "name": str, "saved_at_least_us": int}],
        "second_copies": [
            {
                "item": str,
                "name": str,
                "compartment": maybe(str),
                "first_copy": maybe(str),
                "saved_at_least_us": int,
                "adds_g": int,
            }
        ],
    },
    "rebuild": {
        "done": int,
        "steps": [
            {
                "number": int,
                "handling": str,
                "compartment": str,
                "items": [str],
                "anew": [str],
                "done": bool,
            }
        ],
    },
    "adopt": {"adopted": int},
    "map": MAP,
    "find": {
        "found": [
            {
                "item": str,
                "name": str,
                "compartment": maybe(str),
                "compartment_name": maybe(str),
                "way": [str],
                "milliseconds": maybe(int),
                "remark": str,
                "out": maybe(str),
            }
        ]
    },
    "balance": {
        "tare_g": int,
        "contents_g": int,
        "total_g": int,
        "limit_g": maybe(int),
        "centre_tenth_mm": [int],
        "sideways_tenth_mm": int,
        "lengthwise_tenth_mm": int,
        "compartments": [{"compartment": str, "grams": int, "limit_g": maybe(int)}],
        "tipping": [{"opened": [str], "margin_mnm": int, "tips": bool}],
        "findings": [{"severity": str, "words": str}],
    },
    "pitbag": Either(
        {
            "bag": [{"tool": str, "name": str, "grams": int}],
            "grams": int,
            "limit_g": int,
            "covered": [str],
            "left_out": [{"job": str, "missing": [str], "more_g": maybe(int)}],
            "urgent_share": maybe(float),
            "proved_best": bool,
        },
        {"bag": None, "reason": str, "needed_g": int, "limit_g": int, "instead": [str]},
    ),
    "unused": {
        "days": int,
        "idle": [
            {"tool": str, "name": str, "grams": int, "last_use": maybe(str), "jobs_lost": [str]}
        ],
        "single": [{"tool": str, "name": str, "jobs": [str]}],
    },
    "draw": {
        "drawn": str,
        "layout": str,
        "without_place?": [str],  # of maps
        "things?": int,  # of the sheet for the lid
        "total_g?": int,
        "files": FILES,
        "cautions": [str],
    },
    "labels": {
        "labels": [{"name": str, "id": str, "code": str}],
        "grid": str,
        "paper": str,
        "sheets": int,
        "files": FILES,
    },
    "export": Either(
        {
            "folder": str,
            "files": [str],
            "facts": int,
            "left_out": [str],
            "hidden": int,
        },
        {"folder": str, "day": str, "files": [str], "left_out": [str]},
    ),
    "report": {"day": str, "files": FILES},
    "ready": {
        "folder": str,
        "ready": bool,
        "findings": [{"seriousness": str, "words": str, "place": str, "command": str}],
    },
    "demo": {"uses": USES, "plan": PLAN, "map": MAP},
}
