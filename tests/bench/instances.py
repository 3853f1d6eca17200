"""Layout instances of the bench: read as a question, answers written as the bench reads them.

An instance is JSON: lengths in whole millimetres, seconds, grams. A question has
tenths of a millimetre and microseconds a day.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from toolbox.kit.box import Inside
from toolbox.layout.problem import Answer, Item, LayoutProblem, Place, Visit

MICRO = 1_000_000


def read_instance(path: Path) -> LayoutProblem:
    """The question of an instance file."""
    return problem_of(json.loads(path.read_text(encoding="utf-8")))


def problem_of(data: dict[str, Any]) -> LayoutProblem:
    """The question of an instance already read."""
    openings = list(data["openings_s"])
    seconds = data["openings_s"]
    number = {tool["id"]: n for n, tool in enumerate(data["tools"])}
    in_jobs = [0.0] * len(number)
    for job in data["jobs"]:
        for tool, picks in job["picks"].items():
            in_jobs[number[tool]] += job["per_day"] * picks
    everywhere = tuple(range(len(data["compartments"])))
    return LayoutProblem(
        items=tuple(
            Item(
                tool["id"],
                10 * tool["length_mm"],
                10 * tool["width_mm"],
                10 * tool["height_mm"],
                tool["mass_g"],
            )
            for tool in data["tools"]
        ),
        places=tuple(_place(c, openings, data["loose_fill"]) for c in data["compartments"]),
        openings=tuple(openings),
        clearance=10 * data["clearance_mm"],
        pick_cost=tuple(
            tuple(
                _linear(in_jobs[n], tool["loose_picks_per_day"], c, seconds)
                for c in data["compartments"]
            )
            for n, tool in enumerate(data["tools"])
        ),
        visits=tuple(
            Visit(
                tuple(round(job["per_day"] * seconds[o] * MICRO) for o in openings),
                tuple(number[tool] for tool in job["picks"]),
            )
            for job in data["jobs"]
        ),
        allowed=(everywhere,) * len(number),
    )


def _place(compartment: dict[str, Any], openings: list[str], fill: float) -> Place:
    sides = [10 * compartment[side] for side in ("length_mm", "width_mm", "depth_mm")]
    return Place(
        compartment["id"],
        Inside(compartment["kind"]),
        *sides,
        load_g=compartment["load_g"],
        room=int(fill * sides[0] * sides[1] * sides[2]),
        openings=tuple(openings.index(o) for o in compartment["openings"]),
    )


def _linear(
    in_jobs: float, loose: float, compartment: dict[str, Any], seconds: dict[str, float]
) -> int:
    opened = sum(seconds[o] for o in compartment["openings"])
    pick = compartment["pick_s"]
    return round((in_jobs * pick + loose * (pick + opened)) * MICRO)


def answer_json(problem: LayoutProblem, answer: Answer, took: float) -> dict[str, Any]:
    """An answer as the bench reads it: seconds a day, whole millimetres."""
    assert answer.cost is not None, "only an answer with a layout can be written"
    return {
        "cost": answer.cost / MICRO,
        "bound": (answer.bound or 0) / MICRO,
        "seconds": round(took, 2),
        "placements": [
            {
                "tool": item.name,
                "compartment": problem.places[put.place].name,
                "x_mm": put.x // 10,
                "y_mm": put.y // 10,
                "turned": put.turned,
            }
            for item, put in zip(problem.items, answer.puts, strict=True)
        ],
    }
