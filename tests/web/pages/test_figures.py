"""Pages of the figures: the list, one, setting it."""

import csv
import io

import pytest

from tests.web.pages.wizard import fields, plain
from webapp.trade.figures import default_figures
from webapp.trade.people import Role

HEAT = "/figures/superheat_k"


@pytest.fixture
def reviewer(sign_in):
    return sign_in(Role.REVIEWER)


def put(client, address, value, **more):
    shown = fields(client.get(address).text)
    return client.post(address, data=shown | {"value": value, "reference": "trials of May"} | more)


def test_all_of_them_stand_in_groups_with_the_checks_that_use_them(reviewer):
    page = reviewer.get("/figures")
    text = plain(page)
    assert "All are at their defaults." in text
    assert text.index("Margins and thresholds of the checks") < text.index("Prices of metals")
    for figure in default_figures().values():
        assert f'id="{figure.key}"' in page.text
    row = page.text.split('id="service_fine_share"')[1].split("</tr>")[0]
    assert "/help/checks/joint-runs-hot" in row


def test_set_seen_and_reset(reviewer):
    answer = put(reviewer, HEAT, "12 K")
    assert (answer.status_code, answer.headers["location"]) == (303, "/figures?done=set&figure=superheat_k")
    text = plain(reviewer.get(answer.headers["location"]))
    assert "the figure is set; all products are assessed again" in text
    assert "12 K default 10 K" in text
    assert "1 figure is the site's own" in text
    one = plain(reviewer.get(HEAT))
    assert "12 K, set by the site; the default is 10 K." in one
    assert "Value: 12 K" in one
    shown = fields(reviewer.get(HEAT).text)
    answer = reviewer.post(f"{HEAT}/reset", data={"version": shown["version"]})
    assert answer.headers["location"] == "/figures?done=reset&figure=superheat_k"
    assert "the default holds again" in plain(reviewer.get(answer.headers["location"]))
    assert "back to the default" in plain(reviewer.get(HEAT))


@pytest.mark.parametrize(
    ("value", "more", "said"),
    [
        ("ten", {}, "“ten” is no number."),
        ("61", {}, "61 is outside 0 to 60 K."),
        ("12", {"reference": ""}, "Say where the value is from"),
    ],
)
def test_what_does_not_hold_stands_beside_its_field(reviewer, value, more, said):
    answer = put(reviewer, HEAT, value, **more)
    assert answer.status_code == 422
    assert said in plain(answer)
    assert f'value="{value}"' in answer.text
    assert "All are at their defaults." in plain(reviewer.get("/figures"))


def test_order_with_neighbours_is_shown_and_kept(reviewer):
    page = plain(reviewer.get("/figures/service_fine_share"))
    assert "In order with Service: to be proved up to : 0.9" in page
    answer = put(reviewer, "/figures/service_fine_share", "0.95")
    assert answer.status_code == 422
    assert "may not be above" in plain(answer)


def test_a_conflict_shows_both(reviewer):
    seen = {"version": "0", "reference": "trials of May"}
    put(reviewer, HEAT, "12")
    answer = reviewer.post(HEAT, data=seen | {"value": "14"})
    assert answer.status_code == 409
    assert "Somebody else changed this figure meanwhile" in plain(answer)
    assert "Value 12 14" in plain(answer)
    assert reviewer.post(HEAT, data=fields(answer.text)).status_code == 303
    assert "14 K, set by the site" in plain(reviewer.get(HEAT))


def test_each_group_is_set_by_its_role(reviewer, sign_in):
    engineer = sign_in(Role.ENGINEER)
    assert "Setting it needs the role reviewer." in plain(engineer.get(HEAT))
    assert engineer.post(HEAT, data={"version": "0", "value": "12", "reference": "x"}).status_code == 403
    assert put(engineer, "/figures/price_bi", "28").status_code == 303
    assert reviewer.post("/figures/price_bi", data={"version": "1", "value": "28", "reference": "x"}).status_code == 403
    assert plain(sign_in(Role.MANAGER).get("/figures")).count("History of") > 10


def test_a_figure_that_is_none(reviewer):
    assert reviewer.get("/figures/luck").status_code == 404
    assert reviewer.post("/figures/luck", data={"version": "0", "value": "1", "reference": "x"}).status_code == 404


def test_as_a_file(reviewer):
    put(reviewer, HEAT, "12")
    answer = reviewer.get("/figures?format=csv")
    rows = {row["Key"]: row for row in csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))}
    assert rows.keys() == default_figures().keys()
    assert (rows["superheat_k"]["Value"], rows["superheat_k"]["Default"], rows["superheat_k"]["Own"]) == (
        "12.0", "10.0", "yes",
    )  # fmt: skip
    assert "joint-runs-hot" in rows["service_fine_share"]["Checks"]
    assert reviewer.get("/figures?format=xlsx").content[:2] == b"PK"
