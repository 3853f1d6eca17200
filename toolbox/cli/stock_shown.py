"""Stocks and the lists of an evening, as text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from toolbox.cli.words import clean, hang, paragraph, say, table
from toolbox.desk.checklist import Checklist, Line
from toolbox.desk.flight_words import cautions
from toolbox.desk.folder import KitFolder
from toolbox.desk.restock import Purchase, Restocking, Task
from toolbox.desk.stock import Holding
from toolbox.desk.stock_demand import Coming, chances, level_of, runs_out
from toolbox.desk.stock_words import (
    against_words,
    chance_words,
    cover_words,
    day_words,
    good_words,
    line_words,
    place_words,
)
from toolbox.kit.kit import Kit
from toolbox.kit.stocking import Where

_LAST = 20  # lines of the history that are shown


def say_stocks(coming: Coming, held: Mapping[str, Holding]) -> None:
    """Print a line for each supply: what is there, how long it lasts, what is wrong with it."""
    rows = []
    for one in held.values():
        out = runs_out(coming, one)
        wrong = ["out of date"] if any(one.bad(where) for where in Where) else []
        wrong += [f"{chance_words(out[1])} by {day_words(out[0], one.day)}"] if out else []
        box = place_words(one, Where.BOX) if one.supply.carried else "-"
        cover = "-" if one.cover is None else cover_words(one)
        reserve = place_words(one, Where.RESERVE)
        rows.append([clean(one.supply.name), box, reserve, cover, "; ".join(wrong)])
    if not rows:
        say("No supplies in this kit yet.")
        return
    say(table(["supply", "box", "reserve", "lasts", "runs out"], rows))
    say()
    say(paragraph("Lasts: at the rate of the last seven days. Runs out: with what chance."))


def say_stock(folder: KitFolder, coming: Coming, held: Holding) -> None:
    """Print all that is known of one supply, and the last lines of its ledger."""
    level = level_of(coming, held)
    say(paragraph(clean(f"{held.supply.name}: {against_words(held, level.why)}")))
    if held.supply.carried:
        _headed("box", place_words(held, Where.BOX))
    _headed("reserve", place_words(held, Where.RESERVE))
    _headed("good", good_words(held) or "no date was given")
    lot = held.supply.shelf.lot
    if lot:
        _headed("lot", lot)
    _headed("lasts", f"{cover_words(held)} at this week's rate ({held.amount(held.week)} used)")
    by_day = [f"{day_words(d, held.day)} {chance_words(c)}" for d, c in chances(coming, held)]
    if by_day:
        _headed("runs out", f"by {', '.join(by_day)}")
    account = held.account
    say()
    since = f" on {account.opening.day}" if account.opening.day is not None else ""
    opening = (account.opening.box or 0) + (account.opening.reserve or 0)
    known = held.supply.stock is not None
    say(f"On the list{since}: {held.amount(opening) if known else 'not said'}")
    if len(account.lines) > _LAST:
        say(f"{len(account.lines) - _LAST} older lines are not shown.")
    authors = {fact.id: fact.author for fact in folder.live}
    for line in account.lines[-_LAST:]:
        job = next((j.name for j in folder.kit.jobs if j.id == line.change.job), line.change.job)
        why = ", ".join(part for part in (job, authors.get(line.change.fact, "")) if part)
        book = (line.box or 0) + (line.reserve or 0)
        hang(
            f"  {line.change.at:%Y-%m-%d %H:%M}  ",
            f"{line_words(held, line)} ({why}): {held.amount(book)} left",
        )


def say_tasks(kit: Kit, listed: Restocking, entry: str) -> None:
    """Print the evening list, compartment by compartment, and what runs out."""
    places = {c.id: c.name for c in kit.box.compartments}
    if not listed.tasks:
        say("Nothing to refill, to count or to throw away.")
    before: str | None = None
    for number, task in enumerate(listed.tasks, 1):
        before = _say_task(number, task, places, before)
    _say_short(listed)
    _say_mixed(listed)
    if listed.buys:
        say()
        say('What to buy: "toolbox buy".')
    _say_entry(entry)


def say_buys(kit: Kit, listed: Restocking, wished: Checklist, entry: str) -> None:
    """Print what to buy and when, and what somebody wishes for."""
    if listed.flight is not None:
        say(paragraph(clean(f"For {listed.flight.trip.name}.")))
    if not listed.buys:
        say("Nothing to buy.")
    for head, buys in listed.to_buy():
        _say_purchases(head, buys)
    if wished.left:
        say()
        say("Wished for:")
        _say_wished(enumerate(wished.lines, 1))
    _say_mixed(listed)
    if listed.flight is not None and listed.buys:
        say()
        for words in cautions():
            say(paragraph(words))
    _say_entry(entry)


def say_wishes(listed: Checklist, entry: str) -> None:
    """Print what is wished for."""
    if not listed.left:
        say("Nothing is wished for.")
    _say_wished(enumerate(listed.lines, 1))
    _say_entry(entry)


def _say_wished(lines: Iterable[tuple[int, Line]]) -> None:
    for number, line in lines:
        if not line.done:
            hang(f"{number:3}  ", f"{line.words} ({line.why})")


def _say_task(number: int, task: Task, places: Mapping[str, str], before: str | None) -> str:
    """Print a line under the head of its place, unless that stood there ``before``."""
    place = places.get(task.place, "")
    head = f"{place} ({', '.join(task.way)})" if task.way else place
    head = head or f"{'Without a place in the box' if task.where is Where.BOX else 'The reserve'}"
    if head != before:
        say(paragraph(clean(f"{head}:")))
    hang(f"{number:3}  ", task.words)
    hang("       ", task.why)
    return head


def _say_purchases(head: str, buys: tuple[Purchase, ...]) -> None:
    say()
    say(f"{head}:")
    for one in buys:
        hang("- ", one.words)
        hang("    ", one.why)


def _say_short(listed: Restocking) -> None:
    if listed.short:
        say()
        say("At the rate of the log:")
    for supply, words in listed.short:
        hang("- ", f"{listed.held[supply].supply.name} {words}")


def _say_mixed(listed: Restocking) -> None:
    for words in listed.mixed:
        say()
        say(paragraph(clean(f"CAUTION: {words}")))


def _say_entry(entry: str) -> None:
    if entry:
        say()
        say(f'take it back with "toolbox undo {entry[:8]}"')


def _headed(head: str, words: str) -> None:
    hang(f"  {head:<10}", words)
