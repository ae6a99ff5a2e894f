"""The elements of solders."""

from webapp.trade.elements import ELEMENTS


def test_symbols_are_keys_and_figures_are_sane() -> None:
    for symbol, element in ELEMENTS.items():
        assert element.symbol == symbol
        assert 1 < element.density_g_cm3 < 20
        assert 25 < element.melting_c < 1600
        assert 20 < element.atomic_mass_g_mol < 210
