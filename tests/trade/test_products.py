import pytest

from webapp.errors import InvalidInputError
from webapp.trade.products import code_key, tidy_code, tidy_note, tidy_product_name


@pytest.mark.parametrize(
    ("typed", "kept"),
    [(" HL-2 ", "HL-2"), ("PRÜF  7", "PRÜF 7"), ("A/B.c_d", "A/B.c_d"), ("7", "7"), ("x" * 40, "x" * 40)],
)
def test_codes_that_pass(typed, kept):
    assert tidy_code(typed) == kept


@pytest.mark.parametrize(
    "typed", ["", " ", "-A", "/A", "A/", "A//B", "A/..", "..", "A?b", "A#1", "A%2F", "x" * 41, "A\x00"]
)
def test_codes_that_do_not(typed):
    with pytest.raises(InvalidInputError) as caught:
        tidy_code(typed)
    assert caught.value.field == "code"


@pytest.mark.parametrize("typed", ["A/setup", "A/Findings", "A/route/2", "A/B/heat"])
def test_codes_that_read_as_a_page_of_a_product(typed):
    with pytest.raises(InvalidInputError, match="is a page of a product"):
        tidy_code(typed)
    assert tidy_code("setup") == "setup"


def test_codes_that_differ_in_case_or_composition_only_are_one():
    assert code_key("hl-2") == code_key("HL-2") == code_key(" HL-2")
    assert code_key("U\u0308-1") == code_key("\u00dc-1") == code_key("\u00fc-1")
    assert code_key("HL-2") != code_key("HL-3")


def test_names_and_notes():
    assert tidy_product_name(" Harbour   logger ") == "Harbour logger"
    for bad in ("", " ", "x" * 201, "a\x07"):
        with pytest.raises(InvalidInputError):
            tidy_product_name(bad)
    assert tidy_note(" a\r\nb ") == "a\nb"
    assert tidy_note("") == ""
    with pytest.raises(InvalidInputError, match="has 501"):
        tidy_note("x" * 501)
