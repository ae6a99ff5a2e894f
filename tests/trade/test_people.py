import pytest

from webapp.errors import InvalidInputError
from webapp.trade.people import Person, Role, folded_login, roles_from, tidy_name


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("ida", "ida"),
        ("  Ida.Varn ", "ida.varn"),
        ("A1", "a1"),
        ("ida@example.org", "ida@example.org"),
        ("x" * 64, "x" * 64),
    ],
)
def test_logins_are_folded(typed, stored):
    assert folded_login(typed) == stored


@pytest.mark.parametrize("typed", ["", "a", "x" * 65, "-ida", "ida varn", "ída", "ida\x00", "ida/../x"])
def test_other_logins_are_refused_at_their_field(typed):
    with pytest.raises(InvalidInputError) as refused:
        folded_login(typed)
    assert refused.value.field == "login"


def test_names_lose_superfluous_blanks_only():
    assert tidy_name("  Ída \t Varnholm ") == "Ída Varnholm"


@pytest.mark.parametrize("typed", ["", "  ", "x" * 121, "Ida\x00", "Ida\u202eVarn"])
def test_other_names_are_refused_at_their_field(typed):
    with pytest.raises(InvalidInputError) as refused:
        tidy_name(typed)
    assert refused.value.field == "name"


def test_roles_are_a_set_of_known_ones_and_at_least_one():
    assert roles_from(["engineer", "reviewer", "engineer"]) == {Role.ENGINEER, Role.REVIEWER}
    for wrong in ([], ["engineer", "king"]):
        with pytest.raises(InvalidInputError):
            roles_from(wrong)


def test_a_person_has_a_role_if_any_of_those_asked_for():
    person = Person(1, "ida", "Ida", frozenset({Role.ENGINEER}))
    assert person.has(Role.REVIEWER, Role.ENGINEER)
    assert not person.has(Role.REVIEWER)
    assert not person.has()


def test_every_role_says_what_it_means():
    assert all(role.meaning.endswith(".") for role in Role)
