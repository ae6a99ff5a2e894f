import pytest

from tests.web.pages.wizard import plain
from webapp.trade.tables import names, rows
from webapp.web.pages.standard_tables import GROUPS

SHOWN = [shown.name for group in GROUPS.values() for shown in group]


def test_all_are_listed(client):
    page = client.get("/help/tables")
    assert page.status_code == 200
    assert set(SHOWN) <= set(names())
    assert all(f'href="/help/tables/{name}"' in page.text for name in SHOWN)
    assert 'href="/help/tables"' in client.get("/help").text


@pytest.mark.parametrize("name", SHOWN)
def test_every_row_is_shown_with_its_source(client, name):
    page = client.get(f"/help/tables/{name}")
    assert page.status_code == 200
    assert page.text.count("<tr>") == len(rows(name)) + 1
    text = plain(page)
    assert all(row.source().words in text for row in rows(name))


def test_cells_and_heads_are_in_words(client):
    # J-STD-020 Table 4-2: 260 °C below 1.6 mm.
    text = plain(client.get("/help/tables/classification_temperature"))
    assert "Thickness mm Volume mm³ Limit °C Source" in text
    assert "from 0 to below 1.6 from 0 to below 350 260 1 " in text
    assert "J-STD-020, Table 4-2 (read in a document)" in text.split("Sources")[1]
    # J-STD-020 Table 5-1: level 1 has no limit, level 3 is 168 h.
    text = plain(client.get("/help/tables/msl"))
    assert "1 no limit 30 °C, 85 % RH" in text
    assert "3 168 30 °C, 60 % RH" in text


def test_a_table_that_is_none(client):
    assert client.get("/help/tables/figures").status_code == 404
