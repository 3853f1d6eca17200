"""Shapes of commands that keep a kit: its copies, what others have, whether all is well."""

from __future__ import annotations

from toolbox.cli.shapes.kinds import Either, Shape, maybe

COPY = {
    "name": str,
    "folder": str,
    "made": str,
    "facts": int,
    "files": [str],
    "faults": [str],
}
RESTORING = {
    "copy": COPY,
    "files": [{"file": str, "becomes": str}],
    "damaged": maybe(str),
    "unreadable": int,
    "since": [{"entry": str, "id": str, "at": str, "kind": str}],
    "keepable": int,
    "aside": maybe(str),
}
SHAPES: dict[str, Shape] = {
    "backup": {"copy": COPY},
    "restore": Either({"copies": [COPY]}, RESTORING, {"finished": bool}),
    "merge": {
        "other": str,
        "entries": int,
        "facts": int,
        "known": int,
        "authors": [str],
        "files_compared": bool,
        "unknown_because": maybe(str),
        "differences": [
            {
                "file": str,
                "table": str,
                "name": str,
                "key": str,
                "verdict": str,
                "here": maybe(str),
                "there": maybe(str),
                "had": maybe(str),
                "takeable": bool,
                "taken": bool,
            }
        ],
        "to_settle": int,
    },
    "doctor": {
        "well": bool,
        "checks": [{"what": str, "state": str, "words": str, "cure": str}],
    },
}
