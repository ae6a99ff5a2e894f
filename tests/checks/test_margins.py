import pytest

from webapp.checks.declare import registry
from webapp.checks.margins import margin_of


def test_room_below_a_limit_and_above_one():
    assert margin_of("body-limit", 183.0, 245.0) == 62.0
    assert margin_of("body-limit", 250.0, 245.0) == -5.0
    # A joint has to reach what its alloy melts at.
    assert margin_of("joint-forms", 172.0, 150.0) == 22.0
    assert margin_of("ball-mixing", 172.0, 220.0) == -48.0


@pytest.mark.parametrize(("value", "limit"), [(None, 1.0), (1.0, None), (None, None)])
def test_without_a_number_there_is_none(value, limit):
    assert margin_of("body-limit", value, limit) is None


def test_which_checks_want_their_limit_reached():
    assert {check.id for check in registry().values() if check.reaches} == {
        "joint-forms",
        "ball-mixing",
        "rework-alloy",
    }
