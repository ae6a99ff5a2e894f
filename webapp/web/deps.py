"""What a page may ask for in its signature: the database, the settings, who is signed in, a role."""

from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Request

from webapp.desk.passwords import Passwords
from webapp.desk.sessions import SignedIn
from webapp.errors import NotAllowedError, SignInNeededError
from webapp.settings import Settings
from webapp.store.engine import Database, SessionMaker
from webapp.trade.people import Person, Role

# These only hand things on, so they are async: a plain function would cost a thread each.


async def get_database(request: Request) -> Database:
    """The database of the app."""
    database: Database = request.app.state.database
    return database


async def get_settings(request: Request) -> Settings:
    """The settings of the app."""
    settings: Settings = request.app.state.settings
    return settings


async def get_passwords(request: Request) -> Passwords:
    """The app's password hashing."""
    passwords: Passwords = request.app.state.passwords
    return passwords


async def get_signed_in(request: Request) -> SignedIn:
    """Who is signed in and by which session; SignInNeededError when nobody is."""
    signed_in: SignedIn | None = request.state.signed_in
    if signed_in is None:
        raise SignInNeededError("Sign in first: nobody is signed in, or the session is over.")
    return signed_in


AppDatabase = Annotated[Database, Depends(get_database)]
AppSettings = Annotated[Settings, Depends(get_settings)]
AppPasswords = Annotated[Passwords, Depends(get_passwords)]
CurrentSession = Annotated[SignedIn, Depends(get_signed_in)]


async def get_reads(database: AppDatabase) -> SessionMaker:
    """``with reads() as session:`` gives a session for queries."""
    return database.read


async def get_commands(database: AppDatabase) -> SessionMaker:
    """``with commands() as session:`` gives the one transaction of a use-case."""
    return database.command


async def get_person(signed_in: CurrentSession) -> Person:
    """Who is signed in."""
    return signed_in.person


Reads = Annotated[SessionMaker, Depends(get_reads)]
Commands = Annotated[SessionMaker, Depends(get_commands)]
CurrentPerson = Annotated[Person, Depends(get_person)]


def require_role(*roles: Role) -> Callable[..., object]:
    """Dependency that gives the person when they have one of ``roles``, else a refusal that says what is missing."""

    async def person_with_role(person: CurrentPerson) -> Person:
        if not person.has(*roles):
            needed = " or ".join(roles)
            have = ", ".join(sorted(person.roles)) or "none"
            raise NotAllowedError(
                f"This needs the role {needed}; your roles: {have}. An administrator can change that under People."
            )
        return person

    return person_with_role


Administrator = Annotated[Person, Depends(require_role(Role.ADMINISTRATOR))]
