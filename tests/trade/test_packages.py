"""Outlines read from names of packages.

Expected sizes: from the name itself (dimensions it prints, IPC-7351 figures, EIA chip codes in hundredths of an inch),
which is the basis named beside each group.
"""

import pytest

from webapp.trade.chips import SizeSystem
from webapp.trade.classes import PartClass
from webapp.trade.masks import Joints, Mounting
from webapp.trade.package_tables import Outline
from webapp.trade.packages import outline_in_package, outline_in_part_number, outline_in_words, size_system_of
from webapp.trade.ranges import Span


def package(text: str, system: SizeSystem | None = None) -> Outline:
    outline = outline_in_package(text, system)
    assert outline is not None, text
    return outline


@pytest.mark.parametrize(
    ("text", "name", "length", "width", "pitch", "terminals"),
    [  # basis: the sizes, pitch and count printed in the name
        ("SOIC-8_3.9x4.9mm_P1.27mm", "SOIC-8", 4.9, 3.9, 1.27, 8),
        ("TQFP-32_7x7mm_Pitch0.8mm", "TQFP-32", 7, 7, 0.8, 32),
        ("TSSOP-20_4.4x6.5mm_P0.65mm", "TSSOP-20", 6.5, 4.4, 0.65, 20),
        ("QFN-48-1EP_7x7mm_P0.5mm_EP5.6x5.6mm", "QFN-48", 7, 7, 0.5, 48),
        ("BGA-256_17x17mm_P1.0mm", "BGA-256", 17, 17, 1.0, 256),
        ("WLCSP-49_3.1x3.1mm_P0.4mm", "WLCSP-49", 3.1, 3.1, 0.4, 49),
        ("LGA-14_3x2.5mm_P0.5mm", "LGA-14", 3, 2.5, 0.5, 14),
        ("Package_SO:SO-4_4.4x3.6mm_P2.54mm", "SO-4", 4.4, 3.6, 2.54, 4),
        ("VFQFPN-68-1EP_8x8mm_P0.4mm", "QFN-68", 8, 8, 0.4, 68),
        # basis: IPC-7351 names, hundredths of a millimetre
        ("QFN50P500X500X80-33N", "QFN-33", 5, 5, 0.5, 33),
        ("BGA256C80P16X16_1400X1400X150", "BGA-256", 14, 14, 0.8, 256),
    ],
)
def test_sizes_printed_in_the_name(
    text: str, name: str, length: float, width: float, pitch: float, terminals: int
) -> None:
    outline = package(text)
    assert outline.name == name
    assert outline.length_mm.contains(length)
    assert outline.width_mm.contains(width)
    assert outline.length_mm.high - outline.length_mm.low < 0.25
    assert outline.pitch_mm == Span.exactly(pitch)
    assert outline.terminals == Span.exactly(terminals)


@pytest.mark.parametrize(
    ("text", "name", "terminals"),
    [  # basis: the count beside the family, before or after
        ("LQFP144-M05", "LQFP-144", 144),
        ("144LQFP", "LQFP-144", 144),
        ("tssop-20", "TSSOP-20", 20),
        ("-SOIC8", "SOIC-8", 8),
        ("8-SOIC", "SOIC-8", 8),
        ("HTSSOP-56-PP", "TSSOP-56", 56),
        ("FBGA484_A-240", "BGA-484", 484),
        ("84-FBGA", "BGA-84", 84),
        ("121-Pin FBGA", "BGA-121", 121),
        ("24WQFN", "QFN-24", 24),
        ("QFN32TROUND", "QFN-32", 32),
        ("XX7322_QFN16", "QFN-16", 16),
        ("56-VFQFN (8x8mm)", "QFN-56", 56),
        ("16WLCSP", "WLCSP-16", 16),
        ("20-LFCSP", "LFCSP-20", 20),
        ("10MSOP", "MSOP-10", 10),
        ("DIP-28_W7.62mm", "DIP-28", 28),
        ("DFN2020-6", "DFN-6", 6),
        ("SOP65P640X120-20N", "SO-20", 20),
    ],
)
def test_counts_beside_the_family(text: str, name: str, terminals: int) -> None:
    outline = package(text)
    assert (outline.name, outline.terminals) == (name, Span.exactly(terminals))


@pytest.mark.parametrize(
    ("text", "name"),
    [  # basis: JEDEC and JEITA names of the same outline
        ("SOT-23-5", "SOT-23-5"),
        ("SOT25", "SOT-23-5"),
        ("SC-70-5", "SC-70-5"),
        ("SOT353", "SC-70-5"),
        ("D_SOD-123", "SOD-123"),
        ("DO-214AC", "SMA"),
        ("DO-214AA(SMB)", "SMB"),
        ("DIODE_SMB", "SMB"),
        ("SMA-SM", "SMA"),
        ("TO-252", "DPAK"),
        ("D2PAK-7", "D2PAK"),
        ("TO-263-5_v2", "D2PAK"),
        ("TO-220-3_Vertical", "TO-220"),
        ("TO 220", "TO-220"),
        ("SOT223", "SOT-223"),
        ("MINIMELF", "MiniMELF"),
        ("SOT-23-THIN", "SOT-23"),
        ("HC49-SD", "HC-49 SMD"),
        ("HC-49U", "HC-49"),
    ],
)
def test_names_of_outlines(text: str, name: str) -> None:
    assert package(text).name == name


def test_another_count_before_the_name_is_another_body() -> None:
    outline = package("16-SOT-23-THIN")
    assert outline.terminals == Span.exactly(16)
    assert not outline.length_mm.bounded


@pytest.mark.parametrize(
    ("text", "system", "length"),
    [  # basis: EIA codes, hundredths of an inch: 0603 is 1.6 mm; metric 0603 is 0.6 mm
        ("R_0603_1608Metric", None, 1.6),
        ("0603 metric", None, 0.6),
        ("0402 (1005 Metric)", None, 1.0),
        ("0201 (0603 Metric)", None, 0.6),
        ("C0805", None, 2.0),
        ("SMD-2220", None, 5.7),
        ("01005", None, 0.4),
        ("2512", None, 6.3),
        ("SM0603", SizeSystem.INCH, 1.6),
        ("SM0603", SizeSystem.METRIC, 0.6),
        ("RESC1608X55N", None, 1.6),
    ],
)
def test_chip_sizes(text: str, system: SizeSystem | None, length: float) -> None:
    outline = package(text, system)
    assert outline.length_mm.contains(length)
    assert outline.length_mm.high < length * 1.2
    assert outline.mounting == Mounting.SMD


@pytest.mark.parametrize(("code", "short", "long"), [("0603", 0.6, 1.6), ("0402", 0.4, 1.0), ("0201", 0.25, 0.6)])
def test_a_code_of_both_systems_stays_a_range(code: str, short: float, long: float) -> None:
    outline = package(code)
    assert outline.length_mm.contains(Span(short, long))
    assert "inch or metric" in outline.name


def test_a_list_speaks_one_system() -> None:
    assert size_system_of(["R_0805", "0603", "C1206", ""]) is SizeSystem.INCH
    assert size_system_of(["1608", "2012", "0603"]) is SizeSystem.METRIC
    assert size_system_of(["0603", "0402"]) is None
    assert size_system_of(["0805", "2012"]) is None
    assert size_system_of(["0402 (1005 metric)", "0603 (1608 metric)", "0805"]) is SizeSystem.INCH


@pytest.mark.parametrize(
    ("text", "diameter", "mounting"),
    [  # basis: diameter and height printed in the name
        ("CP_Elec_6.3x7.7", 6.3, Mounting.SMD),
        ("CAPAE660X770N", 6.6, Mounting.SMD),
        ("E3,5-8", 8, Mounting.THROUGH_HOLE),
        ("CP_Radial_D8.0mm_P3.50mm", 8, Mounting.THROUGH_HOLE),
        ("LED_D5.0mm", 5, Mounting.THROUGH_HOLE),
    ],
)
def test_round_bodies(text: str, diameter: float, mounting: Mounting) -> None:
    outline = package(text)
    assert outline.length_mm.contains(diameter)
    assert outline.mounting == mounting


@pytest.mark.parametrize(
    ("text", "length"),
    [("EIA-3528-21", 3.5), ("CP_EIA-7343-31_D", 7.3), ("c_tant_B", 3.5), ("TANT CASE D", 7.3), ("CAPMP7343X310N", 7.3)],
)
def test_moulded_cases(text: str, length: float) -> None:  # basis: EIA 535 codes are the sides in tenths of mm
    assert package(text).length_mm.contains(length)


def test_joint_groups() -> None:
    assert package("QFN-32_5x5mm").joints == Joints.LANDS | Joints.THERMAL_PAD
    assert package("HTSSOP-28").joints == Joints.LEADS | Joints.THERMAL_PAD
    assert package("BGA-100").joints == Joints.BALLS
    assert package("DPAK").joints == Joints.LEADS | Joints.THERMAL_PAD


def test_a_grid_allows_no_coarser_pitch_than_its_body_holds() -> None:
    # 256 balls on 17 x 17 mm: at most sqrt(17 * 17 / 256) = 1.06 mm, with 5 % for the balls at the rim
    assert package("BGA-256_17x17mm").pitch_mm.high == pytest.approx(17 / 16 * 1.05)


@pytest.mark.parametrize("text", ["", "XT30PW-M", "bornier3", "Wire", "JSON 8", "ALSO 8 PIECES", "SO", "1X05", "-"])
def test_what_names_no_outline(text: str) -> None:
    assert outline_in_package(text) is None


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("IC REG LDO 3.3V 1A SOT223", "SOT-223"),
        ("Capacitor 100nF 16V X7R 0402", "0402, inch or metric"),
        ("CAP,100nF,10%,16V,X7R,0805,X", "0805"),
        ("LED,Blue,SMD1206,464.5~476.5nm", "1206"),
        ("Digital amplifier 16-VQFN (3x3)", "QFN-16"),
    ],
)
def test_outlines_in_descriptions(text: str, name: str) -> None:
    outline = outline_in_words(text)
    assert outline is not None
    assert outline.name == name


def test_numbers_in_descriptions_are_not_taken_for_sizes() -> None:
    assert outline_in_words("Timer 2012 series") is None
    assert outline_in_words("Relay 1608 coil") is None
    assert outline_in_words("Rated 10.0805 V") is None


@pytest.mark.parametrize(
    ("number", "name"),
    [("XR0805J-10K", "0805"), ("AB1206-F", "1206"), ("C1608X7R", "0603"), ("12345", None), ("XQ7", None)],
)
def test_sizes_at_the_head_of_part_numbers(number: str, name: str | None) -> None:
    outline = outline_in_part_number(number)
    assert (outline.name if outline else None) == name


@pytest.mark.parametrize(
    ("text", "name", "ceramic"),
    [  # basis: JEDEC letters; C for ceramic stands first, FC is a flip chip
        ("FCBGA-784", "BGA-784", False),
        ("FC-BGA-784", "BGA-784", False),
        ("FC BGA 784", "BGA-784", False),
        ("fcBGA 1156", "BGA-1156", False),
        ("HFCBGA-900", "BGA-900", False),
        ("784-FCBGA", "BGA-784", False),
        ("FCCSP-200", "BGA-200", False),
        ("CBGA-256", "CBGA-256", True),
        ("256-CBGA", "CBGA-256", True),
        ("FC-CBGA-1156", "CBGA-1156", True),
        ("FCCBGA-1156", "CBGA-1156", True),
        ("CCGA-472", "CBGA-472", True),
        ("CCBGA 360", "CBGA-360", True),
    ],
)
def test_ceramic_arrays_begin_with_c(text: str, name: str, ceramic: bool) -> None:
    outline = package(text)
    assert outline.name == name
    assert (outline.classes == PartClass.HERMETIC) is ceramic
