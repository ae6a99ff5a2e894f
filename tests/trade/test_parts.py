"""Guesses of parts from the texts of their lines."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trade.guesses import LINES, Line
from webapp.trade.class_bounds import bounds_of
from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting
from webapp.trade.part_evidence import PartTexts
from webapp.trade.parts import guess_part
from webapp.trade.ranges import Span
from webapp.trade.sources import FROM_CLASS, FROM_PACKAGE


@pytest.mark.parametrize("line", LINES, ids=lambda line: "|".join(filter(None, line[:5])) or "empty")
def test_what_an_engineer_would_take_it_for(line: Line) -> None:
    package, description, value, mpn, prefix, classes = line
    guess = guess_part(PartTexts(package, description, value, mpn, prefix))
    assert guess.classes.keys == PartClass.from_keys(classes).keys


def test_no_line_is_there_twice() -> None:
    assert len({line[:5] for line in LINES}) == len(LINES) >= 140


texts = st.text(max_size=40)


@given(texts, texts, texts, texts, st.text(max_size=4))
def test_any_text_gives_a_sane_guess(package: str, description: str, value: str, mpn: str, prefix: str) -> None:
    guess = guess_part(PartTexts(package, description, value, mpn, prefix))
    assert guess.classes
    assert guess.mounting
    assert guess.why
    bounds_of(guess.classes)


def test_why_names_the_words() -> None:
    guess = guess_part(PartTexts(package="SOT223", description="IC REG LDO 3.3V"))
    assert "“ic” in the description" in guess.why
    assert "SOT223" in guess.why
    assert guess_part(PartTexts()).why == "nothing in the line tells what it is"


def test_sizes_come_from_the_package_and_say_so() -> None:
    known = guess_part(PartTexts(package="BGA-256_17x17mm_P1.0mm", prefix="U"))
    assert known.source is FROM_PACKAGE
    assert known.joints == Joints.BALLS
    assert known.ball_diameter_mm == Span(0.45, 0.65)  # IPC-7095 by pitch, from memory
    assert known.sizes["pitch_mm"] == Span.exactly(1.0)
    unknown = guess_part(PartTexts(prefix="R"))
    assert unknown.source is FROM_CLASS
    assert unknown.sizes == {}


@pytest.mark.parametrize(
    ("package", "description", "value", "pitch"),
    [  # basis: the length printed in the line
        ("FBGA-153", "Memory 8 GB, 0.5 mm", "", 0.5),
        ("BGA-484_23x23mm", "FPGA", "1.0mm", 1.0),
        ("QFN-32", "Radio, pitch 0.5 mm", "", 0.5),
        ("", "FPGA BGA-324, 0.8 mm", "", 0.8),
        ("0.8mm", "FPGA BGA-324", "", None),  # the package column alone is no outline
    ],
)
def test_the_pitch_may_stand_apart_from_the_package(
    package: str, description: str, value: str, pitch: float | None
) -> None:
    found = guess_part(PartTexts(package, description, value, prefix="U")).pitch_mm
    assert (found.low if found.known else None) == pitch


def test_a_coil_named_by_side_and_height_is_surface_mounted() -> None:
    coil = guess_part(PartTexts(package="6045", description="IND POWER 6x6x4.5", prefix="L"))
    assert coil.mounting == Mounting.SMD
    assert (coil.length_mm.contains(6.0), coil.height_mm.contains(4.5)) == (True, True)


def test_why_says_all_words_of_mounting() -> None:
    assert "“smd, press fit”" in guess_part(PartTexts(description="CONN USB SMD press-fit pegs")).why


def test_mass_follows_from_volume_and_density() -> None:
    # a 1206 chip of ceramic: 3.2 x 1.6 x 1.0 mm at 4 g/cm3 is 20 mg
    chip = guess_part(PartTexts(package="C_1206_3216Metric", value="10uF", prefix="C"))
    assert chip.mass_g.contains(0.0205)
    assert chip.mass_g.high < 0.2


def test_two_chip_sizes_that_differ_stay_open() -> None:
    guess = guess_part(PartTexts(package="C_0805_2012Metric", description="Ceramic capacitor 1206", prefix="C"))
    assert guess.package == "0805 or 1206"
    assert guess.length_mm.contains(Span(2.0, 3.2))


def test_the_description_settles_an_unsure_size() -> None:
    guess = guess_part(PartTexts(package="0603", description="Resistor 10k 0603 (1608 Metric)", prefix="R"))
    assert guess.length_mm.contains(1.6)
    assert not guess.length_mm.contains(0.6)


def test_mounting() -> None:
    assert guess_part(PartTexts(package="SOIC-8", prefix="U")).mounting == Mounting.SMD
    assert guess_part(PartTexts(package="DIP-8", prefix="U")).mounting == Mounting.THROUGH_HOLE
    both = guess_part(PartTexts(description="Connector 4 pos", prefix="J"))
    assert both.mounting == Mounting.SMD | Mounting.THROUGH_HOLE


def test_what_the_line_says_of_the_mounting_is_not_thrown_away() -> None:
    """A cell for surface mounting goes where the paste goes; where the line does not say, either is possible."""
    assert guess_part(PartTexts(description="Rechargeable lithium battery SMD 3V")).mounting == Mounting.SMD
    assert guess_part(PartTexts(description="Coin cell, through hole")).mounting == Mounting.THROUGH_HOLE
    assert guess_part(PartTexts(value="CR2032", prefix="BT")).mounting & Mounting.SMD
    tabs = guess_part(PartTexts(description="Coin cell, lithium, with tabs"))
    assert tabs.mounting == Mounting.THROUGH_HOLE
    assert guess_part(PartTexts("holder", "Coin cell, lithium", prefix="BT")).mounting == Mounting.HAND
    assert guess_part(PartTexts(description="Coin cell, SMD, with tabs")).mounting == Mounting.SMD
    # Mounted in a way that its class is not: what the line says counts, but a loose part stays one.
    assert guess_part(PartTexts(description="Thermal cut-off SMD")).mounting == Mounting.SMD
    assert guess_part(PartTexts(description="Fiducial SMD")).mounting == Mounting.HAND


def test_a_part_number_that_tells_nothing_does_not_keep_equal_lines_apart() -> None:
    first = guess_part(PartTexts(package="SOIC-8", mpn="ZZ-1", prefix="U"))
    assert guess_part(PartTexts(package="SOIC-8", mpn="ZZ-2", prefix="U")) is first


def test_regular_expressions_are_made_once() -> None:
    """A pattern made inside a function would be looked up again for every line."""
    trade = Path(guess_part.__code__.co_filename).parent
    for name in (
        "parts",
        "packages",
        "chips",
        "land_patterns",
        "package_sizes",
        "part_words",
        "part_numbers",
        "part_cells",
    ):
        for line in (trade / f"{name}.py").read_text(encoding="utf-8").splitlines():
            assert not re.match(r"\s+.*\bre\.(search|match|fullmatch|findall|sub|split)\(", line), f"{name}: {line}"
