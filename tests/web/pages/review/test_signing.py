import pytest

from tests.conftest import PASSWORD
from tests.desk.reviewing import finding, findings
from tests.web.pages.review.conftest import GROUP, hidden_fields, marks
from tests.web.pages.wizard import plain
from webapp.trade.people import Role

REASON = "Shown by section and shear, report 12."


@pytest.fixture
def typed(reviewer):
    """An acceptance of the first of the two findings, as typed."""
    return {"back": GROUP, "shown": marks(reviewer.get(GROUP))[0], "kind": "accept", "reason": REASON}


@pytest.fixture
def signing(reviewer, typed):
    """The reviewer's browser after the password was entered: one decision is signed and taken back."""
    done = reviewer.post("/review/sign", data={**typed, "password": PASSWORD})
    number = done.headers["location"].rpartition("=")[2]
    reviewer.post("/review/withdraw", data={"decision": number})
    return reviewer


def standing(database, product_id):
    return finding(database, product_id, "body-limit", "part").standing


class TestOne:
    def test_the_password_is_asked_and_what_was_typed_goes_along(self, reviewer, typed, database, two):
        asked = reviewer.post("/review/sign", data={**typed, "expires_on": "2099-01-31"})
        assert "Enter your password to sign" in plain(asked)
        assert standing(database, two[0]) == "undecided"
        fields = hidden_fields(asked)
        assert (fields["reason"], fields["expires_on"], fields["shown"]) == ([REASON], ["2099-01-31"], [typed["shown"]])
        wrong = reviewer.post("/review/sign", data={**fields, "password": "no"})
        assert wrong.status_code == 422
        assert "This is not your password." in plain(wrong)
        assert hidden_fields(wrong) == fields
        done = reviewer.post("/review/sign", data={**fields, "password": PASSWORD})
        assert done.status_code == 303
        assert standing(database, two[0]) == "accepted"
        page = plain(reviewer.get(done.headers["location"]))
        assert "Signed: 1 finding accepted." in page
        assert "1 finding in 1 product." in page

    def test_within_ten_minutes_it_is_not_asked_again(self, signing, typed):
        assert signing.post("/review/sign", data=typed).status_code == 303

    def test_undo_opens_it_again(self, signing, typed, database, two):
        done = signing.post("/review/sign", data=typed)
        page = signing.get(done.headers["location"])
        assert 'action="/review/withdraw"' in page.text
        number = done.headers["location"].rpartition("=")[2]
        back = signing.post("/review/withdraw", data={"decision": number, "back": GROUP})
        assert "is taken back" in plain(signing.get(back.headers["location"]))
        assert standing(database, two[0]) == "undecided"

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"kind": ""}, "Choose what you decide."),
            ({"reason": ""}, "Give the reason"),
            ({"kind": "resolved"}, "Name the change that settles it"),
            ({"expires_on": "soon"}, "Write the date as 2027-05-31."),
            ({"expires_on": "2001-01-01"}, "has passed already"),
            ({"lot_limit": "many"}, "A number of lots"),
        ],
    )
    def test_what_does_not_hold_is_said_beside_the_field(self, signing, typed, changes, sentence):
        answer = signing.post("/review/sign", data={**typed, **changes})
        assert answer.status_code == 422
        assert sentence in plain(answer)
        kept = {**typed, **changes}["reason"]
        assert kept in answer.text

    def test_nothing_ticked(self, signing, typed):
        answer = signing.post("/review/sign", data={**typed, "shown": "", "key": "part kelvarn|gr-104-x7"})
        assert answer.status_code == 422
        assert "Tick at least one finding." in plain(answer)
        assert REASON in answer.text

    def test_inputs_that_changed_in_between_are_a_conflict(self, signing, typed):
        number = typed["shown"].partition(".")[0]
        answer = signing.post("/review/sign", data={**typed, "shown": f"{number}.{'0' * 64}", "seen": "It read so."})
        text = plain(answer)
        assert answer.status_code == 409
        assert "Nothing was signed" in text
        assert "You looked at: It read so." in text
        assert REASON in answer.text

    def test_a_finding_that_is_gone_is_a_conflict(self, signing, typed):
        assert signing.post("/review/sign", data={**typed, "shown": f"999999.{'0' * 64}"}).status_code == 409

    def test_engineers_may_not(self, reviewer, typed, sign_in):
        answer = sign_in(Role.ENGINEER).post("/review/sign", data=typed)
        assert answer.status_code == 403


class TestSeveral:
    def test_what_blocks_is_left_out_of_the_preview_with_the_reason(self, signing, typed):
        both = marks(signing.get(GROUP))
        answer = signing.post("/review/sign", data={**typed, "shown": both})
        text = plain(answer)
        assert "0 of 2 can be signed, 2 not." in text
        assert "2: What blocks is signed one by one." in text

    def test_all_of_a_verdict_after_a_preview(self, signing, typed, database, two):
        preview = signing.get("/review/bulk?verdict=prove&today=too")
        fields = hidden_fields(preview)
        count = len(fields["shown"])
        assert count > 1
        assert f"{count} of {count} can be signed" in plain(preview)
        done = signing.post("/review/sign", data={**fields, "kind": "accept", "reason": REASON})
        assert done.status_code == 303
        assert f"Signed: {count} findings accepted." in plain(signing.get(done.headers["location"]))
        accepted = [row for product in two for row in findings(database, product) if row.standing == "accepted"]
        assert len(accepted) == count

    def test_a_missing_reason_keeps_the_preview(self, signing):
        fields = hidden_fields(signing.get("/review/bulk?verdict=prove&today=too"))
        answer = signing.post("/review/sign", data={**fields, "kind": "accept", "reason": ""})
        assert answer.status_code == 422
        assert hidden_fields(answer)["shown"] == fields["shown"]


def test_taking_over_what_was_signed_on_the_same_inputs(signing, typed, database, two):
    signing.post("/review/sign", data=typed)
    page = signing.get(GROUP)
    assert "Same inputs decided on elsewhere" in plain(page)
    fields = hidden_fields(page)
    assert "take" in fields
    done = signing.post("/review/sign", data=fields)
    assert done.status_code == 303
    assert standing(database, two[1]) == "accepted"


def test_an_address_elsewhere_is_no_way_back(signing, typed):
    done = signing.post("/review/sign", data={**typed, "back": "https://elsewhere.example/"})
    assert done.headers["location"].startswith("/?signed=")
