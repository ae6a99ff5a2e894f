"""On the tab *BOM*: the parts that a line may be fitted with, and the buttons that approve them or take them out."""

import csv
import io
import re

import pytest

from tests.web.pages.wizard import Wizard, plain
from webapp.desk import assessing, parts
from webapp.desk.parts import ValueSource
from webapp.trade.facts import PartField
from webapp.trade.people import Role
from webapp.trade.sources import Kind

BOM = b"Designator,Qty,MPN,Manufacturer,Package\nR1,1,GR-1 or GR-9,Kelvarn,0402\nR2,1,A,B,0402\nR3,1,C,B,0402\n"
ADDRESS = "/products/GW-7"


@pytest.fixture
def two_parts(make, engineer):
    """The engineer's browser, with a product whose line R1 has an alternate."""
    make(bom=BOM)
    return engineer


def forms(answer):
    """Label -> the fields that its button sends."""
    found = {}
    for form in re.findall(r'<form class="entry".*?</form>', answer.text, re.DOTALL):
        sent = dict(re.findall(r'<input type="hidden" name="(\w+)" value="(\d+)">', form))
        sent["approved"] = re.search(r'name="approved" value="(\w+)"', form)[1]
        found[re.search(r"> ([\w-]+) on R1<", form)[1]] = sent
    return found


class TestPage:
    def test_every_part_of_a_line_with_alternates_says_its_state(self, two_parts):
        text = plain(two_parts.get(ADDRESS))
        assert "the worst approved one decides" in text
        assert "approved GR-1 , Kelvarn, the line’s part" in text
        assert "approved GR-9 , Kelvarn, alternate" in text
        assert text.count("Do not use GR-") == 2
        assert "A , B, the line’s part" not in text

    def test_a_product_without_alternates_says_nothing_of_them(self, gateway):
        assert "the worst approved one decides" not in plain(gateway.get(ADDRESS))

    def test_lines_with_alternates_are_a_selection(self, two_parts):
        assert "With alternates: 1 of 3 lines." in plain(two_parts.get(f"{ADDRESS}?show=alternates"))

    def test_who_is_no_engineer_sees_the_state_only(self, two_parts, sign_in):
        reviewer = sign_in(Role.REVIEWER)
        page = reviewer.get(ADDRESS)
        assert "approved GR-9 , Kelvarn, alternate" in plain(page)
        assert forms(page) == {}
        sent = forms(two_parts.get(ADDRESS))["GR-9"]
        assert reviewer.post(ADDRESS, data=sent).status_code == 403
        assert "not to be used" not in plain(reviewer.get(ADDRESS))


class TestChanging:
    def test_taking_out_says_what_it_changed_and_the_inverse_undoes_it(self, two_parts, add_person, database):
        person = add_person(Role.ENGINEER, login="other")
        page = two_parts.get(ADDRESS)
        with database.command() as session:
            part_id = int(forms(page)["GR-9"]["part"])
            parts.state_value(session, person, part_id, PartField.LIMIT_C, "150", ValueSource(Kind.ENTERED))
        assessing.reassess(database, 1)
        answer = two_parts.post(f"{ADDRESS}?show=alternates", data=forms(page)["GR-9"])
        assert answer.status_code == 303
        where = answer.headers["location"]
        assert where.startswith(f"{ADDRESS}?show=alternates&")
        page = two_parts.get(where)
        text = plain(page)
        assert "GR-9 is no longer to be used on R1. The product is assessed again." in text
        # 150 °C is below the peaks of both routes.
        assert "today : blocks 1 → 0. low temperature : blocks 1 → 0." in text
        assert "not to be used GR-9 , Kelvarn, alternate (The engineer," in text
        assert "the only one approved" in text
        assert "With alternates: 1 of 3 lines." in text
        assert "Undo GR-9 on R1" in text
        (again,) = forms(page).values()
        assert again["approved"] == "yes"
        answer = two_parts.post(ADDRESS, data=again)
        text = plain(two_parts.get(answer.headers["location"]))
        assert "GR-9 may be fitted on R1 again." in text
        assert "not to be used" not in text

    def test_the_last_approved_part_stays(self, two_parts):
        page = two_parts.get(ADDRESS)
        two_parts.post(ADDRESS, data=forms(page)["GR-9"])
        answer = two_parts.post(ADDRESS, data=forms(page)["GR-1"])
        assert answer.status_code == 422
        assert "One part of the line has to stay approved. Approve another first." in plain(answer)
        assert 'href="#f-approved"' in answer.text
        assert 'id="f-approved"' in answer.text
        assert "approved GR-1 , Kelvarn" in plain(two_parts.get(ADDRESS))

    def test_somebody_else_was_faster(self, two_parts):
        page = two_parts.get(ADDRESS)
        two_parts.post(ADDRESS, data=forms(page)["GR-9"])
        answer = two_parts.post(ADDRESS, data=forms(page)["GR-9"])
        assert answer.status_code == 409
        text = plain(answer)
        assert "Somebody else changed this part of the line meanwhile." in text
        assert "not to be used GR-9 , Kelvarn, alternate (The engineer," in text

    @pytest.mark.parametrize("changes", [{"line": ""}, {"version": "x"}, {"part": "9" * 12}, {"of": "-1"}])
    def test_a_form_that_is_none(self, two_parts, changes):
        answer = two_parts.post(ADDRESS, data=forms(two_parts.get(ADDRESS))["GR-9"] | changes)
        assert answer.status_code == 422
        assert "Load the page anew" in plain(answer)

    def test_what_is_not_there(self, two_parts):
        sent = forms(two_parts.get(ADDRESS))["GR-9"]
        assert two_parts.post(ADDRESS, data=sent | {"line": "2"}).status_code == 404
        assert two_parts.post("/products/GW-9", data=sent).status_code == 404

    def test_a_notice_that_somebody_wrote_says_nothing(self, two_parts):
        for query in ("done=taken-out&line=1&part=1", "done=approved", "done=taken-out&line=7&part=1"):
            assert "The product is assessed again" not in plain(two_parts.get(f"{ADDRESS}?{query}"))


class TestRevisions:
    def test_an_older_revision_shows_the_state_only(self, two_parts):
        old = forms(two_parts.get(ADDRESS))["GR-9"]
        wizard = Wizard(two_parts)
        wizard.start(BOM.replace(b"R2,1", b"R5,1"), "later.csv", product="GW-7")
        wizard.post("commit", to="next", product="GW-7")
        page = two_parts.get(f"{ADDRESS}?revision=1")
        assert "What may be fitted is set on the last revision." in plain(page)
        assert forms(page) == {}
        answer = two_parts.post(ADDRESS, data=old)
        assert answer.status_code == 409
        assert "There is a newer revision of this BOM meanwhile" in plain(answer)


def test_files_name_what_is_not_to_be_used(two_parts):
    two_parts.post(ADDRESS, data=forms(two_parts.get(ADDRESS))["GR-9"])
    answer = two_parts.get(f"{ADDRESS}?format=csv")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))
    assert [row["Not to be used"] for row in rows] == ["Kelvarn GR-9", "", ""]
