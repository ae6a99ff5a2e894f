import pytest

from tests.desk.site_data import HOUSE, add_paste
from tests.web.pages.wizard import plain
from webapp.trade.people import Role


@pytest.fixture
def anybody(sign_in):
    """A browser in which a manager is signed in: everybody may look."""
    return sign_in(Role.MANAGER)


def look(client, *parts, **values):
    query = {"parts": "\n".join(parts), "alloy": "Sn42Bi57Ag1", "peak": "180", "spread": "8", "lead_free": "yes"}
    return client.get("/quick-look", params={**query, **values})


def row(answer, text):
    """The row of one part, as text."""
    found = [part for part in plain_rows(answer) if part.startswith(text)]
    assert len(found) == 1, plain_rows(answer)
    return found[0]


def plain_rows(answer):
    body = answer.text.split("<tbody>")[1].split("</tbody>")[0]

    class Row:
        def __init__(self, text):
            self.text = text

    return [plain(Row(part)) for part in body.split("<tr>")[1:]]


def test_the_form_alone(anybody):
    page = anybody.get("/quick-look")
    assert page.status_code == 200
    assert "What the checks say" not in page.text


def test_each_part_says_what_it_was_taken_for_and_its_verdict(anybody):
    answer = look(anybody, "QFN-32 5x5", "BGA-324", "supercapacitor")
    assert "hottest body 180 °C, coldest joint 8 K cooler" in plain(answer)
    assert "integrated circuit without leads" in row(answer, "QFN-32 5x5")
    assert "array package with balls" in row(answer, "BGA-324")
    # SAC balls melt at 217 to 220 °C, the coldest joint reaches 172 °C: only some of each dissolves.
    assert "of each ball (Sn96.5Ag3.0Cu0.5) dissolves" in row(answer, "BGA-324")
    assert "they never pass an oven unless their maker rates them" in row(answer, "supercapacitor")


def test_what_is_not_soldered_in_the_pass_is_not_called_fine(anybody):
    found = row(look(anybody, "coin cell with tabs"), "coin cell with tabs")
    assert "not in this pass" in found
    assert "fine" not in found
    assert "must not go through an oven" in found


def test_what_is_just_as_open_today_is_not_called_fine(anybody):
    found = row(look(anybody, "supercapacitor"), "supercapacitor")
    assert "prove" in found
    assert "As today." in found


def test_a_pass_that_makes_no_joints_is_said_first(anybody):
    # Sn60Bi40 is 99 % liquid at 174.4 °C only; the coldest joint reaches 172 °C.
    text = plain(look(anybody, "0402", alloy="Sn60Bi40"))
    assert "The pass itself" in text
    assert "the coldest joint reaches 172 °C; Sn60Bi40 is 99 % liquid only at 174.4 °C" in text


def test_a_paste_of_the_site_may_be_looked_at(anybody, database, add_person):
    add_paste(database, add_person(Role.ENGINEER, login="paster"), HOUSE, alloy="Sn60Bi40", peak_c="175…190")
    answer = look(anybody, "0402", alloy="House paste", peak="190")
    assert answer.status_code == 200
    assert 'value="paste:House paste" selected' in answer.text
    assert "One pass with House paste," in plain(answer)
    # 182 °C at the coldest joint lies in the window of 175 to 190 °C and 7.6 K above 174.4 °C: 10 K are wanted.
    assert "The pass itself" in plain(answer)


def test_the_library_is_asked_for_numbers(anybody, product, part_id):
    answer = look(anybody, "mx-800", "MX-801")
    assert f'href="/parts/{part_id("MX-800")}"' in answer.text
    assert "in the library" in row(answer, "mx-800")
    assert "in the library" not in row(answer, "MX-801")


def test_without_the_tick_lead_is_not_ruled_out(anybody):
    assert "is not ruled out" not in row(look(anybody, "QFN-32 5x5"), "QFN-32 5x5")
    assert "is not ruled out" in row(look(anybody, "QFN-32 5x5", lead_free=""), "QFN-32 5x5")


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"parts": " \n "}, "parts", "Give 1 to 50 part numbers or packages"),
        ({"parts": "\n".join(f"R{n}" for n in range(51))}, "parts", "Give 1 to 50"),
        ({"parts": "x" * 4001}, "parts", "more than 4000 characters"),
        ({"peak": "356"}, "peak", "If you mean °F, write 356 °F"),
        ({"peak": "hot"}, "peak", "is no temperature"),
        ({"spread": "-3"}, "spread", "difference"),
        ({"alloy": "Sn1"}, "alloy", ""),
    ],
)
def test_what_does_not_read_stands_beside_its_field(anybody, values, field, sentence):
    answer = look(anybody, "0402", **values)
    assert answer.status_code == 422
    assert f'id="f-{field}-error"' in answer.text
    assert sentence in plain(answer)


def test_nothing_is_stored(anybody, database):
    def refuse():
        raise AssertionError("a command")

    # The page is given reads only; this is what it would need to store anything.
    object.__setattr__(database, "command", refuse)
    try:
        assert look(anybody, "0402").status_code == 200
    finally:
        object.__delattr__(database, "command")
