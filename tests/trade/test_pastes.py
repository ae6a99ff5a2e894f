"""Pastes: examples and flux designators."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.pastes import PasteExample, parse_flux, paste_examples
from webapp.trade.ranges import Span
from webapp.trade.sources import Status


@pytest.mark.parametrize("paste", paste_examples(), ids=lambda paste: paste.name)
def test_examples_can_be_soldered_and_are_no_real_paste(paste: PasteExample) -> None:
    assert paste.name.startswith("Example ")
    assert paste.peak_c.low > paste.alloy.melted_c
    assert 80 < paste.metal_wt_pct < 95
    assert paste.source.status is Status.PRACTICE


def test_a_low_temperature_paste_comes_first() -> None:
    assert paste_examples()[0].alloy.low_temperature


def test_flux_designators() -> None:
    flux = parse_flux("ro l0")
    assert (flux.designator, flux.base, flux.activity) == ("ROL0", "rosin", "low")
    assert flux.halide_wt_pct.meets(Span.exactly(0.04))
    assert not flux.halide_wt_pct.meets(Span.exactly(0.05))
    assert parse_flux("ORH1").halide_wt_pct.meets(Span.exactly(3))


@pytest.mark.parametrize("text", ["", "ROL2", "XXL0", "ROL", "no-clean"])
def test_what_is_no_flux_designator(text: str) -> None:
    with pytest.raises(InvalidInputError) as caught:
        parse_flux(text)
    assert caught.value.field == "flux"
