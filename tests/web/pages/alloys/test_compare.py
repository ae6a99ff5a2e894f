"""Alloys side by side."""

import re

from tests.web.pages.wizard import plain

PAIR = "/alloys/compare?alloy=Sn42Bi58&alloy=Sn96.5Ag3.0Cu0.5"


def row(page, name):
    """The cells of a row: text and whether it stands out."""
    found = re.search(rf'<th scope="row" class="plain">{name}.*?</tr>', page.text, re.DOTALL)[0]
    cells = re.findall(r'<td class="([^"]*)">(.*?)</td>', found, re.DOTALL)
    return [(re.sub(r"<[^>]+>", " ", text).split(), "decides" in kind) for kind, text in cells]


def test_what_differs_from_the_first_stands_out(engineer):
    page = engineer.get(PAIR)
    assert page.status_code == 200
    assert row(page, "Solidus") == [(["138.8"], False), (["215.9"], True)]
    assert row(page, "Highest joint temperature")[0][0][0] == "80"
    assert row(page, "Drop life") == [
        (["0.19", "to", "0.49", "times", "SAC305", "derived"], False),
        (["1", "times", "SAC305", "practice"], True),
    ]
    assert row(page, "Ductility") == [("brittle when strained fast".split(), False), (["ductile"], True)]


def test_what_is_alike_does_not(engineer):
    page = engineer.get("/alloys/compare?alloy=Sn42Bi58&alloy=Sn40Bi60")
    assert [out for _, out in row(page, "Solidus")] == [False, False]
    assert [out for _, out in row(page, "Tensile strength")] == [False, False]


def test_curves_and_bars_are_drawn_for_those_that_are_calculated(engineer):
    page = engineer.get("/alloys/compare?alloy=Sn42Bi58&alloy=In52Sn48")
    assert page.text.count('class="bar-row"') == 2
    assert page.text.count('class="line line-') == 1
    assert "In52Sn48: The thermodynamic data hold no indium" in plain(page)
    assert row(page, "Solidus")[1][0] == ["118.0", "by", "the", "lists"]
    assert row(page, "Melts again, as soldered")[1][0] == ["not", "known"]


def test_one_can_be_added_and_taken_away(engineer):
    page = engineer.get(PAIR).text
    assert '<option value="Sn60Bi40">' in page
    assert '<option value="Sn42Bi58">' not in page
    assert 'href="/alloys/compare?alloy=Sn42Bi58"' in page


def test_cost_by_volume(engineer):
    # 28.4 per kg at 8.55 g/cm3.
    assert row(engineer.get(PAIR), "Metal value")[0][0] == ["28.4"]
    text = plain(engineer.get(PAIR))
    assert "0.242" in text
    assert "USD per kg" in text
    assert "USD per cm³" in text


def test_none_chosen_says_how(engineer):
    page = engineer.get("/alloys/compare")
    assert page.status_code == 200
    assert "Tick two to 6 alloys in the list" in plain(page)


def test_the_same_alloy_twice_is_once(engineer):
    assert engineer.get("/alloys/compare?alloy=Sn42Bi58&alloy=Sn42Bi58").text.count('class="bar-row"') == 1


def test_too_many_and_unknown_ones_are_refused(engineer):
    seven = "&".join(f"alloy={name}" for name in ("a", "b", "c", "d", "e", "f", "g"))
    answer = engineer.get(f"/alloys/compare?{seven}")
    assert answer.status_code == 400
    assert "At most 6 alloys stand side by side" in plain(answer)
    answer = engineer.get("/alloys/compare?alloy=Nix")
    assert answer.status_code == 400
    assert 'There is no alloy "Nix"' in plain(answer)
