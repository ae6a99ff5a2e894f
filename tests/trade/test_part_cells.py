"""Types of cells. The designations are those of IEC 60086-1 (primary) and IEC 61960 (lithium-ion), from memory."""

import pytest

from webapp.trade.part_cells import cell_holder_word, cell_type_in


@pytest.mark.parametrize(
    "text",
    [
        # coins: diameter in mm, height in tenths of a mm
        *("CR2032", "BR2330", "CR1225", "CR2477", "CR3032", "LIR2450", "VL2020", "ML1220", "SR626", "LR1130"),
        # cylinders: diameter in mm, length in tenths of a mm
        *("ER14505", "ER34615", "CR17345", "ICR18650", "INR21700", "CR123A", "18650", "26650"),
        # the old numbers of usual sizes
        *("LR6", "LR03", "LR44", "SR44", "FR6"),
    ],
)
def test_a_type_of_cell(text):
    assert cell_type_in(text, for_cell=True) == text
    assert cell_type_in(f"3 V {text.lower()}/HFN", for_cell=True) == text


@pytest.mark.parametrize(
    "text", ["CR0603", "CR1206", "CR2010-J", "LR2010", "LR44", "SR1206", "CR20", "XCR2032", "1865", "2032"]
)
def test_what_may_be_a_resistor_is_no_cell_by_its_number_alone(text):
    assert not cell_type_in(text, for_cell=False)


@pytest.mark.parametrize("text", ["CR2032", "ER14505", "LIR2032", "18650"])
def test_what_is_a_cell_whatever_the_designator(text):
    assert cell_type_in(text, for_cell=False) == text


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Holder, 2032", "Holder"),
        ("BatteryHolder_1x2032", "BatteryHolder"),
        ("2032 SMD clips", "clips"),
        ("Batteriehalterung", "Batteriehalterung"),
        ("Lithium cell 3 V", ""),
        ("stakeholder", ""),
    ],
)
def test_a_word_for_what_holds_a_cell(text, word):
    assert cell_holder_word(text) == word
