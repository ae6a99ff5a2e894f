from typing import Annotated

import pytest
from fastapi import Depends

from webapp.trade.people import Person, Role
from webapp.web.deps import require_role


@pytest.fixture
def app(app):
    @app.get("/only-some-roles")
    def review(person: Annotated[Person, Depends(require_role(Role.REVIEWER, Role.MANAGER))]):
        return {"login": person.login}

    return app


@pytest.mark.parametrize("role", [Role.REVIEWER, Role.MANAGER])
def test_one_of_the_roles_is_enough(sign_in, role):
    assert sign_in(role).get("/only-some-roles").json() == {"login": role}


def test_a_refusal_says_what_is_missing_and_who_can_help(sign_in):
    response = sign_in(Role.ENGINEER, Role.ADMINISTRATOR).get("/only-some-roles")
    assert response.status_code == 403
    assert "reviewer or manager" in response.text
    assert "your roles: administrator, engineer" in response.text
