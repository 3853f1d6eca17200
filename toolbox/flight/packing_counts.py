"""What a packing decides, as CP-SAT variables: counts of alike items in bags, bags taken."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from toolbox.flight.packing_bulk import Heaps, rooms_matter
from toolbox.flight.packing_problem import Fate, PackingProblem, Places
from toolbox.flight.packing_tables import Tables, serving, uneven

_HEAVY_G = 3000  # a thing so heavy stays whole where others are cut up


class Counts:
    """The variables of one model, read and hinted item by item.

    ``inside[packing][kind]`` maps a bag to a count; ``left`` and ``away`` hold one count
    for each kind, ``taken`` one for each bag: variables, or whole numbers where nothing
    is to be decided.
    """

    def __init__(
        self,
        tables: Tables,
        *,
        may_leave_all: bool = False,
        stay: Collection[int] = (),
        cut: bool = False,
        even: bool = False,
    ) -> None:
        """Build the model's variables; ImportError without the solver package.

        ``stay`` are kinds that are left at home without asking. With ``cut`` what does not
        lie in its home is cut up by the gram, with ``even`` only what weighs the same on
        all legs.
        """
        from ortools.sat.python import cp_model

        self._cp = cp_model
        self.model = cp_model.CpModel()
        self.tables = tables
        self.problem: PackingProblem = tables.problem
        self.left: list[Any] = []
        self.away: list[Any] = []
        self._stay = frozenset(stay)
        self._cut = _cut(tables, even) if cut else frozenset[int]()
        for k, kind in enumerate(tables.kinds):
            size, asked = len(kind.members), k not in self._stay
            some = self.whole(size) if asked and (kind.may_leave or may_leave_all) else 0
            self.left.append(some if asked else size)
            sent = asked and kind.away_cents is not None
            self.away.append(self.whole(size) if sent else 0)
        self.taken = [1 if bag.always else self.yes() for bag in self.problem.bags]
        self._heaps: list[Heaps] = []
        self._volumes = cut and rooms_matter(self.problem)
        self.inside = [self._packing(flights) for flights in tables.packings]
        self._fill_only_taken()
        self._masses: dict[Any, Any] = {}
        self._most: dict[int, int] = {}

    def whole(self, most: int) -> Any:
        """A new whole number from 0 on."""
        return self.model.new_int_var(0, max(0, most), "")

    def yes(self) -> Any:
        """A new yes or no."""
        return self.model.new_bool_var("")

    def sum(self, variables: Sequence[Any], weights: Sequence[int]) -> Any:
        """A weighted sum."""
        return self._cp.LinearExpr.weighted_sum(list(variables), list(weights))

    def flies(self, kind: int, leg: int) -> bool:
        """True when a kind flies on a leg."""
        return self.problem.items[self.tables.kinds[kind].first].grams[leg] is not None

    def filled(self, packing: int, bag: int) -> list[Any]:
        """What fills a bag, for each set of things that fly together on a leg of a packing."""
        kinds, found = range(len(self.tables.kinds)), {}
        for leg in (flight[0] for flight in self.tables.packings[packing]):
            flying = tuple(k for k in kinds if self.flies(k, leg))
            if flying not in found:
                inside = self.in_bag(packing, bag, flying)
                volumes = [self.problem.items[self.tables.kinds[k].first].volume for k in inside]
                shares = sum(self._heaps[packing].volumes(bag, leg))
                found[flying] = self.sum(list(inside.values()), volumes) + shares
        return list(found.values())

    def in_bag(self, packing: int, bag: int, kinds: Sequence[int]) -> dict[int, Any]:
        """The counts of these kinds in a bag, of those that may lie there."""
        row = self.inside[packing]
        return {k: row[k][bag] for k in kinds if bag in row[k]}

    def served(self, need: Sequence[int]) -> Any:
        """How many of the items that serve a need are not left at home."""
        kinds = sorted({self.tables.kind_of[item] for item in need})
        return sum(len(self.tables.kinds[k].members) - self.left[k] for k in kinds)

    def most_grams(self, mass: Any) -> int:
        """The most that a mass can be."""
        return self._most[mass.index]

    def mass(self, packing: int, leg: int, bag: int) -> Any:
        """Grams of a bag on a leg, its own mass included: one variable for equal sums."""
        counts, weights = [], []
        most = self.problem.bags[bag].tare_g
        for kind, inside in zip(self.tables.kinds, self.inside[packing], strict=True):
            grams = self.problem.items[kind.first].grams[leg]
            if bag in inside and grams:
                counts.append(inside[bag])
                weights.append(grams)
                most += grams * len(kind.members)
        for share, largest in self._heaps[packing].grams(bag, leg):
            counts.append(share)
            weights.append(1)
            most += largest
        key = (packing, bag, tuple(weights), tuple(count.index for count in counts))
        if key not in self._masses:
            mass = self.whole(most)
            tare = self.problem.bags[bag].tare_g * self.taken[bag]
            self.model.add(mass == self.sum(counts, weights) + tare)
            self._masses[key] = mass
            self._most[mass.index] = most
        return self._masses[key]

    def _packing(self, flights: tuple[tuple[int, ...], ...]) -> list[dict[int, Any]]:
        """Counts for one packing of the bags; everything that flies is somewhere."""
        legs = [leg for flight in flights for leg in flight]
        self._heaps.append(Heaps(self.model, self.taken))
        row: list[dict[int, Any]] = []
        for k, kind in enumerate(self.tables.kinds):
            bags = set() if k in self._stay else {b for leg in legs for b in kind.bags[leg]}
            if k in self._cut:
                bags &= {kind.home}
            inside = {b: self.whole(len(kind.members)) for b in sorted(bags)}
            row.append(inside)
            if k not in self._stay and any(self.flies(k, leg) for leg in legs):
                held = sum(inside.values()) + self.left[k] + self.away[k]
                if k in self._cut:
                    held += self._elsewhere(k, [flight[0] for flight in flights])
                self.model.add(held == len(kind.members))
        self._heaps[-1].share_out()
        return row

    def _elsewhere(self, k: int, legs: Sequence[int]) -> Any:
        """How many of a kind that is cut up lie in other bags than their home."""
        kind, most = self.tables.kinds[k], len(self.tables.kinds[k].members)
        item = self.problem.items[kind.first]
        count = self.whole(most)
        grams = {leg: g for leg in legs for g in (item.grams[leg],) if g is not None}
        bags = tuple(b for b in kind.bags[next(iter(grams))] if b != kind.home)
        self._heaps[-1].put(bags, grams, item.volume if self._volumes else 0, count, most)
        return count

    def _fill_only_taken(self) -> None:
        for row in self.inside:
            for kind, inside in zip(self.tables.kinds, row, strict=True):
                for bag, count in inside.items():
                    if not self.problem.bags[bag].always:
                        self.model.add(count <= len(kind.members) * self.taken[bag])

    def hint(self, places: Places, fates: Sequence[Fate]) -> None:
        """Begin the next solve at this packing."""
        self.model.clear_hints()
        used = {bag for row in places for bag in row if bag is not None}
        for bag, taken in enumerate(self.taken):
            if not self.problem.bags[bag].always:
                self.model.add_hint(taken, bag in used)
        for k in range(len(self.tables.kinds)):
            for variable, count in self._values(places, fates, k):
                if not isinstance(variable, int):
                    self.model.add_hint(variable, count)

    def hint_all(self, solver: Any) -> None:
        """Begin the next solve at the solution a solver has found, whatever it stands for."""
        self.model.clear_hints()
        for index, value in enumerate(solver.response_proto.solution):
            self.model.add_hint(self.model.get_int_var_from_proto_index(index), value)

    def settled(
        self, places: Places, fates: Sequence[Fate], free: Collection[int]
    ) -> list[tuple[Any, int]]:
        """Counts as they are in a packing, without those of things in or at home in ``free`` bags.

        Things that do not fly are not settled where their home is free.
        """
        found: list[tuple[Any, int]] = []
        for k, kind in enumerate(self.tables.kinds):
            where = {row[i] for row in places for i in kind.members}
            if kind.home in free or not where.isdisjoint(free):
                continue
            found += [
                (variable, count)
                for variable, count in self._values(places, fates, k)
                if not isinstance(variable, int)
            ]
        return found

    def sent(self, fates: Sequence[Fate]) -> list[tuple[Any, int]]:
        """How many of each kind are sent or bought."""
        found = []
        for kind, away in zip(self.tables.kinds, self.away, strict=True):
            if not isinstance(away, int):
                here = sum(fates[i] in (Fate.SHIPPED, Fate.BOUGHT) for i in kind.members)
                found.append((away, here))
        return found

    def decided(
        self, places: Places, fates: Sequence[Fate], *, homes: bool
    ) -> list[tuple[Any, int]]:
        """What a cut-up packing decides: how many stay and are sent; with ``homes`` who is at home.

        With ``spread`` also where lies what serves a job.
        """
        spread = serving(self.tables) if self.problem.spread else set()
        found: list[tuple[Any, int]] = []
        for k, kind in enumerate(self.tables.kinds):
            rows = self._values(places, fates, k)
            known = {id(self.left[k]), id(self.away[k])}
            if homes:
                known |= {
                    id(variable)
                    for row in self.inside
                    for bag, variable in row[k].items()
                    if bag == kind.home or k in spread
                }
            found += [row for row in rows if id(row[0]) in known and not isinstance(row[0], int)]
        return found

    def _values(self, places: Places, fates: Sequence[Fate], k: int) -> list[tuple[Any, int]]:
        """The variables of a kind with what they are in a packing."""
        members = self.tables.kinds[k].members
        fate = [fates[i] for i in members]
        left = fate.count(Fate.LEFT)
        away = len(fate) - left - fate.count(Fate.CARRIED)
        found = [(self.left[k], left), (self.away[k], away)]
        for row, flights in zip(self.inside, self.tables.packings, strict=True):
            legs = [f[0] for f in flights if self.flies(k, f[0])]
            here = [places[legs[0]][i] for i in members] if legs else []
            found += [(variable, here.count(bag)) for bag, variable in row[k].items()]
        return found

    def read(self, solver: Any) -> tuple[Places, tuple[Fate, ...]]:
        """Deal the counts of a solution out to the items: places by leg, and fates."""
        fates = [Fate.CARRIED] * len(self.problem.items)
        places: list[list[int | None]] = [
            [None] * len(self.problem.items) for _ in self.problem.legs
        ]
        for k, kind in enumerate(self.tables.kinds):
            left, away = (_value(solver, v[k]) for v in (self.left, self.away))
            carried = len(kind.members) - left - away
            for i in kind.members[carried : carried + away]:
                fates[i] = kind.away
            for i in kind.members[carried + away :]:
                fates[i] = Fate.LEFT
            for row, flights in zip(self.inside, self.tables.packings, strict=True):
                dealt = [b for b, v in row[k].items() for _ in range(solver.value(v))]
                for leg in (leg for flight in flights for leg in flight if self.flies(k, leg)):
                    for i, bag in zip(kind.members, dealt, strict=False):
                        places[leg][i] = bag
        return tuple(map(tuple, places)), tuple(fates)


def _value(solver: Any, variable: Any) -> int:
    return variable if isinstance(variable, int) else int(solver.value(variable))


def _cut(tables: Tables, even: bool) -> frozenset[int]:
    """Kinds to be cut up: light, with several other bags, counted by no limit of goods.

    With ``spread`` it matters in which bag lies what serves a job: that stays whole. With
    ``even`` so does what weighs not the same on all legs, since there the gram tells less.
    """
    problem = tables.problem
    whole = {tables.kind_of[i] for goods in problem.limits for i, n in goods.units if n}
    if problem.spread:
        whole |= serving(tables)
    if even:
        whole |= uneven(tables)
    return frozenset(
        k
        for k, kind in enumerate(tables.kinds)
        if k not in whole
        and max(g or 0 for g in problem.items[kind.first].grams) < _HEAVY_G
        and any(len(set(bags) - {kind.home}) > 1 for bags in kind.bags)
    )
