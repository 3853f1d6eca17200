"""Commands around a trip by air: flight, weigh, goods, trip."""

from __future__ import annotations

from pathlib import Path

import click

from toolbox.cli import codes
from toolbox.cli.common import (
    author,
    json_option,
    kit_folder,
    kit_option,
    looked_at,
    meant,
    today_option,
)
from toolbox.cli.flight_data import answers_data, check_data, flight_data, weighed_data
from toolbox.cli.stopping import until_stopped
from toolbox.cli.words import clean, count, hang, paragraph, say, say_json, table
from toolbox.desk.diary import read_typed
from toolbox.desk.flight_goods import GoodsFinding, goods_answers
from toolbox.desk.flight_plan import (
    FlightPlan,
    NoPacking,
    plan_flight,
    take_plan,
    with_one_more_bag,
    with_pieces_of,
)
from toolbox.desk.flight_plan_words import (
    charge_words,
    cost_words,
    lost_words,
    move_lines,
    proof_words,
    reasons,
)
from toolbox.desk.flight_words import (
    AT_RISK,
    LIFTING,
    OPEN,
    bag_words,
    cautions,
    finding_lines,
    fits_words,
    lifting_words,
    pieces_words,
    pool_words,
    weigh_next_words,
    weighed_words,
    works_words,
)
from toolbox.desk.flights import Check, check_now, lifting_of, rules_warning, to_weigh
from toolbox.desk.trips import Flight, bag_named, copies_named, new_trip, open_flight, without
from toolbox.desk.trips import stow as stow_away
from toolbox.desk.weigh_in import (
    UNDECIDED,
    Decision,
    WeighedIn,
    explanation_words,
    scale_meant,
    standing_words,
    weigh_bag,
)
from toolbox.kit.quantities import Kind

_STOPPED = "Stopped before its end: this is what the search had found until then."
_NOT_TAKEN = " Nothing is written down: plan again to take it."

trip_option = click.option("--trip", "name", help="The trip. Default: the one that comes next.")


@click.command()
@click.argument("name", required=False, metavar="[TRIP]")
@click.option("--leave", "leave", multiple=True, metavar="THING", help="What if it stays at home.")
@click.option("--bag", "more_bag", metavar="TARE", help="What if there is one more bag, so heavy.")
@click.option("--piece", "piece", metavar="MASS", help="What if each hold bag may weigh so much.")
@click.option("--spread", is_flag=True, help="Pack so that one lost bag leaves most jobs possible.")
@click.option("--check", "only_check", is_flag=True, help="Check how it is packed; plan nothing.")
@click.option("--paid", is_flag=True, help="Check against the limits that money buys.")
@click.option("--take", is_flag=True, help="Say that the bags are now packed as planned.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.1, 3600),
    help="Search this long by the clock; answers may differ.",
)
@today_option
@kit_option
@json_option
def flight(
    name: str | None,
    leave: tuple[str, ...],
    more_bag: str | None,
    piece: str | None,
    spread: bool,
    only_check: bool,
    paid: bool,
    take: bool,
    seconds: float | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Check a trip by air and plan its bags: limits, dangerous goods, what to move.

    Ctrl-C ends the search early and keeps the best so far. The exit code is 0 only when
    everything fits as it is packed.
    """
    if take and (only_check or leave or more_bag is not None or piece is not None):
        raise click.UsageError("--take goes with a plan of the trip as it is, not with what-ifs")
    folder = kit_folder(kit_path)
    trip = open_flight(folder, name, looked_at(folder, today))
    trip = _what_if(trip, leave, more_bag, piece)
    check = check_now(trip, paying=paid)
    plan, stopped = None, False
    if not only_check:
        plan, stopped = until_stopped(
            lambda stop: plan_flight(trip, spread=spread, seconds=seconds, stop=stop)
        )
    if take and isinstance(plan, FlightPlan) and not stopped:
        check = check_now(take_plan(trip, plan), paying=paid)
    if as_json:
        say_json({**flight_data(trip, check, plan), "stopped": stopped})
    else:
        _say_check(trip, check)
        if isinstance(plan, FlightPlan):
            _say_plan(trip, plan, spread=spread)
        elif plan is not None:
            _say_none(plan)
        if stopped:
            say(paragraph(_STOPPED + (_NOT_TAKEN if take else "")))
        _say_cautions(trip)
    if not check.fits:
        raise click.exceptions.Exit(codes.NO)


def _what_if(
    trip: Flight, leave: tuple[str, ...], more_bag: str | None, piece: str | None
) -> Flight:
    for letters in leave:
        trip = without(trip, copies_named(trip, letters))
    if more_bag is not None:
        trip = with_one_more_bag(trip, read_typed(more_bag, Kind.MASS))
    if piece is not None:
        trip = with_pieces_of(trip, read_typed(piece, Kind.MASS))
    return trip


@click.command()
@click.argument("things", nargs=-1, required=True, metavar="THING...")
@click.option("--in", "bag", help="The bag they lie in now.")
@click.option("--out", is_flag=True, help="They lie in no bag: they stay at home or go otherwise.")
@trip_option
@today_option
@kit_option
@json_option
def stow(
    things: tuple[str, ...],
    bag: str | None,
    out: bool,
    name: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Say that THINGs now lie in another bag of the trip, or in none; S-16/2 is one copy."""
    if (bag is None) is not out:
        raise click.UsageError('say where: "--in BAG" or "--out"')
    folder = kit_folder(kit_path)
    trip = open_flight(folder, name, looked_at(folder, today))
    copies = [copy for letters in things for copy in copies_named(trip, letters)]
    target = None if bag is None else meant(lambda _, typed: bag_named(trip, typed), trip.kit, bag)
    packed = stow_away(trip, copies, target)
    check = check_now(packed)
    if as_json:
        say_json({"trip": trip.name, "stowed": copies, "bag": target, **check_data(packed, check)})
        return
    for words in (bag_words(packed, one) for one in check.bags):
        hang("- ", words)
    say(paragraph(clean(cautions()[0])))


@click.command()
@click.argument("bag")
@click.argument("reading", nargs=-1, required=True, metavar="READING")
@click.option("--scale", "scale", help="The scale it stood on, where the trip has several.")
@click.option("--accept", metavar="REASON", help="Why it counts though nothing explains it.")
@click.option("--by", help="Who accepts it. Default: TOOLBOX_AUTHOR, or the login name.")
@trip_option
@today_option
@kit_option
@json_option
def weigh(
    bag: str,
    reading: tuple[str, ...],
    scale: str | None,
    accept: str | None,
    by: str | None,
    name: str | None,
    today: str | None,
    kit_path: Path | None,
    as_json: bool,
) -> None:
    """Store what a packed BAG weighs on a scale, like "weigh case 22.95 kg".

    The reading counts instead of the sum of what is in it. When the two differ by more
    than their uncertainty, the likeliest missing and extra things are named. A reading that
    nothing explains keeps the trip from fitting until it is weighed again or accepted.
    """
    if by is not None and accept is None:
        raise click.UsageError("--by goes with --accept REASON")
    if accept is not None and not clean(accept):
        raise click.UsageError("--accept wants a reason")
    folder = kit_folder(kit_path)
    trip = open_flight(folder, name, looked_at(folder, today))
    mass = read_typed(" ".join(reading), Kind.MASS)
    chosen = trip.bag(meant(lambda _, typed: bag_named(trip, typed), trip.kit, bag))
    on = meant(lambda _, typed: scale_meant(trip, mass, typed or None), trip.kit, scale or "")
    decision = UNDECIDED if accept is None else Decision(accept, author(by))
    found = weigh_bag(trip, chosen, mass, on, decision)
    if as_json:
        say_json(weighed_data(trip, found))
        return
    _say_weighed(trip, found)


def _say_weighed(trip: Flight, found: WeighedIn) -> None:
    say(paragraph(clean(weighed_words(found))))
    if not found.explained.agrees:
        say("What may be behind it, the likeliest first:")
        rows = [
            (f"{100 * one.probability:.0f} %", clean(explanation_words(trip, one)))
            for one in found.explained.explanations
        ]
        say(table(("", ""), rows, right=(0,)))
    if words := standing_words(found):
        say(paragraph(clean(words)))
    say(paragraph(f"Stored in trips/{trip.name}.toml. From now on the reading counts."))


@click.command()
@click.argument("name", required=False, metavar="[TRIP]")
@click.option("--all", "everything", is_flag=True, help="Name each thing, not only what matters.")
@today_option
@kit_option
@json_option
def goods(
    name: str | None, everything: bool, today: str | None, kit_path: Path | None, as_json: bool
) -> None:
    """Say for every thing in the bags: hold, cabin, no, ask the carrier, or read its sheet."""
    folder = kit_folder(kit_path)
    trip = open_flight(folder, name, looked_at(folder, today))
    answers = goods_answers(trip, trip.now)
    if as_json:
        say_json(answers_data(trip, answers))
        return
    telling = [a for a in answers if everything or a.answer.value != "hold" or _moves(a)]
    for answer in telling:
        why = answer.reasons[0]
        say(f"{answer.answer.value.upper()}  {clean(pieces_words(answer))}")
        say(paragraph(clean(f"{answer.todo.value}; {why.text} [{why.source}]"), "      "))
    rest = len(answers) - len(telling)
    if rest:
        say(f"HOLD  {count(rest, 'other thing')}, by what is known of them; --all names them")
    _say_cautions(trip)


def _moves(answer: GoodsFinding) -> bool:
    return answer.todo.name != "NOTHING"


@click.command()
@click.argument("name", metavar="NAME")
@kit_option
@json_option
def trip(name: str, kit_path: Path | None, as_json: bool) -> None:
    """Begin the trip file trips/NAME.toml from an example, to be filled in."""
    folder = kit_folder(kit_path)
    path = new_trip(folder, name)
    if as_json:
        say_json({"trip": name, "file": str(path)})
        return
    say(f"Made {path}.")
    say(paragraph("Its allowances are examples: write the figures of your own tickets into it."))
    say('Then: "toolbox check" and "toolbox flight".')


def _say_check(trip: Flight, check: Check) -> None:
    say(paragraph(clean(f"{trip.trip.name}, as it is packed. {fits_words(check)}")))
    say()
    for bag in check.bags:
        hang("- ", bag_words(trip, bag))
    for pool in check.pools:
        hang("- ", pool_words(trip, pool))
    for words in check.matters:
        hang("- ", words)
    if check.findings:
        say()
        say("Dangerous goods and cabin tools:")
        for words in finding_lines(trip, check.findings):
            hang("- ", words)
    for one in to_weigh(trip, check):
        say()
        say("To be surer, weigh next:")
        hang("- ", weigh_next_words(one))


def _say_plan(trip: Flight, plan: FlightPlan, *, spread: bool) -> None:
    say()
    say(f"The plan: {count(len(plan.moves), 'thing')} to move, {cost_words(trip, plan.cents)}.")
    for words in move_lines(trip, plan.moves):
        hang("- ", words)
    for number, moves in enumerate(plan.repacks, 1):
        for words in move_lines(trip, moves):
            hang("- ", f"before {trip.trip.legs[number].name}: {words}")
    for charge in plan.charges:
        hang("- ", charge_words(plan.asked, charge))
    if plan.lost:
        hang("- ", f"work that is lost by it: {works_words(trip, plan.lost)}")
    if plan.undoable:
        hang("- ", f"work whose tools lie in no bag: {works_words(trip, plan.undoable)}")
    say()
    say(f"Packed so: {fits_words(plan.after)}")
    for bag in plan.after.bags:
        hang("- ", bag_words(trip, bag))
    for pool in plan.after.pools:
        hang("- ", pool_words(trip, pool))
    for words in plan.after.matters:
        hang("- ", words)
    if not plan.surely:
        say(paragraph(AT_RISK))
    if plan.after.open:
        say(paragraph(OPEN))
    say(paragraph(proof_words(plan)))
    if spread:
        say("If one bag is lost on the way out:")
        for loss in plan.if_lost:
            hang("- ", lost_words(trip, loss))
    say()
    say("Lifting with both hands:")
    for one in lifting_of(trip, plan.after.bags):
        hang("- ", lifting_words(one))
    say(paragraph(LIFTING))


def _say_none(found: NoPacking) -> None:
    say()
    proved = "There is no packing that keeps all limits" if found.proven else "No packing was found"
    say(f"{proved}:")
    for words in reasons(found):
        hang("- ", words)


def _say_cautions(trip: Flight) -> None:
    say()
    say(f"By {clean(trip.rules.name)} of {trip.rules.dated}.")
    for words in filter(None, (rules_warning(trip), *cautions())):
        say(paragraph(clean(words)))
