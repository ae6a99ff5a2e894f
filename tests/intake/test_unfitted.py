"""Not fitted: the ways in which BOMs say so (common practice, no source)."""

import pytest

from webapp.intake.unfitted import (
    is_conditional,
    is_not_fitted_word,
    marked_in,
    may_say_not_fitted,
    says_not_fitted,
    value_says_not_fitted,
)

SAYINGS = (
    "D.N.P.|D/N/F|DO-NOT-POPULATE"
    "|DNP|dni|DNF|10k DNP|DNP_R0402|Do not populate|Don't fit|NOT FITTED|not mounted|No Stuff|NOPOP|unpopulated"
    "|nicht bestückt|nicht bestuecken|unbestückt|ne pas monter|non câblé|no montar|sin montar|non montare|não montar"
    "|Не устанавливать|не паять|не уст.|不贴|不焊接|空贴|不貼|未実装|実装しない|미실장|미삽|bleibt leer|leave empty"
    "|não populado|niet geplaatst|nie montować|neosazovat|Neosazeno|monteras ej|ej monterad|monteres ikke"
    "|nem kell beültetni|ei asenneta|takılmayacak|không hàn|не встановлювати|DO_NOT_POPULATE|n. best.|nu se montează"
    "|excluded from BOM|omitted|DNS"
).split("|")
OTHERS = (
    "Don't place near the heat sink|no load on the pins|no solder mask|does not fit the pads|header, pin 7 not fitted"
    "|unmounted heatsink|Do not solder by hand, use reflow|no pop-up|do not mount upside down|no install needed|DNF-20"
    "|NP0|X7R NPO|Kondensator|DNPX|connector|not|10k|Sunny day|notched|Fitted|红色"
).split("|")


@pytest.mark.parametrize("text", SAYINGS)
def test_sayings(text: str) -> None:
    assert says_not_fitted(text)
    assert may_say_not_fitted(f"R1\n10k\n{text}\n0603"), "the quick look must not miss what the slow one finds"


@pytest.mark.parametrize("text", OTHERS)
def test_other_words(text: str) -> None:
    assert not says_not_fitted(text)


@pytest.mark.parametrize(
    "text", "not fitted in variant B|DNP for RevA|DNP if R2 is fitted|do not fit with U3".split("|")
)
def test_conditions(text: str) -> None:
    assert is_conditional(text)


@pytest.mark.parametrize("text", "not fitted in this version|DNP by default|not fitted in all versions|DNP".split("|"))
def test_no_conditions(text: str) -> None:
    assert says_not_fitted(text)
    assert not is_conditional(text)


def test_a_long_remark_counts_only_where_it_begins_with_it() -> None:
    rest = " on the boards of the first series, later ones carry the value given by the laboratory"
    assert says_not_fitted("Do not fit" + rest)
    assert not says_not_fitted("The value is trimmed," + rest + ", else do not fit")


@pytest.mark.parametrize("text", "NC|nf|N/S|n.u.|N.M.|n/c|NB|n.b.|not used|entfällt|(NF)|DNL|leave open".split("|"))
def test_short_forms_count_only_as_the_whole_cell(text: str) -> None:
    assert is_not_fitted_word(text)
    assert may_say_not_fitted(f"R1\n{text}")
    assert not is_not_fitted_word(f"relay {text} contact")


def test_nota_bene_is_no_short_form() -> None:
    assert not says_not_fitted("N.B. mind the polarity")


@pytest.mark.parametrize(
    "value",
    "10k/NC|10k (NF)|10k NF|100n NM|NL/10K|0R n.b.|4k7, NC|NF 10k|10k/NP|10kDNP|1k_NC".split("|"),
)
def test_values_with_a_short_form(value: str) -> None:
    assert value_says_not_fitted(value, "R")
    assert may_say_not_fitted(f"R1\n{value}")


@pytest.mark.parametrize("value", ["100 NF", "100NF", "10uF NP", "SPST NC", "24V NC", "10k", "NC7WZ04", "1M5"])
def test_values_that_only_look_like_it(value: str) -> None:
    assert not value_says_not_fitted(value, "R")


def test_a_capacitor_may_be_non_polar() -> None:
    assert not value_says_not_fitted("10u/NP", "C")


def test_an_open_resistor_is_none_but_an_open_jumper_is() -> None:
    assert value_says_not_fitted("OPEN", "R")
    assert not value_says_not_fitted("open", "JP")


def test_designators_marked_one_by_one() -> None:
    names = ["C1", "C2", "C3", "C4"]
    assert marked_in("C1, C2(DNP), C3 [NF], C4 (0603)", names) == ("C2", "C3")
    assert marked_in("C1, C2 C3 DNP, C4", names) == ("C2", "C3")
    assert marked_in("C1, C2, C3, C4 - DNP", names) == tuple(names)
