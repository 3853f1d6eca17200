"""The walk: many small changes to a draft, dear ones more and more seldom (annealing).

One change moves a block, or swaps one or two blocks of one place for up to two of
another. A change that makes the layout dearer is taken with a chance that falls with
its price and with the heat, and the heat falls during the walk.

A walk on areas asks only that areas, sums and loads are kept, with laid places
filled to a share of their area. A walk on true fits also asks whether the things can
be laid. A place whose things cannot (or no quick way was found) is a misfit. It has a price,
which rises while there is any misfit and falls while there is none, so that the walk
goes to and fro across the border of what can be laid, where the best layouts are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import log
from random import Random

from toolbox.layout.draft import Draft
from toolbox.layout.fit import Fits
from toolbox.layout.tables import bits

_LOOK = 128  # steps between two looks at the progress
_EASY_FILL = 0.9  # up to this share of its area a set of things can mostly be laid
_HOPELESS = 0.965  # above it hardly any set can, however patient the look
_PATIENT_AFTER = 0.4  # share of a walk; while it is hot, quick looks are enough
_STEEP = 30.0  # price of a misfit for each share of fill above that
_DEARER = 1.01  # change of the price of a misfit at each look, while there is any
_CHEAPER = 0.97  # and while there is none
_DEAREST = 1000.0  # times the least price
_MEMBERS_KEPT = 100_000

Progress = Callable[[int], float]
Better = Callable[[int, list[int]], None]


@dataclass(frozen=True, slots=True)
class Course:
    """How a walk goes: heat at start and end, most fill of laid places, price of a misfit.

    Heat and the least misfit price are in cost units. ``looked_at`` tells whether the
    fit is looked at; without it a walk is on areas.
    """

    hot: float
    cool: float
    fill: float
    misfit: float
    looked_at: bool


class Walk:
    """One walk from the homes in ``draft``; ``best`` and ``best_cost`` hold what it found.

    The best keeps areas and loads, and on true fits has no misfit; None while there
    is none.
    """

    def __init__(self, draft: Draft, fits: Fits, course: Course, random: Random) -> None:
        """Prepare a walk; nothing moves yet."""
        tables = draft.tables
        self.draft = draft
        self.best: list[int] | None = None
        self.best_cost = 0
        self._tables = tables
        self._fits = fits
        self._course = course
        self._random = random
        self._heat = course.hot
        self._misfit = course.misfit
        self._room = [
            int(room * course.fill) if laid else room
            for room, laid in zip(tables.room, tables.laid, strict=True)
        ]
        self._area = [1.0 / max(room, 1) for room in tables.room]
        self._members: dict[int, list[int]] = {}
        self._patient = False
        self._bad = [
            self._weigh(p, draft.inside[p], draft.used[p]) for p in range(len(tables.room))
        ]
        self._keep()

    def run(self, progress: Progress, better: Better | None = None) -> int:
        """Walk until progress(steps) is 1 or more; returns the steps made.

        ``better`` hears of each improved best soon after it was found.
        """
        course = self._course
        steps, told = 0, None
        ratio = course.cool / course.hot
        while True:
            if better is not None and self.best is not None and self.best_cost != told:
                told = self.best_cost
                better(told, self.best)
            gone = progress(steps)
            if gone >= 1.0:
                return steps
            self._heat = course.hot * ratio**gone
            self._patient = gone > _PATIENT_AFTER
            for _ in range(_LOOK):
                self._step()
            steps += _LOOK
            if any(self._bad):
                self._misfit = min(self._misfit * _DEARER, course.misfit * _DEAREST)
            else:
                self._misfit = max(self._misfit * _CHEAPER, course.misfit)

    def misfits(self) -> list[int]:
        """The places whose things could not be laid quickly."""
        return [p for p, bad in enumerate(self._bad) if bad]

    def _step(self) -> None:
        tables, draft, chance = self._tables, self.draft, self._random.random
        block = self._pick()
        options = tables.options[block]
        here, there = draft.home[block], options[int(chance() * len(options))]
        if here == there:
            return
        kind = chance()
        going: list[int] = [block]
        coming: list[int] = []
        if kind >= 0.2 and draft.inside[there]:
            others = self._list(draft.inside[there])
            if kind < 0.6:
                coming = [others[int(chance() * len(others))]]
            elif not self._several(going, coming, self._list(draft.inside[here]), others):
                return
        self._try(here, there, going, coming)

    def _pick(self) -> int:
        """A block by chance; more often one from a misfit while there is any."""
        chance = self._random.random
        if self._course.looked_at and chance() < 0.3:
            place = int(chance() * len(self._bad))
            if self._bad[place]:
                members = self._list(self.draft.inside[place])
                return members[int(chance() * len(members))]
        return int(chance() * len(self.draft.home))

    def _several(
        self, going: list[int], coming: list[int], mates: list[int], others: list[int]
    ) -> bool:
        """Choose one or two blocks of each side, not one against one."""
        chance, sample = self._random.random, self._random.sample
        out, back = 1 + int(chance() * 2), 1 + int(chance() * 2)
        if out == back == 1:
            back = 2
        if out > len(mates) or back > len(others):
            return False
        if out == 2:
            going[:] = sample(mates, 2)
        coming[:] = sample(others, back)
        return True

    def _try(self, here: int, there: int, going: list[int], coming: list[int]) -> None:
        """Make the change if totals, price and chance allow it."""
        tables, draft = self._tables, self.draft
        left_use, left_mass, left = draft.used[here], draft.mass[here], draft.inside[here]
        new_use, new_mass, new = draft.used[there], draft.mass[there], draft.inside[there]
        for blocks, to, sign in ((going, there, 1), (coming, here, -1)):
            for block in blocks:
                if not tables.option_set[block] >> to & 1:
                    return
                use, mass, bit = tables.use[block], tables.mass[block] * sign, 1 << block
                left_use -= sign * use[here]
                new_use += sign * use[there]
                left_mass -= mass
                new_mass += mass
                left ^= bit
                new ^= bit
        room, load = self._room, tables.load
        if new_use > room[there] and new_use > draft.used[there]:
            return
        if left_use > room[here] and left_use > draft.used[here]:
            return
        if new_mass > load[there] or left_mass > load[here]:
            return
        if self._rivals(there, going, new) or self._rivals(here, coming, left):
            return
        self._settle(here, there, going, coming, (left, left_use), (new, new_use))

    def _rivals(self, place: int, blocks: list[int], inside: int) -> bool:
        rivals = self._tables.rivals[place]
        return any(rivals[block] & inside for block in blocks)

    def _settle(
        self,
        here: int,
        there: int,
        going: list[int],
        coming: list[int],
        left: tuple[int, int],
        new: tuple[int, int],
    ) -> None:
        """Take the change when its price (misfits included) is within what chance allows."""
        draft, bad = self.draft, self._bad
        limit = -self._heat * log(1.0 - self._random.random())
        limit += self._misfit * (bad[here] + bad[there])
        grown = 0
        for block in going:
            grown += draft.dearer(block, there)
            draft.move(block, there)
        for block in coming:
            grown += draft.dearer(block, here)
            draft.move(block, here)
        if grown <= limit:
            one = self._weigh(here, *left)
            if grown + self._misfit * one <= limit:
                two = self._weigh(there, *new)
                if grown + self._misfit * (one + two) <= limit:
                    bad[here], bad[there] = one, two
                    draft.cost += grown
                    self._keep()
                    return
        for block in coming:
            draft.move(block, there)
        for block in going:
            draft.move(block, here)

    def _weigh(self, place: int, blocks: int, used: int) -> float:
        """0 where the blocks can be laid, else how bad the misfit is."""
        if not self._course.looked_at or not blocks or not self._tables.laid[place]:
            return 0.0
        over = used * self._area[place] - _EASY_FILL
        if self._patient and over < _HOPELESS - _EASY_FILL:
            if self._fits.patiently(place, blocks):
                return 0.0
        elif self._fits.quickly(place, blocks):
            return 0.0
        return 0.5 + _STEEP * over if over > 0 else 0.5

    def _keep(self) -> None:
        cost = self.draft.cost
        if (self.best is None or cost < self.best_cost) and not any(self._bad):
            self.best_cost, self.best = cost, self.draft.home[:]

    def _list(self, blocks: int) -> list[int]:
        found = self._members.get(blocks)
        if found is None:
            if len(self._members) > _MEMBERS_KEPT:
                self._members.clear()
            found = self._members[blocks] = list(bits(blocks))
        return found
