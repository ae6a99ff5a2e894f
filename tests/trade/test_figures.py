"""Figures of a site: defaults, own values, prices."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.figures import CURRENCY, RISING, FigureGroup, check_order, default_figures, price_per_kg, with_own
from webapp.trade.sources import Kind, Source, Status

OWN = Source(Kind.ENTERED, "trial of last autumn", Status.ENTERED)


@pytest.mark.parametrize("key", default_figures())
def test_every_default_is_plausible_and_says_where_it_is_from(key: str) -> None:
    figure = default_figures()[key]
    assert figure.plausible.contains(figure.value)
    assert figure.source.reference
    assert not figure.own


def test_the_shares_of_service_are_the_temperatures_they_stand_for() -> None:
    """Common practice, no source: 80, 97 and 105 °C for the eutectic, which melts at 138.8 °C."""
    melts_k = 138.8 + 273.15
    shares = [default_figures()[key].value for key in RISING[0]]
    assert [round(share * melts_k - 273.15) for share in shares] == [80, 98, 105]


def test_an_own_value_takes_the_place_of_the_default() -> None:
    figures = with_own([default_figures()["superheat_k"].set_to(15, OWN)])
    assert (figures["superheat_k"].text, figures["superheat_k"].source, figures["superheat_k"].own) == (
        "15 K",
        OWN,
        True,
    )
    assert figures["near_limit_k"] == default_figures()["near_limit_k"]


def test_what_is_not_plausible_or_out_of_order_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="outside"):
        default_figures()["superheat_k"].set_to(500, OWN)
    with pytest.raises(InvalidInputError, match="may not be above"):
        check_order(with_own([default_figures()["thin_band_pct"].set_to(80, OWN)]))


def test_every_price_says_its_currency() -> None:
    prices = [figure for figure in default_figures().values() if figure.group is FigureGroup.METALS]
    assert {figure.unit for figure in prices} == {f"{CURRENCY} per kg"}
    assert default_figures()["price_sn"].text == "33 USD per kg"


def test_the_price_of_an_alloy_is_that_of_its_metals() -> None:
    figures = with_own([default_figures()["price_sn"].set_to(30, OWN), default_figures()["price_bi"].set_to(20, OWN)])
    assert price_per_kg({"Sn": 42, "Bi": 58}, figures) == pytest.approx(24.2)
    assert price_per_kg({"Sn": 99, "Xx": 1}, figures) is None
    assert {figure.group for key, figure in figures.items() if key.startswith("price_")} == {FigureGroup.METALS}
