import pytest

from webapp.intake.charsets import plausibility


def test_ascii_says_nothing() -> None:
    assert plausibility([b"Ref,Qty"], "cp1252") == 0.0


@pytest.mark.parametrize(
    ("meant", "mistaken", "text"),
    [
        ("cp1252", "gb18030", "10 µF °C"),
        ("cp1252", "cp1251", "Stück für Gerät"),
        ("cp1251", "cp1252", "Резистор"),
        ("cp1251", "koi8-r", "Резистор"),
        ("koi8-r", "cp1251", "ПЛАТА УПРАВЛЕНИЯ"),
        ("gb18030", "cp949", "电容"),
        ("cp949", "gb18030", "저항"),
        ("cp1250", "cp1252", "Wartość"),
        ("utf-8", "cp1252", "Größe"),
    ],
)
def test_the_right_reading_scores_higher(meant: str, mistaken: str, text: str) -> None:
    line = text.encode(meant)
    assert plausibility([line], meant) > plausibility([line], mistaken) + 0.1


def test_a_sign_counts_where_it_is_meant_only() -> None:
    assert plausibility(["10 µF".encode("cp1252")], "cp1252") > 0 > plausibility(["aµbc".encode("cp1252")], "cp1252")
