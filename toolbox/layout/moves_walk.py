"""The walk with few moves: annealing that stays near today's layout, then plain descent.

A step sends a block to another place or back to today's, swaps two blocks, or sends
one on and the block it pushes out to a third place. Moves beyond the limit and places
that do not hold what lies in them are allowed for a time, at prices that rise.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log
from random import Random

from toolbox.layout.draft import Draft
from toolbox.layout.exact_lay import Verdict
from toolbox.layout.fit import Fits
from toolbox.layout.moves_base import Today
from toolbox.layout.tables import bits

_LOOK = 32  # steps between two looks at the stop signal
_EASY_FILL = 0.92  # up to this share of its area a set of things can mostly be laid
_EXACT = 0.03  # solver units for one fit in the descent
_EXACT_TRIES = 6  # exact fits tried in one descent

Change = tuple[tuple[int, int], ...]  # block, place


@dataclass(frozen=True, slots=True)
class Heat:
    """Heat at start and end, price of a move beyond the limit, of any move, of a misfit (µs/day).

    The prices of what is not allowed grow to ``rise`` times themselves by the end.
    """

    hot: float
    cool: float
    beyond: float
    each: float
    misfit: float
    rise: float = 4.0


class FewWalk:
    """A layout near today's under work. ``best`` are homes of blocks that hold, None before any."""

    def __init__(
        self,
        today: Today,
        fits: Fits | None,
        homes: Sequence[int],
        most: int,
        random: Random,
    ) -> None:
        """Begin at ``homes``; at most ``most`` things may move.

        Without ``fits`` laid places are only filled by area, to what they hold today or
        to an easy share: a fast walk that finds what is worth moving.
        """
        tables = today.tables
        usual = Draft(tables, today.homes).used
        self._area = [
            max(int(_EASY_FILL * room), used) if laid and fits is None else room
            for room, used, laid in zip(tables.room, usual, tables.laid, strict=True)
        ]
        self.best: list[int] | None = None
        self.best_cost = 0
        self.best_moves = 0
        self.draft = Draft(tables, homes)
        self.moves = today.moved(homes)
        self._today, self._tables, self._fits = today, tables, fits
        self._most, self._random = most, random
        self._seen: list[dict[int, float]] = [{} for _ in tables.room]
        self._bad = [self._weigh(p, inside) for p, inside in enumerate(self.draft.inside)]
        self._movable = [b for b, options in enumerate(tables.options) if len(options) > 1]
        self._away = self._moved()

    def run(self, heat: Heat, steps: int, stop: Callable[[], bool]) -> None:
        """Walk so many steps; the fewest moves count first while ``heat.each`` is above 0."""
        self._keep(heat.each > 0)
        if not self._movable:
            return
        ratio = heat.cool / heat.hot
        for made in range(steps):
            if made % _LOOK == 0:
                if stop():
                    return
                gone = made / steps
                warm = heat.hot * ratio**gone
                dear = 1.0 + (heat.rise - 1.0) * gone
                beyond, misfit = heat.beyond * dear, heat.misfit * dear
            change = self._change()
            if change and self._take(change, heat.each, beyond, misfit, warm):
                self._keep(heat.each > 0)

    def _keep(self, fewest: bool) -> None:
        if self.moves > self._most or any(self._bad):
            return
        mine = (self.moves if fewest else 0, self.draft.cost)
        if self.best is None or mine < (self.best_moves if fewest else 0, self.best_cost):
            self.best = self.draft.home[:]
            self.best_cost, self.best_moves = self.draft.cost, self.moves

    def _change(self) -> Change:
        """A step by chance; () when the dice chose nothing that changes."""
        chance, tables, draft = self._random.random, self._tables, self.draft
        block = self._pick()
        here = draft.home[block]
        options = tables.options[block]
        usual = self._today.homes[block]
        home = here != usual and chance() < 0.4
        there = usual if home else options[int(chance() * len(options))]
        if here == there:
            return ()
        kind = chance()
        others = draft.inside[there]
        if kind < 0.35 or not others:
            return ((block, there),)
        members = list(bits(others))
        other = members[int(chance() * len(members))]
        if kind < 0.75:
            back = here
        else:
            ways = tables.options[other]
            back = ways[int(chance() * len(ways))]
        if back == there or not tables.option_set[other] >> back & 1:
            return ()
        return ((block, there), (other, back))

    def _pick(self) -> int:
        chance = self._random.random
        if chance() < 0.25:
            place = int(chance() * len(self._bad))
            if self._bad[place] and self.draft.inside[place]:
                members = list(bits(self.draft.inside[place]))
                return members[int(chance() * len(members))]
        among = self._away if self._away and chance() < 0.3 else self._movable
        return among[int(chance() * len(among))]

    def _moved(self) -> list[int]:
        weight, home = self._today.weight, self.draft.home
        return [b for b in self._movable if weight[b][home[b]]]

    def _take(self, change: Change, each: float, beyond: float, misfit: float, warm: float) -> bool:
        """Make the change when its price is within what chance allows."""
        draft, bad, weight = self.draft, self._bad, self._today.weight
        limit = -warm * log(1.0 - self._random.random())
        before = [(block, draft.home[block]) for block, _ in change]
        moves = self.moves
        for (block, there), (_, here) in zip(change, before, strict=True):
            moves += weight[block][there] - weight[block][here]
        over = max(0, moves - self._most) - max(0, self.moves - self._most)
        grown = each * (moves - self.moves) + beyond * over
        touched = {place for _, place in (*change, *before)}
        limit += misfit * sum(bad[place] for place in touched)
        dearer = self._make(change)
        if grown + dearer <= limit:
            found = {}
            price = grown + dearer
            for place in sorted(touched):
                found[place] = self._weigh(place, draft.inside[place])
                price += misfit * found[place]
                if price > limit:
                    break
            else:
                for place, how in found.items():
                    bad[place] = how
                draft.cost += dearer
                self.moves = moves
                self._away = self._moved()
                return True
        for block, here in reversed(before):
            draft.move(block, here)
        return False

    def _make(self, change: Change) -> int:
        grown = 0
        for block, place in change:
            grown += self.draft.dearer(block, place)
            self.draft.move(block, place)
        return grown

    def _weigh(self, place: int, blocks: int) -> float:
        """0 where the place holds the blocks, else how bad it is."""
        seen = self._seen[place]
        found = seen.get(blocks)
        if found is None:
            found = seen[blocks] = self._misfit(place, blocks)
        return found

    def _misfit(self, place: int, blocks: int) -> float:
        tables = self._tables
        members = list(bits(blocks))
        over = sum(tables.use[b][place] for b in members) / max(self._area[place], 1) - 1.0
        heavy = sum(tables.mass[b] for b in members) / max(tables.load[place], 1) - 1.0
        rivals = sum(1 for b in members if self._today.apart[b] & blocks) / 2
        worst = max(0.0, over) + max(0.0, heavy)
        if worst or rivals:
            return 1.0 + 4.0 * worst + rivals
        laid = tables.laid[place] and blocks and self._fits is not None
        if laid and self._fits is not None and not self._fits.quickly(place, blocks):
            return 0.5 + 4.0 * max(0.0, over + 0.1)
        return 0.0

    def descend(self, stop: Callable[[], bool]) -> None:
        """From the best on: single steps and swaps that save, with exact fits, while there are any.

        A step may also be paid for by putting one moved block back.
        """
        self._keep(False)
        if self.best is None:
            return
        self._tries = _EXACT_TRIES
        self._set(self.best)
        while not stop() and (self._better(stop) or self._traded(stop)):
            self._keep(False)

    def _set(self, homes: Sequence[int]) -> None:
        self.draft = Draft(self._tables, homes)
        self.moves = self._today.moved(homes)
        self._bad = [0.0] * len(self._bad)

    def _better(self, stop: Callable[[], bool], above: int = 0) -> bool:
        """Make the change that saves most and fits; it must save more than ``above``."""
        for grown, change in self._savings(above):
            if stop():
                return False
            if self._fits_after(change, stop):
                self._make(change)
                self.moves = self._today.moved(self.draft.home)
                self.draft.cost += grown
                return True
        return False

    def _traded(self, stop: Callable[[], bool]) -> bool:
        draft = self.draft
        for block in self._moved():
            here, usual = draft.home[block], self._today.homes[block]
            back: Change = ((block, usual),)
            if stop() or here == usual or not self._fits_after(back, stop):
                continue
            cost, moves = draft.cost, self.moves
            lost = self._make(back)
            draft.cost += lost
            self.moves = self._today.moved(draft.home)
            if self._better(stop, lost):
                return True
            draft.move(block, here)
            draft.cost, self.moves = cost, moves
        return False

    def _savings(self, above: int) -> list[tuple[int, Change]]:
        """Single steps and swaps within the limit that save more than ``above``, best first."""
        draft, tables, weight = self.draft, self._tables, self._today.weight
        left = self._most - self.moves
        found: list[tuple[int, Change]] = []
        for block in self._movable:
            here = draft.home[block]
            for place in tables.options[block]:
                if place == here or weight[block][place] - weight[block][here] > left:
                    continue
                grown = draft.dearer(block, place)
                if grown < -above:
                    found.append((grown, ((block, place),)))
        found += self._swaps(above, left)
        return sorted(found)

    def _swaps(self, above: int, left: int) -> list[tuple[int, Change]]:
        draft, tables, weight = self.draft, self._tables, self._today.weight
        found: list[tuple[int, Change]] = []
        for n, one in enumerate(self._movable):
            here = draft.home[one]
            for two in self._movable[n + 1 :]:
                there = draft.home[two]
                if here == there or not tables.option_set[one] >> there & 1:
                    continue
                if not tables.option_set[two] >> here & 1:
                    continue
                more = weight[one][there] - weight[one][here]
                more += weight[two][here] - weight[two][there]
                if more > left:
                    continue
                grown = draft.dearer(one, there)
                draft.move(one, there)
                grown += draft.dearer(two, here)
                draft.move(one, here)
                if grown < -above:
                    found.append((grown, ((one, there), (two, here))))
        return found

    def _fits_after(self, change: Change, stop: Callable[[], bool]) -> bool:
        draft = self.draft
        before: Change = tuple((block, draft.home[block]) for block, _ in change)
        for block, place in change:
            draft.move(block, place)
        # a part of what lies somewhere fits there, but a quick way need not be found again
        touched = sorted({place for _, place in (*change, *before)})
        holds = all(self._holds(place, draft.inside[place], stop) for place in touched)
        for block, place in reversed(before):
            draft.move(block, place)
        return holds

    def _holds(self, place: int, blocks: int, stop: Callable[[], bool]) -> bool:
        how = self._weigh(place, blocks)
        if how == 0.0:
            return True
        if how >= 1.0 or self._tries <= 0:
            return False
        if self._fits is None:
            return False
        self._tries -= 1
        fits = self._fits.decide(place, blocks, work=_EXACT, stop=stop) is Verdict.FITS
        if fits:
            self._seen[place][blocks] = 0.0
        return fits
