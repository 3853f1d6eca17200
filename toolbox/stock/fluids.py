"""Fluids that must never meet: a job that names another kind than the bottle's is told.

Glycol fluid destroys the seals of a brake made for mineral oil, and the other way round.
Which brake takes which is printed on its lever or reservoir: nothing here replaces that.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import combinations
from typing import NamedTuple

# Words by which texts name a kind of brake fluid. DOT 3, 4 and 5.1 are glycol ethers and
# DOT 5 is silicone (FMVSS 116, from memory); the others are the trade's own words.
_WORDS = (
    ("glycol", re.compile(r"\bglycol\b|\bdot\s*-?\s*(?:3|4|5\.1)(?![\d.]*\d)", re.I)),
    ("silicone", re.compile(r"\bsilicone\s+(?:brake\s+)?fluid\b|\bdot\s*-?\s*5(?![\d.]*\d)", re.I)),
    ("mineral", re.compile(r"\bmineral\b(?!\s+(?:spirits?|water))", re.I)),
)


class Bottle(NamedTuple):
    """A supply that is drawn: its id, its name and the kind of fluid in it ("" for none)."""

    supply: str
    name: str
    fluid: str


class WrongFluid(NamedTuple):
    """A fluid that does not belong there, in words a mechanic can act on.

    ``bottle`` is the supply that is drawn, ``named`` the kinds that stand against it.
    """

    bottle: Bottle
    named: tuple[str, ...]
    words: str


def kind_of(fluid: str) -> str:
    """A kind of fluid made comparable: small letters, single spaces, brake fluids by one word."""
    named = kinds_named(fluid)
    return named[0] if len(named) == 1 else " ".join(fluid.casefold().split())


def kinds_named(text: str) -> tuple[str, ...]:
    """The kinds of brake fluid that a text names, each once."""
    return tuple(kind for kind, pattern in _WORDS if pattern.search(text))


def wrong_fluids(
    texts: Iterable[str], bottles: Iterable[Bottle], asked: str = ""
) -> tuple[WrongFluid, ...]:
    """What is wrong with drawing these bottles in one step, by what the work says of itself.

    ``asked`` is the kind that the job asks for; where it says none, ``texts`` are what may
    name it: the job's name, the step's words, a bike's own fluid. A bottle is wrong when
    kinds are named and its own is not among them, and when a bottle of another kind is
    drawn in the same step.
    """
    drawn = tuple(bottle for bottle in bottles if bottle.fluid.strip())
    told = (kind for text in texts for kind in kinds_named(text))
    named = (kind_of(asked),) if asked.strip() else tuple(dict.fromkeys(told))
    return (*_other_than(named, drawn), *_met(drawn))


def _other_than(named: tuple[str, ...], drawn: tuple[Bottle, ...]) -> Iterator[WrongFluid]:
    for bottle in drawn:
        if named and kind_of(bottle.fluid) not in named:
            wanted = " or ".join(named)
            words = (
                f"{bottle.name} holds {bottle.fluid}, the job says {wanted}: never mix them;"
                " look at what is printed on the brake"
            )
            yield WrongFluid(bottle, named, words)


def _met(drawn: tuple[Bottle, ...]) -> Iterator[WrongFluid]:
    for one, other in combinations(drawn, 2):
        if kind_of(one.fluid) != kind_of(other.fluid):
            words = (
                f"{one.name} ({one.fluid}) and {other.name} ({other.fluid}) are drawn in one"
                " step: never mix them"
            )
            yield WrongFluid(one, (kind_of(other.fluid),), words)
