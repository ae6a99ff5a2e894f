from webapp.trade.people import Role


def test_all_pages_of_the_house_answer(client, sign_in):
    assert client.get("/sign-in").headers["location"] == "/setup"
    admin = sign_in(Role.ADMINISTRATOR, Role.ENGINEER)
    for path in ("/", "/account", "/people", "/people/1", "/help", "/healthz", "/readyz"):
        response = admin.get(path)
        assert response.status_code == 200, (path, response.text)
