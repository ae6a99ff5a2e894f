"""The elements of solders: atomic mass, density and melting point.

Sources: atomic masses IUPAC 2021, abridged; densities of the solid at room temperature from handbooks (Sn, Bi, Ag, Cu
and Pb as in the mix rule that gives 8.40 g/cm3 for Sn63Pb37, the published value; the others from memory). Melting
points: MELTING_SOURCE, of phosphorus (white) and germanium from handbooks.
"""

from dataclasses import dataclass
from types import MappingProxyType

from webapp.trade.sources import Kind, Source, Status

MELTING_SOURCE = Source(Kind.STANDARD, "melting point of the metal, ITS-90 and its secondary points", Status.MEMORY)


@dataclass(frozen=True, slots=True)
class Element:
    """A metal: symbol, name, g/mol, g/cm3, °C."""

    symbol: str
    name: str
    atomic_mass_g_mol: float
    density_g_cm3: float
    melting_c: float


ELEMENTS = MappingProxyType(
    {
        element.symbol: element
        for element in (
            Element("Ag", "silver", 107.868, 10.49, 961.78),
            Element("Al", "aluminium", 26.982, 2.70, 660.32),
            Element("Au", "gold", 196.967, 19.30, 1064.18),
            Element("Bi", "bismuth", 208.980, 9.78, 271.40),
            Element("Cd", "cadmium", 112.414, 8.65, 321.07),
            Element("Co", "cobalt", 58.933, 8.90, 1495.00),
            Element("Cu", "copper", 63.546, 8.96, 1084.62),
            Element("Ga", "gallium", 69.723, 5.91, 29.76),
            Element("Ge", "germanium", 72.630, 5.32, 938.25),
            Element("In", "indium", 114.818, 7.31, 156.60),
            Element("Ni", "nickel", 58.693, 8.91, 1455.00),
            Element("P", "phosphorus", 30.974, 1.82, 44.15),
            Element("Pb", "lead", 207.2, 11.34, 327.46),
            Element("Pd", "palladium", 106.42, 12.02, 1554.80),
            Element("Sb", "antimony", 121.760, 6.68, 630.63),
            Element("Sn", "tin", 118.710, 7.29, 231.93),
            Element("Zn", "zinc", 65.38, 7.14, 419.53),
        )
    }
)
