import pytest

from webapp.desk import demo, sessions
from webapp.errors import ConflictError, NotAllowedError
from webapp.store.engine import open_database, sqlite_path
from webapp.store.people import list_people
from webapp.trade.people import Role


def test_the_demo_has_one_person_for_each_role_who_can_sign_in(database, passwords, settings):
    assert demo.load_demo(database, passwords)
    with database.read() as session:
        everybody = list_people(session)
    assert {role for entry in everybody for role in entry.person.roles} == set(Role)
    assert all(entry.is_demo for entry in everybody)
    for person in demo.DEMO_PEOPLE:
        typed = sessions.SignInRequest(person.login, person.password, "127.0.0.1", on_loopback=True)
        sessions.sign_in(database, passwords, settings, typed)


def test_the_demo_is_not_loaded_beside_others(database, passwords, add_person):
    add_person(Role.ADMINISTRATOR)
    assert not demo.load_demo(database, passwords)
    with database.read() as session:
        assert len(list_people(session)) == 1


def test_local_data_is_deleted(database, passwords, settings):
    demo.load_demo(database, passwords)
    database.close()
    settings.files_dir.mkdir()
    (settings.files_dir / "upload").write_text("x")
    (settings.data_dir / "mine.txt").write_text("not ours to delete")
    demo.delete_local_data(settings, own_people_too=False)
    assert [path.name for path in settings.data_dir.iterdir()] == ["mine.txt"]
    demo.delete_local_data(settings, own_people_too=False)


def test_what_people_of_their_own_made_is_kept_unless_they_say_so(database, settings, add_person):
    add_person(Role.ADMINISTRATOR)
    database.close()
    with pytest.raises(NotAllowedError, match="no demo accounts"):
        demo.delete_local_data(settings, own_people_too=False)
    assert sqlite_path(settings.db_url).is_file()
    demo.delete_local_data(settings, own_people_too=True)
    assert not sqlite_path(settings.db_url).exists()


def test_a_database_in_use_is_kept(database, settings, passwords):
    demo.load_demo(database, passwords)
    server = open_database(settings.db_url)
    with server.read() as session:
        list_people(session)
    with pytest.raises(ConflictError, match="stop the server"):
        demo.delete_local_data(settings, own_people_too=False)
    server.close()
    assert sqlite_path(settings.db_url).is_file()


def test_a_database_elsewhere_is_never_deleted(settings):
    elsewhere = settings.model_copy(update={"database_url": "postgresql+psycopg://db.example/meltline"})
    with pytest.raises(NotAllowedError, match="local SQLite"):
        demo.delete_local_data(elsewhere, own_people_too=True)
