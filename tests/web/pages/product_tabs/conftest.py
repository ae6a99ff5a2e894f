"""A gateway with parts of many kinds, made with routes or without, and people to look at it."""

import pytest

from tests.web.pages.wizard import Wizard
from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile
from webapp.trade.people import Role

GATEWAY = b"""Designator,Qty,MPN,Manufacturer,Value,Package,Description
"C1,C2,C3",3,KX-104-X7,Kelvarn,100 nF,0402,"Capacitor, ceramic"
"R1,R2",2,GR-103-F,Ostrava Caps,10k,0402,"Resistor, 1 %"
U1,1,MQ-6410-BG,Brindmoor,,"BGA-324, 0.8 mm",Processor
Q1,1,TT-60N,Kelvarn,60 V,SO-8,"Transistor, power MOSFET"
J1,1,CN-4-V,Portal,,"THT, 4 pin","Connector, through hole"
BT1,1,KX-2032-T,Tarnholt Cells,3 V,holder,"Coin cell, lithium, with tabs"
"""
FLEX = b'J2,1,CN-FPC,Portal,,"FPC 0.5 mm, 24 pin","Connector, flat flexible"\n'
PLACES = b"""Designator,X,Y,Rotation,Side
C1,1,1,0,Top
C2,2,1,0,Top
C3,3,1,0,Bottom
R1,4,1,0,Top
R2,5,1,0,Top
U1,6,1,0,Top
Q1,7,1,0,Top
"""
TEMPLATE = "two-sided-low-temperature"


@pytest.fixture
def engineer(sign_in):
    """A browser in which an engineer is signed in."""
    return sign_in(Role.ENGINEER)


@pytest.fixture
def make(database, settings, add_person):
    """``make("GW-7", template=..., **more)`` makes the gateway from its files."""

    def run(code="GW-7", *, template=TEMPLATE, bom=GATEWAY, **more):
        maker = add_person(Role.ENGINEER, login=f"maker.{''.join(filter(str.isalnum, code)).casefold()}")
        files = {"bom": UploadedFile("gateway.csv", bom), "placement": UploadedFile("places.csv", PLACES)}
        new = ProductFromFiles(code=code, template=template, name="Field gateway", **files, **more)
        return new_product(database, settings, maker, new)

    return run


@pytest.fixture
def gateway(make, engineer):
    """The engineer's browser, with the gateway GW-7 assessed on today's route and one candidate."""
    make(lead_free="supplier letter 2024-03")
    return engineer


@pytest.fixture
def bare(engineer):
    """The engineer's browser, with the gateway as an upload leaves it: a BOM and nothing else."""
    wizard = Wizard(engineer)
    wizard.start(GATEWAY, "gateway.csv", placement=("places.csv", PLACES))
    wizard.commit("GW-1", "Bare gateway")
    return engineer
