"""Masks of what is possible."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.trade.classes import PartClass
from webapp.trade.masks import (
    LEAD_FREE_BALLS,
    LEAD_FREE_FINISHES,
    BallAlloy,
    BoardFinish,
    Finish,
    Joints,
    Mounting,
    Msl,
    Possible,
)

ALL = [Mounting, Finish, BallAlloy, BoardFinish, Msl, Joints, PartClass]


@pytest.mark.parametrize("mask", ALL)
def test_every_member_has_words_of_its_own_and_fits_a_stored_number(mask: type[Possible]) -> None:
    assert {member.value for member in mask} == set(mask.vocabulary())
    assert len(set(mask.vocabulary().values())) == len(mask.vocabulary())
    assert 0 < mask.everything() < 2**63


@pytest.mark.parametrize("mask", ALL)
@given(data=st.data())
def test_keys_are_read_back(mask: type[Possible], data: st.DataObject) -> None:
    value = mask(data.draw(st.integers(0, int(mask.everything()))) & int(mask.everything()))
    assert mask.from_keys(value.keys) == value


@given(st.integers(1, 1023), st.integers(1, 1023))
def test_narrowing_never_adds_a_possibility(first: int, second: int) -> None:
    if first & second:
        narrowed = Finish(first).narrowed_by(Finish(second))
        assert narrowed in Finish(first)
        assert narrowed in Finish(second)
    else:
        with pytest.raises(InvalidInputError, match="contradict"):
            Finish(first).narrowed_by(Finish(second))


def test_words() -> None:
    assert Finish.E3.words == "tin (e3)"
    assert (Finish.E3 | Finish.E4).words == "tin (e3) or precious metal without tin (e4)"
    assert Finish.everything().words == "not known"
    assert BallAlloy(0).words == "does not apply"
    assert (Joints.LANDS | Joints.THERMAL_PAD).words == "lands under the body and thermal pad"


def test_an_unknown_key_is_named() -> None:
    with pytest.raises(InvalidInputError, match="e11"):
        Finish.from_keys("e3 e11")


def test_lead() -> None:
    assert Finish.E0.holds_lead
    assert (Finish.E0 | Finish.E3).may_hold_lead
    assert not (Finish.E0 | Finish.E3).holds_lead
    assert not LEAD_FREE_FINISHES.may_hold_lead
    assert not LEAD_FREE_BALLS.may_hold_lead
    assert BallAlloy.HIGH_LEAD.may_hold_lead
    assert BoardFinish.HASL_LEAD.may_hold_lead
    assert not BoardFinish.HASL_LEAD_FREE.may_hold_lead


@pytest.mark.parametrize("text", ["3", "MSL 3", "msl-3", "MSL: 3", "L3"])
def test_moisture_levels_as_typed(text: str) -> None:
    assert Msl.from_level(text) is Msl.L3


def test_moisture_levels_are_ordered() -> None:
    possible = Msl.L2A | Msl.L3 | Msl.L5A
    assert (possible.best, possible.worst) == (Msl.L2A, Msl.L5A)
    assert [level.level for level in Msl] == ["1", "2", "2a", "3", "4", "5", "5a", "6"]
    with pytest.raises(InvalidInputError):
        Msl.from_level("7")


def test_what_may_see_an_oven() -> None:
    assert (Mounting.SMD | Mounting.HAND).may_see_reflow
    assert not Mounting.THROUGH_HOLE.may_see_reflow
