"""Statements over many parts never lift a kind above what its own table row says the best of its parts stand."""

import pytest

from webapp.trade.blanket import settles_limit, settles_passes
from webapp.trade.class_bounds import bounds_of
from webapp.trade.classes import PartClass


@pytest.mark.parametrize(
    ("classes", "limit_c", "passes"),
    [
        # the upper ends of part_classes.csv
        ("chip_resistor", 260, 3),
        ("can_large", 250, 2),
        ("header", 260, 2),
        ("relay", 130, None),
        # a cell, a display and a thermal cut-off do not stand an oven; cans and films with wires see the wave only
        ("cell", None, None),
        ("thermal_cutoff", None, None),
        ("can_leaded", None, None),
        ("film_leaded", None, None),
        # some supercapacitors stand 260 °C, which is for their own maker to say: the kind needs caution
        ("supercap", None, None),
        # one of the two is a cell
        ("cell connector", None, None),
        ("chip_resistor can_large", 250, 2),
    ],
)
def test_up_to_what_a_kind_is_settled(classes, limit_c, passes):
    kind = PartClass.from_keys(classes)
    assert [limit for limit in (100, 130, 250, 260, 261) if settles_limit(kind, limit)] == [
        limit for limit in (100, 130, 250, 260, 261) if limit_c and limit <= limit_c
    ]
    assert [count for count in (1, 2, 3, 4) if settles_passes(kind, count)] == [
        count for count in (1, 2, 3, 4) if passes and count <= passes
    ]


def test_no_kind_is_settled_above_its_own_end():
    for kind in PartClass:
        assert not settles_limit(kind, bounds_of(kind).limit_c.high + 1)
        assert not settles_passes(kind, bounds_of(kind).passes.high + 1)
