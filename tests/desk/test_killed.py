"""The process is killed (SIGKILL) in the middle of a sign-off: nothing is half saved, and it can be signed after."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.desk.reviewing import ACCEPT, candidate, finding, finding_row, proved, sign, state
from webapp.store import ledger
from webapp.trade.people import Role

ROOT = Path(__file__).parents[2]
# Signs, and stops for good at the moment named: all but the commit is written then.
SIGN = """
import sys, time
from tests.desk.reviewing import ACCEPT
from webapp.desk import decisions
from webapp.desk.decisions import Shown
from webapp.desk.sessions import SignedIn
from webapp.settings import Settings
from webapp.store import engine, ledger
from webapp.trade.people import Person, Role

url, person_id, session_id, finding_id, fingerprint, moment = sys.argv[1:]
real = ledger.append_pending

def stop(session):
    if moment == "after":
        real(session)
    session.flush()
    print("written", flush=True)
    time.sleep(600)

ledger.append_pending = stop
who = SignedIn(Person(int(person_id), "reviewer", "The reviewer", frozenset({Role.REVIEWER})), session_id)
database = engine.open_database(url)
with database.command() as session:
    decisions.sign(session, who, Settings(), ACCEPT, [Shown(int(finding_id), fingerprint)])
"""


@pytest.mark.parametrize("moment", ["before", "after"])
def test_nothing_is_half_saved(database, settings, passwords, add_person, person, routed, part_id, moment):
    product_id = routed()
    state(database, person, part_id("GR-104-X7"), "limit_c", "170", product_id)
    reviewer = proved(database, settings, passwords, add_person(Role.REVIEWER))
    blocker = finding(database, product_id, "body-limit", "part")
    before = candidate(database, product_id).row
    with database.read() as session:
        entries = ledger.verify(session).entries
    arguments = [
        settings.db_url,
        str(reviewer.person.id),
        reviewer.session_id,
        str(blocker.id),
        blocker.fingerprint,
        moment,
    ]
    process = subprocess.Popen(
        [sys.executable, "-c", SIGN, *arguments], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "written\n", process.stderr.read()
    process.send_signal(signal.SIGKILL)
    process.communicate()

    assert finding_row(database, blocker.id).standing == "undecided"
    assert candidate(database, product_id).row.model_dump() == before.model_dump()
    with database.read() as session:
        assert ledger.verify(session) == ledger.Verified(entries, None)
    sign(database, settings, reviewer, ACCEPT, blocker)
    assert finding_row(database, blocker.id).standing == "accepted"
