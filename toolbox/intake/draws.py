"""Amounts of supplies: how one is measured by its name, and what a job step draws of it."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from toolbox.intake.names import tidy
from toolbox.kit.quantities import Kind, QuantityError, exact, read, write
from toolbox.kit.quantities_numbers import Refused, number, split
from toolbox.kit.quantities_units import find_unit
from toolbox.kit.things import KIND_OF, Measure, Supply

_SEVERAL = re.compile(r"\b(?:pack|set|bag|box) of (\d{1,4})\b|\b(\d{1,4})-pack\b", re.I)
_PAIRS = re.compile(r"\b(\d{1,4}) pairs\b", re.I)
_CONTENT = re.compile(r"(?<![\d.,/-])(\d+(?:[.,]\d{1,2})? ?(?:ml|cl|dl|l|g|kg))\b", re.I)

# One thing handed over whole, and a thing that holds a pack.
_ONES = frozenset(("set", "kit", "strip", "sheet", "roll", "coil", "cartridge", "stick"))
_HOLDERS = frozenset(("pack", "bag", "box", "tube", "bottle", "can", "sachet", "tin", "pot", "tub"))


class Measured(NamedTuple):
    """How a supply is counted and how much one pack holds, None where nothing says so."""

    measure: Measure
    pack: int | None


def measured_by(name: str) -> Measured:
    """Measure and pack guessed from a name: "... 250 ml", "pack of 10", "20 pairs"."""
    # "pack of 6" beside "60 ml" counts first: packs are what is bought and counted
    if several := _SEVERAL.search(name):
        return Measured(Measure.PIECES, int(several[1] or several[2]) or None)
    if pairs := _PAIRS.search(name):
        return Measured(Measure.PIECES, 2 * int(pairs[1]) or None)
    contents = _CONTENT.findall(name)
    for measure in (Measure.MILLILITRES, Measure.GRAMS):
        for content in contents:
            try:
                return Measured(measure, read(content, KIND_OF[measure]) or None)
            except QuantityError:
                continue
    return Measured(Measure.PIECES, None)


class Drawn(NamedTuple):
    """How much is drawn in the supply's own measure, None where that cannot be counted.

    ``note`` says what was taken for what, "" when the text said it plainly.
    """

    amount: int | None
    note: str = ""


class _Share(NamedTuple):
    amount: Fraction
    note: str = ""


def drawn(supply: Supply, text: str) -> Drawn:
    """What "30 ml", "1 pair", "0.5 set" draws of a supply; QuantityError when it is refused.

    Amounts are counted whole, half and more up, and never less than one. A length
    off a roll is not counted: no supply is measured by length.
    """
    amount, word = _amount_and_word(text)
    if find_unit(word, Kind.LENGTH):
        return Drawn(
            None,
            f"{tidy(text)} of {supply.name} is not counted, for supplies are counted in "
            f"ml, g or pieces; it stands in the job's note",
        )
    share = _share(supply, text, amount, word)
    if not share.amount:
        raise QuantityError(text, "draws nothing", "leave it out or write an amount")
    # a step that draws too little to count still draws: never nothing
    whole = max(1, int(share.amount + Fraction(1, 2)))
    if whole == share.amount:
        return Drawn(whole, share.note)
    kept = write(whole, KIND_OF[supply.measure])
    rounded = f"{tidy(text)} of {supply.name} is kept as {kept}, for amounts are whole"
    return Drawn(whole, f"{share.note}; {rounded}" if share.note else rounded)


def _amount_and_word(text: str) -> tuple[Fraction, str]:
    try:
        pairs = split(text, marks_are_lengths=False)
        if len(pairs) != 1:
            raise Refused("holds more than one amount", "write one amount with one unit")
        return number(pairs[0][0]), pairs[0][1]
    except Refused as refused:
        cure = refused.cure or "write it like 30 ml, 2 g or 1 pc"
        raise QuantityError(text, refused.reason, cure) from None


def _share(supply: Supply, text: str, amount: Fraction, word: str) -> _Share:
    """The amount in the supply's measure, not yet rounded, and what was taken for what."""
    key = word.casefold().strip(".")
    kind = KIND_OF[supply.measure]
    in_pieces = supply.measure is Measure.PIECES
    single = key.removesuffix("es" if key == "boxes" else "s")
    if in_pieces and find_unit(word, Kind.PIECES):
        return _Share(amount)
    if in_pieces and single == "pair":
        size = _pair_size(supply)
        said = f"a pair of {supply.name} is taken as {write(size, Kind.PIECES)}"
        return _Share(amount * size, said)
    if single in _HOLDERS and (supply.pack or not in_pieces or single == "pack"):
        return _packs(supply, text, amount, single)
    if in_pieces and single in _HOLDERS | _ONES:
        # "set of 12" in the name says what one set is
        if supply.pack and re.search(rf"\b{single} of \d", supply.name, re.I):
            return _packs(supply, text, amount, single)
        return _Share(amount, f"a {single} of {supply.name} is taken as 1 pc")
    if not in_pieces and (single in _ONES or (key and find_unit(word, Kind.PIECES))):
        return _packs(supply, text, amount, word)
    # workshop fluids and greases weigh about 1 g/ml (common practice, no source)
    other = Kind.MASS if kind is Kind.VOLUME else Kind.VOLUME
    if not in_pieces and find_unit(word, other):
        unit, taken = ("g", "ml") if other is Kind.MASS else ("ml", "g")
        said = f"1 {unit} of {supply.name} is taken as 1 {taken}, for its density is not known"
        return _Share(exact(text, other), said)
    if in_pieces:
        raise QuantityError(
            text, f"{supply.name} is counted in pieces", "write it like 2 pc, or change its measure"
        )
    return _Share(exact(text, kind))


def _pair_size(supply: Supply) -> int:
    """A pair is one piece where the supply itself is a pair or its packs are counted in pairs."""
    pairs = _PAIRS.search(supply.name)
    counted_in_pairs = pairs is not None and supply.pack == int(pairs[1])
    return 1 if counted_in_pairs or re.search(r"\bpair\b", supply.name, re.I) else 2


def _packs(supply: Supply, text: str, amount: Fraction, word: str) -> _Share:
    kind = KIND_OF[supply.measure]
    if supply.pack is None:
        raise QuantityError(
            text, f"nothing says how much one {word} of {supply.name} holds", "give its pack size"
        )
    said = f"1 {word} of {supply.name} is taken as a full pack, {write(supply.pack, kind)}"
    return _Share(amount * supply.pack, said)
