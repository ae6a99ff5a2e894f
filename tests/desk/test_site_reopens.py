"""What is signed on alloys, pastes and figures of the site's own opens again when they change; whose they are."""

import pytest

from tests.desk.reviewing import ACCEPT, finding_row, findings, proved, shown, sign
from tests.desk.site_data import add_alloy, add_paste, solder_with
from webapp.checks.declare import registry
from webapp.desk import assessing, decisions, site_figures
from webapp.desk.sweep import sweep
from webapp.trade.people import Role


@pytest.fixture
def reviewer(database, settings, passwords, add_person):
    """A reviewer who worked on nothing, with the password entered."""
    return proved(database, settings, passwords, add_person(Role.REVIEWER))


@pytest.fixture
def soldered(database, person, routed):
    """A product whose candidate is printed with a paste and an alloy of the site's own; and the paste's id."""
    product_id = routed()
    add_alloy(database, person)
    paste_id = add_paste(database, person)
    solder_with(database, person, product_id, paste="House paste", foil_mm=0.12)
    return product_id, paste_id


def signed_runs_hot(database, settings, reviewer, product_id):
    """A finding that the alloy's first melting and a figure decide, accepted."""
    row = next(row for row in findings(database, product_id) if row.check == "joint-runs-hot")
    sign(database, settings, reviewer, ACCEPT, row)
    assert finding_row(database, row.id).standing == "accepted"
    return row


def set_figure(database, person, key, text):
    with database.command() as session:
        site_figures.set_figure(session, person, key, text, "trials of May", version=0)


def test_another_solidus_of_the_alloy_opens_it_again(database, settings, person, reviewer, soldered):
    product_id, _ = soldered
    row = signed_runs_hot(database, settings, reviewer, product_id)
    add_alloy(database, person, version=1, name="a name decides nothing")
    sweep(database)
    assert finding_row(database, row.id).standing == "accepted"
    add_alloy(database, person, version=2, solidus_c="137.5", reference="mill sheet 3")
    sweep(database)
    assert finding_row(database, row.id).standing == "stale"


def test_another_alloy_in_the_paste_opens_it_again(database, settings, person, reviewer, soldered):
    product_id, paste_id = soldered
    row = signed_runs_hot(database, settings, reviewer, product_id)
    add_paste(database, person, paste_id=paste_id, version=1, alloy="Sn42Bi57Ag1")
    assessing.reassess(database, product_id)
    assert finding_row(database, row.id).standing == "stale"


def test_another_figure_opens_it_again(database, settings, add_person, reviewer, soldered):
    product_id, _ = soldered
    row = signed_runs_hot(database, settings, reviewer, product_id)
    set_figure(database, add_person(Role.REVIEWER, login="second"), "service_fine_share", "0.85")
    sweep(database)
    assert finding_row(database, row.id).standing == "stale"


class TestAuthors:
    @pytest.fixture
    def second(self, add_person):
        """Somebody who is engineer and reviewer."""
        return add_person(Role.ENGINEER, Role.REVIEWER, login="second")

    def reasons(self, database, settings, who, product_id):
        """Check -> why the person may not sign its findings, "" where they may."""
        sweep(database)
        with database.read() as session:
            rows = findings(database, product_id)
            found = decisions.preview(session, who, settings, shown(*rows), bulk=False)
        return {row.check: "" for row in found.allowed} | {one.finding.check: one.reason for one in found.refused}

    def test_who_last_saved_the_alloy(self, database, settings, person, second, soldered):
        product_id, _ = soldered
        assert set(self.reasons(database, settings, second, product_id).values()) == {""}
        add_alloy(database, second, version=1, name="another")
        reasons = self.reasons(database, settings, second, product_id)
        assert set(reasons.values()) == {"You last saved Sn43Bi57: somebody else has to sign."}
        add_alloy(database, person, version=2, name="and another")
        assert set(self.reasons(database, settings, second, product_id).values()) == {""}

    def test_who_last_saved_the_paste(self, database, settings, second, soldered):
        product_id, paste_id = soldered
        add_paste(database, second, paste_id=paste_id, version=1, powder="5")
        reasons = self.reasons(database, settings, second, product_id)
        assert set(reasons.values()) == {"You last saved House paste: somebody else has to sign."}

    def test_who_set_a_figure_that_the_check_decides_by(self, database, settings, second, soldered):
        product_id, _ = soldered
        set_figure(database, second, "service_fine_share", "0.85")
        for check, reason in self.reasons(database, settings, second, product_id).items():
            refused = "service_fine_share" in registry()[check].figures
            expected = "You set a figure that the check decides by: somebody else has to sign." if refused else ""
            assert reason == expected
        assert "service_fine_share" in registry()["joint-runs-hot"].figures
