"""Readiness of the checklists: faults of their files, and what was begun and not finished."""

from __future__ import annotations

from collections.abc import Iterator

from toolbox.desk.figures import count
from toolbox.desk.ready_sight import Finding, Seriousness, Sight, told
from toolbox.files.templates import template_names
from toolbox.kit.facts import LineSaid

PLACE = "evening"


def list_findings(sight: Sight) -> Iterator[Finding]:
    """Faults are to be mended; a list that was begun today and has lines left is told.

    Only told: a list is the mechanic's own, and nobody else knows what it stands for.
    """
    if not template_names(sight.folder.path):
        return
    # Loaded only where there are lists: what the program puts into them takes much along.
    from toolbox.desk.lists import list_faults, lists_of, name_in_journal, open_list

    faults = list_faults(sight.folder)
    if faults is not None:
        for fault in faults.faults:
            yield Finding(Seriousness.MEND, fault.sentence(), "kit", "toolbox check")
        return
    today = sight.today.isoformat()
    begun = {
        fact.what.checklist
        for fact in sight.facts
        if isinstance(fact.what, LineSaid) and fact.what.about == today
    }
    for template in lists_of(sight.folder):
        if name_in_journal(template) in begun:
            left = open_list(sight.folder, template, sight.today).checklist.left
            if left:
                lines = count(len(left), "line")
                words = f"{template.title}: {lines} left: {told([line.words for line in left])}"
                yield Finding(Seriousness.NOTE, words, PLACE, f"toolbox lists {template.name}")
