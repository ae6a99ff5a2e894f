"""A product made from a file, for the tests of pages that show parts, data wanted and declarations."""

from webapp.desk.new_product import ProductFromFiles, new_product
from webapp.desk.uploads import UploadedFile

# A relay of a kind in which lead turns up, a controller, chips, an electrolytic can and a part that nothing tells of.
LIST = (
    b"Designator,Qty,MPN,Manufacturer,Value,Package,Description\n"
    b'"R1,R2",2,GR-104-X7,Kelvarn,10k,0402,Resistor\n'
    b'"C1,C10",2,00471,Ostrava Caps,100n,0603,Capacitor\n'
    b"U1,1,MX-800,Norrlund,,QFN-32 5x5,Controller\n"
    b"K1,1,RL-5,Portal,5 V,,Relay through hole\n"
    b"C20,1,AE-470,Ostrava Caps,470 uF,8x10,Electrolytic capacitor\n"
    b"X1,1,ZZ-99,Kelvarn,,,\n"
)
TEMPLATE = "two-sided-low-temperature"


def make_product(database, settings, person, code="HL-2", content=LIST, lead_free=""):
    """A product with today's route and a low-temperature one, assessed; its code."""
    file = UploadedFile(f"{code}.csv", content)
    new = ProductFromFiles(code, file, TEMPLATE, name="Harbour logger", lead_free=lead_free)
    return new_product(database, settings, person, new)
