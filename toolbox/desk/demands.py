"""The kit's rules one by one, as what each of them asks of a layout."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from toolbox.desk.question import layout_question
from toolbox.kit.kit import Kit
from toolbox.kit.rules import Ask, Rule
from toolbox.kit.things import base_id
from toolbox.layout.conflict import Demand
from toolbox.layout.problem import LayoutProblem
from toolbox.reach.engine import ReachTimes
from toolbox.usage.engine import Usage

NO_USE = Usage(0, 0.0, None, None, (), (), ())
"""Rules ask the same whatever is used, and a question without use is quickly put."""

PLACING = (Ask.PINNED, Ask.ONLY, Ask.WITHIN, Ask.CLEAR)
"""What rules ask of one thing's place, whatever lies beside it."""


def with_rules(kit: Kit, rules: tuple[Rule, ...], times: ReachTimes) -> LayoutProblem:
    """The kit's layout problem with these rules only, and without costs."""
    return layout_question(replace(kit, rules=rules), NO_USE, times).problem


def demand_of(kit: Kit, rule: Rule, times: ReachTimes) -> Demand:
    """What one rule asks of a layout."""
    problem = with_rules(kit, (rule,), times)
    everywhere = tuple(range(len(problem.places)))
    return Demand(
        allowed=tuple((i, a) for i, a in enumerate(problem.allowed) if a != everywhere),
        together=problem.together,
        apart=problem.apart,
    )


@dataclass
class RuleBook:
    """The kit's rules with what each leaves to every copy, worked out when first asked for."""

    kit: Kit
    times: ReachTimes
    _left: dict[Rule, tuple[tuple[int, ...], ...]] = field(init=False, default_factory=dict)

    def barring(self, copy: str, place: int) -> tuple[str, ...]:
        """Names of the rules that keep a copy out of a place."""
        item = tuple(self.kit.carried()).index(copy)
        return tuple(
            rule.name
            for rule in self.kit.rules
            if rule.ask in PLACING
            and rule.speaks_of(base_id(copy))
            and place not in self._leaves(rule)[item]
        )

    def _leaves(self, rule: Rule) -> tuple[tuple[int, ...], ...]:
        if rule not in self._left:
            self._left[rule] = with_rules(self.kit, (rule,), self.times).allowed
        return self._left[rule]


def rules_between(kit: Kit, ask: Ask, copy: str, other: str) -> tuple[Rule, ...]:
    """The rules that hold two copies together or apart."""
    one, two = base_id(copy), base_id(other)
    return tuple(
        r
        for r in kit.rules
        if r.ask is ask and (r.parts(one, two) if ask is Ask.APART else r.speaks_of(one, two))
    )
