"""The table of parameters: complete, cited, and versioned."""

import re

from webapp.science.parameters import ELEMENTS, citations, data_version, parameters, phase_sites
from webapp.trade.elements import ELEMENTS as METALS


def test_every_row_has_a_source_that_is_explained() -> None:
    assert {row.source for row in parameters()} == set(citations())
    assert all(len(text) > 20 for text in citations().values())


def test_every_row_is_of_known_phases_and_elements() -> None:
    phases = {site.phase for site in phase_sites()} | {"reference"}
    for row in parameters():
        assert row.phase in phases
        assert set(row.elements) <= set(ELEMENTS) <= set(METALS)
        assert row.kind in ("energy", "interaction")
        assert any(row.coefficients) or row.over_elements


def test_interactions_name_their_elements_in_one_order() -> None:
    """The sign of odd orders hangs on it."""
    for row in parameters():
        assert list(row.elements) == sorted(row.elements)


def test_stretches_of_temperature_rise() -> None:
    groups: dict[tuple[object, ...], list[float]] = {}
    for row in parameters():
        groups.setdefault((row.phase, row.kind, row.elements, row.order), []).append(row.up_to_k)
    assert all(limits == sorted(set(limits)) for limits in groups.values())


def test_compounds_are_whole() -> None:
    for site in phase_sites():
        if site.is_compound:
            assert abs(sum(site.shares) - 1) < 1e-12
            assert len(site.shares) == len(site.constituents)


def test_the_liquid_comes_first() -> None:
    """The solver takes the first site for the liquid."""
    assert phase_sites()[0].phase == "liquid"


def test_the_version_is_a_digest() -> None:
    assert re.fullmatch("[0-9a-f]{12}", data_version())
