from enum import StrEnum

import pytest

from webapp.web.paging import UnknownViewError, View, Window, chosen, chosen_sort


class Fruit(StrEnum):
    APPLE = "apple"
    PEAR = "pear"


@pytest.mark.parametrize(
    ("number", "total", "shown"),
    [
        (1, 0, (1, 0, 0, None, None)),
        (1, 100, (1, 1, 100, None, None)),
        (1, 101, (1, 1, 100, None, 2)),
        (2, 101, (2, 101, 101, 1, None)),
        (9, 101, (2, 101, 101, 1, None)),
        (-3, 250, (1, 1, 100, None, 2)),
        (2, 250, (2, 101, 200, 1, 3)),
    ],
)
def test_windows(number, total, shown):
    window = Window.at(number, total)
    assert (window.number, window.first, window.last, window.previous, window.following) == shown


def test_addresses_leave_defaults_out():
    view = View("/products", {"show": "all", "q": "a b&c", "page": 3}, {"show": "all", "page": 1})
    assert view.address() == "/products?q=a+b%26c&page=3"
    assert view.address(page=1) == "/products?q=a+b%26c"
    assert view.address(q=None, page=None) == "/products"
    assert view.address(show="dnp") == "/products?show=dnp&q=a+b%26c&page=3"
    assert view.sorting() == "/products?q=a+b%26c&sort="
    assert View("/x", {}, {}).sorting() == "/x?sort="


def test_what_a_view_has_no_name_for_is_refused():
    view = View("/products", {"q": "", "page": 1}, {})
    view.refuse_others(["q", "done"], "done")
    with pytest.raises(UnknownViewError, match=r'There is no "sort" to choose here; there are: q, page\.') as caught:
        view.refuse_others(["q", "sort"], "done")
    assert caught.value.status == 400


def test_choices():
    assert chosen(Fruit, "pear", "fruit") is Fruit.PEAR
    with pytest.raises(UnknownViewError, match='"plum" is no fruit; there are: apple, pear') as caught:
        chosen(Fruit, "plum", "fruit")
    assert caught.value.status == 400
    assert chosen(Fruit, "pear", "fruit", [Fruit.PEAR]) is Fruit.PEAR
    with pytest.raises(UnknownViewError, match='"apple" is no fruit; there are: pear'):
        chosen(Fruit, "apple", "fruit", [Fruit.PEAR])


def test_orders():
    sorts = {"alloy": 1, "price": 2}
    assert [chosen_sort(text, sorts) for text in ("", "alloy", "-price")] == ["", "alloy", "-price"]
    for text in ("-", "--alloy", "Alloy"):
        with pytest.raises(UnknownViewError, match='there are: alloy, price, with "-" for downwards'):
            chosen_sort(text, sorts)
