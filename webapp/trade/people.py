"""People and their roles, and what a login and a name may look like."""

import re
from dataclasses import dataclass
from enum import StrEnum

from webapp.errors import InvalidInputError
from webapp.trade.typed_text import tidy_line

LOGIN_LENGTH = (2, 64)
NAME_LENGTH = (1, 120)
COMMAND_LINE = "command-line"
"""The login of the account under which commands work when nobody is named; nobody signs in with it."""
_LOGIN = re.compile(r"[a-z0-9][a-z0-9._@+-]*")


class Role(StrEnum):
    """What a person does here; one person may have several."""

    ENGINEER = "engineer"
    REVIEWER = "reviewer"
    MANAGER = "manager"
    ADMINISTRATOR = "administrator"

    @property
    def meaning(self) -> str:
        """What the role may do, in one sentence."""
        return _MEANINGS[self]


_MEANINGS = {
    Role.ENGINEER: "Uploads bills of materials and works on products.",
    Role.REVIEWER: "Decides on findings and signs them.",
    Role.MANAGER: "Sees how all products stand.",
    Role.ADMINISTRATOR: "Adds people and gives them their roles.",
}


@dataclass(frozen=True, slots=True)
class Person:
    """A person as the use-cases see one."""

    id: int
    login: str
    name: str
    roles: frozenset[Role]

    def has(self, *roles: Role) -> bool:
        """Whether the person has at least one of ``roles``."""
        return not self.roles.isdisjoint(roles)


def folded_login(text: str) -> str:
    """The login as it is stored and compared: without surrounding blanks, in small letters.

    Raises InvalidInputError when it is not 2 to 64 letters a-z, digits and ``. _ @ + -``, first a letter or digit.
    """
    login = text.strip().casefold()
    low, high = LOGIN_LENGTH
    if not low <= len(login) <= high or not _LOGIN.fullmatch(login):
        raise InvalidInputError(
            f"A login has {low} to {high} letters a-z, digits or . _ @ + - and begins with a letter or digit.",
            field="login",
        )
    return login


def tidy_name(text: str) -> str:
    """The name with its blanks tidied; InvalidInputError when nothing is left, over 120 characters, or a character does
    not show."""
    name = tidy_line(text, field="name")
    low, high = NAME_LENGTH
    if not low <= len(name) <= high:
        raise InvalidInputError(f"A name has {low} to {high} characters.", field="name")
    return name


def roles_from(names: list[str]) -> frozenset[Role]:
    """The roles named; InvalidInputError for a name that is none, or when there is not one."""
    unknown = [name for name in names if name not in list(Role)]
    if unknown or not names:
        raise InvalidInputError(f"Choose at least one role of: {', '.join(Role)}.", field="roles")
    return frozenset(Role(name) for name in names)
