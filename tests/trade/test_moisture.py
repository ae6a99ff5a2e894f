"""Moisture tables as functions of ranges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.errors import InvalidInputError
from webapp.trade.masks import Msl
from webapp.trade.moisture import (
    Process,
    classification_temperature_c,
    derated_floor_life,
    dryings,
    floor_life_h,
)
from webapp.trade.ranges import NOT_NEGATIVE, Span

thickness = st.floats(0, 6)
volume = st.floats(0, 5000)


@given(thickness, thickness, volume, volume, st.sampled_from(list(Process)), st.sampled_from("CDE"))
def test_a_range_holds_the_limit_of_every_body_in_it(
    t1: float, t2: float, v1: float, v2: float, process: Process, revision: str
) -> None:
    sizes = (Span(*sorted((t1, t2))), Span(*sorted((v1, v2))))
    whole = classification_temperature_c(*sizes, process, revision)
    for t, v in ((t1, v1), (t1, v2), (t2, v1), (t2, v2)):
        at = classification_temperature_c(Span.exactly(t), Span.exactly(v), process, revision)
        assert at.known  # every body falls into exactly one cell
        assert whole.contains(at)


def test_nothing_known_gives_the_whole_table() -> None:
    assert classification_temperature_c(NOT_NEGATIVE, NOT_NEGATIVE) == Span(245, 260)


def test_sizes_and_revisions_that_are_none() -> None:
    with pytest.raises(InvalidInputError):
        classification_temperature_c(Span(-1, 1), Span(0, 1))
    with pytest.raises(InvalidInputError):
        classification_temperature_c(Span(1, 1), Span(1, 1), revision="B")


def test_floor_life_of_several_levels() -> None:
    assert floor_life_h(Msl.L2A | Msl.L3) == Span(168, 672)
    assert floor_life_h(Msl.L1 | Msl.L6) == Span(0, math.inf)
    with pytest.raises(InvalidInputError):
        floor_life_h(Msl(0))


@given(
    st.sampled_from([Msl.L2A, Msl.L3, Msl.L4, Msl.L5, Msl.L5A]),
    st.floats(5, 90),
    st.floats(5, 90),
    st.floats(20, 35),
    st.floats(20, 35),
)
def test_a_damper_or_warmer_room_never_lengthens_floor_life(
    level: Msl, rh1: float, rh2: float, t1: float, t2: float
) -> None:
    thick = Span.exactly(3.5)
    mild = derated_floor_life(level, thick, min(rh1, rh2), min(t1, t2))
    harsh = derated_floor_life(level, thick, max(rh1, rh2), max(t1, t2))
    assert mild is not None
    assert harsh is not None
    assert harsh.hours.low <= mild.hours.low


def test_an_unknown_thickness_takes_both_ends() -> None:
    # thin bodies take up moisture faster above 60 % RH: the range must hold the thin and the thick value
    thin = derated_floor_life(Msl.L3, Span.exactly(1.0), 70, 30)
    thick = derated_floor_life(Msl.L3, Span.exactly(3.5), 70, 30)
    either = derated_floor_life(Msl.L3, Span(1.0, 3.5), 70, 30)
    assert thin is not None
    assert thick is not None
    assert either is not None
    assert either.hours.contains(thin.hours)
    assert either.hours.contains(thick.hours)
    assert thin.hours.high < thick.hours.low


@pytest.mark.parametrize(
    ("level", "rh", "ambient"), [(Msl.L3, 60, 36), (Msl.L3, 95, 30), (Msl.L1, 60, 30), (Msl.L6, 60, 30)]
)
def test_outside_the_table_there_is_no_value(level: Msl, rh: float, ambient: float) -> None:
    assert derated_floor_life(level, Span.exactly(3.5), rh, ambient) is None


def test_a_body_that_may_be_thinner_than_all_rows_has_no_value() -> None:
    assert derated_floor_life(Msl.L5, Span(1.0, 3.5), 60, 30) is None


def test_bakes_hottest_first_and_large_arrays_last() -> None:
    found = dryings(Msl.L3, Span.exactly(1.2))
    assert [item.bake_c for item in found] == [125, 90, 40, 125]
    assert found[-1].scope
    assert dryings(Msl.L1, Span.exactly(1.2)) == ()
