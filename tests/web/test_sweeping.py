"""The app and its sweep: running together, ending together."""

from starlette.testclient import TestClient

from webapp.desk.sweep import Sweeper
from webapp.web.app import create_app


class Noted(Sweeper):
    """Notes what it is told; sweeps nothing."""

    def __init__(self, database):
        super().__init__(database)
        self.told = []

    def start(self):
        self.told.append("start")

    def stop(self):
        self.told.append("stop")


def test_the_sweep_runs_while_the_app_does(settings, database, passwords):
    sweeper = Noted(database)
    app = create_app(settings, database, passwords=passwords, sweeper=sweeper)
    with TestClient(app):
        assert sweeper.told == ["start"]
    assert sweeper.told == ["start", "stop"]


def test_without_one_none_runs(app):
    assert app.state.sweeper is None
