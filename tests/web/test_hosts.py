import pytest

from webapp.web.hosts import host_name, is_loopback, reached_on_loopback, same_authority


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.5.5.5", "::1", "[::1]", "::ffff:127.0.0.1", "localhost", "LocalHost"]
)
def test_this_machine_itself(host):
    assert is_loopback(host)


@pytest.mark.parametrize(
    "host", ["", "0.0.0.0", "::", "192.0.2.1", "::ffff:192.0.2.1", "localhost.example", "127.0.0.1.example", "example"]
)
def test_other_machines(host):
    assert not is_loopback(host)


@pytest.mark.parametrize(
    ("authority", "name"),
    [
        ("Melt.example:8000", "melt.example"),
        ("melt.example", "melt.example"),
        ("[::1]:8000", "::1"),
        ("[::1]", "::1"),
        ("", ""),
    ],
)
def test_the_name_of_an_authority(authority, name):
    assert host_name(authority) == name


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("melt.example", "MELT.example", True),
        ("melt.example:443", "melt.example", True),
        ("melt.example:80", "melt.example", True),
        ("[::1]:8000", "[::1]:8000", True),
        ("[2001:db8::80]", "[2001:db8:]", False),
        ("melt.example:8000", "melt.example", False),
        ("melt.example:8000", "melt.example:8001", False),
        ("melt.example.evil", "melt.example", False),
        ("", "", False),
    ],
)
def test_the_same_authority(one, other, same):
    assert same_authority(one, other) is same


@pytest.mark.parametrize(
    ("server", "public_host", "expected"),
    [
        (("127.0.0.1", 8000), "", True),
        (("127.0.0.1", 8000), "localhost:8000", True),
        (("127.0.0.1", 8000), "melt.example", False),
        (("192.0.2.1", 8000), "", False),
        (None, "", False),
    ],
)
def test_reached_on_loopback(server, public_host, expected):
    assert reached_on_loopback({"server": server}, public_host) is expected
