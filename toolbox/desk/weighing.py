"""Weighing things one by one: what was typed read, looked at for sense, stored, taken back."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from toolbox.desk.edit import Draft, Written, open_entry, write_draft
from toolbox.desk.edit_keys import Sort, sort_called
from toolbox.desk.errors import DeskError, UnclearName
from toolbox.desk.folder import KitFolder
from toolbox.desk.intake import store
from toolbox.desk.names import Named, fold, match
from toolbox.desk.naming import things_like
from toolbox.desk.odd_masses import odd_masses
from toolbox.desk.weighing_list import ToPutOn, Weighable, WeighList, mass_words, weighables
from toolbox.intake.difference import Entry
from toolbox.intake.thing_rows import changes_of
from toolbox.kit.codes import compartment_meant, thing_of_copy
from toolbox.kit.kit import Kit
from toolbox.kit.quantities import Kind, QuantityError, exact, read, write
from toolbox.kit.things import Known, Mass, Tool

UNITS = ("g", "kg", "oz", "lb")
MASS_KEYS = ("mass", "mass_known", "scale_step", "mass_error")
# So many times what was known, or so small a part of it, is a slip of unit or point far
# more often than a thing (common practice, no source).
FAR_OFF = 10


@dataclass(frozen=True, slots=True)
class Bench:
    """How readings are meant: the unit of bare numbers, what is taken off, the scale's step.

    ``tare_g`` is the exact mass of the tray that things lie in; ``step_mg`` None where
    nobody said in which steps the scale shows.
    """

    unit: str = "g"
    tare_g: Fraction = Fraction(0)
    step_mg: int | None = None


@dataclass(frozen=True, slots=True)
class Typed:
    """A line as it was typed: the thing it names and the reading it holds, "" for neither."""

    thing: str
    reading: str


@dataclass(frozen=True, slots=True)
class Put:
    """A reading for a thing, in whole grams; ``odd`` says what about it wants asking back."""

    thing: Weighable
    grams: int
    odd: str = ""


@dataclass(frozen=True, slots=True)
class Stored:
    """A reading that was written, and the entry as it stood before, to go back to."""

    thing: Weighable
    mass: Mass
    before: Draft

    @property
    def words(self) -> str:
        """What was done: "Hex key 5 mm: 44 g (before: 42 g, guess)"."""
        now = write(self.mass.grams, Kind.MASS)
        return f"{self.thing.name}: {now} (before: {mass_words(self.thing)})"


def bench(unit: str = "g", tare: str = "", step: str = "") -> Bench:
    """The bench as it was described in words; DeskError for what cannot be read."""
    if unit not in UNITS:
        raise DeskError(f'"{unit}" is no unit to weigh in; write {", ".join(UNITS)}')
    return Bench(
        unit,
        _exact(tare, unit) if tare.strip() else Fraction(0),
        _step(step) if step.strip() else None,
    )


def with_tare(before: Bench, typed: str) -> Bench:
    """The bench with this taken off each reading from now on; nothing typed takes nothing off."""
    tare = _exact(typed, before.unit) if typed.strip() else Fraction(0)
    return replace(before, tare_g=tare)


def with_step(before: Bench, typed: str) -> Bench:
    """The bench with a scale that shows in such steps; nothing typed: nobody said."""
    return replace(before, step_mg=_step(typed) if typed.strip() else None)


def with_unit(before: Bench, unit: str) -> Bench:
    """The bench with bare numbers in another unit; the tare stays the mass that it is."""
    return replace(bench(unit), tare_g=before.tare_g, step_mg=before.step_mg)


def _exact(typed: str, unit: str) -> Fraction:
    try:
        return exact(typed, Kind.MASS, unit)
    except QuantityError as error:
        raise DeskError(f"{error}") from error


def _step(typed: str) -> int:
    try:
        step = read(typed, Kind.STEP)
    except QuantityError as error:
        raise DeskError(f"{error}") from error
    if step == 0:
        raise DeskError(f'"{typed}" is no step of a scale; write it like 1 g or 0.1 g')
    return step


def bench_words(on: Bench) -> str:
    """How readings are meant, in words: "in g, 35 g of tare off, steps of 0.1 g"."""
    said = [f"bare numbers in {on.unit}"]
    said += [f"{float(on.tare_g):g} g of tare taken off"] if on.tare_g else []
    said += [f"scale's step {on.step_mg / 1000:g} g"] if on.step_mg else []
    return ", ".join(said)


# ---- what a line means


def thing_meant(kit: Kit, letters: str) -> Weighable:
    """The tool or supply that letters or a scanned code mean; UnclearName, UnknownName."""
    if compartment_meant(kit, letters):
        raise DeskError(f'"{letters}" is the code of a compartment; scan a thing')
    found = things_like(kit, thing_of_copy(kit, letters) or letters)
    if len(found) > 1:
        raise UnclearName("thing", letters, found)
    return weighable(kit, found[0].id)


def weighable(kit: Kit, id: str) -> Weighable:
    """The tool or supply of that id; DeskError when it is gone."""
    found = next((thing for thing in weighables(kit) if thing.id == id), None)
    if found is None:
        raise DeskError(f'there is no tool and no supply "{id}" in the kit any more')
    return found


def parted(kit: Kit, typed: str, unit: str) -> Typed:
    """A typed line as a thing and its reading.

    A tab, a semicolon or "=" parts them. Without one, in this order: a bare number with or
    without its unit is a reading; what is an id, a code or a whole name is a thing, alone or
    with a reading behind it; words that begin names are things ("hex key 5"); else a number
    at the end is the reading ("hex key 5 42").
    """
    line = typed.strip()
    if found := re.fullmatch(r"([^\t;=]*)[\t;=](.*)", line):
        return Typed(found[1].strip(), found[2].strip())
    if _is_called(kit, line):
        return Typed(line, "")
    if _looks_read(line, unit):
        return Typed("", line)
    found = re.fullmatch(rf"(.*?)\s+({_NUMBER}.*)", line)
    while found and not _looks_read(found[2], unit):
        found = re.fullmatch(rf"({re.escape(found[1])}\s.*?)\s+({_NUMBER}.*)", line)
    if found is None or (_begins_names(kit, line) and not _is_called(kit, found[1])):
        return Typed(line, "")
    return Typed(found[1], found[2])


_NUMBER = r"[-+−]?[.,]?\d"


def _is_called(kit: Kit, letters: str) -> bool:
    """Whether these are the whole id, code or name of something."""
    if thing_of_copy(kit, letters):
        return True
    return fold(letters) in {
        fold(word) for thing in weighables(kit) for word in (thing.id, thing.name)
    }


def _begins_names(kit: Kit, letters: str) -> bool:
    """Whether names hold these words; ids, which are full of digits, are not looked at."""
    return bool(match(letters, (Named("", thing.name) for thing in weighables(kit))).found)


def _looks_read(typed: str, unit: str) -> bool:
    """Whether this is a reading, be it one that is refused for its sign or its marks."""
    try:
        exact(typed, Kind.MASS, unit)
    except QuantityError:
        return re.fullmatch(r"[-+−]?[\d.,]+(\s*(g|kg|mg|oz|lb|lbs))?", typed) is not None
    return True


def put_on(kit: Kit, thing: Weighable, typed: str, on: Bench) -> Put:
    """A typed reading less the tare, in whole grams; DeskError for one that no thing can have.

    What is possible and hardly likely comes back with ``odd``: to be asked about once.
    """
    read_g = _exact(typed, on.unit)
    left = read_g - on.tare_g
    off = f" less {float(on.tare_g):g} g of tare" if on.tare_g else ""
    if left <= 0:
        shown = f"{float(read_g):g} g{off}"
        raise DeskError(
            f"{thing.name}: {shown} is nothing that a thing can weigh; look whether it is on "
            "the scale, and whether the tare is right"
        )
    whole = (2 * left.numerator + left.denominator) // (2 * left.denominator)
    if whole == 0:
        raise DeskError(
            f"{thing.name}: that is less than half a gram, and masses are kept in whole "
            "grams; look at the unit"
        )
    return Put(thing, whole, _odd(kit, thing, whole))


def _odd(kit: Kit, thing: Weighable, whole: int) -> str:
    known, said = thing.mass, f"{thing.name}: {write(whole, Kind.MASS)}"
    if known is not None and known.grams and whole >= FAR_OFF * known.grams:
        return f"{said} is {FAR_OFF} times what was known or more ({mass_words(thing)})"
    if known is not None and whole * FAR_OFF <= known.grams:
        return f"{said} is a tenth of what was known or less ({mass_words(thing)})"
    tools = tuple(replace(t, mass=_mass(whole)) if t is thing else t for t in kit.tools)
    supplies = tuple(replace(s, mass=_mass(whole)) if s is thing else s for s in kit.supplies)
    found = odd_masses(replace(kit, tools=tools, supplies=supplies), {thing.id})
    return found[0] if found else ""


def _mass(whole: int, step_mg: int | None = None) -> Mass:
    return Mass(whole, Known.WEIGHED, step_mg)


# ---- what is written


def store_readings(folder: KitFolder, puts: Sequence[Put], on: Bench) -> tuple[Stored, ...]:
    """Write the masses into the kit's files, all or none; comments and order stay.

    Of several readings for one thing the last holds. Raises KitFaults, DeskError and
    WriteRefused as ``desk/intake.store`` does.
    """
    last = {put.thing.id: put for put in puts}
    stored, entries = [], []
    for put in last.values():
        known = weighable(folder.kit, put.thing.id)
        mass = _mass(put.grams, on.step_mg)
        thing = replace(known, mass=mass)
        stored.append(Stored(known, mass, open_entry(folder, _sort(known), known.id)))
        if known.mass != mass:
            entries.append(Entry(0, thing, known, changes_of(known, thing)))
    if entries:
        store(folder, entries)
    return tuple(stored)


def take_off(folder: KitFolder, stored: Stored) -> str:
    """Give a thing the mass it had before its reading; what was done, in words.

    DeskError when its mass was changed by somebody else since.
    """
    thing = weighable(folder.kit, stored.thing.id)
    if thing.mass != stored.mass:
        raise DeskError(
            f"{thing.name} has another mass by now, {mass_words(thing)}; nothing was taken back"
        )
    draft = open_entry(folder, _sort(thing), thing.id)
    for key in MASS_KEYS:
        draft = draft.typed(key, stored.before.text(key))
    outcome = write_draft(folder, draft)
    if not isinstance(outcome, Written):
        raise DeskError(f"{thing.name} could not be given its mass back: look at it in Kit")
    return f"Taken back: {thing.name} is {mass_words(stored.thing)} again."


def _sort(thing: Weighable) -> Sort:
    return sort_called("tool" if isinstance(thing, Tool) else "supply")


# ---- many lines at once


@dataclass(frozen=True, slots=True)
class Refused:
    """A line that cannot be stored, and why."""

    number: int
    text: str
    reason: str


def read_lines(
    kit: Kit, lines: Sequence[str], on: Bench, *, sure: bool = False
) -> tuple[tuple[Put, ...], tuple[Refused, ...]]:
    """Lines of a whole session, "thing reading" or a thing and its reading on the next line.

    "tare READING" takes that off from there on. A line that is odd is refused unless
    ``sure``; blank lines say nothing.
    """
    puts: list[Put] = []
    refused: list[Refused] = []
    waits: tuple[int, Weighable] | None = None
    for number, text in enumerate(lines, 1):
        if not text.strip():
            continue
        try:
            if (tare := tare_typed(text)) is not None:
                on = with_tare(on, tare)
                continue
            typed = parted(kit, text, on.unit)
            if typed.thing and waits is not None:
                refused.append(_alone(*waits))
            waits = (number, thing_meant(kit, typed.thing)) if typed.thing else waits
            if not typed.reading:
                continue
            if waits is None:
                raise DeskError("a reading without a thing; write the thing before it")
            thing, waits = waits[1], None
            put = put_on(kit, thing, typed.reading, on)
            if put.odd and not sure:
                raise DeskError(f"{put.odd}. If it is right, add --sure")
            puts.append(put)
        except DeskError as error:
            waits = None
            refused.append(Refused(number, text.strip(), str(error)))
    if waits is not None:
        refused.append(_alone(*waits))
    return tuple(puts), tuple(refused)


def _alone(number: int, thing: Weighable) -> Refused:
    return Refused(number, thing.name, "has no reading behind it; write one, or leave it out")


def tare_typed(text: str) -> str | None:
    """What stands behind the word tare on a line; None for a line that says no tare."""
    found = re.fullmatch(r"\s*tare\s*[;=]?\s*([-+−]?[\d.,].*)?", text, re.IGNORECASE)
    return None if found is None else (found[1] or "").strip()


def meant_lines(kit: Kit, order: WeighList, typed: Typed) -> tuple[ToPutOn, ...]:
    """The lines of a list of weighing that letters or a code could mean; all without any."""
    if not typed.thing:
        return order.lines
    try:
        found = {one.id for one in things_like(kit, thing_of_copy(kit, typed.thing) or typed.thing)}
    except DeskError:
        return ()
    return tuple(line for line in order.lines if line.key in found)
