"""The report of a kit on a day: the box, the ranking, the plan with its proof, the lists."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from toolbox.desk.errors import DeskError
from toolbox.desk.figures import count, grams
from toolbox.desk.folder import KitFolder
from toolbox.desk.lid_sheet import LIFT
from toolbox.desk.own_files import Written, page_files, put_all
from toolbox.desk.plan_words import (
    CAUTION,
    NOTHING_TO_COMPARE,
    OLD,
    cost_words,
    fault_words,
    move_lines,
    proof_words,
    saving_words,
    unplaced_words,
)
from toolbox.desk.plans import Plan, Study, current_plan, has_plan, plan_seen, study
from toolbox.desk.printed import (
    Block,
    Heading,
    Page,
    Points,
    Table,
    Words,
    mark_of,
)
from toolbox.desk.ranked import Ranked, basis_words, ranking
from toolbox.desk.report_lists import list_blocks
from toolbox.desk.report_maps import maps_of
from toolbox.files.problems import KitFaults
from toolbox.usage.settled import Settled, settle

NAME = "report"
_LITTLE = 0.005  # a share that shows as 0 %


def report_page(folder: KitFolder, today: date) -> Page:
    """The whole report as a page, as of the evening of that day."""
    return Page(
        mark_of(NAME, folder.kit.name),
        f"{folder.kit.name} - {today}",
        tuple(_blocks(folder, today)),
    )


def save_report(folder: KitFolder, today: date, out: Path) -> tuple[Written, ...]:
    """Write the report into a folder as Markdown and as one HTML file.

    DeskError where a file is in the way that is no report of this kit; see ``put_all``.
    """
    return put_all(out, page_files(out, NAME, report_page(folder, today), "of this report"))


def _blocks(folder: KitFolder, today: date) -> Iterator[Block]:
    kit = folder.kit
    at = study(folder, today)
    carried = kit.carried().values()
    mass = sum(thing.mass.grams for thing in carried if thing.mass)
    yield Words(
        f"As of the evening of {today}. {kit.box.name}: {count(len(carried), 'thing')}, "
        f"{grams(mass)}, with the empty box {grams(mass + kit.box.tare_g)} by the masses given."
    )
    yield Words(LIFT, strong=True)
    plan, why_not = _plan(folder, at)
    yield Heading("The box as it lies today")
    if kit.present is None:
        yield Words("Nobody has said how the box lies today.")
    else:
        yield from maps_of(kit, kit.present)
    yield Heading("What the work takes", anew=True)
    yield from _ranking(at, settle(at.usage))
    yield Heading("The plan", anew=True)
    if plan is None:
        yield Words(why_not)
    else:
        yield from _plan_blocks(at, plan)
    yield from list_blocks(folder, today, at.usage)


def _plan(folder: KitFolder, at: Study) -> tuple[Plan | None, str]:
    """The saved plan as it stands now, or None and why there is none, in words."""
    if not has_plan(folder):
        return None, 'No plan is saved; "toolbox plan" makes one.'
    try:
        return plan_seen(at, current_plan(folder)), ""
    except (DeskError, KitFaults) as error:
        return None, f"The saved plan cannot be shown: {error}"


def _ranking(at: Study, sure: Settled) -> Iterator[Block]:
    """Every thing that the work takes up; how sure that is, where it lies, what it costs."""
    yield Words(
        f"{basis_words(at.usage)} Uses in a working day with their 90 % interval; class A covers "
        "the first share of all uses. What reaching costs counts urgent seconds more."
    )
    rows = ranking(at, sure)
    taken = [row for row in rows if row.use.times or row.use.grade in "AB"]
    heads = ("no.", "thing", "a day", "90 %", "class", "urgent", "settled", "lies in", "s a day")
    yield Table(heads, tuple(map(_rank, taken)), frozenset({0, 2, 3, 5, 8}))
    if len(taken) < len(rows):
        more = len(rows) - len(taken)
        yield Words(f'And {more} of class C that were never logged: "toolbox uses --all".')
    if at.usage.notes:
        yield Points(tuple(at.usage.notes))


def _rank(row: Ranked) -> tuple[str, ...]:
    use = row.use
    home = row.home.name if row.home is not None else "no place yet" if row.carried else "at home"
    return (
        str(row.rank),
        row.name,
        f"{use.per_day:.2f}",
        f"{use.low:.1f} to {use.high:.1f}",
        use.grade,
        f"{100 * use.urgent_share:.0f} %" if use.urgent_share >= _LITTLE else "",
        "yes" if row.settled else "open",
        home,
        "" if row.cost is None else f"{row.cost / 1e6:.1f}",
    )


def _plan_blocks(at: Study, plan: Plan) -> Iterator[Block]:
    """What the plan costs, what is proved of it, what moves, and how the box then lies."""
    kit, versus = at.kit, plan.comparison
    yield Words(f"{cost_words(kit, plan)} {proof_words(plan)}", strong=True)
    if not plan.fresh:
        yield Words(OLD)
    if versus is None:
        yield Words(NOTHING_TO_COMPARE)
    else:
        yield Words(saving_words(versus))
        said = (*fault_words(versus), unplaced_words(kit, versus))
        yield from (Words(words) for words in said if words)
    yield Words(CAUTION)
    if versus is not None and versus.moves:
        moves = tuple((m.thing, m.origin, m.target) for m in move_lines(kit, versus))
        yield Table(("what moves", "from", "to"), moves)
    yield Heading("The box as planned", anew=True)
    yield from maps_of(kit, plan.layout)
