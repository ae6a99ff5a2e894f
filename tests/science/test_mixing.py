"""What a joint of two solders becomes."""

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.science.melting import MeltingRange, NotCovered
from webapp.science.mixing import (
    BallJoint,
    Deposit,
    Mixing,
    diluted,
    layer_mg,
    mixed_joint,
    mixed_joints,
    standoff_mm,
    taken_up,
)
from webapp.trade.composition import read_composition

SAC, SNBI, SNPB = read_composition("Sn96.5Ag3Cu0.5"), read_composition("Sn42Bi57Ag1"), read_composition("Sn63Pb37")
DEPOSIT = Deposit(0.40, 0.10, "round", 0.85, 0.5)
JOINT = BallJoint(SAC, 0.45, 0.36, 0.36, SNBI, DEPOSIT, 185.0)


def mixing(joint: BallJoint) -> Mixing:
    found = mixed_joint(joint).mixing
    assert isinstance(found, Mixing)
    return found


def test_the_deposit() -> None:
    assert DEPOSIT.area_ratio == pytest.approx(1.0)
    assert DEPOSIT.metal_mm3 == pytest.approx(pi / 4 * 0.16 * 0.1 * 0.85 * 0.5)
    assert Deposit(0.25, 0.10, "square").area_ratio == pytest.approx(0.625)
    assert Deposit(0.25, 0.10, "square").metal_mm3 == pytest.approx(0.0625 * 0.1 * 0.5)


@given(st.floats(1e-4, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_standoff_gives_the_volume_back(volume: float, one: float, two: float) -> None:
    h = standoff_mm(volume, one, two)
    assert pi * h / 6 * (3 * one**2 / 4 + 3 * two**2 / 4 + h * h) == pytest.approx(volume, rel=1e-6)


def test_mass_is_kept() -> None:
    whole = mixed_joint(JOINT).composition
    total = JOINT.ball_mg + JOINT.paste_mg
    assert whole.wt_pct["Bi"] * total == pytest.approx(57 * JOINT.paste_mg, rel=1e-9)
    assert whole.wt_pct["Cu"] * total == pytest.approx(0.5 * JOINT.ball_mg, rel=1e-9)


def test_without_exposures_the_rest_is_the_same() -> None:
    found, bare = mixing(JOINT), mixed_joint(JOINT, ()).mixing
    assert isinstance(bare, Mixing)
    assert found.band is not None
    assert found.left_at
    assert bare == replace(found, left_at={}, band=replace(found.band, left_at={}))


def test_the_band_is_saturated_at_the_peak() -> None:
    found = mixing(JOINT)
    assert found.band is not None
    assert found.band.melting.matrix_liquidus_c == pytest.approx(185, abs=0.1)
    assert not found.melts_through
    assert found.dissolved_paste == 1
    assert 0.1 < found.dissolved_ball < 0.2
    assert found.dissolved_ball_bound < found.dissolved_ball


def test_a_hotter_peak_dissolves_more_until_the_ball_is_through() -> None:
    peaks = (150.0, 165.0, 180.0, 195.0, 205.0, 211.0, 213.0, 225.0)
    shares = [mixing(replace(JOINT, peak_c=peak)).dissolved_ball for peak in peaks]
    assert shares == sorted(shares)
    assert shares[-3] < 1
    assert shares[-2:] == [1.0, 1.0]
    through = mixing(replace(JOINT, peak_c=213.0))
    assert through.melts_through
    assert through.full_melt_c < 213
    assert through.liquid_at_peak == pytest.approx(1)
    assert through.band is not None
    assert through.band.height_share == 1


def test_just_above_full_melting_it_melts_through_and_just_below_not() -> None:
    full = mixing(JOINT).full_melt_c
    assert mixing(replace(JOINT, peak_c=full + 0.1)).melts_through
    assert not mixing(replace(JOINT, peak_c=full - 0.1)).melts_through


def test_below_the_paste_nothing_mixes() -> None:
    found = mixing(replace(JOINT, peak_c=130.0))
    assert (found.dissolved_ball, found.dissolved_paste, found.band) == (0.0, 0.0, None)


def test_the_height_factor_is_for_diffusion() -> None:
    plain, calibrated = mixing(JOINT).band, mixing(replace(JOINT, height_factor=2.0)).band
    assert plain is not None
    assert calibrated is not None
    assert calibrated.height_share == pytest.approx(2 * plain.height_share)
    assert calibrated.composition == plain.composition


def test_a_tin_bismuth_ball_in_sac_paste() -> None:
    much = Deposit(0.60, 0.15, "round", 0.85, 0.5)
    cool = mixing(replace(JOINT, ball=SNBI, paste=SAC, deposit=much, peak_c=145.0))
    assert cool.dissolved_ball == 1
    assert 0 < cool.dissolved_paste < 1
    hot = mixing(replace(JOINT, ball=SNBI, paste=SAC, peak_c=240.0))
    assert hot.melts_through


def test_a_tin_lead_ball_leaves_liquid_at_100() -> None:
    found = mixing(replace(JOINT, ball=SNPB, peak_c=180.0))
    assert found.band is not None
    assert found.band.left_at[100.0] > 0.01
    assert mixing(JOINT).left_at[100.0] == 0


def test_an_alloy_that_is_not_covered_still_has_a_composition_and_a_height() -> None:
    found = mixed_joint(replace(JOINT, paste=read_composition("Sn48In52")))
    assert isinstance(found.mixing, NotCovered)
    assert "indium" in found.mixing.reason
    assert found.composition.wt_pct["In"] > 0
    assert found.standoff_collapsed_mm < found.standoff_unmelted_mm


def test_thick_gold_is_counted_by_mass_alone() -> None:
    gold = read_composition("Au")
    mass = layer_mg(gold, 0.1, 1.0)
    assert mass == pytest.approx(0.1 * 1e-3 * 19.30)
    found = mixed_joint(replace(JOINT, pad_metal_mg=((gold, mass),)))
    assert found.composition.wt_pct["Au"] == pytest.approx(100 * mass / (JOINT.ball_mg + JOINT.paste_mg + mass))
    assert isinstance(found.mixing, NotCovered)


def test_lead_free_levelling_taken_up_from_the_pad() -> None:
    hasl = read_composition("Sn99.3Cu0.7")
    found = mixing(replace(JOINT, pad_metal_mg=((hasl, layer_mg(hasl, 0.1, 10)),)))
    assert found.full_melt_c > mixing(JOINT).full_melt_c


def test_repair_wire_in_a_joint() -> None:
    found = diluted([(SNBI, 10.0), (SAC, 3.0)])
    assert isinstance(found.melting, MeltingRange)
    assert found.melting.matrix_liquidus_c > 150
    assert isinstance(diluted([(SNBI, 10.0), (read_composition("Sn95Sb5"), 1.0)]).melting, NotCovered)


def test_what_a_melt_takes_up() -> None:
    assert taken_up(SNBI, SAC, 130.0) is None
    assert taken_up(SNBI, SAC, 250.0) == float("inf")
    ratio = taken_up(SNBI, SAC, 185.0)
    assert ratio is not None
    assert ratio == pytest.approx(mixing(JOINT).dissolved_ball * JOINT.ball_mg / JOINT.paste_mg, rel=1e-6)


def test_many_joints_are_each_alone() -> None:
    joints = [replace(JOINT, peak_c=peak, ball=ball) for peak in (170.0, 190.0) for ball in (SAC, SNPB, SNBI)]
    for together, joint in zip(mixed_joints(joints), joints, strict=True):
        alone = mixed_joint(joint)
        assert together.composition == alone.composition
        assert isinstance(together.mixing, Mixing)
        assert isinstance(alone.mixing, Mixing)
        assert together.mixing.dissolved_ball == pytest.approx(alone.mixing.dissolved_ball, abs=1e-6)
    assert mixed_joints([]) == []


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ball_diameter_mm": 0.0}, "ball_diameter_mm"),
        ({"pad_board_mm": 5.0}, "pad_board_mm"),
        ({"peak_c": 500.0}, "peak_c"),
        ({"peak_c": float("nan")}, "peak_c"),
        ({"height_factor": 5.0}, "height_factor"),
        ({"pad_metal_mg": ((SAC, -1.0),)}, "pad_metal_mg"),
    ],
)
def test_limits_of_a_joint(change: dict[str, object], field: str) -> None:
    with pytest.raises(InvalidInputError) as caught:
        replace(JOINT, **change)  # type: ignore[arg-type]
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"transfer_efficiency": 0.0}, "transfer_efficiency"),
        ({"foil_mm": -0.1}, "foil_mm"),
        ({"metal_volume_share": 1.5}, "metal_volume_share"),
        ({"shape": "oval"}, "aperture_shape"),
    ],
)
def test_limits_of_a_deposit(change: dict[str, object], field: str) -> None:
    with pytest.raises(InvalidInputError) as caught:
        replace(DEPOSIT, **change)  # type: ignore[arg-type]
    assert caught.value.field == field
