"""Published values of solder alloys, each with its source, and how we calculate the same.

``how`` says how the published value was come by: ``opened`` (read in the source, at least in an excerpt), ``memory``,
or ``derived`` (worked by hand).
``tolerance`` is the physics: how far calculation and measurement or list may be apart, for the reason in ``note``.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from webapp.science.alloy_points import grouped
from webapp.science.diagrams import Invariant, invariants
from webapp.science.melting import MeltingRange, melting_range
from webapp.science.mixing import BallJoint, Deposit, Mixing, mixed_joint, standoff_mm
from webapp.science.transitions import solidus
from webapp.trade.composition import read_composition


@dataclass(frozen=True)
class Published:
    """One published value beside our own."""

    what: str
    unit: str
    published: float
    tolerance: float
    source: str
    how: str
    calculate: Callable[[], float]
    note: str = ""


@cache
def eutectic(*elements: str) -> Invariant:
    """Ours of these elements."""
    return next(one for one in invariants() if set(one.system) == set(elements))


def eutectic_c(*elements: str) -> Callable[[], float]:
    return lambda: eutectic(*elements).t_c


def eutectic_wt_pct(element: str, *elements: str) -> Callable[[], float]:
    return lambda: eutectic(*elements).liquid_wt_pct[element]


def span(text: str) -> MeltingRange:
    found = melting_range(read_composition(text))
    assert isinstance(found, MeltingRange)
    return found


def solidus_c(text: str) -> Callable[[], float]:
    return lambda: span(text).solidus_c


def liquidus_c(text: str) -> Callable[[], float]:
    return lambda: span(text).liquidus_c


def mostly_liquid_c(text: str) -> Callable[[], float]:
    return lambda: span(text).mostly_liquid_c


def solid_at_solidus_wt_pct(element: str, label: str, text: str) -> Callable[[], float]:
    """Share of an element in one of the solids where an alloy begins to melt."""

    def calculate() -> float:
        (points,) = grouped([read_composition(text)])
        begin = solidus(points.system, points.z, np.array([span(text).liquidus_c + 273.15]))
        place = [site.label for site in points.system.sites].index(label)
        fractions = points.mass_fractions(begin.solids.x[place, 0])
        return 100 * float(fractions[points.system.elements.index(element)])

    return calculate


BINARY = "T.B. Massalski (ed.), Binary Alloy Phase Diagrams; ASM Handbook vol. 3"
NIST_BI_PB = "NIST solder phase diagrams, page of Bi-Cu-Pb (calculated there)"
NIST_BI_PB_SN = "NIST solder phase diagrams, page of Bi-Pb-Sn (calculated there)"
MOON_2000 = "K.-W. Moon et al., J. Electron. Mater. 29 (2000) 1122 (publication page)"
MOON_2001 = "K.-W. Moon et al., effect of Pb contamination on Sn-Bi solders, J. Electron. Mater. 30 (2001) (abstract)"
STANDARD = "J-STD-006, ISO 9453"
LIST = "Public list of solder alloys"
SGTE = "A.T. Dinsdale, SGTE data for pure elements, CALPHAD 15 (1991) 317"
NOT_DSC = "a trace of Ag3Sn melts last, which lists do not count: compare where 99 % is liquid"
HIGH = "the assessment is 2.7 K high: 95 °C is to be shown"

PURE = tuple(
    Published(f"{name} melts", "°C", value, 0.05, SGTE, "memory", liquidus_c(symbol))
    for symbol, name, value in (
        ("Sn", "tin", 231.93),
        ("Bi", "bismuth", 271.40),
        ("Pb", "lead", 327.46),
        ("Ag", "silver", 961.78),
        ("Cu", "copper", 1084.62),
    )
)

EUTECTICS = (
    Published("Sn-Bi eutectic", "°C", 139.0, 1.0, BINARY, "memory", eutectic_c("Sn", "Bi")),
    Published("Sn-Bi eutectic, Bi", "wt%", 57.0, 0.5, BINARY, "opened", eutectic_wt_pct("Bi", "Sn", "Bi")),
    Published("Sn-Bi eutectic in films", "°C", 140.0, 1.5, "Gladkikh 1987, quoted", "opened", eutectic_c("Sn", "Bi")),
    Published("most Bi in (Sn)", "wt%", 21.0, 0.5, BINARY, "memory", solid_at_solidus_wt_pct("Bi", "(Sn)", "Sn42Bi58")),
    Published("Sn-Ag eutectic", "°C", 221.0, 1.5, "Karakaya, Thompson 1987", "memory", eutectic_c("Sn", "Ag")),
    Published(
        "Sn-Ag eutectic, Ag", "wt%", 3.5, 0.3, "Karakaya, Thompson 1987", "memory", eutectic_wt_pct("Ag", "Sn", "Ag")
    ),
    Published("Sn-Cu eutectic", "°C", 227.0, 1.0, "Saunders, Miodownik 1990", "memory", eutectic_c("Sn", "Cu")),
    Published(
        "Sn-Cu eutectic, Cu",
        "wt%",
        0.7,
        0.25,
        "Saunders, Miodownik 1990",
        "memory",
        eutectic_wt_pct("Cu", "Sn", "Cu"),
        "0.7 to 0.9 in use",
    ),
    Published("Sn-Pb eutectic", "°C", 183.0, 1.5, BINARY, "memory", eutectic_c("Sn", "Pb")),
    Published("Sn-Pb eutectic, Pb", "wt%", 38.1, 0.5, BINARY, "memory", eutectic_wt_pct("Pb", "Sn", "Pb")),
    Published("Bi-Pb eutectic", "°C", 125.9, 0.05, NIST_BI_PB, "opened", eutectic_c("Bi", "Pb")),
    Published("Bi-Pb eutectic, Pb", "wt%", 44.49, 0.05, NIST_BI_PB, "opened", eutectic_wt_pct("Pb", "Bi", "Pb")),
    Published("Bi-Pb eutectic, measured", "°C", 125.5, 1.0, BINARY, "memory", eutectic_c("Bi", "Pb")),
    Published("Bi-Pb-Sn eutectic", "°C", 98.0, 0.1, NIST_BI_PB_SN, "opened", eutectic_c("Bi", "Pb", "Sn")),
    Published(
        "Bi-Pb-Sn eutectic, Bi", "wt%", 51.59, 0.05, NIST_BI_PB_SN, "opened", eutectic_wt_pct("Bi", "Bi", "Pb", "Sn")
    ),
    Published(
        "Bi-Pb-Sn eutectic, Pb", "wt%", 32.59, 0.05, NIST_BI_PB_SN, "opened", eutectic_wt_pct("Pb", "Bi", "Pb", "Sn")
    ),
    Published("Bi-Pb-Sn eutectic, measured", "°C", 95.3, 3.0, MOON_2001, "opened", eutectic_c("Bi", "Pb", "Sn"), HIGH),
    Published(
        "Ag-Bi-Sn eutectic",
        "°C",
        139.0,
        2.0,
        "H. Ohtani et al., Mater. Trans. 42 (2001) 722 (calculated there)",
        "opened",
        eutectic_c("Ag", "Bi", "Sn"),
    ),
    Published(
        "Ag-Bi-Sn eutectic, handbook",
        "°C",
        137.5,
        2.0,
        "U.R. Kattner, W.J. Boettinger 1994",
        "memory",
        eutectic_c("Ag", "Bi", "Sn"),
    ),
    Published("Ag-Cu-Sn eutectic, measured", "°C", 217.2, 2.0, MOON_2000, "opened", eutectic_c("Ag", "Cu", "Sn")),
    Published("Ag-Cu-Sn eutectic, fitted", "°C", 216.3, 0.5, MOON_2000, "opened", eutectic_c("Ag", "Cu", "Sn")),
    Published("Ag-Cu-Sn eutectic, Ag", "wt%", 3.5, 0.3, MOON_2000, "opened", eutectic_wt_pct("Ag", "Ag", "Cu", "Sn")),
    Published("Ag-Cu-Sn eutectic, Cu", "wt%", 0.9, 0.2, MOON_2000, "opened", eutectic_wt_pct("Cu", "Ag", "Cu", "Sn")),
    Published("Ag-Pb-Sn eutectic", "°C", 178.0, 1.5, STANDARD, "memory", eutectic_c("Ag", "Pb", "Sn")),
)

ALLOYS = (
    Published("60Sn-40Bi solidus", "°C", 138.0, 1.5, STANDARD, "memory", solidus_c("Sn60Bi40")),
    Published(
        "60Sn-40Bi liquidus",
        "°C",
        170.0,
        5.0,
        STANDARD,
        "memory",
        liquidus_c("Sn60Bi40"),
        "the calculation is 4.8 K above the list, the cause unknown",
    ),
    Published("42Sn-58Bi solidus", "°C", 138.0, 1.5, STANDARD, "memory", solidus_c("Sn42Bi58")),
    Published(
        "42Sn-58Bi liquidus",
        "°C",
        138.0,
        3.5,
        STANDARD,
        "memory",
        liquidus_c("Sn42Bi58"),
        "1 wt% past the eutectic, 2.5 K per wt%; lists call it eutectic",
    ),
    Published("42Sn-57Bi-1Ag solidus", "°C", 137.0, 1.0, LIST, "opened", solidus_c("Sn42Bi57Ag1")),
    Published("42Sn-57Bi-1Ag, 99 % liquid", "°C", 139.0, 2.0, LIST, "opened", mostly_liquid_c("Sn42Bi57Ag1"), NOT_DSC),
    Published("SAC305 solidus", "°C", 217.0, 1.5, LIST, "opened", solidus_c("Sn96.5Ag3Cu0.5")),
    Published("SAC305 liquidus", "°C", 220.0, 1.0, LIST, "opened", liquidus_c("Sn96.5Ag3Cu0.5")),
    Published("SAC105 solidus", "°C", 217.0, 1.5, "published DSC data", "memory", solidus_c("Sn98.5Ag1Cu0.5")),
    Published("SAC105 liquidus", "°C", 227.0, 1.5, "published DSC data", "memory", liquidus_c("Sn98.5Ag1Cu0.5")),
    Published("SAC405 solidus", "°C", 217.0, 1.5, STANDARD, "memory", solidus_c("Sn95.5Ag4Cu0.5")),
    Published("SAC405, 99 % liquid", "°C", 220.0, 2.5, STANDARD, "memory", mostly_liquid_c("Sn95.5Ag4Cu0.5"), NOT_DSC),
    Published("Sn-0.7Cu solidus", "°C", 227.0, 1.0, LIST, "opened", solidus_c("Sn99.3Cu0.7")),
    Published("Sn-0.7Cu liquidus", "°C", 227.0, 1.5, LIST, "opened", liquidus_c("Sn99.3Cu0.7")),
    Published("Sn-3.5Ag solidus", "°C", 221.0, 1.5, STANDARD, "memory", solidus_c("Sn96.5Ag3.5")),
    Published("Sn-3.5Ag liquidus", "°C", 221.0, 1.0, STANDARD, "memory", liquidus_c("Sn96.5Ag3.5")),
    Published("63Sn-37Pb solidus", "°C", 183.0, 1.5, STANDARD, "opened", solidus_c("Sn63Pb37")),
    Published("63Sn-37Pb liquidus", "°C", 183.0, 1.0, STANDARD, "opened", liquidus_c("Sn63Pb37")),
    Published("60Sn-40Pb solidus", "°C", 183.0, 1.5, "JIS and ISO table", "opened", solidus_c("Sn60Pb40")),
    Published("60Sn-40Pb liquidus", "°C", 190.0, 2.0, "JIS and ISO table", "opened", liquidus_c("Sn60Pb40")),
)

# The reference joint: SAC305 ball 0.45 mm, pads 0.36 mm, 42Sn-58Bi paste, round opening 0.40 mm, foil 0.10 mm.
BALL, PASTE = read_composition("Sn96.5Ag3Cu0.5"), read_composition("Sn42Bi58")
WORKED = "worked by hand with the same equation"
HAND_LIQUIDUS = "worked by hand: m_paste / m_ball (58 / w - 1), w the calculated Sn-Bi liquidus, 39.90 and 34.09 wt% Bi"


def joint(peak_c: float) -> BallJoint:
    """The reference joint at a peak."""
    return BallJoint(BALL, 0.45, 0.36, 0.36, PASTE, Deposit(0.40, 0.10, "round", 0.85, 0.5), peak_c)


def dissolved_pct(peak_c: float) -> Callable[[], float]:
    def calculate() -> float:
        found = mixed_joint(joint(peak_c)).mixing
        assert isinstance(found, Mixing)
        return 100 * found.dissolved_ball_bound

    return calculate


def density(text: str) -> Callable[[], float]:
    return lambda: read_composition(text).density_g_cm3


MIXING = (
    Published("ball 0.45 mm", "mm³", 0.0477129, 1e-6, WORKED, "derived", lambda: joint(185).ball_mm3),
    Published("paste metal", "mm³", 0.00534071, 1e-7, WORKED, "derived", lambda: joint(185).deposit.metal_mm3),
    Published(
        "stand-off, ball alone", "mm", 0.31221, 1e-5, WORKED, "derived", lambda: standoff_mm(0.0477129, 0.36, 0.36)
    ),
    Published(
        "stand-off, ball and paste",
        "mm",
        0.33236,
        1e-5,
        WORKED,
        "derived",
        lambda: mixed_joint(joint(185)).standoff_collapsed_mm,
    ),
    Published(
        "ball on the package's pad",
        "mm",
        0.37871,
        1e-5,
        WORKED,
        "derived",
        lambda: mixed_joint(joint(185)).standoff_unmelted_mm,
    ),
    Published("bismuth, all mixed", "wt%", 6.67, 0.01, WORKED, "derived", lambda: joint(185).composition.wt_pct["Bi"]),
    Published("ball dissolved at 175 °C, at least", "%", 5.9, 0.05, HAND_LIQUIDUS, "derived", dissolved_pct(175)),
    Published("ball dissolved at 185 °C, at least", "%", 9.1, 0.05, HAND_LIQUIDUS, "derived", dissolved_pct(185)),
    Published("density of 63Sn-37Pb", "g/cm³", 8.40, 0.01, "Table of solder alloys", "opened", density("Sn63Pb37")),
    Published("density of SAC305", "g/cm³", 7.38, 0.03, "Table of solder alloys", "opened", density("Sn96.5Ag3Cu0.5")),
    Published("density of 42Sn-58Bi", "g/cm³", 8.55, 0.01, WORKED, "derived", density("Sn42Bi58")),
)

PUBLISHED = {"Pure metals": PURE, "Eutectics": EUTECTICS, "Alloys": ALLOYS, "Mixing": MIXING}
