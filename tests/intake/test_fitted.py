"""Not fitted: the ways in which BOMs say so (common practice, no source)."""

import pytest

from webapp.intake.fitted import (
    FittedColumn,
    is_not_fitted_word,
    marked_in,
    may_say_not_fitted,
    named_in,
    says_not_fitted,
)

SAYINGS = (
    "DNP|dni|DNF|10k DNP|DNP_R0402|Do not populate|Don't fit|NOT FITTED|not mounted|No Stuff|NOPOP|unpopulated"
    "|nicht bestückt|nicht bestuecken|unbestückt|ne pas monter|non câblé|no montar|sin montar|non montare|não montar"
    "|Не устанавливать|не паять|不贴|不焊接|空贴|未実装|実装しない"
).split("|")
OTHERS = "NP0|X7R NPO|Kondensator|DNPX|connector|not|10k|Sunny day|notched|Fitted|红色".split("|")


@pytest.mark.parametrize("text", SAYINGS)
def test_sayings(text: str) -> None:
    assert says_not_fitted(text)
    assert may_say_not_fitted(f"R1\n10k\n{text}\n0603"), "the quick look must not miss what the slow one finds"


@pytest.mark.parametrize("text", OTHERS)
def test_other_words(text: str) -> None:
    assert not says_not_fitted(text)


def test_a_long_remark_counts_only_where_it_begins_with_it() -> None:
    rest = " on the boards of the first series, later ones carry the value given by the laboratory"
    assert says_not_fitted("Do not fit" + rest)
    assert not says_not_fitted("The value is trimmed," + rest + ", else do not fit")


@pytest.mark.parametrize("text", ["NC", "nf", "N.M.", "n/c", "NB"])
def test_short_forms_count_only_as_the_whole_cell(text: str) -> None:
    assert is_not_fitted_word(text)
    assert may_say_not_fitted(f"R1\n{text}")
    assert not is_not_fitted_word(f"relay {text} contact")


@pytest.mark.parametrize(
    ("text", "out"),
    [
        ("NF(C341 C342)", "C341 C342"),
        ("DNP: R2, R3", "R2 R3"),
        ("R8 not fitted", "R8"),
        ("nicht bestückt: R2", "R2"),
        ("see note R2", ""),
        ("DNP", ""),
        ("DNP: R99", ""),
    ],
)
def test_designators_named_in_a_remark(text: str, out: str) -> None:
    assert list(named_in(text, ["C341", "C342", "C343", "R2", "R3", "R8"])) == out.split()


def test_designators_marked_one_by_one() -> None:
    assert marked_in("C1, C2(DNP), C3 [NF], C4 (0603)", ["C1", "C2", "C3", "C4"]) == ("C2", "C3")


@pytest.mark.parametrize(
    ("header", "yes_is_fitted", "cell", "fitted"),
    [
        ("Fitted", True, "Yes", True),
        ("Fitted", True, "no", False),
        ("Fitted", True, "Not Fitted", False),
        ("Fitted", True, "", None),
        ("Populate", True, "0", False),
        ("Populate", True, "1", True),
        ("実装", True, "×", False),
        ("実装", True, "○", True),
        ("DNP", False, "1", False),
        ("DNP", False, "x", False),
        ("DNP", False, "0", True),
        ("DNP", False, "DNP", False),
        ("DNP", False, "", None),
        ("Assembly Info", False, "yes", None),
        ("Assembly Info", False, "NF", False),
    ],
)  # fmt: skip
def test_a_column_of_its_own(header: str, yes_is_fitted: bool, cell: str, fitted: bool | None) -> None:
    column = FittedColumn(header, ["yes", "no", "1", cell], yes_is_fitted=yes_is_fitted)
    assert column.says(cell) is fitted


def test_where_only_ticks_stand_the_unticked_are_not_fitted() -> None:
    assert FittedColumn("Mounted", ["x", "x", "", "x"], yes_is_fitted=True).says("") is False
    assert FittedColumn("Mounted", ["x", "", "", ""], yes_is_fitted=True).says("") is None, "too few ticks to be meant"
