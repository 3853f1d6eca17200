"""From value types to the tables a file writes: the way back of ``meaning``.

What a file need not say (an empty text, a default) is left out. ``read_kit``
gives the same values again.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from toolbox.kit.box import Box, Compartment, Opening
from toolbox.kit.customs import CustomsChoices
from toolbox.kit.kit import Kit, Readings, Settings
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.quantities import Kind, write
from toolbox.kit.rules import Rule
from toolbox.kit.things import (
    KIND_OF,
    Dial,
    Gauge,
    Goods,
    Instrument,
    Known,
    Mark,
    Mass,
    Measure,
    Money,
    Papers,
    Part,
    Size,
    Supply,
    Tool,
)
from toolbox.kit.work import Job, Pick, Step

TomlTable = dict[str, Any]


def told(**keys: object) -> TomlTable:
    """The keys that have something to tell."""
    return {key: value for key, value in keys.items() if value not in (None, "", (), [], {})}


def quantity(value: int | None, kind: Kind) -> str | None:
    """A quantity with its unit, None where there is none."""
    return None if value is None else write(value, kind)


def length_text(value: int | None) -> str | None:
    """A length with its unit, None where there is none."""
    return quantity(value, Kind.LENGTH)


def unless(value: Any, default: object) -> Any:
    """The value, None where it is the default: files show what somebody decided."""
    return None if value == default else value


def size_keys(size: Size | None) -> TomlTable:
    """The keys of a size, none where it is not known."""
    if size is None:
        return {}
    return {key: write(side, Kind.LENGTH) for key, side in size._asdict().items()}


def mass_keys(mass: Mass | None) -> TomlTable:
    """The keys of a mass and of how it is known, none where there is none."""
    if mass is None:
        return {}
    return told(
        mass=write(mass.grams, Kind.MASS),
        mass_known=unless(mass.known, Known.GUESS) and mass.known.value,
        scale_step=quantity(mass.step_mg, Kind.STEP),
        mass_error=quantity(mass.error_mg, Kind.STEP),
    )


def _marks(marks: frozenset[Mark]) -> list[str]:
    # in the order in which the marks are defined: a set has none of its own
    return [mark.value for mark in Mark if mark in marks]


def money_text(money: Money | None) -> str | None:
    """An amount of money with its currency, None where there is none."""
    return None if money is None else money.words()


def number(value: Fraction) -> int | float:
    """A rate as TOML writes it: whole where it is, else with at most six decimals."""
    # the decimals that a file may have, which come back as they are out of a float
    if value.denominator == 1:
        return int(value)
    return float(round(Decimal(value.numerator) / value.denominator, 6))


def _gauge(gauge: Gauge | None) -> TomlTable:
    if gauge is None:
        return {}
    return {
        "purpose": gauge.purpose,
        "dimension": gauge.dimension,
        "nominal": write(gauge.nominal_um, Kind.FINE),
        "lowest": write(gauge.lowest_um, Kind.FINE),
        "highest": write(gauge.highest_um, Kind.FINE),
    }


def _instrument(instrument: Instrument | None) -> TomlTable:
    if instrument is None:
        return {}
    return told(
        last_check=instrument.last_check,
        every_months=instrument.every_months,
        every_uses=instrument.every_uses,
        uses_since_check=unless(instrument.uses_since_check, 0),
        **_dial(instrument.dial),
    )


def _dial(dial: Dial | None) -> TomlTable:
    if dial is None:
        return {}
    plain = quantity(dial.tolerance, dial.kind)
    return told(
        accuracy=dial.accuracy and dial.accuracy.value,
        lowest=quantity(dial.lowest, dial.kind),
        highest=quantity(dial.highest, dial.kind),
        step=quantity(dial.step, dial.kind),
        tolerance=plain if dial.percent is None else f"{number(dial.percent)} %",
        zero_stop=unless(dial.zero_stop, False),
    )


def goods_keys(goods: Goods | None) -> TomlTable:
    """The table of a thing's goods, empty where it has none."""
    if goods is None:
        return {}
    return told(
        kind=goods.kind,
        voltage=quantity(goods.millivolts, Kind.VOLTAGE),
        charge=quantity(goods.milliampere_hours, Kind.CHARGE),
        net=quantity(goods.net_ml, Kind.VOLUME),
        energy=quantity(goods.energy_mwh, Kind.ENERGY),
        flash_point=None if goods.flash_c is None else f"{goods.flash_c} °C",
        lithium=quantity(goods.lithium_mg, Kind.STEP),
        blade=length_text(goods.blade),
    )


def papers_keys(papers: Papers) -> TomlTable:
    """The keys of what papers ask of a thing, none where nobody has said anything."""
    return told(**papers._replace(value=None)._asdict() | {"value": money_text(papers.value)})


def _part(part: Part) -> TomlTable:
    head = {"name": part.name, "count": part.count}
    return head | told(mass=quantity(part.grams, Kind.MASS), value=money_text(part.value))


def tool_table(tool: Tool) -> TomlTable:
    """[[tool]] of a tool."""
    head = {"id": tool.id, "name": tool.name}
    return {**head, **mass_keys(tool.mass), **size_keys(tool.size)} | told(
        category=tool.category,
        count=unless(tool.count, 1),
        carried=unless(tool.carried, True),
        parts=[_part(part) for part in tool.parts],
        marks=_marks(tool.marks),
        substitutes=list(tool.substitutes),
        **papers_keys(tool.papers),
        look=tool.look,
        owner_mark=tool.owner_mark,
        note=tool.note,
        gauge=_gauge(tool.gauge),
        instrument=_instrument(tool.instrument),
        goods=goods_keys(tool.goods),
    )


def supply_table(supply: Supply) -> TomlTable:
    """[[supply]] of a supply."""
    # an amount says its unit although the measure does: nobody has to look up
    kind = KIND_OF[supply.measure]
    head = {"id": supply.id, "name": supply.name, "measure": supply.measure.value}
    return {**head, **mass_keys(supply.mass), **size_keys(supply.size)} | told(
        category=supply.category,
        carried=unless(supply.carried, False),
        pack=quantity(supply.pack, kind),
        stock=quantity(supply.stock, kind),
        reserve=quantity(supply.reserve, kind),
        stock_on=supply.stock_on,
        par=quantity(supply.par, kind),
        service_percent=None if supply.service is None else _percent(supply.service),
        best_before=supply.shelf.best_before,
        opened=supply.shelf.opened,
        opened_life_months=supply.shelf.opened_life_months,
        made=supply.shelf.made,
        sealed_life_months=supply.shelf.sealed_life_months,
        lot=supply.shelf.lot,
        marks=_marks(supply.marks),
        fluid=supply.fluid,
        note=supply.note,
        goods=goods_keys(supply.goods),
    )


def _pick(pick: Pick) -> str:
    return pick.tool if pick.times == 1 else f"{pick.tool} x{pick.times}"


def _step(step: Step, measures: Mapping[str, Measure]) -> TomlTable:
    return {"text": step.text} | told(
        minutes=step.minutes,
        tools=[_pick(pick) for pick in step.picks],
        supplies={d.supply: write(d.amount, KIND_OF[measures[d.supply]]) for d in step.draws},
    )


def job_table(job: Job, measures: Mapping[str, Measure]) -> TomlTable:
    """[[job]] of a job with its steps; ``measures`` gives the measure of each supply by id."""
    return {"id": job.id, "name": job.name} | told(
        discipline=job.discipline,
        urgent=unless(job.urgent, False),
        per_day=None if job.per_day is None else number(job.per_day),
        fluid=job.fluid,
        note=job.note,
        step=[_step(step, measures) for step in job.steps],
    )


def rule_table(rule: Rule) -> TomlTable:
    """[[rule]] of a rule."""
    return told(
        name=rule.name,
        ask=rule.ask.value,
        items=list(rule.items),
        others=list(rule.others),
        compartments=list(rule.compartments),
        within=quantity(rule.milliseconds, Kind.TIME),
    )


def reading_table(readings: Readings) -> TomlTable:
    """[[reading]] of stopwatch readings."""
    times = [write(time, Kind.TIME) for time in readings.milliseconds]
    return told(of=readings.of, times=times, note=readings.note)


def _opening(opening: Opening) -> TomlTable:
    return told(
        id=opening.id,
        name=opening.name,
        way=opening.way.value,
        travel=write(opening.travel, Kind.LENGTH),
        mass=quantity(unless(opening.mass_g, 0), Kind.MASS),
        latches=unless(opening.latches, 0),
    )


def compartment_table(compartment: Compartment) -> TomlTable:
    """[[compartment]] of a compartment."""
    length, width, depth = (write(side, Kind.LENGTH) for side in compartment.inside)
    return told(
        id=compartment.id,
        name=compartment.name,
        kind=compartment.kind.value,
        length=length,
        width=width,
        depth=depth,
        at=[write(at, Kind.LENGTH) for at in compartment.position],
        openings=list(compartment.openings),
        load=quantity(compartment.load_g, Kind.MASS),
    )


def box_tables(box: Box) -> TomlTable:
    """All of box.toml."""
    head = told(
        name=box.name,
        **size_keys(box.size),
        tare=write(box.tare_g, Kind.MASS),
        stands_at=length_text(box.stands_at),
        limit=quantity(box.limit_g, Kind.MASS),
        tare_known=unless(box.tare_known, Known.GUESS) and box.tare_known.value,
        scale_step=quantity(box.tare_step_mg, Kind.STEP),
        tare_error=quantity(box.tare_error_mg, Kind.STEP),
    )
    return {"box": head} | told(
        opening=[_opening(opening) for opening in box.openings],
        compartment=[compartment_table(compartment) for compartment in box.compartments],
    )


def kit_tables(kit: Kit) -> TomlTable:
    """All of kit.toml; settings that nobody changed are left out."""
    usual = settings_table(Settings())
    mine = settings_table(kit.settings)
    changed = {key: value for key, value in mine.items() if value != usual[key]}
    return {"name": kit.name} | told(settings=changed, customs=customs_keys(kit.customs))


def customs_keys(choices: CustomsChoices) -> TomlTable:
    """[customs]: what was chosen other than usual."""
    usual = CustomsChoices()
    return told(
        country=choices.country,
        currency=choices.currency,
        mass_unit=unless(choices.unit, usual.unit) and choices.unit.value,
        sets=unless(choices.sets, usual.sets) and choices.sets.value,
    )


def settings_table(settings: Settings) -> TomlTable:
    """[settings] with every key. ValueError for a share that is no whole percentage."""
    return {
        "clearance": length_text(settings.clearance),
        "loose_fill_percent": _percent(settings.loose_fill),
        "half_life_days": settings.half_life_days or 0,
        "urgent_weight": number(settings.urgent_weight),
        "easy_share_percent": _percent(settings.easy_share),
        "stand_off": length_text(settings.stand_off),
        "hand_height": length_text(settings.hand_height),
        "bend_below": length_text(settings.bend_below),
        "hand": settings.hand.value,
        "hand_beside": length_text(settings.hand_beside),
        "service_percent": _percent(settings.service),
        "restock_days": settings.restock_days,
    }


def _percent(share: Fraction) -> int:
    if (share * 100).denominator != 1:
        raise ValueError(f"a kit file holds whole percentages only, not {share}")
    return int(share * 100)


def _spot(spot: Spot) -> TomlTable:
    return told(
        item=spot.item,
        compartment=spot.compartment,
        x=length_text(spot.x),
        y=length_text(spot.y),
        turned=unless(spot.turned, False),
    )


def layout_tables(layout: Layout) -> TomlTable:
    """All of a layout file."""
    return {"name": layout.name} | told(spot=[_spot(spot) for spot in layout.spots])
