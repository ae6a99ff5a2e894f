import threading

import pytest
from pwdlib.hashers.argon2 import Argon2Hasher

from webapp.desk.passwords import AT_ONCE, LONGEST, SHORTEST, Passwords, check_new_password
from webapp.errors import InvalidInputError

CHEAP = {"time_cost": 1, "memory_cost": 8, "parallelism": 1}


class Watched(Argon2Hasher):
    """Hashes as cheaply as can be, and notes how many computations run at once and how many there were."""

    def __init__(self) -> None:
        super().__init__(**CHEAP)
        self.lock = threading.Lock()
        self.running = self.most = self.verified = 0
        self.together = threading.Barrier(AT_ONCE)

    def verify(self, password, hash):  # noqa: A002
        with self.lock:
            self.running += 1
            self.verified += 1
            self.most = max(self.most, self.running)
        # Both places are taken before either is given back: the limit is reached for sure, and would be passed.
        self.together.wait(timeout=30)
        try:
            return super().verify(password, hash)
        finally:
            with self.lock:
                self.running -= 1


def test_a_password_is_verified_against_its_hash(passwords):
    stored = passwords.hash("seven copper kettles")
    assert stored.startswith("$argon2id$")
    assert passwords.hash("seven copper kettles") != stored, "each hash has a salt of its own"
    assert passwords.verify("seven copper kettles", stored) == (True, None)
    assert passwords.verify("Seven copper kettles", stored) == (False, None)


def test_the_same_characters_typed_on_another_keyboard_match(passwords):
    assert passwords.verify("cafe\u0301 au lait 12", passwords.hash("caf\u00e9 au lait 12"))[0]


def test_no_more_than_two_are_computed_at_once():
    hasher = Watched()
    passwords = Passwords(hasher)
    stored = passwords.hash("seven copper kettles")
    threads = [threading.Thread(target=passwords.verify, args=("x", stored)) for _ in range(4 * AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert hasher.verified == 4 * AT_ONCE
    assert hasher.most == AT_ONCE


def test_an_unknown_login_costs_a_computation_too_and_never_passes():
    hasher = Watched()
    hasher.together = threading.Barrier(1)
    passwords = Passwords(hasher)
    assert passwords.verify("nobody has this password", None) == (False, None)
    assert hasher.verified == 1


def test_a_hash_with_old_parameters_is_renewed(passwords):
    old = Passwords(Argon2Hasher(time_cost=2, memory_cost=8, parallelism=1)).hash("seven copper kettles")
    right, renewed = passwords.verify("seven copper kettles", old)
    assert right
    assert renewed is not None
    assert renewed != old
    assert passwords.verify("seven copper kettles", renewed) == (True, None)


@pytest.mark.parametrize(
    "wrong",
    [
        "",
        "x" * (SHORTEST - 1),
        "x" * (LONGEST + 1),
        "ida.varnholm.login",
        "IDA.Varnholm.login",
        "ida varnholm the second",
    ],
)
def test_new_passwords_that_are_refused(wrong):
    with pytest.raises(InvalidInputError) as refused:
        check_new_password(wrong, login="ida.varnholm.login", name="Ida Varnholm the Second")
    assert refused.value.field == "new_password"


@pytest.mark.parametrize("good", ["x" * SHORTEST, "x" * LONGEST, "seven copper kettles", "πέντε χάλκινα"])
def test_new_passwords_that_are_taken(good):
    check_new_password(good, login="ida", name="Ida Varnholm")
