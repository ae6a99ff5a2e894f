"""A general thermodynamics library beside our solver, working from the same table of parameters.

Its equilibrium can fail without saying so: empty or missing phases, a sum of phases that is not one, or a set of phases
whose energy is not the least. Each answer is checked for that, asked again with a finer start, and left out when the
energy of our own phases is lower, which proves the library's to be wrong.
"""

import warnings
from functools import cache

import numpy as np

from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import GAS_CONSTANT, ZERO_C, system_of
from webapp.science.parameters import TERMS, Parameter, parameters, phase_sites
from webapp.trade.composition import Composition
from webapp.trade.elements import ELEMENTS

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from pycalphad import Database, variables
    from pycalphad import equilibrium as peer_equilibrium
    from pycalphad.codegen.phase_record_factory import PhaseRecordFactory
    from pycalphad.core.utils import filter_phases, instantiate_models, unpack_species

SYMBOLS = ("AG", "BI", "CU", "PB", "SN")
NAMES = {
    "liquid": "LIQUID",
    "bct": "BCT_A5",
    "rhombo": "RHOMBO_A7",
    "fcc": "FCC_A1",
    "hcp": "HCP_A3",
    "Ag3Sn": "AG3SN",
    "Cu3Sn": "CU3SN",
    "Cu6Sn5": "CU6SN5",
    "Cu6Sn5'": "CU6SN5_L",
}
COMPOUNDS = ("AG3SN", "CU3SN", "CU6SN5", "CU6SN5_L")
_TERMS = dict(zip(TERMS, ("1", "T", "T*LN(T)", "T**2", "T**3", "T**7", "T**(-1)", "T**(-9)"), strict=True))
SECOND_LIQUID = "a second liquid"
_START_POINTS = (60, 500)
_WORSE_J_MOL = 5e-4
_GAS_CONSTANT = 8.3145  # the library's


class PeerFailedError(Exception):
    """The library gave no equilibrium, or one that is not the equilibrium."""


def database_text() -> str:
    """Our table in the library's language, made for the test alone."""
    lines = ["ELEMENT VA VACUUM 0 0 0 !"]
    lines += [f"ELEMENT {symbol} X {ELEMENTS[symbol.title()].atomic_mass_g_mol} 0 0 !" for symbol in SYMBOLS]
    for symbol in SYMBOLS:
        rows = [row for row in parameters() if row.phase == "reference" and row.elements == (symbol.title(),)]
        lines.append(f"FUNCTION GHSER{symbol} 298.15 {_stretches(rows, '')} !")
    sites = {site.phase: site for site in phase_sites()}
    for phase, site in sites.items():
        shares = " ".join(str(share) for share in site.shares) or "1.0"
        separator = ":" if site.is_compound else ","
        lines.append(f"PHASE {NAMES[phase]} % {len(site.shares) or 1} {shares} !")
        lines.append(f"CONSTITUENT {NAMES[phase]} :{separator.join(site.constituents).upper()}: !")
    keys = dict.fromkeys((row.phase, row.kind, row.elements, row.order) for row in parameters())
    for phase, kind, elements, order in keys:
        if phase == "reference":
            continue
        rows = [
            row
            for row in parameters()
            if (row.phase, row.kind, row.elements, row.order) == (phase, kind, elements, order)
        ]
        site = sites[phase]
        own = "".join(
            f"+{share}*GHSER{element.upper()}#" for share, element in zip(site.shares or (1.0,), elements, strict=False)
        )
        names = (":" if site.is_compound else ",").join(elements).upper()
        letter = "G" if kind == "energy" else "L"
        text = _stretches(rows, own if rows[0].over_elements else "")
        lines.append(f"PARAMETER {letter}({NAMES[phase]},{names};{order}) 298.15 {text} !")
    return "\n".join(lines)


def _stretches(rows: list[Parameter], own: str) -> str:
    return " ".join(f"{_expression(row)}{own}; {row.up_to_k} {'N' if row is rows[-1] else 'Y'}" for row in rows)


def _expression(row: Parameter) -> str:
    terms = zip(TERMS, row.coefficients, strict=True)
    return "".join(f"{value:+.12G}*{_TERMS[term]}" for term, value in terms if value) or "+0"


@cache
def _database() -> Database:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return Database.from_string(database_text(), fmt="tdb")


class Peer:
    """The library set up for some elements, with all phases or without the compounds."""

    def __init__(self, elements: tuple[str, ...], *, matrix_only: bool) -> None:
        self.elements, self.matrix_only = elements, matrix_only
        self.components = [element.upper() for element in elements] + ["VA"]
        wanted = [name for name in NAMES.values() if not (matrix_only and name in COMPOUNDS)]
        if matrix_only and {"Ag", "Cu"} & set(elements):
            # Without the compounds solid solutions of silver or copper would come in their place.
            wanted = ["LIQUID", "BCT_A5", "RHOMBO_A7"]
        database = _database()
        self.phases = filter_phases(database, unpack_species(database, self.components), wanted)
        self.models = instantiate_models(database, self.components, self.phases)
        state = [variables.N, variables.P, variables.T]
        self.records = PhaseRecordFactory(database, self.components, state, self.models)

    def amounts(self, alloy: Composition, t_c: float) -> dict[str, float]:
        """Mole fractions of phases at a temperature, two liquids apart; raises :class:`PeerFailedError`."""
        x = mole_fractions(alloy, self.elements)
        for points in _START_POINTS:
            found, energy = self.ask(x, t_c, points)
            if found and energy <= _least_energy(self.elements, x, t_c, matrix=self.matrix_only) + _WORSE_J_MOL:
                return found
        raise PeerFailedError

    def ask(self, x: np.ndarray, t_c: float, points: int = 60) -> tuple[dict[str, float], float]:
        """What the library says without our doubts: phases (none where it says nothing whole) and energy, J/mol."""
        conditions = {variables.T: t_c + ZERO_C, variables.P: 101325, variables.N: 1}
        conditions |= {variables.X(name): share for name, share in list(zip(self.components, x, strict=False))[1:]}
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            answer = peer_equilibrium(
                _database(),
                self.components,
                self.phases,
                conditions,
                model=self.models,
                phase_records=self.records,
                calc_opts={"pdens": points},
            )
        names, shares = np.atleast_1d(answer.Phase.values.squeeze()), np.atleast_1d(answer.NP.values.squeeze())
        found: dict[str, float] = {}
        for name, share in zip(names, shares, strict=True):
            if name:
                key = SECOND_LIQUID if name == "LIQUID" and "LIQUID" in found else str(name)
                found[key] = found.get(key, 0.0) + float(share)
        energy = float(answer.GM.values.squeeze())
        whole = np.isfinite(energy) and abs(sum(found.values()) - 1) < 1e-6
        return (found if whole else {}), energy


@cache
def peer(elements: tuple[str, ...], *, matrix_only: bool) -> Peer:
    """One set-up for each choice of elements and phases."""
    return Peer(elements, matrix_only=matrix_only)


def mole_fractions(alloy: Composition, elements: tuple[str, ...]) -> np.ndarray:
    """Of the elements in that order."""
    moles = np.array([alloy.wt_pct[element] / ELEMENTS[element].atomic_mass_g_mol for element in elements])
    return moles / moles.sum()


def _least_energy(elements: tuple[str, ...], x: np.ndarray, t_c: float, *, matrix: bool) -> float:
    """Energy of our own equilibrium, J/mol; of the matrix alone we hold none, so that nothing is compared."""
    if matrix:
        return np.inf
    t_k = np.array([t_c + ZERO_C])
    ours = equilibrium(system_of(elements), t_k, x[None])
    energy = float(ours.mu[0] @ x) * GAS_CONSTANT * float(t_k[0])
    # As it would be with the library's gas constant, which differs in the sixth digit.
    mixing = (ours.amounts[:, 0] * (ours.x[:, 0] * np.log(np.maximum(ours.x[:, 0], 1e-300))).sum(axis=-1)).sum()
    return energy + (_GAS_CONSTANT - GAS_CONSTANT) * float(t_k[0]) * float(mixing)
