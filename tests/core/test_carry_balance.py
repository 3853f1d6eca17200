"""Mass and statics of a packed box, against moments worked out by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from toolbox.carry.balance import CROOKED_PERCENT, weigh
from toolbox.carry.bodies import Side
from toolbox.carry.findings import CarryError, Severity, masses
from toolbox.carry.riding import riding_on
from toolbox.carry.tipping import tipping, tipping_cautions
from toolbox.files.forms import demo_folder, new_kit
from toolbox.files.reading import read_kit
from toolbox.kit.box import Box, Compartment, Inside, Opening, Position, Way
from toolbox.kit.layouts import Layout, Spot
from toolbox.kit.things import Known, Mass, Size, Supply, Tool
from toolbox.kit.things import Measure as Counted


def tool(id: str, grams: int, known: Known = Known.WEIGHED) -> Tool:
    return Tool(id, f"tool {id}", Mass(grams, known), Size(1000, 400, 200))


def bin_(id: str, at: tuple[int, int, int], inside=(1000, 1000, 1000), openings=(), load=None):
    """A loose bin: what lies in it counts at its middle."""
    return Compartment(
        id, f"bin {id}", Inside.LOOSE, Size(*inside), Position(*at), tuple(openings), load
    )


def box(*compartments, size=(10000, 4000, 3000), tare=0, openings=(), limit=None):
    return Box("the box", Size(*size), tare, 0, tuple(openings), tuple(compartments), limit)


def test_masses_of_a_sentence_stand_in_one_unit() -> None:
    """By hand: kilograms with two decimals, unless one of them would be lost in them."""
    assert masses(25986, 2986, 23000) == ("25.99 kg", "2.99 kg", "23.00 kg")
    assert masses(2217, 1, 2216) == ("2217 g", "1 g", "2216 g")
    assert masses(900, 100, 800) == ("0.90 kg", "0.10 kg", "0.80 kg")


def lay(*spots: Spot) -> Layout:
    return Layout("today", spots)


def test_weights_balance_where_distances_are_inverse_to_them():
    """2 kg at 300 mm balance 3 kg at 200 mm (law of the lever, Archimedes, On the
    Equilibrium of Planes I, 6-7; computed)."""
    left, right = bin_("A", (1500, 1500, 0)), bin_("B", (6500, 1500, 0))
    things = {"T1": tool("T1", 2000), "T2": tool("T2", 3000)}
    loads = weigh(box(left, right), lay(Spot("T1", "A"), Spot("T2", "B")), things)
    # bins' middles at 200 mm and 700 mm: the fulcrum lies at 500 mm, the box's middle
    assert loads.centre.x == 5000
    assert loads.sideways.tenths == 0
    assert loads.sideways.percent == 0


def test_share_of_the_right_end_is_the_reaction_of_a_beam():
    """A point load P at distance a on a beam of length l gives the far support P·a/l
    (two-point moment balance, any statics textbook; computed: 8 kg at 750 of 1000 mm: 6 kg)."""
    loads = weigh(box(bin_("A", (7000, 1500, 0))), lay(Spot("T1", "A")), {"T1": tool("T1", 8000)})
    assert loads.total_g * (50 + loads.sideways.percent) / 100 == 6000


def test_empty_box_and_contents_join_in_one_centre():
    """6 kg at the middle (500 mm) and 2 kg at 900 mm: (6·500 + 2·900)/8 = 600 mm (computed)."""
    loads = weigh(
        box(bin_("A", (8500, 1500, 0)), tare=6000),
        lay(Spot("T1", "A")),
        {"T1": tool("T1", 2000)},
    )
    assert loads.centre.x == 6000
    assert loads.sideways.tenths == 1000
    assert loads.sideways.percent == 10
    assert loads.total_g == 8000


def test_a_laid_thing_counts_over_its_rectangle_and_on_the_floor():
    """A laid thing of 100 x 40 x 20 mm at corner (50, 10): middle (100, 30, 10) mm;
    turned (70, 60, 10) mm (computed)."""
    laid = Compartment("L", "top", Inside.LAID, Size(4000, 3000, 600), Position(200, 100, 900))
    things = {"T1": tool("T1", 500)}
    straight = weigh(box(laid), lay(Spot("T1", "L", 500, 100)), things)
    turned = weigh(box(laid), lay(Spot("T1", "L", 500, 100, turned=True)), things)
    assert straight.centre == (200 + 1000, 100 + 300, 900 + 100)
    assert turned.centre == (200 + 700, 100 + 600, 900 + 100)


def test_a_thing_without_a_spot_counts_at_the_middle_of_its_compartment():
    """Where nobody said where a thing lies, it counts at the middle of the compartment."""
    laid = Compartment("L", "top", Inside.LAID, Size(4000, 3000, 600), Position(200, 100, 900))
    loads = weigh(box(laid), lay(Spot("T1", "L")), {"T1": tool("T1", 500)})
    assert loads.centre == (2200, 1600, 1200)


def test_in_a_row_the_place_along_the_row_counts():
    """In a row a thing's width lies along the row: corner 300, width 400, middle 500."""
    row = Compartment("R", "loops", Inside.ROW, Size(4000, 3000, 600), Position(200, 100, 900))
    loads = weigh(box(row), lay(Spot("T1", "R", 300)), {"T1": tool("T1", 500)})
    assert loads.centre == (200 + 500, 1600, 1200)


def test_limits_are_compared_to_the_gram():
    """At the limit is kept, one gram more is over, and says by how much and where."""
    one = bin_("A", (0, 0, 0), load=2000)
    kept = weigh(box(one, tare=500, limit=2500), lay(Spot("T1", "A")), {"T1": tool("T1", 2000)})
    over = weigh(box(one, tare=500, limit=2500), lay(Spot("T1", "A")), {"T1": tool("T1", 2001)})
    assert not [f for f in kept.findings if f.severity is Severity.OVER]
    words = [f.words for f in over.findings if f.severity is Severity.OVER]
    assert len(words) == 2
    assert "bin A carries 2001 g, 1 g more than its 2000 g" in words
    assert over.compartments[0].over_g == 1


def test_what_has_no_place_is_said_and_not_counted():
    """A thing that travels without a place is named; the total holds placed things only."""
    things = {"T1": tool("T1", 100), "T2": tool("T2", 50)}
    loads = weigh(box(bin_("A", (0, 0, 0)), tare=1000), lay(Spot("T1", "A")), things)
    assert loads.total_g == 1100
    assert loads.left_out == ("tool T2",)
    assert any("50 g: tool T2" in f.words for f in loads.findings)


def test_masses_that_nobody_weighed_are_said():
    """Guessed and catalogue masses are told apart from weighed ones."""
    things = {
        "T1": tool("T1", 100),
        "T2": tool("T2", 70, known=Known.GUESS),
        "T3": tool("T3", 30, known=Known.CATALOGUE),
    }
    spots = (Spot(t, "A") for t in things)
    loads = weigh(box(bin_("A", (0, 0, 0)), tare=1000), lay(*spots), things)
    assert any(f.words.startswith("100 g of the contents") for f in loads.findings)


def test_lifting_is_always_left_to_the_rules():
    """Every weighing carries the caution about handling rules, whatever the figures are."""
    loads = weigh(box(tare=10), lay(), {})
    caution = [f.words for f in loads.findings if f.severity is Severity.CAUTION]
    assert any("one-hand lift" in words and "with two" in words for words in caution)


@pytest.mark.parametrize(("corner", "said"), [(5500, False), (5510, True)])
def test_out_of_balance_is_said_beyond_the_bound(corner: int, said: bool):
    """The bound itself passes, a tenth of a per cent beyond it is said, with the heavier end."""
    loads = weigh(box(bin_("A", (corner, 1500, 0))), lay(Spot("T1", "A")), {"T1": tool("T1", 8000)})
    assert (loads.sideways.percent > CROOKED_PERCENT) is said
    assert any("towards the right, which carries 60 %" in f.words for f in loads.findings) is said


def test_all_that_cannot_be_weighed_is_named_at_once():
    """Unknown things, unknown places, double places and missing masses in one error."""
    things = {"T1": tool("T1", 100), "S1": Supply("S1", "chain lube", Counted.MILLILITRES)}
    spots = (Spot("T1", "A"), Spot("T1", "Z"), Spot("S1", "A"), Spot("T9", "A"))
    with pytest.raises(CarryError) as raised:
        weigh(box(bin_("A", (0, 0, 0)), tare=10), lay(*spots), things)
    assert len(raised.value.faults) == 4
    assert any("chain lube has no mass" in fault for fault in raised.value.faults)


def test_a_box_of_nothing_is_refused():
    """Without any mass there is no centre of gravity to speak of."""
    with pytest.raises(CarryError, match="weigh nothing"):
        weigh(box(), lay(), {})


# A chest of 1000 x 300 x 400 mm, 10 kg empty, its one drawer of 2 kg pulled by 250 mm.
DRAWER = Opening("D", "drawer", Way.DRAWER, travel=2500, mass_g=2000)
CHEST = box(
    bin_("A", (0, 0, 0), (10000, 3000, 1000), ["D"]),
    size=(10000, 3000, 4000),
    tare=10000,
    openings=[DRAWER],
)


@pytest.mark.parametrize(
    ("grams", "margin", "more"),
    [
        # 10·150 + 5·150 − 7·250 = 500 kg·mm; × 9.80665 = 4.903 N·m; 500/250 = 2 kg
        (5000, 4903, 2000),
        # 10·150 + 10·150 − 12·250 = 0: just in balance
        (10000, 0, 0),
        # 10·150 + 12·150 − 14·250 = −200 kg·mm: −1.96133 N·m, rounded down
        (12000, -1962, 0),
    ],
)
def test_a_drawer_pulled_out_tips_as_the_moments_say(grams: int, margin: int, more: int):
    """Moments about the front edge (statics, worked out by hand in the comments; computed).
    The drawer's mass is given with its load, so its own 2 kg come on top."""
    loaded = replace(CHEST, openings=(replace(DRAWER, mass_g=grams + 2000),))
    (state,) = tipping(loaded, lay(Spot("T1", "A")), {"T1": tool("T1", grams)})
    front = state.edges[0]
    assert front == (Side.FRONT, margin, more)
    assert state.weakest == front
    assert state.tips is (margin < 0)
    assert (state.finding.severity is Severity.OVER) is (margin < 0)


def test_a_load_above_the_usual_one_leaves_the_drawer_nothing_of_its_own():
    """7 kg lie where 2 kg with the drawer were given: 10·150 + 7·150 − 7·250 = 800 (computed)."""
    (state,) = tipping(CHEST, lay(Spot("T1", "A")), {"T1": tool("T1", 7000)})
    assert state.edges[0] == (Side.FRONT, 7845, 3200)


def test_all_drawers_at_once_are_tried_as_well():
    """Two drawers that each stand alone tip the chest together (computed:
    8·150 + 6·150 + 6·150 = 3000; each out − 6·250 = 1500: one leaves 1500, both leave 0;
    a gram more tips)."""
    drawers = [Opening(n, f"drawer {n}", Way.DRAWER, 2500) for n in "DE"]
    chest = box(
        bin_("A", (0, 0, 0), (10000, 3000, 1000), ["D"]),
        bin_("B", (0, 0, 1000), (10000, 3000, 1000), ["E"]),
        size=(10000, 3000, 4000),
        tare=8000,
        openings=drawers,
    )
    layout = lay(Spot("T1", "A"), Spot("T2", "B"))
    one, other, both = tipping(chest, layout, {"T1": tool("T1", 6000), "T2": tool("T2", 6001)})
    assert not one.tips
    assert not other.tips
    assert both.opened == ("drawer D", "drawer E")
    assert both.tips


# A clamshell of 500 x 400 x 200 mm, 3 kg empty, its lid 1 kg, tools in lid and bottom.
LID = Opening("L", "lid", Way.LID, travel=4000, mass_g=1000)
CLAM = box(
    bin_("B", (0, 0, 0), (5000, 4000, 1000), ["L"]),
    bin_("U", (0, 0, 1500), (5000, 4000, 500), ["L"]),
    size=(5000, 4000, 2000),
    tare=3000,
    openings=[LID],
)
IN_BOTH = lay(Spot("T1", "B"), Spot("T2", "U"))
ONE_AND_TWO = {"T1": tool("T1", 1000), "T2": tool("T2", 2000)}


def test_a_lid_swung_back_tips_as_the_moments_say():
    """About the rear edge: 2·200 + 1·200 (bottom) − 1·200 (lid) − 2·200 (in the lid) = 0 kg·mm;
    with 1 kg in the lid 200 kg·mm = 1.96133 N·m, or 500 g at the lid's far edge (computed)."""
    (even,) = tipping(CLAM, IN_BOTH, ONE_AND_TWO)
    assert even.edges[1] == (Side.REAR, 0, 0)
    (firm,) = tipping(CLAM, IN_BOTH, {**ONE_AND_TWO, "T2": tool("T2", 1000)})
    assert firm.edges[1] == (Side.REAR, 1961, 500)


def test_a_lid_described_as_it_lies_open_gives_the_same_figures():
    """Whether its compartment is measured shut or lying open behind, the lid counts once."""
    open_lid = bin_("U", (0, 4000, 2000), (5000, 4000, 500), ["L"])
    lying = replace(CLAM, compartments=(CLAM.compartments[0], open_lid))
    assert riding_on(lying) == riding_on(CLAM) == {"U": "L"}
    assert weigh(lying, IN_BOTH, ONE_AND_TWO).body == weigh(CLAM, IN_BOTH, ONE_AND_TWO).body
    assert tipping(lying, IN_BOTH, ONE_AND_TWO) == tipping(CLAM, IN_BOTH, ONE_AND_TWO)


def test_a_panel_in_the_lid_swings_with_it():
    """A panel of 0.5 kg before a well in the lid: 1.5·200 + 1·200 − 1.5·200 − 1·200 = 0 (computed);
    unfolding it afterwards changes nothing."""
    panel = Opening("P", "panel", Way.FLAP, travel=3000, mass_g=500)
    well = bin_("U", (0, 4000, 1000), (5000, 4000, 500), ["L", "P"])
    case = replace(CLAM, openings=(LID, panel), compartments=(CLAM.compartments[0], well))
    lid, both = tipping(case, IN_BOTH, {"T1": tool("T1", 1000), "T2": tool("T2", 1000)})
    assert lid.edges[1] == (Side.REAR, 0, 0)
    assert both.edges == lid.edges
    assert both.opened == ("lid", "panel")


def test_a_pocket_that_comes_to_lie_on_the_ground_no_longer_counts():
    """A flap folded to the right onto the ground: 1.5 kg are left at the middle, 250 mm from
    either side (computed: 1.5·250·9.80665 = 3677 mN·m)."""
    flap = Opening("F", "flap", Way.FLAP, travel=5000, mass_g=500)
    pocket = bin_("P", (5000, 0, 0), (4000, 4000, 200), ["F"])
    pack = box(pocket, size=(5000, 4000, 2000), tare=2000, openings=[flap])
    layout, things = lay(Spot("T1", "P")), {"T1": tool("T1", 700)}
    (state,) = tipping(pack, layout, things)
    assert [edge.margin_mnm for edge in state.edges[2:]] == [3677, 3677]
    # shut, the pocket lies folded over: its middle 200 mm to the right comes 200 mm to the left
    # of the edge at 500 mm, and against the top: (2·250 + 0.7·300)/2.7 and (2·100 + 0.7·190)/2.7
    assert weigh(pack, layout, things).centre == (2630, 2000, 1233)


@pytest.mark.parametrize(
    ("corner", "side", "shut"),
    [
        ((1500, 4000, 1000), Side.REAR, (2500, 3000)),
        ((1500, -2000, 1000), Side.FRONT, (2500, 1000)),
        ((5000, 1000, 1000), Side.RIGHT, (4000, 2000)),
        ((-2000, 1000, 1000), Side.LEFT, (1000, 2000)),
    ],
)
def test_a_pocket_folds_over_its_own_edge(corner, side: Side, shut):
    """100 mm beyond any edge when open is 100 mm within it when shut. Open, the box of 200 g is
    just in balance: 200·250 = 500·100 over a side, 200·200 = 400·100 front and rear (computed)."""
    across = 2500 if side in (Side.LEFT, Side.RIGHT) else 2000
    flap = Opening("F", "flap", Way.FLAP, travel=3000)
    pocket = bin_("P", corner, (2000, 2000, 200), ["F"])
    pack = box(pocket, size=(5000, 4000, 2000), tare=200, openings=[flap])
    layout, things = lay(Spot("T1", "P")), {"T1": tool("T1", 200 * across // 1000)}
    grams = things["T1"].mass.grams
    loads = weigh(pack, layout, things)
    assert loads.body.x2 == 200 * 5000 + 2 * grams * (2500 if across == 2000 else shut[0])
    assert loads.body.y2 == 200 * 4000 + 2 * grams * (2000 if across == 2500 else shut[1])
    (state,) = tipping(pack, layout, things)
    assert (state.weakest.side, state.weakest.margin_mnm) == (side, 0)


def test_a_side_pocket_held_up_tips_over_its_own_side():
    """The same pocket 100 mm up: about the right edge 1.5·250 − 0.5·250 − 0.7·200 = 110 kg·mm,
    or 220 g at the far side of a flap as wide as the box, 500 mm out (computed)."""
    flap = Opening("F", "flap", Way.FLAP, travel=5000, mass_g=500)
    pocket = bin_("P", (5000, 0, 1000), (4000, 4000, 200), ["F"])
    pack = box(pocket, size=(5000, 4000, 2000), tare=2000, openings=[flap])
    (state,) = tipping(pack, lay(Spot("T1", "P")), {"T1": tool("T1", 700)})
    assert state.weakest == (Side.RIGHT, 1078, 220)


def test_a_tray_lifted_out_takes_its_load_with_it():
    """The lid open, the tray (0.5 kg) out: what is left holds the box down.
    2 kg tare: 1 lid swung back, 0.5 tray gone, 0.5 body at 200 mm; 3 kg in the well at
    200 mm: about the rear edge 0.5·200 + 3·200 − 1·200 = 500 kg·mm (computed)."""
    tray = Opening("T", "tray", Way.TRAY, travel=3000, mass_g=4500)
    case = box(
        bin_("W", (0, 0, 0), (5000, 4000, 1000), ["L", "T"]),
        bin_("U", (0, 0, 1000), (5000, 4000, 500), ["L"]),
        size=(5000, 4000, 2000),
        tare=2000,
        openings=[LID, tray],
    )
    assert riding_on(case) == {"U": "T"}
    layout = lay(Spot("T1", "W"), Spot("T2", "U"))
    _, lifted = tipping(case, layout, {"T1": tool("T1", 3000), "T2": tool("T2", 4000)})
    assert lifted.opened == ("lid", "tray")
    assert lifted.edges[1] == (Side.REAR, 4903, 1250)


def test_a_tray_of_its_own_mass_leaves_from_where_it_lies():
    """An empty tray of 1 kg over the left fifth: taken out at 50 mm it leaves 3·250 − 1·50 = 700
    kg·mm about the left edge and 2·500 − 700 = 300 about the right (computed)."""
    tray = Opening("T", "tray", Way.TRAY, travel=3000, mass_g=1000)
    case = box(
        bin_("W", (0, 0, 0), (5000, 4000, 1000), ["T"]),
        bin_("U", (0, 0, 1000), (1000, 4000, 500)),
        size=(5000, 4000, 2000),
        tare=3000,
        openings=[tray],
    )
    (lifted,) = tipping(case, lay(), {})
    assert [edge.margin_mnm for edge in lifted.edges[2:]] == [6864, 2941]


def test_a_flap_in_front_comes_forwards_by_itself():
    """A flap of 1 kg and 200 mm travel, its middle 100 mm ahead: 2·200 + 1·200 − 1·100 = 500
    kg·mm = 4.903 N·m; 2.5 kg at 200 mm (computed)."""
    flap = Opening("F", "flap", Way.FLAP, travel=2000, mass_g=1000)
    case = box(
        bin_("A", (0, 0, 0), (5000, 4000, 1000), ["F"]),
        size=(5000, 4000, 2000),
        tare=3000,
        openings=[flap],
    )
    (state,) = tipping(case, lay(Spot("T1", "A")), {"T1": tool("T1", 1000)})
    assert state.edges[0] == (Side.FRONT, 4903, 2500)


@pytest.mark.parametrize(
    ("form", "riders"),
    [
        ("clamshell", {"lid": 5, "top-tray": 3, "middle-tray": 3}),
        ("drawer-chest", {f"drawer-{n}": c for n, c in enumerate((3, 2, 3, 3, 2), 1)}),
        ("pallet-case", {"lid": 2, "pallet-1": 2, "pallet-2": 2, "pallet-3": 2}),
        ("roll-pack", {"front-flap": 3}),
    ],
)
def test_what_rides_is_read_rightly_from_each_box_form(tmp_path, form: str, riders):
    """Counted by hand from the forms that are shipped: compartments on each lid, tray, drawer."""
    new_kit(tmp_path / "kit", form, "kit")
    box = read_kit(tmp_path / "kit").box
    assert Counter(riding_on(box).values()) == riders


def test_the_demo_box_is_weighed_to_the_gram():
    """Tare and all that travels make the total, and every state of the box is told."""
    kit = read_kit(demo_folder())
    assert kit.present is not None
    carried = kit.carried()
    loads = weigh(kit.box, kit.present, carried)
    unplaced = set(carried) - set(kit.present.places())
    grams = sum(thing.mass.grams for copy, thing in carried.items() if copy not in unplaced)
    assert loads.total_g == kit.box.tare_g + grams
    assert len(loads.left_out) == len(unplaced)
    states = tipping(kit.box, kit.present, carried)
    assert [state.opened[-1] for state in states] == [o.name for o in kit.box.openings]
    assert not any(state.tips for state in states)


def test_what_rides_can_be_said_by_hand():
    """A named ride goes before what is read from the box; unknown names are refused."""
    (still,) = tipping(CLAM, IN_BOTH, ONE_AND_TWO, rides={})
    # nothing rides: 2·200 + 3·200 − 1·200 (the lid itself) = 800 kg·mm
    assert still.edges[1].margin_mnm == 7845
    with pytest.raises(CarryError) as raised:
        tipping(CLAM, IN_BOTH, ONE_AND_TWO, rides={"X": "L", "U": "Y"})
    assert len(raised.value.faults) == 2


def test_opening_masses_above_the_tare_are_not_believed():
    """Then they count as nothing and that is said; the sums stay those of the tare."""
    heavy = replace(CHEST, openings=(replace(DRAWER, mass_g=10001),))
    (state,) = tipping(heavy, lay(), {})
    assert state.edges[0].margin_mnm == 14709  # 10 kg at 150 mm: 14.709975 N·m
    assert "do not fit the mass of the empty box" in state.finding.words
    assert state.finding.severity is Severity.WATCH
    (known,) = tipping(CHEST, lay(), {})
    assert known.finding.severity is Severity.NOTE
    assert "do not fit" not in known.finding.words


def test_words_name_the_opening_and_never_its_id():
    """What is said about tipping uses names and a torque; what it leaves out is said with it."""
    loaded = replace(CHEST, openings=(replace(DRAWER, mass_g=14000),))
    (state,) = tipping(loaded, lay(Spot("T1", "A")), {"T1": tool("T1", 12000)})
    assert "drawer open tips over its front edge by 1.962 N·m" in state.finding.words
    (caution,) = tipping_cautions(loaded)
    assert caution.severity is Severity.CAUTION
    assert "level ground" in caution.words
    assert tipping_cautions(box()) == ()
