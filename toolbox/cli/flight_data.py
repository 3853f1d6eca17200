"""Trips by air as data for programs: masses in grams, money in hundredths, chances from 0 to 1."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from toolbox.desk.flight_bags import BagCheck, Load, Pool
from toolbox.desk.flight_goods import GoodsFinding
from toolbox.desk.flight_plan import FlightMove, FlightPlan, NoPacking, currency_of
from toolbox.desk.flight_plan_words import charge_words, reasons
from toolbox.desk.flight_words import cautions
from toolbox.desk.flights import Check, lifting_of, rules_warning, to_weigh
from toolbox.desk.trips import Flight, label
from toolbox.desk.weigh_in import WeighedIn, explanation_words


def flight_data(
    flight: Flight, check: Check, plan: FlightPlan | NoPacking | None
) -> dict[str, Any]:
    """The whole answer of the command flight."""
    planned = plan if isinstance(plan, FlightPlan) else None
    return {
        "trip": flight.name,
        "name": flight.trip.name,
        **check_data(flight, check),
        "weigh_next": [
            {
                "bag": one.bag.id,
                "scale": one.scale.id,
                "things": [s.line.id for s in one.things],
                "u_after_g": round(one.things[-1].total_u_g, 1),
            }
            for one in to_weigh(flight, check)
        ],
        "planned": plan is not None,
        "moves": [_move(move) for move in planned.moves] if planned else [],
        "repacks": [[_move(m) for m in moves] for moves in planned.repacks] if planned else [],
        "cost": _cost(flight, planned) if planned else None,
        "proven": plan.proven if plan is not None else False,
        "aims": [
            {"aim": r.aim.value, "value": r.value, "bound": r.bound, "gap": r.gap()}
            for r in (planned.answer.aims if planned else ())
        ],
        "after": check_data(flight, planned.after) if planned else None,
        "lost_jobs": [work.job for work in planned.lost] if planned else [],
        "undoable_jobs": [work.job for work in planned.undoable] if planned else [],
        "if_lost": [
            {"bag": loss.bag.id, "possible": [w.job for w in loss.possible]}
            for loss in (planned.if_lost if planned else ())
        ],
        "reasons": list(reasons(plan)) if isinstance(plan, NoPacking) else [],
        "lifting": _lifting(flight, planned.after if planned else check),
        **_rules(flight),
    }


def check_data(flight: Flight, check: Check) -> dict[str, Any]:
    """How a packing stands: the same keys for today's and for the planned one."""
    return {
        "fits": check.fits,
        "masses_fit": check.masses_fit,
        "bags": [_bag(flight, bag) for bag in check.bags],
        "pools": [_pool(flight, pool) for pool in check.pools],
        "findings": [finding_data(finding) for finding in check.findings],
        "matters": list(check.matters),
    }


def _bag(flight: Flight, bag: BagCheck) -> dict[str, Any]:
    return {
        "id": bag.bag.id,
        "name": bag.bag.name,
        "flies": bag.flies,
        "things": bag.things,
        **_load(flight, bag.governing),
        "legs": [_load(flight, load) for load in bag.loads],
    }


def _pool(flight: Flight, pool: Pool) -> dict[str, Any]:
    people, bags = list(pool.people), list(pool.bags)
    return {"people": people, "bags": bags, **_load(flight, pool.load)}


def _load(flight: Flight, load: Load) -> dict[str, Any]:
    low, high = load.total.interval()
    return {
        "leg": flight.trip.legs[load.leg].id,
        "mass_g": load.total.grams,
        "low_g": low,
        "high_g": high,
        "limit_g": load.limit_g,
        "limit": load.limit,
        "chance_over": load.chance_over,
        "verdict": load.verdict.value if load.verdict is not None else None,
    }


def finding_data(found: GoodsFinding) -> dict[str, Any]:
    """What is said of a thing: the answer, what to do, the first reason and its source."""
    return {
        "item": found.item,
        "name": found.name,
        "copies": list(found.copies),
        "bag": found.bag,
        "answer": found.answer.value,
        "todo": found.todo.value,
        "reason": found.reasons[0].text,
        "source": found.reasons[0].source,
        "reasons": [{"reason": r.text, "source": r.source} for r in found.reasons],
        "over": found.over.excess if found.over is not None else 0,
    }


def answers_data(flight: Flight, answers: Sequence[GoodsFinding]) -> dict[str, Any]:
    """The answer of the command goods."""
    answered = [finding_data(answer) for answer in answers]
    return {"trip": flight.name, "answers": answered, **_rules(flight)}


def _move(move: FlightMove) -> dict[str, Any]:
    return {
        "item": move.copy.id,
        "name": label(move.copy),
        "from": move.origin,
        "to": move.target,
        "fate": move.fate.value,
    }


def _cost(flight: Flight, plan: FlightPlan) -> dict[str, Any]:
    return {
        "hundredths": plan.cents,
        "currency": currency_of(flight.trip),
        "charges": [
            {
                "leg": None if charge.leg is None else flight.trip.legs[charge.leg].id,
                "hundredths": charge.cents,
                "words": charge_words(plan.asked, charge),
            }
            for charge in plan.charges
        ],
    }


def _lifting(flight: Flight, check: Check) -> list[dict[str, Any]]:
    return [
        {
            "bag": one.bag.id,
            "lifts": [
                {
                    "what": lift.what,
                    "limit_g": round(1000 * lift.lifting.limit),
                    "index": lift.lifting.index,
                    "words": lift.words,
                }
                for lift in one.lifts
            ],
            "above_reference_mass_for": list(one.over),
        }
        for one in lifting_of(flight, check.bags)
    ]


def _rules(flight: Flight) -> dict[str, Any]:
    rules = {
        "name": flight.rules.name,
        "dated": flight.rules.dated.isoformat(),
        "warning": rules_warning(flight),
    }
    return {"rules": rules, "cautions": list(cautions())}


def weighed_data(flight: Flight, found: WeighedIn) -> dict[str, Any]:
    """The answer of the command weigh."""
    explained = found.explained
    return {
        "bag": found.bag.id,
        "reading_g": found.weighing.reading_g,
        "scale": found.scale.id,
        "listed_g": found.listed.grams,
        "difference_g": explained.difference_g,
        "u_g": round(explained.u_g, 1),
        "agrees": explained.agrees,
        "unexplained": explained.unexplained,
        "accepted": found.weighing.accepted,
        "by": found.weighing.by,
        "explanations": [
            {
                "missing": list(one.missing),
                "extra": list(one.extra),
                "words": explanation_words(flight, one),
                "probability": one.probability,
            }
            for one in explained.explanations
        ],
        "other_probability": explained.others,
        "cautions": list(cautions()),
    }
