"""The figures of goods that rules ask for, and what it means when one is missing."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from toolbox.kit.goods import Figure, Say
from toolbox.kit.things import Goods


class Missing(NamedTuple):
    """What to do where a figure is missing: which answer it makes, and in words."""

    say: Say
    text: str


MISSING: Mapping[Figure, Missing] = MappingProxyType(
    {
        Figure.ENERGY: Missing(
            Say.ASK, "its energy is not known: read Wh, or V and Ah, off the battery"
        ),
        Figure.NET: Missing(Say.ASK, "its contents are not known: read the ml off it"),
        Figure.FLASH: Missing(
            Say.SHEET, "its flash point is not known: section 9 of its safety sheet tells"
        ),
        Figure.LITHIUM: Missing(
            Say.ASK, "its lithium content is not known: the maker's data tell the grams"
        ),
    }
)


def energy_uwh(goods: Goods) -> int | None:
    """Energy of one cell or battery in millionths of a watt-hour, exactly; None if not known.

    Volts times ampere-hours; where the energy is printed on it too, the larger of the two.
    """
    known = []
    if goods.energy_mwh is not None:
        known.append(goods.energy_mwh * 1000)
    if goods.millivolts is not None and goods.milliampere_hours is not None:
        known.append(goods.millivolts * goods.milliampere_hours)
    return max(known, default=None)


def figure_of(goods: Goods, figure: Figure) -> int | None:
    """The figure as bands have it; an energy is rounded up, so that no band lets it slip."""
    match figure:
        case Figure.ENERGY:
            energy = energy_uwh(goods)
            return None if energy is None else -(-energy // 1000)
        case Figure.NET:
            return goods.net_ml
        case Figure.FLASH:
            return goods.flash_c
        case Figure.LITHIUM:
            return goods.lithium_mg
