"""``serve``: migrate, load the demo if asked, say where, and serve until stopped."""

import gc
import secrets
import socket
from typing import Annotated

import typer
import uvicorn

from webapp.cli.output import DbOption, opened, read_settings, reporting, table
from webapp.desk.demo import DEMO_PEOPLE, load_demo
from webapp.desk.demo_products import load_demo_products
from webapp.desk.demo_reviews import load_demo_reviews
from webapp.desk.passwords import Passwords
from webapp.desk.sweep import Sweeper
from webapp.errors import InvalidInputError, NotAllowedError
from webapp.settings import Settings
from webapp.store.engine import Database
from webapp.store.people import demo_people_exist, people_exist
from webapp.web.app import create_app
from webapp.web.hosts import host_name, is_loopback

SHUTDOWN_SECONDS = 10


def serve(
    host: Annotated[str, typer.Option("--host", help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port to listen on; 0 takes a free one.")
    ] = 8000,
    demo: Annotated[bool, typer.Option("--demo", help="Load the demo when there is nobody yet.")] = False,
    db: DbOption = "",
) -> None:
    """Bring the database to the newest migration and serve the pages."""
    with reporting(as_json=False):
        settings = read_settings(db)
        others_can_come = not is_loopback(host) or bool(
            settings.public_host and not is_loopback(host_name(settings.public_host))
        )
        if demo and others_can_come:
            raise NotAllowedError(
                "The demo is served on this machine only: leave out --demo, or --host and public host."
            )
        with opened(settings) as database:
            _serve(settings, database, host=host, port=port, demo=demo, others_can_come=others_can_come)


def _serve(settings: Settings, database: Database, *, host: str, port: int, demo: bool, others_can_come: bool) -> None:
    passwords = Passwords()
    if demo:
        load_demo(database, passwords)
        for failure in load_demo_products(database, settings):
            typer.echo(failure.words, err=True)
        if not_reviewed := load_demo_reviews(database, settings, passwords):
            typer.echo(not_reviewed.words, err=True)
    with database.read() as session:
        has_demo, has_people = demo_people_exist(session), people_exist(session)
    if has_demo and others_can_come:
        raise NotAllowedError(
            "There are demo accounts, whose passwords are public: close them under People before serving others."
        )
    setup_token = "" if has_people else secrets.token_urlsafe(12)
    listening = _listen(host, port)
    # Built before anything is announced, so that what is printed is true.
    app = create_app(settings, database, passwords=passwords, setup_token=setup_token, sweeper=Sweeper(database))
    typer.echo(_announcement(_address(listening), has_demo=has_demo, setup_token=setup_token))
    config = uvicorn.Config(
        app,
        loop="uvloop",
        http="httptools",
        log_config=None,
        access_log=False,
        server_header=False,
        # Without a proxy of ours in front, anybody could pass for another address.
        proxy_headers=bool(settings.public_host),
        timeout_graceful_shutdown=SHUTDOWN_SECONDS,
    )
    # What is there now stays: searched through at every full collection, it would cost a tenth of a second each time.
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 10, 10)
    uvicorn.Server(config).run(sockets=[listening])


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host.strip("[]"), port), family=family, backlog=2048)
    except OSError as error:
        raise InvalidInputError(
            f"Cannot listen on {host}, port {port}: {error.strerror or error}.", field="port"
        ) from error


def _address(listening: socket.socket) -> str:
    name, port = listening.getsockname()[:2]
    return f"http://[{name}]:{port}" if ":" in name else f"http://{name}:{port}"


def _announcement(address: str, *, has_demo: bool, setup_token: str) -> str:
    lines = [f"Meltline is served at {address}  (stop with Ctrl-C)"]
    if has_demo:
        rows = [(person.login, person.password, str(person.role), person.name) for person in DEMO_PEOPLE]
        lines += ["", "Demo accounts, on this machine only:", table(("login", "password", "role", "name"), rows)]
    if setup_token:
        lines += [
            "",
            f"Nobody has an account yet. Make the first one at {address}/setup",
            f"Set-up token: {setup_token}",
        ]
    return "\n".join(lines)
