import pytest

from webapp.errors import UnreadableFileError
from webapp.intake.limits import Limits
from webapp.intake.reach import check_reach

LIMITS = Limits(rows=100, columns=20, cells=1_000)


def test_at_the_limits() -> None:
    check_reach(100, 10, LIMITS)
    check_reach(50, 20, LIMITS)
    check_reach(0, 0, LIMITS)


@pytest.mark.parametrize(
    ("rows", "columns", "code", "named"),
    [
        (101, 1, "too_many_rows", "100 rows"),
        (1, 21, "too_many_columns", "20 columns"),
        (100, 11, "too_many_cells", "1,000 cells"),
    ],
)
def test_past_a_limit_the_sentence_names_it(rows: int, columns: int, code: str, named: str) -> None:
    with pytest.raises(UnreadableFileError) as refused:
        check_reach(rows, columns, LIMITS)
    assert refused.value.code == code
    assert named in refused.value.message
