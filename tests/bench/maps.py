"""How long the map of a large box takes: drawing it, and moving its cursor.

A box of 2,000 tools in 40 compartments as a whole, one of its compartments, and one
compartment with all 2,000 tools in it, each in a window of 120 by 40: milliseconds of
processor time until all its lines were made, how many of them against those in view, and
milliseconds from a key of the cursor until every line in view was made again as far as it
changed.
"""

from __future__ import annotations

import asyncio
import statistics
import time
from typing import NamedTuple

from textual.app import App, ComposeResult
from textual.strip import Strip

from toolbox.desk.drawn_box import Drawing, filling
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Size, Tool
from toolbox.tui.widgets.box_map import BoxMap

TOOLS = 2000
WINDOW = (120, 40)
SIDE = 350  # tenths of a millimetre of each tool, with 40 between them
MOVES = 20
FRAME = 1000 / 60  # milliseconds


class Drawn(NamedTuple):
    """One map: milliseconds to draw it, lines made and in view, milliseconds of a cursor move."""

    what: str
    draw: float
    made: int
    seen: int
    move: float


class Alone(App[None]):
    """A map alone, which counts the lines it makes."""

    def __init__(self) -> None:
        super().__init__()
        self.map = Counted()

    def compose(self) -> ComposeResult:
        """The map."""
        yield self.map


class Counted(BoxMap):
    """Counts the lines that were made."""

    made = 0

    def _strip(self, line: int, left: int, width: int) -> Strip:
        self.made += 1
        return super()._strip(line, left, width)


def large_box(places: int) -> tuple[Kit, Layout]:
    """So many equal compartments, eight a drawer, with 2,000 tools laid side by side."""
    each = TOOLS // places
    across = 8 if each <= 64 else 50
    size = Size(across * 390, -(-each // across) * 390, 500)
    compartments = tuple(
        Compartment(
            f"c{n}",
            f"drawer {n // 8 + 1}, bay {n % 8 + 1}",
            Inside.LAID,
            size,
            Position(n % 8 * (size.length + 40), 0, n // 8 * 600),
            (f"d{n // 8}",),
        )
        for n in range(places)
    )
    openings = tuple(
        Opening(f"d{n}", f"drawer {n + 1}", Way.DRAWER, 4000) for n in range(-(-places // 8))
    )
    outer = Size(8 * size.length + 400, size.width + 100, 600 * len(openings))
    mass = Mass(100, Known.GUESS)
    tools = tuple(
        Tool(f"T{n}", f"Spanner {n} mm", mass, Size(SIDE, SIDE, 100)) for n in range(TOOLS)
    )
    spots = tuple(
        Spot(f"T{n}", f"c{n // each}", n % each % across * 390, n % each // across * 390)
        for n in range(TOOLS)
    )
    box = Box("large box", outer, 10_000, 0, openings, compartments)
    return Kit("large kit", box, tools), Layout("present", spots)


async def measured(what: str, drawing: Drawing) -> Drawn:
    """Draw it in a window of its own, then go about in it."""
    app = Alone()
    async with app.run_test(size=WINDOW) as pilot:
        await pilot.pause()
        box = app.map
        box.made = 0
        begun = time.process_time()
        box.show(drawing)
        _lines(box)
        drawn = time.process_time() - begun
        made = box.made
        moves = []
        for number in range(MOVES):
            begun = time.process_time()
            box.action_step(*((1, 0), (0, 1), (-1, 0), (0, -1))[number % 4])
            _lines(box)
            moves.append(time.process_time() - begun)
        return Drawn(what, 1000 * drawn, made, box.size.height, 1000 * statistics.median(moves))


def _lines(box: BoxMap) -> None:
    for y in range(box.size.height):
        box.render_line(y)


def drawn_maps() -> list[Drawn]:
    """The three maps."""
    spread, one = (filling(*large_box(places), None, None) for places in (40, 1))
    wanted = (
        ("the whole box", spread.whole()),
        ("a compartment of 50", spread.one("c0")),
        ("a compartment of 2,000", one.one("c0")),
    )
    return [asyncio.run(measured(what, drawing)) for what, drawing in wanted]


def say_maps(maps: list[Drawn]) -> bool:
    """Print a line for each; False when one made lines out of view or is slow to answer a key."""
    for drawn in maps:
        print(
            f"map, {drawn.what:<23} drawn in {drawn.draw:5.0f} ms, {drawn.made} lines made of "
            f"{drawn.seen} in view, a cursor move {drawn.move:5.1f} ms"
        )
    return all(drawn.made <= drawn.seen and drawn.move <= FRAME for drawn in maps)


if __name__ == "__main__":
    raise SystemExit(0 if say_maps(drawn_maps()) else 1)
