"""Results kept by their inputs."""

from collections.abc import Sequence

from webapp.science.memory import Memory


class Squares:
    """Counts what it is asked for."""

    def __init__(self) -> None:
        self.asked: list[int] = []

    def __call__(self, keys: Sequence[int]) -> list[int]:
        self.asked += keys
        return [key * key for key in keys]


def test_known_results_are_not_calculated_again() -> None:
    memory, squares = Memory[int, int](10), Squares()
    assert memory.fill([2, 3, 2], squares) == {2: 4, 3: 9}
    assert memory.fill([3, 4], squares) == {3: 9, 4: 16}
    assert squares.asked == [2, 3, 4]


def test_the_oldest_goes_first() -> None:
    memory, squares = Memory[int, int](2), Squares()
    memory.fill([1, 2], squares)
    memory.fill([1], squares)
    memory.fill([3], squares)
    memory.fill([1], squares)
    memory.fill([2], squares)
    assert squares.asked == [1, 2, 3, 2]


def test_more_than_fits_is_still_answered() -> None:
    assert Memory[int, int](1).fill([1, 2, 3], Squares()) == {1: 1, 2: 4, 3: 9}
