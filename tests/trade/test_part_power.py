"""Which parts may run hot. Common practice: what the words and outlines are for; the bounds are those of the table."""

import math

import pytest

from webapp.trade.class_bounds import self_heating
from webapp.trade.classes import PartClass
from webapp.trade.facts import facts_of
from webapp.trade.part_evidence import PartTexts
from webapp.trade.part_power import Power
from webapp.trade.parts import guess_part


def heating_k(package, description, value, prefix):
    guess = guess_part(PartTexts(package, description, value, "", prefix))
    return facts_of(key="k", label="", maker="", guess=guess, stated={}).self_heating_k


@pytest.mark.parametrize(
    ("package", "description", "value", "prefix", "most_k"),
    [
        # what carries signals
        ("PinHeader_1x04_P2.54mm_Vertical", "", "", "J", 5),
        ("", "FFC connector 0.5 mm", "", "J", 5),
        ("R_0603_1608Metric", "", "10k", "R", 0),
        ("", "RES SMD 10K OHM 1% 1/16W 0402", "", "R", 0),
        ("D_SOD-123", "", "1N4148", "D", 5),
        ("DO-35", "", "1N4148", "D", 8),
        ("SOT-23", "", "BC847", "Q", 5),
        ("TO-92", "", "BC547", "Q", 8),
        ("SOT-323", "Transistor NPN 100mA", "", "Q", 5),
        ("0606", "10k 125 mW power per element", "", "R", 0),
        ("SMA", "TVS 600 W", "", "D", 5),  # the watts of a pulse, not what it carries
        ("LED_0603_1608Metric", "", "", "D", 8),
        ("", "LED 5 mm red", "", "D", 8),
        ("SOIC-14", "", "74HC00", "U", 8),
        ("SOIC-8", "EEPROM", "", "U", 8),
        ("", "Low power op amp SOT-23-5", "", "U", 8),
        ("", "analog to digital converter TSSOP-16", "", "U", 8),
        ("SOIC-16", "LAN transformer", "", "T", 8),
        ("", "Signal relay 5 V 2 A SMD", "", "K", 8),
        # what carries power, by its words
        ("", "Shunt 1mOhm 2512", "1m", "R", math.inf),
        ("", "RES 100 OHM 1/2W 0805", "", "R", math.inf),
        ("SOT-23", "MOSFET N-CH 60V 115MA", "", "Q", math.inf),
        ("SOIC-8", "IC REG BUCK 5V", "", "U", math.inf),
        ("", "Gate driver SOIC-8", "", "U", math.inf),
        ("", "Power LED 350mA", "", "D", math.inf),
        ("", "TERM BLOCK 5.08MM 3POS", "", "J", math.inf),
        ("", "USB C connector 5A", "", "J", math.inf),
        ("D_SOD-123", "", "1N5819", "D", math.inf),
        ("", "Flyback transformer", "", "T", math.inf),
        ("SOT-323", "N-Channel 60 V 340 mA", "", "Q", math.inf),
        ("TerminalBlock_1x02_P5.00mm", "", "", "J", math.inf),
        # by its outline: tabs, large diodes, LEDs and chips, exposed pads
        ("TO-220-3", "", "", "Q", math.inf),
        ("DPAK", "", "", "Q", math.inf),
        ("LQFP-128", "Ethernet controller with 5 port switch", "", "U", math.inf),
        ("LQFP-48", "IC MCU with ADC and timer", "", "U", math.inf),
        ("", "Printklemme 3-polig", "", "X", math.inf),
        ("", "NTC inrush 10 Ohm, radial", "", "RT", math.inf),
        ("D_SMA", "", "SS34", "D", math.inf),
        ("LED_2835", "", "", "LED", math.inf),
        ("R_2512", "", "10m", "R", math.inf),
        ("HTSSOP-16", "", "", "U", math.inf),
        # or not told, of a kind that often does
        ("SOIC-8", "", "XR-3485", "U", math.inf),
        ("QFN-48", "Analog to digital converter 1 GS/s", "", "U", math.inf),
        ("BGA-256", "", "", "U", math.inf),
        ("SOT-23", "", "XR-2308", "Q", math.inf),
        ("", "", "", "Q", math.inf),
    ],
)
def test_what_may_warm_its_own_joints(package, description, value, prefix, most_k):
    found = heating_k(package, description, value, prefix)
    assert (found.low, found.high) == (0, most_k)


def test_a_bound_is_an_assumption_that_says_why():
    span, source = self_heating(PartClass.HEADER, Power.NOT_TOLD)
    assert span.high == 5
    assert not source.may_block
    assert "terminal blocks" in source.note


def test_what_may_be_of_several_kinds_is_bounded_only_where_all_are():
    assert self_heating(PartClass.from_keys("header connector"), Power.NOT_TOLD)[0].high == 5
    assert self_heating(PartClass.from_keys("small_semi power_semi"), Power.NOT_TOLD)[0].high == math.inf
    for kind in PartClass:
        assert self_heating(kind, Power.SIGNAL)[0].high <= self_heating(kind, Power.NOT_TOLD)[0].high
        assert self_heating(kind, Power.NOT_TOLD)[0].high <= self_heating(kind, Power.POWER)[0].high
