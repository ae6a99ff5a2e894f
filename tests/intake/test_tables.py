"""Where tables stand in a sheet."""

from webapp.intake.tables import find_tables, header_score, is_repeat

HEADER = ["Item", "Designator", "Qty", "MPN"]


def test_the_header_stands_below_a_title_block() -> None:
    rows = [["Bill of materials"], [], ["Project:", "Weather node"], [], HEADER, ["1", "C1", "1", "AC-1001"]]
    (table,) = find_tables(rows)
    assert (table.header_row, table.first_row, table.last_row) == (5, 6, 6)


def test_a_group_row_above_the_header_is_no_header() -> None:
    rows = [["Part", "", "", "Sellers"], HEADER, ["1", "C1", "1", "AC-1001"]]
    assert find_tables(rows)[0].header_row == 2


def test_a_second_table_has_its_own_header() -> None:
    other = ["Reference", "Value", "Manufacturer", "Quantity"]
    rows = [HEADER, ["1", "C1", "1", "A"], [], other, ["R1", "10k", "Aldern", "1"]]
    assert [(t.header_row, t.first_row, t.last_row) for t in find_tables(rows)] == [(1, 2, 3), (4, 5, 5)]


def test_a_repeated_header_is_no_table_of_its_own() -> None:
    rows = [HEADER, ["1", "C1", "1", "A"], ["page 2"], HEADER, ["2", "C2", "1", "A"]]
    assert len(find_tables(rows)) == 1
    assert is_repeat([cell.upper() for cell in HEADER], HEADER)
    assert not is_repeat(["1", "C1", "1", "A"], HEADER)


def test_data_are_no_header() -> None:
    assert header_score(["1", "C1", "1", "AC-1001"]) == 0
    assert header_score(["R1", "Value"]) == 0
    assert header_score(["Designator"]) == 0
    assert header_score(HEADER) > 2


def test_a_header_may_name_some_columns_by_numbers_or_codes() -> None:
    assert header_score(["Ref", "Value", "Qty", "D1PN"]) > 2
    assert header_score(["Ref", "Qty", "Value", "1", "10", "100+"]) > 2, "prices for so many pieces"
    assert header_score(["Ref", "Qty", "Value", "100", "7"]) == 0


def test_a_header_in_unknown_words_stands_right_above_the_designators() -> None:
    assert find_tables([["Stelo", "Signo"], ["a", "C1"], ["b", "R1"]])[0].header_row == 1
    assert find_tables([["Stelo 1", "Signo"], ["a", "C1"], ["b", "R1"]])[0].header_row is None
    assert find_tables([["a", ""], ["a", "C1"], ["b", "R1"]])[0].header_row is None


def test_a_persons_header_row_wins() -> None:
    rows = [HEADER, ["1", "C1", "1", "A"]]
    assert find_tables(rows, 0)[0].header_row is None
    assert find_tables(rows, 2)[0].header_row == 2
    assert find_tables(rows, 99)[0].header_row is None
