"""The elements of solders: atomic mass and density.

Sources: atomic masses IUPAC 2021, abridged; densities of the solid at room temperature from handbooks (Sn, Bi, Ag, Cu
and Pb as in the mix rule that gives 8.40 g/cm3 for Sn63Pb37, the published value; the others from memory).
"""

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Element:
    """A metal: symbol, name, g/mol, g/cm3."""

    symbol: str
    name: str
    atomic_mass_g_mol: float
    density_g_cm3: float


ELEMENTS = MappingProxyType(
    {
        element.symbol: element
        for element in (
            Element("Ag", "silver", 107.868, 10.49),
            Element("Al", "aluminium", 26.982, 2.70),
            Element("Au", "gold", 196.967, 19.30),
            Element("Bi", "bismuth", 208.980, 9.78),
            Element("Cd", "cadmium", 112.414, 8.65),
            Element("Co", "cobalt", 58.933, 8.90),
            Element("Cu", "copper", 63.546, 8.96),
            Element("Ga", "gallium", 69.723, 5.91),
            Element("Ge", "germanium", 72.630, 5.32),
            Element("In", "indium", 114.818, 7.31),
            Element("Ni", "nickel", 58.693, 8.91),
            Element("P", "phosphorus", 30.974, 1.82),
            Element("Pb", "lead", 207.2, 11.34),
            Element("Pd", "palladium", 106.42, 12.02),
            Element("Sb", "antimony", 121.760, 6.68),
            Element("Sn", "tin", 118.710, 7.29),
            Element("Zn", "zinc", 65.38, 7.14),
        )
    }
)
