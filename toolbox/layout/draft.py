"""A layout under work: homes of blocks, what is used up, what is opened, what it costs.

Every change keeps the cost exact, in a few steps for each visit the block belongs to.
"""

from __future__ import annotations

from collections.abc import Sequence

from toolbox.layout.tables import Tables


class Draft:
    """Homes of all blocks, with running totals. ``inside[p]`` is the set of blocks in place p.

    ``behind[v][o]`` counts the blocks of visit v that lie behind opening o; the visit
    pays the opening while the count is above 0.
    """

    def __init__(self, tables: Tables, homes: Sequence[int]) -> None:
        """A draft with every block in the place given for it."""
        places = len(tables.room)
        problem = tables.problem
        self.tables = tables
        self.home = [-1] * len(homes)
        self.inside = [0] * places
        self.used = [0] * places
        self.mass = [0] * places
        self.behind = [[0] * len(problem.openings) for _ in problem.visits]
        self.cost = 0
        self._opens = [place.openings for place in problem.places]
        self._price = [visit.opening_cost for visit in problem.visits]
        for block, place in enumerate(homes):
            self._put(block, place)
            self.cost += tables.cost[block][place]
        for counts, price in zip(self.behind, self._price, strict=True):
            self.cost += sum(cost for count, cost in zip(counts, price, strict=True) if count)

    def _put(self, block: int, place: int) -> None:
        tables = self.tables
        self.home[block] = place
        self.inside[place] |= 1 << block
        self.used[place] += tables.use[block][place]
        self.mass[place] += tables.mass[block]
        for visit in tables.visits_of[block]:
            counts = self.behind[visit]
            for opening in self._opens[place]:
                counts[opening] += 1

    def dearer(self, block: int, place: int) -> int:
        """How much the cost grows when one block moves to a place (negative: it falls)."""
        tables = self.tables
        here = self.home[block]
        row = tables.cost[block]
        grown = row[place] - row[here]
        old, new = tables.zone[here], tables.zone[place]
        if old != new:
            opened, shut = tables.newly[old][new], tables.newly[new][old]
            for visit in tables.visits_of[block]:
                counts, price = self.behind[visit], self._price[visit]
                for opening in opened:
                    if not counts[opening]:
                        grown += price[opening]
                for opening in shut:
                    if counts[opening] == 1:
                        grown -= price[opening]
        return grown

    def move(self, block: int, place: int) -> None:
        """Move a block; all totals but ``cost`` follow."""
        tables = self.tables
        here = self.home[block]
        bit = 1 << block
        self.inside[here] ^= bit
        self.inside[place] |= bit
        use, mass = tables.use[block], tables.mass[block]
        self.used[here] -= use[here]
        self.used[place] += use[place]
        self.mass[here] -= mass
        self.mass[place] += mass
        self.home[block] = place
        old, new = tables.zone[here], tables.zone[place]
        if old != new:
            opened, shut = tables.newly[old][new], tables.newly[new][old]
            for visit in tables.visits_of[block]:
                counts = self.behind[visit]
                for opening in opened:
                    counts[opening] += 1
                for opening in shut:
                    counts[opening] -= 1
