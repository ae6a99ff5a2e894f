"""All alloys on one axis."""

import csv
import io
import re

import pytest
from python_calamine import CalamineWorkbook

from tests.web.pages.wizard import plain
from webapp.trade.alloys import alloys
from webapp.trade.people import Role
from webapp.web.wording import NBSP

OWN = {"designation": "HOUSE-7", "composition": "Sn43Bi57", "name": "House seven"}


def csv_rows(answer):
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def names(answer):
    return [row["Alloy"] for row in csv_rows(answer)]


def test_all_alloys_with_what_is_calculated_and_listed(engineer):
    page = engineer.get("/alloys")
    text = plain(page)
    assert f"{len(alloys())} alloys." in text
    # SAC305, calculated and as lists print it.
    assert "Sn96.5Ag3.0Cu0.5 SAC305 215.9 219.8 219.9 219.9 (Sn) 217 to 220 opened 7.36 62" in text
    assert "Sn95Sb5 tin-antimony not calculated The thermodynamic data hold no antimony" in text
    told = page.text.replace(NBSP, " ")
    assert 'aria-label="137.1 to 140.0 °C for 99 %, last solid gone at 161.5 °C"' in told
    assert 'aria-label="235.0 to 240.0 °C, not calculated"' in told


def test_all_bars_stand_on_one_axis(engineer):
    page = engineer.get("/alloys?q=SAC305").text
    every = engineer.get("/alloys").text
    axis = re.search(r'<svg class="bar-axis".*?</svg>', every, re.DOTALL)[0]
    assert axis in page
    assert page.count('class="bar-row"') == 1


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("q=tin-antimony", ["Sn95Sb5"]),
        ("q=In&sort=alloy", ["In52Sn48", "In97Ag3", "Sn77.2In20Ag2.8"]),
        ("q=sac&sort=-density", ["Sn95.5Ag4.0Cu0.5", "Sn95.5Ag3.8Cu0.7", "Sn96.5Ag3.0Cu0.5", "Sn98.5Ag1.0Cu0.5"]),
        ("show=listed&sort=price", ["Sn5Pb92.5Ag2.5", "Sn95Sb5", "Sn77.2In20Ag2.8", "In52Sn48", "In97Ag3"]),
        ("show=own", []),
        ("q=nothing", []),
    ],
)
def test_filters_and_orders(engineer, query, found):
    answer = engineer.get(f"/alloys?{query}&format=csv")
    if "density" not in query:
        assert names(answer) == found
    assert sorted(names(answer)) == sorted(found)
    text = plain(engineer.get(f"/alloys?{query}"))
    assert all(name in text for name in found)
    assert found or "No alloy is like that" in text


def test_each_order_is_one_of_numbers(engineer):
    for key, column in (("solidus", "Solidus °C"), ("last", "Last solid gone °C"), ("density", "Density g/cm3")):
        values = [float(row[column]) for row in csv_rows(engineer.get(f"/alloys?sort={key}&format=csv")) if row[column]]
        assert values == sorted(values), key
        falling = csv_rows(engineer.get(f"/alloys?sort=-{key}&format=csv"))
        assert [row["Alloy"] for row in falling] != names(engineer.get(f"/alloys?sort={key}&format=csv"))


def test_without_lead_there_is_no_lead(engineer):
    rows = csv_rows(engineer.get("/alloys?show=lead-free&format=csv"))
    assert rows
    assert not [row for row in rows if "Pb" in row["Composition wt%"]]
    low = csv_rows(engineer.get("/alloys?show=low&format=csv"))
    # What begins to melt below the tin-lead eutectic, 183 °C.
    assert {row["Alloy"] for row in low} >= {"Sn42Bi58", "Sn60Bi40", "In52Sn48"}


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("sort=luck", "is no order; there are: alloy, solidus"),
        ("show=good", "is no filter; there are: all, low"),
        ("format=pdf", "is no format"),
    ],
)
def test_unknown_views_are_refused_with_a_sentence(engineer, query, sentence):
    answer = engineer.get(f"/alloys?{query}")
    assert answer.status_code == 400
    assert sentence in plain(answer)


def test_the_same_as_a_workbook(engineer):
    answer = engineer.get("/alloys?q=Sn42Bi57Ag1&format=xlsx")
    sheet = CalamineWorkbook.from_filelike(io.BytesIO(answer.content)).get_sheet_by_index(0).to_python()
    assert sheet[1][:8] == [
        "Sn42Bi57Ag1",
        "tin-bismuth with silver",
        "Sn 42 Bi 57 Ag 1",
        137.1,
        140.0,
        140.5,
        161.5,
        "Ag3Sn",
    ]


def test_the_sites_own_stand_among_them(engineer):
    assert engineer.post("/alloys/new", data=OWN).status_code == 303
    assert names(engineer.get("/alloys?show=own&format=csv")) == ["HOUSE-7"]
    assert "HOUSE-7 House seven the site's own" in plain(engineer.get("/alloys"))


def test_only_an_engineer_is_offered_a_new_one(engineer, sign_in):
    assert 'href="/alloys/new"' in engineer.get("/alloys").text
    assert 'href="/alloys/new"' not in sign_in(Role.MANAGER).get("/alloys").text


def test_it_stands_in_the_main_navigation(engineer):
    def nav(address, label):
        return engineer.get(address).text.split(f'aria-label="{label}"')[1].split("</nav>")[0]

    assert '<a href="/alloys" aria-current="page">Alloys</a>' in nav("/alloys", "Main")
    for address in ("/alloys/diagram", "/pastes", "/figures"):
        assert '<a href="/alloys" aria-current="true">Alloys</a>' in nav(address, "Main")
        assert f'<a href="{address}" aria-current="page">' in nav(address, "Materials")
    assert '<a href="/parts" aria-current="page">' in nav("/parts", "Main")
    assert '<a href="/alloys">Alloys</a>' in nav("/parts", "Main")
