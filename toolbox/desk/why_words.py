"""Why a thing lies where it lies, in sentences that commands and screens share.

Names in them are as people typed them: whoever shows a sentence makes it harmless.
"""

from __future__ import annotations

from toolbox.desk.certainty import Verdict
from toolbox.desk.figures import count
from toolbox.desk.folder import name_of_copy
from toolbox.desk.hurdles import listed
from toolbox.desk.why import OtherPlace, Reason
from toolbox.kit.kit import Kit


def why_sentences(kit: Kit, reason: Reason, present: bool) -> tuple[str, ...]:
    """Where it lies and what that costs, what moves with it, how sure that is, what it comes to."""
    where = "lies today" if present else "has its place"
    sentences = [
        f"{reason.name} {where} in {reason.compartment_name}: "
        f"{fine(reason.cost)} of reaching a day come from it there."
    ]
    if reason.company:
        names = listed([name_of_copy(kit, c) for c in reason.company])
        rules = "; ".join(f'"{rule}"' for rule in reason.rules)
        told = f" ({rules})" if rules else ""
        sentences.append(f"It lies together with {names}{told}, so all of them move at once.")
    return (*sentences, _sureness(reason), _verdict(reason, present))


def in_the_way(other: OtherPlace) -> str:
    """What stands in the way of another place, and what would follow; "nothing" if free."""
    if not other.obstacles:
        return "nothing"
    text = "; ".join(o.words for o in other.obstacles)
    leaver = other.leaver
    if leaver is None:
        return text
    names = listed(leaver.names)
    if leaver.to:
        to = " and ".join(dict.fromkeys(leaver.to))
        return f"{text}; with {names} moved to {to} it saves {fine(-leaver.extra)} in all"
    if leaver.extra >= 0:
        return f"{text}; {names} would have to leave: {fine(leaver.extra)} dearer in all, at least"
    return f"{text}; {names} would have to leave, and no better place with room was found"


def place_line(other: OtherPlace) -> str:
    """Another place in a sentence: what it would save or cost a day, what stands in the way."""
    verb, change = ("saves", -other.extra) if other.extra < 0 else ("costs", other.extra)
    way = f"in the way: {in_the_way(other)}" if other.obstacles else "nothing in the way"
    more = " more" if other.extra >= 0 else ""
    return f"{other.name} {verb} {fine(change)} a day{more}; {way}"


def fine(microseconds: int) -> str:
    """Seconds with two decimals: single things cost little."""
    return f"{microseconds / 1e6:.2f} s"


def signed(microseconds: int) -> str:
    """The same with its sign."""
    return f"{microseconds / 1e6:+.2f} s"


def _verdict(reason: Reason, present: bool) -> str:
    """What the whole comes to, in a sentence."""
    better = reason.better
    free = next((other for other in better if not other.obstacles), None)
    if free is not None:
        missed = "" if present else " The search for the plan has missed that."
        return (
            f"Free to move: nothing stands in the way in {free.name}, and it saves "
            f"{fine(-free.extra)} a day.{missed}"
        )
    if not better:
        return "No other compartment would be cheaper."
    ways = [other for other in better if other.leaver is not None and other.leaver.to]
    best = min(ways, key=lambda o: o.leaver.extra if o.leaver else 0, default=None)
    if best is not None and best.leaver is not None:
        return (
            f"{best.name} would be cheaper, and a way is open: see below. It saves "
            f"{fine(-best.leaver.extra)} a day."
        )
    others = count(len(better), "other compartment")
    each = "it" if len(better) == 1 else "each"
    return f"{others} would be cheaper; something stands in the way of {each}."


def _sureness(reason: Reason) -> str:
    placed = reason.placed
    if placed is None:
        return "How sure its place is cannot be said: uses are counted for the first copy."
    reach = "lies behind few openings" if placed.easy else "lies deep"
    verdict = {
        Verdict.SURE: "The log has nothing against that",
        Verdict.OPEN: "The log leaves open where it belongs",
        Verdict.AGAINST: "That goes against the log",
    }[placed.verdict]
    return (
        f"It belongs among the {reason.wanted} things wanted most with a chance of "
        f"{100 * placed.chance:.0f} %; its compartment {reach}. {verdict}."
    )
