"""What is shown beside a picture of the box: one thing or one compartment in a few lines.

Names in them are as people typed them: whoever shows a line makes it harmless.
"""

from __future__ import annotations

from toolbox.desk.drawn_box import STEPS, Filling
from toolbox.desk.figures import count, grams
from toolbox.desk.hurdles import listed
from toolbox.desk.maps import Lying, way_to
from toolbox.kit.box import Compartment, Inside
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import base_id
from toolbox.reach.engine import ReachTimes
from toolbox.usage.engine import ToolUse, Usage

KINDS = {
    Inside.LAID: "laid flat",
    Inside.ROW: "in a row",
    Inside.LOOSE: "loose, in no order",
}
NAMED = 2  # things named of those used most


def steps_to(kit: Kit, compartment: Compartment) -> str:
    """The openings on the way as small steps: "1 open lid, 2 lift out upper tray"."""
    way = way_to(kit, compartment)
    if not way:
        return "nothing to open"
    return ", ".join(f"{number} {words}" for number, words in enumerate(way, 1))


def thing_lines(
    here: Filling, there: Filling | None, planned: bool, usage: Usage, times: ReachTimes, copy: str
) -> tuple[str, ...]:
    """A copy in this layout: its use, the way to it, where the other layout has it.

    KeyError when the layout has no place for it.
    """
    home = here.home(copy)
    if home is None:
        raise KeyError(copy)
    thing = next(t for t in here.of(home).things if t.copy == copy)
    compartment = here.of(home).compartment
    seconds = times.in_hand(copy, home) / 1000
    return (
        f"{thing.name}: {_use(here, usage, copy)}",
        f"{steps_to(here.kit, compartment)}, in {compartment.name}: {seconds:.1f} s to the hand",
        _elsewhere(here, there, planned, thing, home),
    )


def compartment_lines(
    here: Filling, there: Filling | None, planned: bool, usage: Usage, compartment: str
) -> tuple[str, ...]:
    """A compartment in this layout: what it holds, the way to it, its use, who comes and goes."""
    filled = here.of(compartment)
    c = filled.compartment
    load = f" of {grams(c.load_g)}" if c.load_g is not None else ""
    size = " x ".join(write(side, Kind.LENGTH).removesuffix(" mm") for side in c.inside)
    return (
        f"{c.name}: {count(len(filled.things), 'thing')}, {grams(filled.grams)}{load}; "
        f"{size} mm, {KINDS[c.kind]}",
        steps_to(here.kit, c),
        _most_used(here, usage, filled.things),
        _coming_and_going(here, there, planned, compartment),
    )


def layout_words(here: Filling, other: Filling | None, compartment: str = "") -> str:
    """How much lies in the box or a compartment, what has no place, what the other layout moves."""
    filled = [f for f in here.filled if not compartment or f.compartment.id == compartment]
    copies = {thing.copy for f in filled for thing in f.things}
    parts = [count(len(copies), "thing")]
    unplaced = 0 if compartment else len(here.kit.carried().keys() - copies)
    if unplaced and not copies:
        return "nobody has said what lies where"
    if unplaced:
        parts.append(f"{unplaced} without a place")
    if other is not None:
        moving = len(copies & here.moved)
        parts.append(f"* {moving} to move" if moving else "none to move")
    name = f"{here.of(compartment).compartment.name}: " if compartment else ""
    return name + ", ".join(parts)


def _use(here: Filling, usage: Usage, copy: str) -> str:
    use = _uses(usage).get(base_id(copy))
    step = STEPS[here.shades.get(base_id(copy), 0)]
    if use is None:
        return step
    urgent = f", {100 * use.urgent_share:.0f} % urgent" if use.urgent_share >= 0.005 else ""
    return f"{step}, class {use.grade}, {use.per_day:.2f} a day{urgent}"


def _uses(usage: Usage) -> dict[str, ToolUse]:
    return {use.item: use for use in usage.tools}


def _elsewhere(here: Filling, there: Filling | None, planned: bool, thing: Lying, home: str) -> str:
    if there is None:
        return ""
    other = there.home(thing.copy)
    if other is None:
        return "Today it has no place yet." if planned else "The plan has no place for it."
    if other != home:
        name = there.of(other).compartment.name
        return f"Moves: today it lies in {name}." if planned else f"Moves: planned in {name}."
    spot = next(t.spot for t in there.of(other).things if t.copy == thing.copy)
    if spot != thing.spot:
        return "The other layout has it in this compartment too, but not in this spot."
    return "The other layout has it here too."


def _most_used(here: Filling, usage: Usage, things: tuple[Lying, ...]) -> str:
    uses = _uses(usage)
    wanted = [t for t in things if here.shades.get(base_id(t.copy), 0) == len(STEPS) - 1]
    # A second copy has the name of the first and its figure.
    firsts = {base_id(t.copy): t.name for t in reversed(wanted)}
    ranked = sorted(firsts, key=lambda item: -uses[item].per_day)
    if not ranked:
        return ""
    return f"Used most: {listed([firsts[item] for item in ranked], NAMED)}"


def _coming_and_going(here: Filling, there: Filling | None, planned: bool, compartment: str) -> str:
    if there is None:
        return ""
    now = {t.copy for t in here.of(compartment).things}
    then = {t.copy for t in there.of(compartment).things}
    today, plan = (then, now) if planned else (now, then)
    out, into = len(today - plan), len(plan - today)
    if not out and not into:
        return "The plan leaves these things here."
    return f"The plan takes {count(out, 'thing')} out of it and puts {into} in."
