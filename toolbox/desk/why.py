"""Why a thing lies where it lies, in the plan or today: what each other place costs and lacks."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from toolbox.desk.certainty import Placed, PlanCertainty, plan_certainty
from toolbox.desk.demands import RuleBook, rules_between
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.folder import KitFolder, name_of_copy
from toolbox.desk.hurdles import Obstacle, obstacle
from toolbox.desk.maps import todays_layout
from toolbox.desk.names import Named
from toolbox.desk.naming import things_like
from toolbox.desk.plans import rank_tools, saved_layout, study
from toolbox.desk.present import restrict
from toolbox.desk.question import Question
from toolbox.kit.kit import Kit
from toolbox.kit.layouts import Layout
from toolbox.kit.rules import Ask
from toolbox.layout.why import Elsewhere, Leave, why_here
from toolbox.usage.settled import settle


@dataclass(frozen=True, slots=True)
class Leaver:
    """Who would have to make room: copies, what all of it adds to a day (microseconds).

    ``to`` are compartments with room for each of them, where such were found that make
    the day cheaper; else () and ``extra`` counts the cheapest other place that would
    take each if it had room.
    """

    copies: tuple[str, ...]
    names: tuple[str, ...]
    extra: int
    to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherPlace:
    """Another compartment: what the thing adds to a day there, what stands in the way."""

    compartment: str
    name: str
    extra: int
    obstacles: tuple[Obstacle, ...]
    leaver: Leaver | None


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a copy lies where it lies.

    ``company`` are the copies that must lie with it and so move with it, by ``rules``;
    ``cost`` is what they cause a day in their compartment (microseconds);
    ``others`` stand cheapest first. ``placed`` says how sure the place is; None for a
    copy of which only the first is counted.
    """

    copy: str
    name: str
    compartment: str
    compartment_name: str
    company: tuple[str, ...]
    rules: tuple[str, ...]
    cost: int
    others: tuple[OtherPlace, ...]
    placed: Placed | None
    wanted: int

    @property
    def better(self) -> tuple[OtherPlace, ...]:
        """The places that would be cheaper."""
        return tuple(other for other in self.others if other.extra < 0)


def explain_place(folder: KitFolder, today: date, copy: str, *, present: bool = False) -> Reason:
    """Explain the place of a copy in the saved plan, or as the box lies today.

    DeskError when the layout has no place for it.
    """
    layout = shown_layout(folder, present)
    at = study(folder, today)
    homes = at.question.homes(layout.places())
    if copy not in at.question.copies or homes[at.question.copies.index(copy)] < 0:
        where = "today" if present else "in the plan"
        raise DeskError(f"{name_of_copy(folder.kit, copy)} has no place {where}")
    kept = [n for n, home in enumerate(homes) if home >= 0]
    problem = restrict(at.question.problem, kept)
    copies = tuple(at.question.copies[n] for n in kept)
    question = replace(
        at.question,
        problem=problem,
        copies=copies,
        pick_ms=tuple(at.question.pick_ms[n] for n in kept),
    )
    why = why_here(problem, [homes[n] for n in kept], copies.index(copy), block=True)
    sure = plan_certainty(folder.kit, layout, settle(at.usage))
    book = RuleBook(folder.kit, at.times)
    company = tuple(copies[i] for i in why.movers if copies[i] != copy)
    bound = (r for c in company for r in rules_between(folder.kit, Ask.TOGETHER, copy, c))
    return Reason(
        copy=copy,
        name=name_of_copy(folder.kit, copy),
        compartment=question.compartments[why.home],
        compartment_name=problem.places[why.home].name,
        company=company,
        rules=tuple(dict.fromkeys(rule.name for rule in bound)),
        cost=why.cost,
        others=tuple(_other(book, question, e, why.movers) for e in why.elsewhere),
        placed=sure.of(copy),
        wanted=sure.wanted,
    )


def certainty_of(folder: KitFolder, today: date, *, present: bool = False) -> PlanCertainty:
    """How sure each placement of the saved plan is, or of the box as it lies today."""
    layout = shown_layout(folder, present)
    return plan_certainty(folder.kit, layout, settle(rank_tools(folder, today)))


def shown_layout(folder: KitFolder, present: bool) -> Layout:
    """The layout to explain: the saved plan, or today's."""
    return todays_layout(folder.kit) if present else saved_layout(folder)


def carried_named(kit: Kit, letters: str) -> Named:
    """The carried tool or supply meant, or one copy of it by its id ("T1/2").

    UnknownName or UnclearName when that is not clear, DeskError for what stays at home.
    """
    carried = kit.carried()
    if letters in carried:
        return Named(letters, name_of_copy(kit, letters))
    meant = things_like(kit, letters)
    found = tuple(thing for thing in meant if thing.id in carried)
    if not found:
        names = ", ".join(thing.name for thing in meant[:3])
        raise DeskError(f"{names} does not travel in the box, so no layout has a place for it")
    if len(found) > 1:
        raise UnclearName("thing", letters, found)
    return found[0]


def _other(
    book: RuleBook, question: Question, there: Elsewhere, movers: tuple[int, ...]
) -> OtherPlace:
    return OtherPlace(
        compartment=question.compartments[there.place],
        name=question.problem.places[there.place].name,
        extra=there.extra,
        obstacles=tuple(
            obstacle(book, question, hurdle, movers, there.place) for hurdle in there.hurdles
        ),
        leaver=_leaver(book.kit, question, there.leave) if there.leave else None,
    )


def _leaver(kit: Kit, question: Question, leave: Leave) -> Leaver:
    copies = tuple(question.copies[i] for i in leave.items)
    to = tuple(question.problem.places[p].name for p in leave.homes or ())
    return Leaver(copies, tuple(name_of_copy(kit, c) for c in copies), leave.extra, to)
