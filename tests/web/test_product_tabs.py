from types import SimpleNamespace

from webapp.web.product_tabs import Tab, joint_address, tabs_of


def case(*, is_today, shown=5, assessed=True, prove=3):
    row = SimpleNamespace(blocks=1, change=0, prove=prove, gain=0, shown=shown)
    return SimpleNamespace(is_today=is_today, row=row, assessed_at=assessed or None)


def test_a_product_without_a_route_counts_lines_only():
    assert tabs_of("/products/A", Tab.SETUP, 12, []) == [
        ("BOM", "/products/A", False, 12),
        ("Setup", "/products/A/setup", True, None),
        ("Route", "/products/A/route", False, 0),
        ("Findings", "/products/A/findings", False, None),
        ("Joints", "/products/A/joints", False, None),
    ]


def test_the_findings_of_the_first_candidate_are_counted():
    cases = [case(is_today=True), case(is_today=False, shown=7), case(is_today=False, shown=9)]
    assert [tab[3] for tab in tabs_of("/p", Tab.BOM, 1, cases)] == [1, None, 3, 7, None]
    assert tabs_of("/p", Tab.FINDINGS, 1, cases, cases[2])[3][3] == 9
    assert tabs_of("/p", Tab.BOM, 1, cases[:1])[3][3] == 4
    assert tabs_of("/p", Tab.BOM, 1, [case(is_today=False, assessed=False)])[3][3] is None


def test_the_address_of_a_joint():
    assert joint_address("/products/A", 7) == "/products/A/joints/7"
    assert joint_address("/products/A", 7, "low & slow", 2) == "/products/A/joints/7?case=low+%26+slow&step=2"
