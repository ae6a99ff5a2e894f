"""The thread that re-assesses what edits elsewhere have made stale.

It looks every few seconds and when woken; a lost wake-up loses nothing, for what is stale stays marked in the database.
"""

import threading

import structlog

from webapp.desk.assessing import assess_case, engine_version
from webapp.desk.cases import stale_cases
from webapp.desk.counting import recount
from webapp.desk.matching import match_missing
from webapp.desk.portfolio import take_snapshot
from webapp.store.engine import Database
from webapp.store.portfolio import cases_run_out, has_day
from webapp.trade.decisions import today

EVERY_SECONDS = 5.0
_AT_ONCE = 50
_log = structlog.get_logger()


def sweep(database: Database, stop: threading.Event | None = None) -> int:
    """Assess stale cases until none is left or ``stop`` is set; how many were.

    A case that fails is left for the next sweep, so that one broken case does not keep the others waiting.
    """
    done, failed = 0, set[int]()
    while not (stop and stop.is_set()):
        with database.read() as session:
            found = stale_cases(session, _AT_ONCE + len(failed), engine=engine_version())
        todo = [case_id for case_id in found if case_id not in failed]
        if not todo:
            break
        for case_id in todo:
            if stop and stop.is_set():
                break
            try:
                done += assess_case(database, case_id)
            except Exception:
                failed.add(case_id)
                _log.exception("case_not_assessed", case_id=case_id)
    return done


def keep_day(database: Database) -> None:
    """What a new day brings: acceptances that have run out open their findings again; the portfolio's snapshot.

    Cheap when there is nothing to do, so it may be called after every sweep.
    """
    with database.read() as session:
        run_out, snapped = cases_run_out(session, today()), has_day(session, today())
    if not run_out and snapped:
        return
    with database.command() as session:
        for case_id in run_out:
            recount(session, case_id)
        take_snapshot(session, today())


class Sweeper:
    """Runs ``sweep`` in a thread of its own between ``start`` and ``stop``."""

    def __init__(self, database: Database, every_seconds: float = EVERY_SECONDS) -> None:
        self._database, self._every = database, every_seconds
        self._wake, self._stop = threading.Event(), threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin sweeping."""
        self._stop.clear()
        self._thread = threading.Thread(target=self._run, name="sweep", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        """Look now: something was edited."""
        self._wake.set()

    def stop(self) -> None:
        """End after the case at hand."""
        self._stop.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def _match_parts(self) -> None:
        """Revisions from before there were parts get theirs once."""
        try:
            with self._database.command() as session:
                match_missing(session)
        except Exception:
            _log.exception("parts_not_matched")

    def _run(self) -> None:
        self._match_parts()
        while not self._stop.is_set():
            try:
                sweep(self._database, self._stop)
                keep_day(self._database)
            except Exception:
                _log.exception("sweep_failed")
            self._wake.wait(self._every)
            self._wake.clear()
