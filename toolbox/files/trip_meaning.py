"""From faultless trip tables to a trip, and from a trip back to the tables its file writes."""

from __future__ import annotations

from toolbox.files.meaning import goods_of, papers_of
from toolbox.files.pages import Pages
from toolbox.files.tables import (
    TomlTable,
    goods_keys,
    length_text,
    mass_keys,
    money_text,
    number,
    papers_keys,
    quantity,
    size_keys,
    told,
    unless,
)
from toolbox.files.trip_tables import (
    ALLOWANCE,
    APPROVAL,
    BAG,
    BIKE,
    ITEM,
    LEG,
    PERSON,
    SCALE,
    TRIP,
    WAY,
    WEIGHING,
    WORK,
    AllowanceTable,
    BagTable,
    ItemTable,
    LegTable,
)
from toolbox.kit.quantities import Kind, write
from toolbox.kit.things import Known, Mass, Size
from toolbox.kit.trips import (
    Allowance,
    Approval,
    Bag,
    Band,
    Bike,
    Cabin,
    Carriage,
    Item,
    Leg,
    Person,
    Scale,
    Trip,
    Way,
    Weighing,
    Work,
)


def trip_of(pages: Pages) -> Trip:
    """The trip that faultless pages describe."""
    (head,) = pages.tables(TRIP)
    return Trip(
        name=head.name,
        people=tuple(Person(t.id, t.name) for t in pages.tables(PERSON)),
        bags=tuple(_bag(t) for t in pages.tables(BAG)),
        allowances=tuple(_allowance(t) for t in pages.tables(ALLOWANCE)),
        legs=tuple(_leg(t) for t in pages.tables(LEG)),
        items=tuple(_item(t) for t in pages.tables(ITEM)),
        bikes=tuple(Bike(t.id, t.name, t.bag) for t in pages.tables(BIKE)),
        work=tuple(Work(t.job, t.expected, tuple(t.bikes)) for t in pages.tables(WORK)),
        ways=tuple(Way(t.item, t.other, t.price) for t in pages.tables(WAY)),
        approvals=tuple(
            Approval(tuple(t.items), t.by, t.day, t.note) for t in pages.tables(APPROVAL)
        ),
        scales=tuple(
            Scale(t.id, t.name, t.scale_step, t.accuracy, t.error, t.capacity)
            for t in pages.tables(SCALE)
        ),
        weighings=tuple(
            Weighing(t.bag, t.reading, t.scale, t.day, tuple(t.items), t.accepted, t.by)
            for t in pages.tables(WEIGHING)
        ),
        must=tuple(head.must),
        note=head.note,
    )


def _size(length: int | None, width: int | None, height: int | None) -> Size | None:
    # the checks let a size have all three sides or none
    return Size(length, width, height) if length and width and height else None


def _bag(t: BagTable) -> Bag:
    tare = t.tare and Mass(t.tare, t.tare_known, t.scale_step, t.tare_error)
    return Bag(
        id=t.id,
        name=t.name,
        answers=t.answers,
        carriage=t.carriage,
        box=t.box,
        tare=tare or None,
        size=_size(t.length, t.width, t.height),
        inside=_size(t.inside_length, t.inside_width, t.inside_height),
        holds=tuple(t.holds),
        limit_g=t.limit,
        papers=papers_of(t),
    )


def _item(t: ItemTable) -> Item:
    return Item(
        id=t.id,
        name=t.name,
        bag=t.bag,
        mass=Mass(t.mass, t.mass_known, t.scale_step, t.mass_error),
        count=t.count,
        size=_size(t.length, t.width, t.height),
        fixed=t.fixed,
        goods=goods_of(t.goods),
        papers=papers_of(t),
        off_list=t.off_list,
    )


def _allowance(t: AllowanceTable) -> Allowance:
    cabin = None
    if t.cabin is not None:
        size = _size(t.cabin.length, t.cabin.width, t.cabin.height)
        cabin = Cabin(t.cabin.pieces, t.cabin.mass, size)
    return Allowance(
        id=t.id,
        name=t.name,
        concept=t.concept,
        mass_g=t.mass,
        pieces=t.pieces,
        ceiling_g=t.ceiling,
        sides=t.sides,
        sides_ceiling=t.sides_ceiling,
        extra_pieces=tuple(t.extra_pieces),
        bands=tuple(Band(band.up_to, band.price) for band in t.band),
        per_kg=t.per_kg,
        most_g=t.most,
        oversize=t.oversize,
        pooled=t.pooled,
        cabin=cabin,
        note=t.note,
    )


def _leg(t: LegTable) -> Leg:
    return Leg(
        id=t.id,
        name=t.name,
        allowance=t.allowance,
        day=t.day,
        carrier=t.carrier,
        others=tuple(t.others.items()),
        departs=tuple(t.departs),
        screening=tuple(t.screening),
        repack=t.repack,
        back=t.back,
    )


def trip_tables(trip: Trip) -> TomlTable:
    """All of a trip file; ``read_trip`` gives the same trip again."""
    return {"name": trip.name} | told(
        must=list(trip.must),
        note=trip.note,
        person=[{"id": p.id, "name": p.name} for p in trip.people],
        bag=[_bag_table(bag) for bag in trip.bags],
        item=[_item_table(item) for item in trip.items],
        allowance=[_allowance_table(allowance) for allowance in trip.allowances],
        leg=[_leg_table(leg) for leg in trip.legs],
        bike=[told(id=b.id, name=b.name, bag=b.bag) for b in trip.bikes],
        work=[_work_table(work) for work in trip.work],
        way=[told(item=w.item, other=w.other.value, price=money_text(w.price)) for w in trip.ways],
        approval=[
            told(items=list(a.items), by=a.by, day=a.day, note=a.note) for a in trip.approvals
        ],
        scale=[_scale_table(scale) for scale in trip.scales],
        weighing=[weighing_table(weighing) for weighing in trip.weighings],
    )


def _bag_table(bag: Bag) -> TomlTable:
    tare: TomlTable = {}
    if bag.tare is not None:
        known = unless(bag.tare.known, Known.GUESS)
        tare = {
            "tare": write(bag.tare.grams, Kind.MASS),
            "tare_known": known and known.value,
            "scale_step": quantity(bag.tare.step_mg, Kind.STEP),
            "tare_error": quantity(bag.tare.error_mg, Kind.STEP),
        }
    inside = {f"inside_{key}": value for key, value in size_keys(bag.inside).items()}
    return told(
        id=bag.id,
        name=bag.name,
        answers=bag.answers,
        carriage=None if bag.carriage is Carriage.HOLD else bag.carriage.value,
        box=unless(bag.box, False),
        **tare,
        **size_keys(bag.size),
        **inside,
        holds=list(bag.holds),
        limit=quantity(bag.limit_g, Kind.MASS),
        **papers_keys(bag.papers),
    )


def _item_table(item: Item) -> TomlTable:
    return told(
        id=item.id,
        name=item.name,
        bag=item.bag,
        **mass_keys(item.mass),
        **size_keys(item.size),
        count=unless(item.count, 1),
        fixed=unless(item.fixed, False),
        **papers_keys(item.papers),
        off_list=unless(item.off_list, False),
        goods=goods_keys(item.goods),
    )


def _allowance_table(a: Allowance) -> TomlTable:
    cabin: TomlTable = {}
    if a.cabin is not None:
        mass = told(mass=quantity(a.cabin.mass_g, Kind.MASS))
        cabin = {"pieces": a.cabin.pieces, **mass, **size_keys(a.cabin.size)}
    return told(
        id=a.id,
        name=a.name,
        concept=a.concept.value,
        mass=write(a.mass_g, Kind.MASS),
        pieces=a.pieces,
        ceiling=quantity(a.ceiling_g, Kind.MASS),
        sides=length_text(a.sides),
        sides_ceiling=length_text(a.sides_ceiling),
        extra_pieces=[money_text(price) for price in a.extra_pieces],
        per_kg=money_text(a.per_kg),
        most=quantity(a.most_g, Kind.MASS),
        oversize=money_text(a.oversize),
        pooled=unless(a.pooled, False),
        note=a.note,
        band=[
            {"up_to": write(b.up_to_g, Kind.MASS), "price": money_text(b.price)} for b in a.bands
        ],
        cabin=cabin,
    )


def _leg_table(leg: Leg) -> TomlTable:
    return told(
        id=leg.id,
        name=leg.name,
        allowance=leg.allowance,
        day=leg.day,
        carrier=leg.carrier,
        departs=list(leg.departs),
        screening=list(leg.screening),
        repack=unless(leg.repack, False),
        back=unless(leg.back, False),
        others=dict(leg.others),
    )


def _work_table(work: Work) -> TomlTable:
    return told(job=work.job, expected=number(work.times), bikes=list(work.bikes))


def _scale_table(scale: Scale) -> TomlTable:
    return told(
        id=scale.id,
        name=scale.name,
        scale_step=write(scale.step_mg, Kind.STEP),
        accuracy=scale.accuracy and scale.accuracy.value,
        error=quantity(scale.error_mg, Kind.STEP),
        capacity=quantity(scale.capacity_g, Kind.MASS),
    )


def weighing_table(weighing: Weighing) -> TomlTable:
    """[[weighing]] of a packed bag."""
    return told(
        bag=weighing.bag,
        reading=write(weighing.reading_g, Kind.MASS),
        scale=weighing.scale,
        day=weighing.day,
        items=list(weighing.items),
        accepted=weighing.accepted,
        by=weighing.by,
    )
