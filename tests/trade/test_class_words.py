from itertools import permutations

import pytest

from webapp.trade.class_words import classes_in
from webapp.trade.classes import PartClass


def test_no_words_are_part_of_anothers():
    inside = [(a.words, b.words) for a, b in permutations(PartClass, 2) if a.words.casefold() in b.words.casefold()]
    assert inside == []


@pytest.mark.parametrize(
    "classes",
    [*PartClass, PartClass.everything(), PartClass.LED | PartClass.RELAY, PartClass.CELL | PartClass.SMALL_SEMI],
)
def test_words_read_back(classes):
    assert classes_in(classes.words) == classes


def test_other_words_are_no_class():
    assert classes_in("something else") == PartClass(0)
    assert classes_in("") == PartClass(0)
