from webapp.desk.kept import Kept
from webapp.store.engine import open_database


def made(session, kept, state, value):
    """What ``kept`` gives for the state, and whether it had to be made."""
    calls = []

    def make():
        calls.append(state)
        return value

    return kept.get(session, state, make), bool(calls)


def test_the_same_state_is_not_made_again_and_another_is(database):
    kept = Kept(2)
    with database.read() as session:
        assert made(session, kept, (1, "a"), "first") == ("first", True)
        assert made(session, kept, (1, "a"), "again") == ("first", False)
        assert made(session, kept, (2, "a"), "other") == ("other", True)


def test_the_one_used_longest_ago_goes(database):
    kept = Kept(2)
    with database.read() as session:
        for state in (1, 2, 1, 3):
            made(session, kept, state, state)
        assert [made(session, kept, state, None)[1] for state in (1, 3, 2)] == [False, False, True]


def test_another_database_has_its_own(database, settings):
    kept = Kept(2)
    with database.read() as session:
        made(session, kept, 1, "here")
    other = open_database(f"sqlite:///{settings.data_dir / 'other.sqlite3'}")
    with other.read() as session:
        assert made(session, kept, 1, "there") == ("there", True)
    other.close()
