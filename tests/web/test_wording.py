"""Expected texts follow ISO 80000-1 (true minus, small space between groups of three, space before the unit)."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from webapp.web import wording

NB = "\u00a0"
NNB = "\u202f"
MINUS = "\u2212"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (217.0, "217"),
        (217.04, "217"),
        (217.06, "217.1"),
        (0, "0"),
        (-0.0, "0"),
        (3, "3"),
        (0.047, "0.047"),
        (0.00041666, "0.0004167"),
        (9.9999, "10"),
        (-3.25, f"{MINUS}3.25"),
        (-0.00000001, f"{MINUS}0.00000001"),
        (1234.5, "1234"),
        (9999, "9999"),
        (10000, f"10{NNB}000"),
        (1234567.8, f"1{NNB}234{NNB}568"),
        (None, "not known"),
        (float("nan"), "not known"),
        (float("inf"), "not known"),
    ],
)
def test_number_has_sensible_digits(value, text):
    assert wording.number(value) == text


def test_number_with_unit_and_places():
    assert wording.number(245, "°C") == f"245{NB}°C"
    assert wording.number(-3.2, "K", 2) == f"{MINUS}3.20{NB}K"
    assert wording.number(0.8, places=2) == "0.80"
    assert wording.number(-0.001, places=1) == "0.0"
    assert wording.number(None, "°C") == "not known"


@pytest.mark.parametrize(
    ("fraction", "text"),
    [
        (0, "0"),
        (1, "100"),
        (0.934, "93"),
        (0.9999, "> 99"),
        (0.0001, "< 1"),
        (0.005001, "1"),
        (0.994, "99"),
        (1.2, "120"),
        (-0.1, f"{MINUS}10"),
    ],
)
def test_percent_is_whole_only_when_it_is(fraction, text):
    assert wording.percent(fraction) == f"{text}{NB}%"


def test_percent_with_places_and_not_known():
    assert wording.percent(0.99996, 1) == f"> 99.9{NB}%"
    assert wording.percent(0.9345, 1) == f"93.5{NB}%"
    assert wording.percent(None) == "not known"


def test_plural():
    assert wording.plural(1, "line") == f"1{NB}line"
    assert wording.plural(0, "line") == f"0{NB}lines"
    assert wording.plural(12345, "line") == f"12{NNB}345{NB}lines"
    assert wording.plural(2, "entry", "entries") == f"2{NB}entries"


def test_dates_are_iso_and_in_utc():
    assert wording.iso_date(date(2026, 3, 7)) == "2026-03-07"
    assert wording.iso_time(datetime(2026, 3, 7, 9, 5)) == f"2026-03-07 09:05{NB}UTC"
    assert wording.iso_time(datetime(2026, 3, 7, 9, 5, tzinfo=UTC)) == f"2026-03-07 09:05{NB}UTC"
    east = timezone(timedelta(hours=9))
    assert wording.iso_time(datetime(2026, 3, 7, 5, 5, tzinfo=east)) == f"2026-03-06 20:05{NB}UTC"
    assert wording.iso_date(None) == wording.iso_time(None) == "not known"


@pytest.mark.parametrize(
    ("size", "text"),
    [
        (0, f"0{NB}bytes"),
        (1, f"1{NB}byte"),
        (1023, f"1023{NB}bytes"),
        (1024, f"1{NB}KiB"),
        (1431, f"1.4{NB}KiB"),
        (184 * 1024, f"184{NB}KiB"),
        (32 * 1024 * 1024, f"32{NB}MiB"),
        (200 * 1024**3, f"200{NB}GiB"),
        (None, "not known"),
    ],
)
def test_file_size(size, text):
    assert wording.file_size(size) == text


def test_short_list_says_how_many_are_left_out():
    names = [f"C{n}" for n in range(1, 34)]
    assert wording.short_list(names, 2) == f"C1, C2, …{NB}+31{NB}more"
    assert wording.short_list(names[:2], 2) == "C1, C2"
    assert wording.short_list([]) == ""
