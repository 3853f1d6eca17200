"""Plain proofs that no layout can keep all rules, in words a mechanic can act on."""

from __future__ import annotations

from toolbox.kit.box import Inside
from toolbox.layout.problem import LayoutProblem
from toolbox.layout.tables import Tables, bits


def reasons_against(tables: Tables) -> tuple[str, ...]:
    """Every plain reason why there is no layout at all; empty when none was found.

    Looked at: a thing or a group that fits no allowed place, things that must lie
    together and apart, mass beyond all loads, things that crowd the few places they
    can go to.
    """
    return (*_homeless(tables), *_torn(tables), *_overload(tables), *_crowded(tables))


def _names(problem: LayoutProblem, block: tuple[int, ...]) -> str:
    return ", ".join(problem.items[i].name for i in block)


def _homeless(tables: Tables) -> list[str]:
    problem = tables.problem
    found = []
    for block, options in zip(tables.blocks, tables.options, strict=True):
        if options:
            continue
        names = _names(problem, block)
        if len(block) > 1:
            found.append(f"{names} must lie together, and no allowed compartment takes them all")
        elif not problem.allowed[block[0]]:
            found.append(f"the rules leave no compartment to {names}")
        else:
            found.append(f"{names} fits no compartment that the rules leave to it")
    return found


def _torn(tables: Tables) -> list[str]:
    problem = tables.problem
    block_of = {item: b for b, block in enumerate(tables.blocks) for item in block}
    found = []
    for group in problem.apart:
        for n, one in enumerate(group):
            for two in group[n + 1 :]:
                if one != two and block_of[one] == block_of[two]:
                    names = f"{problem.items[one].name} and {problem.items[two].name}"
                    found.append(f"{names} must lie together and apart at once")
    return found


def _overload(tables: Tables) -> list[str]:
    mass, load = sum(tables.mass), sum(tables.load)
    return [f"all things weigh {mass} g, the compartments carry {load} g"] if mass > load else []


def _crowded(tables: Tables) -> list[str]:
    """Blocks whose only options are one set of places, against what those places hold."""
    found = []
    for options in dict.fromkeys(o for o in tables.options if o):
        inside = sum(1 << p for p in options)
        blocks = [b for b, mine in enumerate(tables.option_set) if mine & ~inside == 0 and mine]
        places = list(bits(inside))
        words = ", ".join(tables.problem.places[p].name for p in places)
        # a block takes at least the smallest share of a place that any of these would give it
        share = sum(min(tables.use[b][p] / max(tables.room[p], 1) for p in places) for b in blocks)
        kinds = {tables.problem.places[p].kind for p in places}
        if len(kinds) == 1:
            need = sum(min(tables.use[b][p] for p in places) for b in blocks)
            full = need > sum(tables.room[p] for p in places)
        else:
            full = share > len(places) * (1 + 1e-9)
        if full:
            what = _WHAT[kinds.pop()] if len(kinds) == 1 else "room"
            found.append(f"{len(blocks)} things can only go to {words}: not enough {what} there")
        elif sum(tables.mass[b] for b in blocks) > sum(tables.load[p] for p in places):
            found.append(f"{len(blocks)} things can only go to {words}: too heavy for them")
    return found


_WHAT = {Inside.LAID: "area", Inside.ROW: "length", Inside.LOOSE: "volume"}
