from webapp.trade.order import in_order, order_key, ordered


def test_figures_count_as_numbers():
    assert in_order(["C10", "C2", "R1", "c3", "C2"]) == ("C2", "c3", "C10", "R1")


def test_the_key_sorts_as_text():
    names = ["U10", "C100", "U1B", "C2", "R1", "U1A", "C10"]
    assert sorted(names, key=order_key) == ["C2", "C10", "C100", "R1", "U1A", "U1B", "U10"]


def test_all_kinds_of_designators_in_order():
    names = ["C10", "C2", "R1", "C2A", "c3", "PC3/PB8", "5V", "C2"]
    assert ordered(names) == ["5V", "C2", "C2", "C2A", "c3", "C10", "PC3/PB8", "R1"]
    assert ordered(["C²", "C1", "TP", "R"]) == ["C1", "C²", "R", "TP"]
