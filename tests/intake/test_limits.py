import msgspec

from webapp.intake.limits import MIB, Limits


def test_limits_of_the_issue() -> None:
    limits = Limits()
    assert limits.file_bytes < 200 * MIB
    assert limits.rows < 1_000_000


def test_they_travel_as_json() -> None:
    limits = Limits(rows=7)
    assert msgspec.json.decode(msgspec.json.encode(limits), type=Limits) == limits
