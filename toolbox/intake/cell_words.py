"""Words that cells of a list may hold, units to choose from, and what is hardly likely."""

from __future__ import annotations

import re
from types import MappingProxyType

from toolbox.intake.reading import Span
from toolbox.kit.quantities import Kind
from toolbox.kit.things import Known, Measure

YES_NO = MappingProxyType(
    {"yes": True, "y": True, "true": True, "1": True, "x": True, "ja": True, "oui": True}
    | {"no": False, "n": False, "false": False, "0": False, "-": False, "nein": False}
    | {"non": False}
)
KIND_WORDS = MappingProxyType(
    {"tool": "tool", "tools": "tool"}
    | dict.fromkeys(
        ("supply", "supplies", "consumable", "consumables", "spare", "spares"), "supply"
    )
)
MEASURES = MappingProxyType(
    {measure.value: measure.value for measure in Measure}
    | {"millilitres": "ml", "grams": "g", "pcs": "pc", "piece": "pc", "pieces": "pc"}
)
KNOWN = MappingProxyType(
    {known.value: known.value for known in Known} | {"catalog": "catalogue", "guessed": "guess"}
)
LEAVE_OUT = "leave the line out"
# the most that the kit's files take for a mass or a side
LARGEST = 1_000_000
# a hand tool of more than 100 kg, or a side of more than 3 m, is a slip of the unit
_HEAVY_G, _LONG = 100_000, 30_000
_SMALL_G = 5
UNITS = MappingProxyType(
    {Kind.MASS: ("g", "kg", "oz", "lb"), Kind.LENGTH: ("mm", "cm", "in")}
    | {Kind.TORQUE: ("N·m", "in-lb", "ft-lb", "bar", "psi"), Kind.STEP: ("g", "mg")}
    | {Kind.VOLUME: ("ml", "L", "g", "pc")}
)
# columns that are measured alike have one unit for all of them
UNIT_OF = MappingProxyType(dict.fromkeys(("length", "width", "height", "sides"), "sides"))


def unlikely(span: Span, unit: str, plain: str) -> tuple[str, ...] | None:
    """Likelier readings of a bare number that its column's unit makes hardly likely; else None.

    ``plain`` is the number as it stands.
    """
    value = span.one or 0
    if span.kind is Kind.MASS and value > _HEAVY_G:
        return (f"{plain} g",)
    if span.kind is Kind.LENGTH and value > _LONG:
        return (f"{plain} mm",) if unit != "mm" else ()
    # grams are not told to the milligram, but kilograms are to the gram; and 1.2 is more
    # often the kilograms of a pump than the grams of anything
    broken = span.exact is not None and span.exact.denominator != 1
    small = value < _SMALL_G or re.search(r"[.,]\d{3}$", plain) is not None
    if span.kind is Kind.MASS and unit == "g" and broken and small:
        return (f"{plain} kg", f"{plain} g")
    return None


def grams_word(cell: str) -> str:
    """The cell with g for a word that is often written for grams and is none; "" for others."""
    found = re.fullmatch(r"(.*\d)\s*(?:gr|grs|gm|gms|grm)\.?", cell.strip(), re.I)
    return f"{found[1]} g" if found else ""
