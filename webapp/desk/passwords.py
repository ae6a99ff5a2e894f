"""Passwords: the rules, and hashing with argon2 a few at a time."""

import unicodedata
from threading import BoundedSemaphore

from pwdlib import PasswordHash
from pwdlib.hashers import HasherProtocol
from pwdlib.hashers.argon2 import Argon2Hasher

from webapp.errors import InvalidInputError

SHORTEST = 12
LONGEST = 256
# One argon2 computation takes 64 MiB: sixteen at once were measured at 800 MB resident.
AT_ONCE = 2


class Passwords:
    """Hashes and verifies passwords; one instance a process, so that the limit on memory holds."""

    def __init__(self, hasher: HasherProtocol | None = None) -> None:
        self._hash = PasswordHash((hasher or Argon2Hasher(),))
        self._turn = BoundedSemaphore(AT_ONCE)
        self._dummy = self._hash.hash("nobody has this password")

    def hash(self, password: str) -> str:
        """The hash to store, with its own salt."""
        with self._turn:
            return self._hash.hash(_normal(password))

    def verify(self, password: str, stored: str | None) -> tuple[bool, str | None]:
        """Whether the password is right, and the hash to store instead when the parameters have changed since.

        ``stored`` None (nobody has that login) takes just as long, so that the time tells nothing about logins.
        """
        with self._turn:
            right, renewed = self._hash.verify_and_update(_normal(password), stored or self._dummy)
        return right and stored is not None, renewed


def check_new_password(password: str, *, login: str, name: str) -> None:
    """InvalidInputError unless the password is long enough and not simply the person's login or name.

    Length is what counts; rules about kinds of characters only lead to predictable passwords (NIST SP 800-63B, 5.1.1).
    """
    if len(password) < SHORTEST:
        raise InvalidInputError(f"A password has at least {SHORTEST} characters.", field="new_password")
    if len(password) > LONGEST:
        raise InvalidInputError(f"A password has at most {LONGEST} characters.", field="new_password")
    if _normal(password).casefold() in (login.casefold(), name.casefold()):
        raise InvalidInputError("The password must not be the login or the name.", field="new_password")


def _normal(password: str) -> str:
    """One form for characters that keyboards compose differently; cut where no real password reaches."""
    return unicodedata.normalize("NFC", password[: 4 * LONGEST])
