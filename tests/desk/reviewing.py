"""What tests of decisions share: a reviewer with the password entered, findings by check, the usual decisions."""

from sqlmodel import select

from tests.conftest import PASSWORD
from webapp.desk import assessing, cases, decisions, parts, reauth
from webapp.desk import sessions as desk_sessions
from webapp.desk.decisions import NewDecision, Shown
from webapp.desk.parts import ValueSource
from webapp.desk.sessions import SignedIn
from webapp.store.cases import AssessmentCaseRow, FindingRow
from webapp.trade.decisions import DecisionKind
from webapp.trade.facts import PartField
from webapp.trade.sources import Kind

ACCEPT = NewDecision(DecisionKind.ACCEPT, "Shown by test report 12.")
RESOLVED = NewDecision(DecisionKind.RESOLVED, "The maker has one.", "take the 260 °C version")
REFUSE = NewDecision(DecisionKind.REFUSE, "No evidence at all.")
SHEET = ValueSource(Kind.DATASHEET, "data sheet rev. 3")


def session_of(database, settings, person):
    """A session of a person who has just signed in."""
    with database.command() as session:
        token = desk_sessions.open_session(session, settings, person.id)
    return SignedIn(person, desk_sessions.session_id_of(token))


def proved(database, settings, passwords, person):
    """The same, with the password entered again."""
    signed_in = session_of(database, settings, person)
    reauth.reauthenticate(database, passwords, signed_in, PASSWORD)
    return signed_in


def candidate(database, product_id):
    """The product's candidate case as it stands."""
    with database.read() as session:
        return cases.find_case(session, product_id)


def findings(database, product_id):
    """The findings of the product's candidate case."""
    with database.read() as session:
        return cases.findings_of(session, cases.find_case(session, product_id).id)


def finding(database, product_id, check, subject=""):
    """The one finding of a check (whose subject holds ``subject``)."""
    (found,) = [row for row in findings(database, product_id) if row.check == check and subject in row.subject]
    return found


def shown(*rows):
    """The findings as a screen shows them."""
    return [Shown(row.id, row.fingerprint) for row in rows]


def sign(database, settings, signed_in, new, *rows):
    """Sign, in a transaction of its own; the decision's id."""
    with database.command() as session:
        return decisions.sign(session, signed_in, settings, new, shown(*rows)).id


def state(database, person, part_id, field, text, *products):
    """State a value of a part and assess the products."""
    with database.command() as session:
        parts.state_value(session, person, part_id, PartField(field), text, SHEET)
    for product_id in products:
        assessing.reassess(database, product_id)


def case_row(database, case_id):
    """The case as stored."""
    with database.read() as session:
        return session.exec(select(AssessmentCaseRow).where(AssessmentCaseRow.id == case_id)).one()


def finding_row(database, finding_id):
    """The finding as stored; None when it is gone."""
    with database.read() as session:
        return session.get(FindingRow, finding_id)
