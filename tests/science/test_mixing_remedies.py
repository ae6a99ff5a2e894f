"""Deposits and peaks that melt a ball through or keep it whole."""

from dataclasses import replace

import pytest

from tests.science.test_mixing import JOINT, SNPB, mixing
from webapp.science.mixing import Deposit
from webapp.science.mixing_remedies import MixingRemedy, to_keep_unmelted, to_melt_through
from webapp.trade.composition import read_composition


def by_change(remedies: list[MixingRemedy]) -> dict[str, MixingRemedy]:
    return {remedy.change: remedy for remedy in remedies}


def test_melting_through_is_reached_and_not_overdone() -> None:
    remedies = by_change(to_melt_through(JOINT, margin_k=0.0))
    aperture, peak = remedies["aperture"], remedies["peak"]
    for remedy in (aperture, peak):
        assert mixing(remedy.joint).dissolved_ball == pytest.approx(1, abs=0.01)
    assert aperture.change_share > 1
    assert aperture.area_ratio == pytest.approx(aperture.joint.deposit.aperture_mm / 0.4)
    assert peak.peak_change_k == pytest.approx(mixing(JOINT).full_melt_c - 185, abs=0.05)


def test_with_a_margin_it_holds_below_the_peak() -> None:
    for remedy in to_melt_through(JOINT, margin_k=5.0):
        cooler = replace(remedy.joint, peak_c=remedy.joint.peak_c - 4.9)
        assert mixing(cooler).melts_through


def test_keeping_the_ball_whole() -> None:
    remedies = by_change(to_keep_unmelted(JOINT, share=0.05, margin_k=0.0))
    for remedy in remedies.values():
        assert mixing(remedy.joint).dissolved_ball == pytest.approx(0.05, abs=0.002)
    assert remedies["aperture"].area_ratio < JOINT.deposit.area_ratio
    assert remedies["peak"].peak_change_k < 0


def test_a_foil_that_nobody_cuts_is_not_offered() -> None:
    assert "foil" not in by_change(to_melt_through(JOINT))
    thin = replace(JOINT, deposit=Deposit(0.40, 0.20, "round", 0.85, 0.5))
    assert "foil" in by_change(to_keep_unmelted(thin, share=0.1))


def test_nothing_to_do() -> None:
    assert to_melt_through(replace(JOINT, peak_c=230.0)) == []
    assert to_keep_unmelted(replace(JOINT, peak_c=150.0), share=0.5) == []
    assert to_keep_unmelted(replace(JOINT, peak_c=120.0)) == []


def test_not_covered_has_no_remedy() -> None:
    joint = replace(JOINT, paste=read_composition("Sn48In52"))
    assert to_melt_through(joint) == to_keep_unmelted(joint) == []


def test_a_ball_that_melts_by_itself_is_kept_by_the_peak_alone() -> None:
    joint = replace(JOINT, ball=SNPB, peak_c=190.0)
    assert {remedy.change for remedy in to_keep_unmelted(joint, share=0.3)} <= {"peak"}
