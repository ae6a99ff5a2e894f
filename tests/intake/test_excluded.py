"""What is no placement (common practice, no source)."""

import pytest

from webapp.intake.excluded import no_placements


def excluded(names: str, *, value: str = "", package: str = "", description: str = "", number: bool = False) -> str:
    return " ".join(
        no_placements(names.split(), value=value, package=package, description=description, has_number=number)
    )


@pytest.mark.parametrize(
    "name", ["PCB", "PCB1", "FID1", "LOGO2", "G***", "MECH3", "BOARD", "FRAME1", "!PCB1", "#PWR01"]
)
def test_letters_that_never_mean_a_placement(name: str) -> None:
    assert excluded(name) == excluded(name, number=True) == name


@pytest.mark.parametrize("name", ["TP1", "MH4", "SJ2", "HOLE1"])
def test_letters_that_mean_none_without_a_part_number(name: str) -> None:
    assert excluded(name) == name
    assert excluded(name, number=True) == ""


def test_words_of_the_row() -> None:
    assert excluded("F1 F2", value="FIDUCIAL") == "F1 F2"
    assert excluded("JP1", package="SolderJumper-2_P1.3mm_Open", value="Jumper") == "JP1"
    assert excluded("H1", package="MountingHole_3.2mm") == "H1"
    assert excluded("J5", description="Screw terminal 2 positions") == ""
    assert excluded("X9", description="Screw M3x8") == "X9"
    assert excluded("SB1 SB2", value="SB") == "SB1 SB2"
    assert excluded("SB1", value="sounder 5 V") == ""
    assert excluded("J1", package="Connector_Dsub:DSUB-25_Female_Housed_MountingHolesOffset6.3mm") == ""
    assert excluded("X1", package="USB_B_with_mounting_holes") == ""
    assert excluded("Z1", package="MountingHole:MountingHole_3.2mm_M3_Pad") == "Z1"
    assert excluded("Z1", value="M3 mounting hole") == "Z1"
    assert excluded("H1 H2", value="4mm") == "H1 H2"
    assert excluded("NT1", package="NetTie-2_SMD") == "NT1"
    assert excluded("U$1", value="FRAME_A4") == "U$1"
    assert excluded("H1 H2", value="STAND-OFF") == "H1 H2"
    assert excluded("SO1", value="Standoff", number=True) == ""
    assert excluded("J9", description="USB socket with mounting holes", number=True) == ""
    assert excluded("F1", value="500 mA fuse") == ""
    assert excluded("H1", value="Header 2x5") == ""
    assert excluded("S1", description="Mechanical switch") == ""


def test_a_row_that_lumps_unlike_parts() -> None:
    names, value = "F1 F2 F3 H1 JP1 JP2 JP3 P1 P2", "fiducial, 4mm, jumper, header, plug"
    assert excluded(names, value=value) == "F1 F2 F3 H1"
    two_ways = "F1 F2 H1 P1 P2"
    assert excluded(two_ways, value="fiducial, 4mm, header, plug") == "", "which value is whose cannot be told"
