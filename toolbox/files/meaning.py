"""From faultless tables to value types. Nothing here can be refused any more."""

from __future__ import annotations

from fractions import Fraction

from toolbox.files import schema
from toolbox.files.pages import (
    BOX,
    COMPARTMENT,
    JOB,
    KIT,
    LAYOUT,
    OPENING,
    READING,
    RULE,
    SPOT,
    SUPPLY,
    TOOL,
    Pages,
)
from toolbox.kit.box import Box, Compartment, Opening, Position
from toolbox.kit.customs import CustomsChoices
from toolbox.kit.kit import Kit, Readings, Settings
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.quantities import read
from toolbox.kit.rules import Rule
from toolbox.kit.things import (
    KIND_OF,
    Dial,
    Gauge,
    Goods,
    Instrument,
    Mass,
    Measure,
    Papers,
    Part,
    Shelf,
    Size,
    Supply,
    Tool,
)
from toolbox.kit.work import Draw, Job, Step


def kit_of(pages: Pages) -> Kit:
    """The kit that faultless pages describe."""
    (head,) = pages.tables(KIT)
    supplies = tuple(_supply(table) for table in pages.tables(SUPPLY))
    measures = {supply.id: supply.measure for supply in supplies}
    return Kit(
        name=head.name,
        box=_box(pages),
        tools=tuple(_tool(table) for table in pages.tables(TOOL)),
        supplies=supplies,
        jobs=tuple(_job(table, measures) for table in pages.tables(JOB)),
        rules=tuple(_rule(table) for table in pages.tables(RULE)),
        readings=tuple(
            Readings(table.of, tuple(table.times), table.note) for table in pages.tables(READING)
        ),
        settings=_settings(head.settings),
        customs=_customs(head.customs),
        present=layout_of(pages),
    )


def layout_of(pages: Pages) -> Layout | None:
    """The layout that faultless pages describe, None where there is no layout file."""
    heads = pages.tables(LAYOUT)
    spots = tuple(
        Spot(table.item, table.compartment, table.x, table.y, table.turned)
        for table in pages.tables(SPOT)
    )
    return Layout(heads[0].name, spots) if heads else None


def _settings(table: schema.SettingsTable) -> Settings:
    # only what the file says: the usual values are the value type's own business
    given = {key: getattr(table, key) for key in table.model_fields_set}
    for percent, share in (
        ("loose_fill_percent", "loose_fill"),
        ("easy_share_percent", "easy_share"),
        ("service_percent", "service"),
    ):
        if percent in given:
            given[share] = Fraction(given.pop(percent), 100)
    # 0 is how a file says that no day weighs more than another
    if given.get("half_life_days") == 0:
        given["half_life_days"] = None
    return Settings(**given)


def _customs(table: schema.CustomsTable) -> CustomsChoices:
    return CustomsChoices(table.country, table.currency, table.mass_unit, table.sets)


def _box(pages: Pages) -> Box:
    (table,) = pages.tables(BOX)
    return Box(
        name=table.name,
        size=Size(table.length, table.width, table.height),
        tare_g=table.tare,
        stands_at=table.stands_at,
        openings=tuple(
            Opening(o.id, o.name, o.way, o.travel, o.mass, o.latches) for o in pages.tables(OPENING)
        ),
        compartments=tuple(
            Compartment(
                id=c.id,
                name=c.name,
                kind=c.kind,
                inside=Size(c.length, c.width, c.depth),
                position=Position(*c.at),
                openings=tuple(c.openings),
                load_g=c.load,
            )
            for c in pages.tables(COMPARTMENT)
        ),
        limit_g=table.limit,
        tare_known=table.tare_known,
        tare_step_mg=table.scale_step,
        tare_error_mg=table.tare_error,
    )


def goods_of(table: schema.GoodsTable | None) -> Goods | None:
    """The goods of a thing, None where the file says nothing of them."""
    if table is None:
        return None
    return Goods(
        kind=table.kind,
        millivolts=table.voltage,
        milliampere_hours=table.charge,
        net_ml=table.net,
        energy_mwh=table.energy,
        flash_c=table.flash_point,
        lithium_mg=table.lithium,
        blade=table.blade,
    )


def papers_of(table: schema.PapersTable) -> Papers:
    """What papers ask of a thing."""
    return Papers(table.make, table.model, table.serial, table.year, table.value, table.origin)


def _gauge(table: schema.GaugeTable | None) -> Gauge | None:
    if table is None:
        return None
    return Gauge(table.purpose, table.dimension, table.nominal, table.lowest, table.highest)


def _instrument(table: schema.InstrumentTable | None) -> Instrument | None:
    if table is None:
        return None
    return Instrument(
        table.last_check,
        table.every_months,
        table.every_uses,
        table.uses_since_check,
        _dial(table),
    )


def _dial(table: schema.InstrumentTable) -> Dial | None:
    if table.highest is None:
        return None
    kind, highest = table.highest
    tolerance = table.tolerance
    plain = tolerance if isinstance(tolerance, tuple) else None
    return Dial(
        kind,
        highest,
        lowest=table.lowest[1] if table.lowest else None,
        step=table.step[1] if table.step else None,
        accuracy=table.accuracy,
        tolerance=plain[1] if plain else None,
        percent=tolerance if isinstance(tolerance, Fraction) else None,
        zero_stop=table.zero_stop,
    )


def _tool(table: schema.ToolTable) -> Tool:
    return Tool(
        id=table.id,
        name=table.name,
        mass=Mass(table.mass, table.mass_known, table.scale_step, table.mass_error),
        size=Size(table.length, table.width, table.height),
        category=table.category,
        count=table.count,
        carried=table.carried,
        parts=tuple(Part(part.name, part.count, part.mass, part.value) for part in table.parts),
        marks=frozenset(table.marks),
        substitutes=tuple(table.substitutes),
        serial=table.serial,
        value=table.value,
        origin=table.origin,
        look=table.look,
        owner_mark=table.owner_mark,
        note=table.note,
        gauge=_gauge(table.gauge),
        instrument=_instrument(table.instrument),
        goods=goods_of(table.goods),
        make=table.make,
        model=table.model,
        year=table.year,
    )


def _supply(table: schema.SupplyTable) -> Supply:
    def amount(text: str | None) -> int | None:
        return None if text is None else read(text, KIND_OF[table.measure])

    # the checks let a supply have all three sides or none
    known = (table.mass_known, table.scale_step, table.mass_error)
    mass = table.mass and Mass(table.mass, *known)
    size = None
    if table.length and table.width and table.height:
        size = Size(table.length, table.width, table.height)
    return Supply(
        id=table.id,
        name=table.name,
        measure=table.measure,
        mass=mass or None,
        size=size,
        category=table.category,
        carried=table.carried,
        pack=amount(table.pack),
        stock=amount(table.stock),
        par=amount(table.par),
        shelf=_shelf(table),
        marks=frozenset(table.marks),
        fluid=table.fluid,
        note=table.note,
        goods=goods_of(table.goods),
        reserve=amount(table.reserve),
        stock_on=table.stock_on,
        service=Fraction(table.service_percent, 100) if table.service_percent else None,
    )


def _shelf(table: schema.SupplyTable) -> Shelf:
    return Shelf(
        best_before=table.best_before,
        opened=table.opened,
        opened_life_months=table.opened_life_months,
        lot=table.lot,
        made=table.made,
        sealed_life_months=table.sealed_life_months,
    )


def _job(table: schema.JobTable, measures: dict[str, Measure]) -> Job:
    return Job(
        id=table.id,
        name=table.name,
        steps=tuple(
            Step(
                number=number,
                text=step.text,
                picks=tuple(step.tools),
                draws=tuple(
                    Draw(name, read(text, KIND_OF[measures[name]]))
                    for name, text in step.supplies.items()
                ),
                minutes=step.minutes,
            )
            for number, step in enumerate(table.step, start=1)
        ),
        discipline=table.discipline,
        urgent=table.urgent,
        per_day=table.per_day,
        note=table.note,
        fluid=table.fluid,
    )


def _rule(table: schema.RuleTable) -> Rule:
    return Rule(
        name=table.name,
        ask=table.ask,
        items=tuple(table.items),
        compartments=tuple(table.compartments),
        milliseconds=table.within,
        others=tuple(table.others),
    )
