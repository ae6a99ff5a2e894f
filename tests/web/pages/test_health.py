from fastapi.testclient import TestClient

from webapp.store import migrate
from webapp.store.engine import open_database
from webapp.web.app import create_app


def test_alive_and_ready(client):
    assert client.get("/healthz").json() == {"status": "ok"}
    ready = client.get("/readyz")
    assert (ready.status_code, ready.json()) == (200, {"status": "ok"})


def test_not_ready_before_the_newest_migration(client, database):
    migrate.downgrade(database, "base")
    ready = client.get("/readyz")
    assert (ready.status_code, ready.json()["status"]) == (503, "database is not at the newest migration")
    assert client.get("/healthz").status_code == 200


def test_not_ready_without_a_database(settings, passwords, tmp_path):
    """A port where nothing listens: 1 is tcpmux, which no test machine runs."""
    for url in ("postgresql+psycopg://nobody@127.0.0.1:1/none?connect_timeout=2", f"sqlite:///{tmp_path}"):
        database = open_database(url)
        client = TestClient(create_app(settings, database, passwords=passwords), base_url="http://127.0.0.1:8000")
        ready = client.get("/readyz")
        assert (ready.status_code, ready.json()["status"]) == (503, "database does not answer")
        assert client.get("/healthz").status_code == 200
        database.close()
