"""Diagrams, invariants, slopes and tolerances."""

import pytest

from webapp.errors import InvalidInputError
from webapp.science.diagrams import (
    BinaryDiagram,
    Reading,
    ToleranceRange,
    binary,
    invariants,
    read_binary,
    slopes,
    tolerance_range,
)
from webapp.science.melting import MeltingRange, NotCovered, melting_range
from webapp.trade.composition import Composition, read_composition


def test_the_diagram_runs_from_metal_to_metal_through_the_eutectic() -> None:
    diagram = binary("Sn", "Bi")
    assert isinstance(diagram, BinaryDiagram)
    assert diagram.eutectic is not None
    shares = [share for share, _ in diagram.liquidus]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 100.0)
    lowest = min(diagram.liquidus, key=lambda point: point[1])
    assert lowest == pytest.approx((diagram.eutectic.liquid_wt_pct["Bi"], diagram.eutectic.t_c), abs=1e-4)
    for (_, high), (_, low) in zip(diagram.liquidus, diagram.solidus, strict=True):
        assert low <= high + 1e-6


def test_the_diagram_turned_round_is_the_same() -> None:
    one, other = binary("Sn", "Pb", 10), binary("Pb", "Sn", 10)
    assert isinstance(one, BinaryDiagram)
    assert isinstance(other, BinaryDiagram)
    assert [t_c for _, t_c in one.liquidus] == pytest.approx([t_c for _, t_c in reversed(other.liquidus)], abs=1e-4)


@pytest.mark.parametrize("pair", [("Ag", "Sn"), ("Ag", "Bi"), ("Ag", "Pb"), ("Ag", "Cu"), ("Bi", "Pb"), ("Pb", "Sn")])
def test_pairs_covered_in_full(pair: tuple[str, str]) -> None:
    assert isinstance(binary(*pair, 20), BinaryDiagram)


@pytest.mark.parametrize("pair", [("Sn", "Cu"), ("Bi", "Cu"), ("Pb", "Cu")])
def test_pairs_not_covered_in_full(pair: tuple[str, str]) -> None:
    assert isinstance(binary(*pair), NotCovered)


@pytest.mark.parametrize(("pair", "step"), [(("Sn", "In"), 2.0), (("Sn", "Sn"), 2.0), (("Sn", "Bi"), 0.01)])
def test_what_is_no_diagram_is_refused(pair: tuple[str, str], step: float) -> None:
    with pytest.raises(InvalidInputError):
        binary(*pair, step)


def test_at_an_invariant_there_is_a_solid_for_each_element() -> None:
    for one in invariants():
        assert len(one.solids) == len(one.system)
        assert sum(one.liquid_wt_pct.values()) == pytest.approx(100)
        assert set(one.liquid_wt_pct) == set(one.system)


def test_the_liquid_of_an_invariant_melts_there_at_once() -> None:
    for one in invariants():
        if not {"Ag", "Bi", "Cu", "Sn"} <= set(one.system):
            found = melting_range(Composition.of(one.liquid_wt_pct))
            assert isinstance(found, MeltingRange)
            assert found.solidus_c == pytest.approx(one.t_c, abs=1e-3)
            # To 0.01 wt%, where 0.01 % copper counts 3 K.
            assert found.matrix_liquidus_c == pytest.approx(one.t_c, abs=0.1)


def test_slopes_on_both_sides_of_the_eutectic() -> None:
    """-2.4 K per wt% Bi left of 57 and +2.5 right of it, read off the diagram between 56, 56.97 and 58 wt%."""
    found = slopes(read_composition("Sn43.03Bi56.97"))
    assert isinstance(found, dict)
    below, above = found["Bi"].liquidus
    assert below == pytest.approx(-2.4, abs=0.1)
    assert above == pytest.approx(2.5, abs=0.1)
    assert found["Bi"].solidus == pytest.approx((0, 0), abs=1e-4)


def test_slopes_where_a_step_leads_out() -> None:
    found = slopes(read_composition("Sn94.9Ag5Bi0.05Cu0.05"))
    assert isinstance(found, dict)
    assert found["Ag"].liquidus[1] is None
    assert found["Ag"].liquidus[0] is not None
    assert found["Bi"].liquidus[0] is None
    assert isinstance(slopes(read_composition("Sn48In52")), NotCovered)


def test_half_a_percent_of_58bi_is_more_than_one_kelvin() -> None:
    found = tolerance_range(read_composition("Sn42Bi58"), 0.5)
    assert isinstance(found, ToleranceRange)
    assert found.liquidus_c == pytest.approx((140.13, 142.61), abs=0.02)  # 57.5 and 58.5 wt% of the diagram
    assert found.solidus_c == pytest.approx((138.81, 138.81), abs=0.01)


def test_no_tolerance_is_the_alloy_itself() -> None:
    alloy = read_composition("Sn96.5Ag3Cu0.5")
    found, span = tolerance_range(alloy, 0.0), melting_range(alloy)
    assert isinstance(found, ToleranceRange)
    assert isinstance(span, MeltingRange)
    assert found.liquidus_c == (span.liquidus_c, span.liquidus_c)


def test_tolerance_limits() -> None:
    with pytest.raises(InvalidInputError):
        tolerance_range(read_composition("Sn42Bi58"), 6.0)
    assert isinstance(tolerance_range(read_composition("Sn48In52"), 0.5), NotCovered)


def test_the_solids_of_the_diagram_meet_at_the_eutectic() -> None:
    diagram = binary("Sn", "Bi")
    assert isinstance(diagram, BinaryDiagram)
    (cold_c, *cold), (hot_c, *hot) = diagram.solvus[0], diagram.solvus[-1]
    assert (cold_c, hot_c) == pytest.approx((25.0, 138.8), abs=0.02)
    # Most bismuth in solid tin: 21 wt% at the eutectic (Massalski). Solid bismuth takes up next to no tin.
    assert hot == pytest.approx([21.0, 99.9], abs=0.5)
    assert cold[0] < hot[0]
    # The solidus leaves the eutectic line where the solids end.
    flat = [share for share, t_c in diagram.solidus if t_c < hot_c + 0.011]
    assert (min(flat), max(flat)) == pytest.approx(hot, abs=0.03)


def test_a_compound_is_no_corner() -> None:
    diagram = binary("Sn", "Ag", 20)
    assert isinstance(diagram, BinaryDiagram)
    # Ag3Sn holds 3 x 107.868 in 3 x 107.868 + 118.710 by mass at any temperature.
    assert [high for *_, high in diagram.solvus] == pytest.approx([73.16] * len(diagram.solvus), abs=0.01)


@pytest.mark.parametrize(
    ("bi", "t_c", "labels"),
    [
        (10, 230, ["liquid"]),
        (40, 150, ["liquid", "(Sn)"]),
        (80, 170, ["liquid", "(Bi)"]),
        (57, 100, ["(Sn)", "(Bi)"]),
        (5, 130, ["(Sn)"]),
        (0, 100, ["(Sn)"]),
        (100, 300, ["liquid"]),
    ],
)
def test_the_diagram_is_read_off(bi: float, t_c: float, labels: list[str]) -> None:
    reading = read_binary("Sn", "Bi", bi, t_c)
    assert isinstance(reading, Reading)
    assert [part.label for part in reading.parts] == labels
    assert sum(part.share for part in reading.parts) == pytest.approx(1)
    assert sum(part.share * part.wt_pct for part in reading.parts) == pytest.approx(bi, abs=1e-6)
    assert reading.solidus_c <= reading.liquidus_c


def test_the_parts_lie_on_the_lines_of_the_diagram() -> None:
    reading = read_binary("Sn", "Bi", 30, 160)
    assert isinstance(reading, Reading)
    liquid, solid = reading.parts
    for part, name in ((liquid, "liquidus_c"), (solid, "solidus_c")):
        alone = read_binary("Sn", "Bi", part.wt_pct, 160)
        assert isinstance(alone, Reading)
        assert getattr(alone, name) == pytest.approx(160, abs=0.01)


@pytest.mark.parametrize(("bi", "t_c"), [(-1, 150), (101, 150), (50, 20), (50, 1101)])
def test_what_is_not_on_the_diagram_is_refused(bi: float, t_c: float) -> None:
    with pytest.raises(InvalidInputError):
        read_binary("Sn", "Bi", bi, t_c)


def test_a_point_not_covered_says_why() -> None:
    assert isinstance(read_binary("Sn", "Cu", 30, 250), NotCovered)
