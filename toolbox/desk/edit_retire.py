"""Retiring an entry: what travels stays at home, what nothing names any more is taken out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from toolbox.desk.edit import (
    Draft,
    Faulty,
    Outcome,
    Overtaken,
    Written,
    as_written,
    entry_in,
    file_of,
    open_entry,
    write_draft,
)
from toolbox.desk.edit_keys import Sort
from toolbox.desk.edit_table import LineFault, has_id
from toolbox.desk.errors import DeskError
from toolbox.desk.folder import KitFolder
from toolbox.files.reading import faults_with
from toolbox.files.retelling import same
from toolbox.files.writing import edit_file
from toolbox.kit.facts import Fact, LoosePick, StepDone, SupplyUsed
from toolbox.kit.kit import Kit
from toolbox.kit.things import base_id

SHOWN = 4  # names told one by one before the rest is counted


def stays_home(draft: Draft) -> bool:
    """True when retiring leaves the entry in the kit, no longer travelling; else it goes."""
    travels = draft.table.get("carried", draft.sort.word == "tool") is True
    return travels and draft.sort.word in ("tool", "supply")


def retire(folder: KitFolder, draft: Draft) -> Outcome:
    """Leave a thing that travels at home; take any other entry out of its file.

    DeskError, naming who does, when something still names what is to be taken out: the
    log keeps what happened, and what it names stays known.
    """
    if stays_home(draft):
        return write_draft(folder, Draft(draft.sort, draft.id, draft.table, {"carried": "no"}))
    named = [*named_in_kit(folder.kit, draft.sort, draft.id), *named_in_log(folder, draft)]
    if named:
        raise DeskError(f"{draft.name} stays: it is named by {'; '.join(named)}")
    raw = file_of(folder, draft.sort)
    there = entry_in(raw, draft.sort, draft.id)
    if there is None or not same(there, draft.table):
        theirs = None if there is None else Draft(draft.sort, draft.id, there)
        return Overtaken(theirs)
    left = [entry for entry in raw[draft.sort.word] if not has_id(entry, draft.id)]
    faults = faults_with(folder.path, {draft.sort.file: {**raw, draft.sort.word: left}})
    if faults:
        return Faulty(tuple(LineFault("", fault.sentence()) for fault in faults))
    edit_file(folder.path / draft.sort.file, _without(draft))
    return Written(draft.id, f"Taken out: the {draft.sort.word} {draft.name} ({draft.id}).")


def retire_named(folder: KitFolder, sort: Sort, id: str) -> Written:
    """Retire an entry as it is now; DeskError, in words, when that was not done."""
    outcome = retire(folder, open_entry(folder, sort, id))
    if isinstance(outcome, Written):
        return outcome
    if isinstance(outcome, Faulty):
        raise DeskError("; ".join(fault.words for fault in outcome.faults))
    raise DeskError(f"{id} was changed by somebody else just now; look at it again")


def _without(draft: Draft) -> Callable[[dict[str, Any]], None]:
    def change(file: dict[str, Any]) -> None:
        entries = file[draft.sort.word]
        number = next((n for n, e in enumerate(entries) if has_id(e, draft.id)), None)
        if number is None or not same(entries[number], as_written(draft.table)):
            raise DeskError(f"{draft.name} was changed by somebody else; look at it again")
        del entries[number]
        if not entries:
            del file[draft.sort.word]

    return change


def named_in_kit(kit: Kit, sort: Sort, id: str) -> tuple[str, ...]:
    """Who names the entry in the kit's files, in words: jobs, rules, stand-ins, layout, times."""
    found = []
    if sort.word in ("tool", "supply"):
        found.append(_told("job", [job.name for job in kit.jobs if _takes(job, id)]))
        ruled = [r.name for r in kit.rules if id in (*r.items, *r.others)]
        found.append(_told("rule", ruled))
        found.append(_told("stand-in list of", [t.name for t in kit.tools if id in t.substitutes]))
    if sort.word == "compartment":
        spots = kit.present.spots if kit.present is not None else ()
        lying = sum(spot.compartment == id for spot in spots)
        found += [f"today's layout ({lying} lie in it)"] if lying else []
        found.append(_told("rule", [r.name for r in kit.rules if id in r.compartments]))
        found += ["your own times in times.toml"] if any(r.of == id for r in kit.readings) else []
    return tuple(words for words in found if words)


def _takes(job: Any, id: str) -> bool:
    return any(
        id in (*(pick.tool for pick in step.picks), *(draw.supply for draw in step.draws))
        for step in job.steps
    )


def named_in_log(folder: KitFolder, draft: Draft) -> tuple[str, ...]:
    """How often the log names the entry, in words; entries taken back count, they can return."""
    ids = {fact.entry for fact in folder.facts if draft.id in set(_names(fact, draft.sort))}
    return (f"the log ({len(ids)} {'entry' if len(ids) == 1 else 'entries'})",) if ids else ()


def _names(fact: Fact, sort: Sort) -> Iterator[str]:
    what = fact.what
    if sort.word == "job":
        yield from [what.job] if isinstance(what, StepDone) else []
    elif sort.word in ("tool", "supply"):
        if isinstance(what, StepDone):
            yield from (base_id(pick.tool) for pick in what.picks)
            yield from (draw.supply for draw in what.draws)
        elif isinstance(what, LoosePick):
            yield base_id(what.tool)
        elif isinstance(what, SupplyUsed):
            yield what.supply


def _told(who: str, names: list[str]) -> str:
    if not names:
        return ""
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{who} {', '.join(names[:SHOWN])}{more}"
