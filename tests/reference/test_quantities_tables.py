"""Fixed tables: what each way of writing a quantity must give, or that it is refused.

Sources: international yard and pound agreement 1959 (1 in = 25.4 mm, 1 lb =
453.59237 g); SI brochure, 9th edition (prefixes, both solidus-free forms of N·m;
decimal marker point or comma, digits in threes by thin blanks, section 5.4.4);
NIST SP 811 (2008) appendix B.8, factors from memory: lbf·in 1.129 848 E-01 N·m,
lbf·ft 1.355 818 N·m, kgf·m 9.806 65 N·m, ozf·in 7.061 552 E-03 N·m, US fluid ounce
2.957 353 E-05 m³, imperial fluid ounce 2.841 306 E-05 m³, ounce 2.834 952 E-02 kg.
Values in the tables are computed by hand from these.
"""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from pathlib import Path

import pytest

from toolbox.kit.quantities import Kind, QuantityError, exact, read, write

MESSY = Path(__file__).parents[2].parent / "shared" / "data" / "messy"

MASSES = {
    "450 g": 450,
    "450g": 450,
    "450 G": 450,
    "450 g.": 450,
    "1.2 lb": 544,  # 544.31
    "0.5 lb": 227,  # 226.80
    "12 lbs": 5443,  # 5443.1
    "14.8oz": 420,  # 419.57
    "8 oz.": 227,
    "1 lb 3 oz": 539,  # 538.64
    "2 lb 8.6 oz": 1151,  # 1150.99
    "½ lb": 227,
    "1 1/2 lb": 680,  # 680.39
    "1.25 kg": 1250,
    "1.150 kg": 1150,
    "0.150 kg": 150,
    "1 kg 200 g": 1200,
    "5 KG": 5000,
    "500 mg": 1,
    "0 g": 0,
    "2.5 g": 3,
    "2.49 g": 2,
}

LENGTHS = {
    "230 mm": 2300,
    "13mm": 130,
    "9.5 mm": 95,
    "9.5\u00a0mm": 95,
    "2.05 cm": 205,
    "1.2 m": 12000,
    "1 m 20 cm": 12000,
    "400m": 4_000_000,
    # U2: fractions
    "3/8 in": 95,  # 9.525
    '3/8"': 95,
    "½ in": 127,
    "1/2 in": 127,
    "1½ in": 381,
    "1 ½ in": 381,
    "1 1/2 in": 381,
    "1-1/2 in": 381,
    "5-7/8 in": 1492,  # 149.225
    '5-7/8"': 1492,
    "7 7/8 in": 2000,  # 200.025
    "10 1/4 inches": 2604,  # 260.35
    '6½"': 1651,
    "6½″": 1651,
    "1/64 in": 4,  # 0.397
    # U3: in, inch mark, foot mark
    "5 in": 1270,
    "5in": 1270,
    "10in": 2540,
    '5"': 1270,
    "5''": 1270,
    "5 inch": 1270,
    "5 inches": 1270,
    "5 in.": 1270,
    "5 IN": 1270,
    "1' 2\"": 3556,
    "1'2\"": 3556,
    "1′ 2″": 3556,
    "1' 2 1/2\"": 3683,
    "1'½\"": 3175,
    "1 ft 2 in": 3556,
    "2'": 6096,
    ".5 in": 127,
}

# NIST SP 811 (2008), B.8: 1 bar = 1 E+05 Pa, 1 mbar = 1 E+02 Pa, 1 psi = 6.894 757 E+03 Pa.
PRESSURES = {
    "1.8 bar": 180_000,
    "1,85 bar": 185_000,
    "1 psi": 6895,
    "26 psi": 179_264,  # 179263.7
    "100 psi": 689_476,
    "200 kPa": 200_000,
    "1013 hPa": 101_300,
    "20 mbar": 2_000,
    "5 Pa": 5,
}
TORQUES = {
    # U1: every spelling of the newton metre
    "5 Nm": 5000,
    "5Nm": 5000,
    "5 N m": 5000,
    "5 N\u00a0m": 5000,
    "5 N·m": 5000,
    "5 N⋅m": 5000,
    "5 N.m": 5000,
    "5 N-m": 5000,
    "5 N*m": 5000,
    "5 NM": 5000,
    "5 nm": 5000,
    "50 dNm": 5000,
    "500 cN·m": 5000,
    "500 mNm": 500,
    "0,5 Nm": 500,
    # U6: pound-force inches and feet, kilogram-force
    "44 in-lb": 4971,  # 4.97133
    "44 in.lb": 4971,
    "44 in lb": 4971,
    "44 in. lb.": 4971,
    "44 in·lbf": 4971,
    "44 lbf·in": 4971,
    "44 inlb": 4971,
    "60 in-lbs": 6779,  # 6.77909
    "4 ft-lb": 5423,  # 5.42327
    "4 ft.lbs": 5423,
    "4 ft lbf": 5423,
    "4 lbf·ft": 5423,
    "51 kgf·cm": 5001,  # 5.00139
    "51 kgf cm": 5001,
    "51 kg-cm": 5001,
    "1 kgf m": 9807,  # 9.80665
    "100 ozf·in": 706,  # 0.70616
}

VOLUMES = {
    "250 ml": 250,
    "250 mL": 250,
    "2.5 dl": 250,
    "25 cl": 250,
    "1 l": 1000,
    "1 L": 1000,
    "0.25 litre": 250,
    "5 cc": 5,
    "5 cm³": 5,
    # U4: fluid ounces are volumes
    "8 fl oz": 237,  # 236.59
    "16 fl. oz.": 473,  # 473.18
    "16 floz": 473,
    "10 imp fl oz": 284,  # 284.13
}

OTHERS = {
    ("50 µm", Kind.FINE): 50,  # U9: micro sign
    ("50 μm", Kind.FINE): 50,  # U9: Greek mu
    ("50 um", Kind.FINE): 50,
    ("12.05 mm", Kind.FINE): 12050,
    ("3/8 in", Kind.FINE): 9525,
    ("0.1 g", Kind.STEP): 100,
    ("50 mg", Kind.STEP): 50,
    ("2.4 s", Kind.TIME): 2400,
    ("850 ms", Kind.TIME): 850,
    ("5 min", Kind.TIME): 300_000,
    ("2 min 30 s", Kind.TIME): 150_000,
    ("1 h", Kind.TIME): 3_600_000,
    ("3.6 V", Kind.VOLTAGE): 3600,
    ("3,6 V", Kind.VOLTAGE): 3600,
    ("800 mV", Kind.VOLTAGE): 800,
    ("3000 mAh", Kind.CHARGE): 3000,
    ("2.5 Ah", Kind.CHARGE): 2500,
    ("90 Wh", Kind.ENERGY): 90_000,
    ("7,4 Wh", Kind.ENERGY): 7400,
    ("500 mWh", Kind.ENERGY): 500,
    ("3", Kind.PIECES): 3,
    ("3 pc", Kind.PIECES): 3,
    ("3 pcs", Kind.PIECES): 3,
    ("3 pieces", Kind.PIECES): 3,
}

# U8: the number alone, in grams
NUMBERS = {
    "1,5 kg": 1500,
    "1,25 kg": 1250,
    "0,125 kg": 125,
    "1500,125 g": 1500,
    "1 250 g": 1250,
    "1\u00a0250 g": 1250,
    "1\u202f250 g": 1250,
    "1\u2009250 g": 1250,
    "1'250 g": 1250,
    "1’250 g": 1250,
    "1.250,5 g": 1251,
    "1,250.4 g": 1250,
    "1 250,4 g": 1250,
    "1.250.000 g": 1_250_000,
    "1,250,000 g": 1_250_000,
    "14 500 g": 14_500,
}


@pytest.mark.parametrize(
    ("text", "kind", "right"),
    [
        *((text, Kind.MASS, value) for text, value in (MASSES | NUMBERS).items()),
        *((text, Kind.LENGTH, value) for text, value in LENGTHS.items()),
        *((text, Kind.TORQUE, value) for text, value in TORQUES.items()),
        *((text, Kind.PRESSURE, value) for text, value in PRESSURES.items()),
        *((text, Kind.VOLUME, value) for text, value in VOLUMES.items()),
        *((text, kind, value) for (text, kind), value in OTHERS.items()),
    ],
)
def test_each_form_gives_its_value(text: str, kind: Kind, right: int) -> None:
    """A quantity in any of the forms people write is read to the whole unit."""
    assert read(text, kind) == right


REFUSED = [
    # U1, U6: not a torque, or a torque where none belongs
    ("5 lb", Kind.TORQUE),
    ("5 kg", Kind.TORQUE),
    ("5 N", Kind.TORQUE),
    ("5 Nm/rad", Kind.TORQUE),
    ("5 MNm", Kind.TORQUE),
    ("48 in lb", Kind.MASS),
    ("48 in lb", Kind.LENGTH),
    ("30 psi", Kind.TORQUE),
    ("1.8 kg", Kind.PRESSURE),
    ("2 Mbar", Kind.PRESSURE),
    ("1 MPa", Kind.PRESSURE),
    # U2: fractions that are none, or stand for something else
    ("11⁄2 in", Kind.LENGTH),
    ("11/2 in", Kind.LENGTH),
    ("0-3/8 in", Kind.LENGTH),
    ("8/8 in", Kind.LENGTH),
    ("1 8/8 in", Kind.LENGTH),
    ("3/8-1/2 in", Kind.LENGTH),
    ("1/0 in", Kind.LENGTH),
    ("1.5/2 in", Kind.LENGTH),
    ("½5 in", Kind.LENGTH),
    ("1½/2 in", Kind.LENGTH),
    ("1.5½ in", Kind.LENGTH),
    ("½½ in", Kind.LENGTH),
    ("3/8/2026", Kind.LENGTH),
    # U3: marks where they mean something else
    ('5"', Kind.TIME),
    ('5"', Kind.MASS),
    ("5'", Kind.TIME),
    # U4: ounces
    ("10 fl oz", Kind.MASS),
    ("10 oz", Kind.VOLUME),
    ("1 lb", Kind.VOLUME),
    # U5: temperatures
    ("20 °C", Kind.MASS),
    ("20 C", Kind.CHARGE),
    # U7: signs and words
    ("123 ± 3 g", Kind.MASS),
    ("123 +/- 3 g", Kind.MASS),
    ("3–8 mm", Kind.LENGTH),
    ("3-8 mm", Kind.LENGTH),
    ("3 - 8 mm", Kind.LENGTH),
    ("3 to 8 mm", Kind.LENGTH),
    ("120 × 30 mm", Kind.LENGTH),
    ("120x30 mm", Kind.LENGTH),
    ("5 pcs", Kind.LENGTH),
    ("5 gr", Kind.MASS),
    ("ca. 5 g", Kind.MASS),
    ("approx 5 g", Kind.MASS),
    ("~5 g", Kind.MASS),
    ("<5 g", Kind.MASS),
    ("> 5 g", Kind.MASS),
    ("max 6.2 Nm", Kind.TORQUE),
    ("5 g?", Kind.MASS),
    ("5 mmm", Kind.LENGTH),
    ("5 Mg", Kind.MASS),
    ("5 MV", Kind.VOLTAGE),
    ("08-Mar", Kind.LENGTH),
    ("2lbs, 3600 kcal @ 4 kcal/g", Kind.MASS),
    # U8: marks that leave two readings, or none
    ("1,150 kg", Kind.MASS),
    ("1,150 g", Kind.MASS),
    ("12,500 mm", Kind.LENGTH),
    ("12 50 g", Kind.MASS),
    ("1 2500 g", Kind.MASS),
    ("1  250 g", Kind.MASS),
    ("1'25 g", Kind.MASS),
    ("1.25.0 g", Kind.MASS),
    ("1.250.5 g", Kind.MASS),
    ("1,250,5 g", Kind.MASS),
    ("5. g", Kind.MASS),
    ("5, g", Kind.MASS),
    (",5 g", Kind.MASS),
    ("1..5 g", Kind.MASS),
    ("1,,5 g", Kind.MASS),
    # numbers that a general number reader would take
    ("1_250 g", Kind.MASS),
    ("1e3 g", Kind.MASS),
    ("0x10 g", Kind.MASS),
    ("٣ g", Kind.MASS),
    ("５ g", Kind.MASS),
    ("5² g", Kind.MASS),
    ("nan", Kind.MASS),
    ("nan g", Kind.MASS),
    ("inf g", Kind.MASS),
    ("∞ g", Kind.MASS),
    ("-5 g", Kind.MASS),
    ("−5 g", Kind.MASS),
    ("+5 g", Kind.MASS),
    ("", Kind.MASS),
    ("   ", Kind.MASS),
    ("g", Kind.MASS),
    ("5", Kind.MASS),
    ("5", Kind.LENGTH),
    ("0.4 g", Kind.MASS),
    ("0.04 mm", Kind.LENGTH),
    ("5\ng", Kind.MASS),
    ("5\u200bg", Kind.MASS),
    ("9" * 5000 + " g", Kind.MASS),
    # two amounts that are not one
    ("1 lb 3", Kind.MASS),
    ("3 oz 1 lb", Kind.MASS),
    ("1 lb 16 oz", Kind.MASS),
    ("1.5 lb 3 oz", Kind.MASS),
    ("1 lb 1 lb", Kind.MASS),
    ("1 lb 3 g", Kind.MASS),
    ("1' 250 mm", Kind.LENGTH),
    ("5 Nm 44 in-lb", Kind.TORQUE),
    # pieces are counted whole, and 1.000 is a thousand to half of the world
    ("1.000", Kind.PIECES),
    ("1,000", Kind.PIECES),
    ("3.0", Kind.PIECES),
    ("½", Kind.PIECES),
    ("2-4", Kind.PIECES),
    ("2x", Kind.PIECES),
    ("3 pairs", Kind.PIECES),
    ("3 g", Kind.PIECES),
    ("20 Wh", Kind.CHARGE),
    ("5 Ah", Kind.ENERGY),
    ("20 W", Kind.ENERGY),
    ("20 MWh", Kind.ENERGY),
    ("2:30", Kind.TIME),
]


@pytest.mark.parametrize(("text", "kind"), REFUSED)
def test_what_could_mean_two_things_is_refused(text: str, kind: Kind) -> None:
    """A refusal shows the text and says on one line what is wrong and what to write."""
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    error = caught.value
    assert error.text == text
    assert error.reason
    assert error.cure
    assert len(str(error).splitlines()) == 1
    if text.isprintable() and len(text) < 60:
        assert f'"{text}"' in str(error)


@pytest.mark.parametrize(
    ("text", "kind", "micro_units"),
    [
        ("1000000 lbf in", Kind.TORQUE, 112_984_800),
        ("1000000 lbf ft", Kind.TORQUE, 1_355_818_000),
        ("1000000 kgf m", Kind.TORQUE, 9_806_650_000),
        ("1000000 ozf in", Kind.TORQUE, 7_061_552),
        ("1000000 fl oz", Kind.VOLUME, 29_573_530),
        ("1000000 imp fl oz", Kind.VOLUME, 28_413_060),
        ("1000000 oz", Kind.MASS, 28_349_520),
        ("1000000 lb", Kind.MASS, 453_592_370),
        ("1000000 in", Kind.LENGTH, 254_000_000),
        ("1000000 ft", Kind.LENGTH, 3_048_000_000),
    ],
)
def test_factors_agree_with_the_published_seven_digits(
    text: str, kind: Kind, micro_units: int
) -> None:
    """A million of each foreign unit agrees with NIST SP 811 to the digits printed there."""
    assert read(text, kind) == pytest.approx(micro_units, rel=5e-7)


def test_torque_of_the_trade_tables() -> None:
    """45 to 55 in·lbf is 5.1 to 6.2 N·m, as trade tables of rotor bolts print both."""
    assert round(read("45 in-lbf", Kind.TORQUE) / 1000, 1) == 5.1
    assert round(read("55 in-lbf", Kind.TORQUE) / 1000, 1) == 6.2


def test_a_unit_from_elsewhere_serves_bare_numbers_only() -> None:
    """A column's unit holds where the cell names none; a unit in the cell comes first."""
    assert read("1450", Kind.MASS, unit="g") == 1450
    assert read("1.45 kg", Kind.MASS, unit="g") == 1450
    assert read("3/8", Kind.LENGTH, unit="in") == 95
    for text in ("16 fl oz", "1 lb 3", "3-8", "g"):
        with pytest.raises(QuantityError):
            read(text, Kind.MASS, unit="g")


def test_exact_amounts_are_not_rounded() -> None:
    """The exact value of an inch and of a pound by the agreement of 1959."""
    assert exact("1/64 in", Kind.LENGTH) == Fraction(254, 64)
    assert exact("1 lb", Kind.MASS) == Fraction("453.59237")
    assert exact("0.3 ml", Kind.VOLUME) == Fraction(3, 10)


def test_two_code_points_of_micro_and_one_written() -> None:
    """The micro sign and the Greek letter read alike; the micro sign is written."""
    assert write(read("50 \u03bcm", Kind.FINE), Kind.FINE) == "50 \u00b5m"


@pytest.mark.parametrize(
    ("value", "kind", "written"),
    [
        (450, Kind.MASS, "450 g"),
        (1250, Kind.MASS, "1.25 kg"),
        (1234, Kind.MASS, "1234 g"),
        (95, Kind.LENGTH, "9.5 mm"),
        (2300, Kind.LENGTH, "230 mm"),
        (5000, Kind.TORQUE, "5 N·m"),
        (4971, Kind.TORQUE, "4.971 N·m"),
        (180_000, Kind.PRESSURE, "1.8 bar"),
        (50, Kind.PRESSURE, "0.0005 bar"),
        (12050, Kind.FINE, "12.05 mm"),
        (1000, Kind.VOLUME, "1 L"),
        (2400, Kind.TIME, "2.4 s"),
        (300_000, Kind.TIME, "5 min"),
        (7_200_000, Kind.TIME, "2 h"),
        (0, Kind.TIME, "0 s"),
        (3600, Kind.VOLTAGE, "3.6 V"),
        (10, Kind.PIECES, "10 pc"),
    ],
)
def test_written_form(value: int, kind: Kind, written: str) -> None:
    """Quantities are written in the form a mechanic would write."""
    assert write(value, kind) == written


def test_a_negative_quantity_is_never_written() -> None:
    """Writing a negative amount is a mistake of the caller."""
    with pytest.raises(ValueError, match="negative"):
        write(-1, Kind.MASS)


def _rows(name: str) -> list[list[str]]:
    lines = (MESSY / name).read_text(encoding="utf-8").splitlines()
    return list(csv.reader(lines, delimiter=";" if ";" in lines[0] else ","))


def _expected(name: str) -> list[list[object]]:
    found = json.loads((MESSY / "expected.json").read_text(encoding="utf-8"))[name]["rows"]
    return list(found)


needs_messy = pytest.mark.skipif(not MESSY.is_dir(), reason="the messy sample lists are not here")


@needs_messy
def test_sample_cells_with_mixed_mass_units() -> None:
    """Cells with lb oz, oz, lb, g and kg give the grams the sample's answers state."""
    right = {str(row[0]): row[2] for row in _expected("05_mixed_mass_units.csv")}
    cells = {row[0]: row[2] for row in _rows("05_mixed_mass_units.csv")[1:]}
    assert {name: read(cells[name], Kind.MASS) for name in right} == right
    for name in cells.keys() - right.keys():
        with pytest.raises(QuantityError):
            read(cells[name], Kind.MASS)


@needs_messy
def test_sample_cells_with_thousands_marks() -> None:
    """Cells grouped by NBSP, apostrophe, thin blank and blank give the stated grams."""
    right = {str(row[0]): row[2] for row in _expected("09_thousands_separators.csv")}
    cells = dict(_rows("09_thousands_separators.csv")[1:])
    assert {name: read(f"{cells[name]} g", Kind.MASS) for name in right} == right
    with pytest.raises(QuantityError):
        read(f"{cells['Pump']} g", Kind.MASS)


@needs_messy
def test_sample_cells_with_fractional_inches() -> None:
    """Cells with fractions, inch and foot marks give the stated tenths of a millimetre."""
    right = {str(row[0]): row[2] for row in _expected("07_fraction_inches.csv")}
    lines = (MESSY / "07_fraction_inches.csv").read_text(encoding="utf-8").splitlines()
    cells = {row[0]: row[2] for row in csv.reader(lines)}
    for name, cell in cells.items():
        if name in right:
            assert read(cell, Kind.LENGTH) == round(float(str(right[name])) * 10)


@needs_messy
def test_sample_cells_with_torques() -> None:
    """Cells with five spellings of torque give the stated newton metres."""
    right = {str(row[0]): float(str(row[1])) for row in _expected("16_torque_units_and_dates.csv")}
    cells = {row[0]: row[1] for row in _rows("16_torque_units_and_dates.csv")[1:]}
    for name, newton_metres in right.items():
        assert read(cells[name], Kind.TORQUE) == pytest.approx(newton_metres * 1000, abs=5)
    with pytest.raises(QuantityError):
        read(cells["Gauge"], Kind.TORQUE)


@needs_messy
def test_sample_cells_with_ranges_and_limits() -> None:
    """No range, limit or "about" is read as one amount."""
    for row in _rows("08_ranges_and_approx.csv")[1:]:
        for cell, kind in ((row[1], Kind.VOLUME), (row[1], Kind.MASS), (row[2], Kind.TORQUE)):
            with pytest.raises(QuantityError):
                read(cell, kind)
