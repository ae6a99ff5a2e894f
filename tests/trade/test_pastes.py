"""Pastes: examples and flux designators."""

import pytest

from webapp.errors import InvalidInputError
from webapp.trade.alloys import alloys
from webapp.trade.pastes import Paste, parse_flux, paste_examples
from webapp.trade.ranges import Span
from webapp.trade.sources import Status


@pytest.mark.parametrize("paste", paste_examples(), ids=lambda paste: paste.name)
def test_examples_can_be_soldered_and_are_no_real_paste(paste: Paste) -> None:
    assert paste.name.startswith("Example ")
    assert paste.peak_c.low > alloys()[paste.alloy].melted_c
    assert 80 < paste.metal_wt_pct < 95
    assert paste.source.status is Status.PRACTICE


def test_a_low_temperature_paste_comes_first() -> None:
    assert alloys()[paste_examples()[0].alloy].low_temperature


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


def test_the_metal_of_a_paste_is_half_its_volume() -> None:
    """IPC-7525: solder is about half of the paste's volume (at 90 wt% metal)."""
    paste = paste_examples()[0]
    assert paste.metal_wt_pct == 90
    # 90 / 8.56 over 90 / 8.56 + 10 / 1.0
    assert paste.metal_volume_share(8.56) == pytest.approx(0.5125, abs=0.0005)
