"""The layout bench: one instance into an answer file, or a table of all beside the baselines.

    python tests/bench/layout.py INSTANCE.json --seconds 30 --out ANSWER.json
    python tests/bench/layout.py --table [--seconds 30] [--folder DIR] [--only NAME,NAME]

Not a timed test: figures are ratios within one run on one machine.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

from baselines import greedy_by_index, plain_model, timed
from instances import MICRO, answer_json, read_instance

from toolbox.desk.plans import study
from toolbox.desk.setup import last_day, lay_out_demo
from toolbox.layout.problem import Answer, LayoutProblem
from toolbox.layout.solve import solve
from toolbox.layout.watch import Watcher

FOLDER = Path(__file__).resolve().parents[2].parent / "shared" / "bench" / "layout"
DEMO = "demo"
PATIENCE = {"team-400": 60.0, "truck-1000": 120.0}
NEAR = 0.05
GREEDY_MOST = 200  # tools up to which the exact greedy is worth waiting for


class Clocked(Watcher):
    """Notes when each better layout and each better bound came."""

    def __init__(self) -> None:
        self.began = time.monotonic()
        self.layouts: list[tuple[float, int]] = []
        self.bounds: list[tuple[float, int]] = []

    def better_layout(self, answer: Answer) -> None:
        """Note the cost and the time."""
        assert answer.cost is not None
        self.layouts.append((time.monotonic() - self.began, answer.cost))

    def better_bound(self, bound: int) -> None:
        """Note the bound and the time."""
        self.bounds.append((time.monotonic() - self.began, bound))

    def gap_after(self, seconds: float) -> float | None:
        """The gap as it stood after so many seconds; None while there was no layout or bound."""
        costs = [cost for t, cost in self.layouts if t <= seconds]
        bounds = [bound for t, bound in self.bounds if t <= seconds and bound > 0]
        return costs[-1] / bounds[-1] - 1 if costs and bounds else None

    def within(self, bound: int) -> float | None:
        """Seconds until a layout within five percent of the bound, None when there was none."""
        return next((t for t, cost in self.layouts if cost <= bound * (1 + NEAR)), None)


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("instance", nargs="?", type=Path)
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--out", type=Path)
    parser.add_argument("--table", action="store_true")
    parser.add_argument("--folder", type=Path, default=FOLDER)
    parser.add_argument("--only", default="")
    parser.add_argument("--no-baselines", action="store_true")
    asked = parser.parse_args()
    if asked.table:
        table(asked.folder, asked.seconds, asked.only, baselines=not asked.no_baselines)
    elif asked.instance is None:
        parser.error("name an instance, or ask for --table")
    else:
        one(asked.instance, asked.seconds, asked.out)


def one(path: Path, seconds: float | None, out: Path | None) -> None:
    """Solve one instance and write its answer."""
    problem = read_instance(path)
    answer, took = timed(lambda: solve(problem, seconds=seconds))
    if answer.cost is None:
        sys.exit(f"{path.stem}: {answer.outcome.value} ({answer.method})")
    text = json.dumps(answer_json(problem, answer, took))
    if out is not None:
        out.write_text(text, encoding="utf-8")
    gap = answer.gap()
    print(
        f"{path.stem}: cost {answer.cost / MICRO:.1f}, bound {(answer.bound or 0) / MICRO:.1f}, "
        f"gap {100 * gap if gap is not None else float('nan'):.2f} %, {took:.1f} s"
    )


def table(folder: Path, seconds: float | None, only: str, *, baselines: bool) -> None:
    """Print a row for the demo and for every instance, smallest first."""
    print(f"{date.today()} {_processor()}, {os.cpu_count()} cores")
    heads = (
        *("instance", "tools", "places", "s", "cost", "bound", "gap %", "gap % at 10 s"),
        *("first s", "us / n^1.5", "to 5 % s"),
    )
    print(" | ".join((*heads, "greedy", "plain model")))
    wanted = set(filter(None, only.split(",")))
    if not wanted or DEMO in wanted:
        row(DEMO, demo_problem(), seconds or 30.0, baselines)
    if not folder.is_dir():
        print(f"no instances in {folder}: the demo alone")
    paths = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_size)
    for path in paths:
        if not wanted or path.stem in wanted:
            patience = seconds or PATIENCE.get(path.stem, 30.0)
            row(path.stem, read_instance(path), patience, baselines)
    own, child = (
        resource.getrusage(who).ru_maxrss / 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(f"most memory {own:.0f} MiB, of the process that proves the bound {child:.0f} MiB")


def demo_problem() -> LayoutProblem:
    """The layout question of the demo kit on its last day."""
    with tempfile.TemporaryDirectory() as folder:
        demo = lay_out_demo(Path(folder) / "demo")
        day = last_day(demo)
        assert day is not None, "the demo has a logged week"
        return study(demo, day).question.problem


def row(name: str, problem: LayoutProblem, seconds: float, baselines: bool) -> None:
    """Solve one instance and print its row."""
    clock = Clocked()
    answer = solve(problem, seconds=seconds, watcher=clock)
    gap = answer.gap()
    near = clock.within(answer.bound) if answer.bound else None
    cells = [
        name,
        len(problem.items),
        len(problem.places),
        f"{seconds:.0f}",
        f"{answer.cost / MICRO:.1f}" if answer.cost is not None else "none",
        f"{(answer.bound or 0) / MICRO:.1f}",
        _percent(gap),
        _percent(clock.gap_after(10.0)),
        f"{clock.layouts[0][0]:.3f}" if clock.layouts else "-",
        f"{1e6 * clock.layouts[0][0] / len(problem.items) ** 1.5:.0f}" if clock.layouts else "-",
        f"{near:.1f}" if near is not None else "-",
        *(_baselines(problem, seconds) if baselines else ()),
    ]
    print(" | ".join(map(str, cells)), flush=True)


def _percent(gap: float | None) -> str:
    return f"{100 * gap:.2f}" if gap is not None else "-"


def _processor() -> str:
    about = Path("/proc/cpuinfo")
    lines = about.read_text(encoding="utf-8").splitlines() if about.is_file() else []
    named = (line.partition(":")[2].strip() for line in lines if line.startswith("model name"))
    return next(named, platform.machine())


def _baselines(problem: LayoutProblem, seconds: float) -> tuple[str, str]:
    if len(problem.items) > GREEDY_MOST:
        return "not tried", "not tried"
    greedy, took = timed(greedy_by_index, problem)
    plain, _ = plain_model(problem, seconds)
    first = f"{greedy / MICRO:.1f} in {took:.0f} s" if greedy is not None else "none"
    return first, f"{plain / MICRO:.1f}" if plain is not None else "none"


if __name__ == "__main__":
    main()
