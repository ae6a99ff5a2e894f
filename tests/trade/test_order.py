from webapp.trade.order import in_order, order_key


def test_figures_count_as_numbers():
    assert in_order(["C10", "C2", "R1", "c3", "C2"]) == ("C2", "c3", "C10", "R1")


def test_the_key_sorts_as_text():
    names = ["U10", "C100", "U1B", "C2", "R1", "U1A", "C10"]
    assert sorted(names, key=order_key) == ["C2", "C10", "C100", "R1", "U1A", "U1B", "U10"]
