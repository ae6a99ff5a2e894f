import pytest

from webapp.trade.people import Role


@pytest.mark.parametrize("path", ["/help", "/help/words", "/help/upload", "/help/keyboard"])
def test_help_is_open_to_everybody(client, path):
    response = client.get(path)
    assert response.status_code == 200
    assert response.text.count("<h1>") == 1


def test_style_page_is_for_people_of_the_house(client, sign_in):
    refused = client.get("/help/style")
    assert (refused.status_code, refused.headers["location"]) == (303, "/sign-in?next=/help/style")
    assert "/help/style" not in client.get("/help").text
    engineer = sign_in(Role.ENGINEER)
    assert engineer.get("/help/style").status_code == 200
    assert "/help/style" in engineer.get("/help").text


def test_upload_page_names_the_limits_as_they_are_set(client, app):
    assert app.state.settings.max_upload_bytes == 32 * 1024 * 1024
    text = client.get("/help/upload").text
    assert "up to 32\u00a0MiB, unpacked up to 256\u00a0MiB" in text
    assert "up to 200\u202f000\u00a0rows" in text


def test_words_page_has_every_verdict_and_role(client):
    text = client.get("/help/words").text
    for name in ("blocks", "change", "prove", "fine", "gain", *Role):
        assert f">{name}<" in text
