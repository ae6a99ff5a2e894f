import json
import logging

import pytest
import structlog

from webapp.logs import configure_logs


@pytest.fixture(autouse=True)
def _as_before():
    yield
    configure_logs()


def test_lines_of_ours_and_of_libraries_are_json_with_the_request(capsys):
    configure_logs(as_json=True)
    with structlog.contextvars.bound_contextvars(request_id="abc"):
        structlog.get_logger("webapp").info("uploaded", size=3)
        logging.getLogger("library").warning("careful %s", "now")
    out, err = capsys.readouterr()
    assert out == ""
    ours, theirs = (json.loads(line) for line in err.splitlines())
    assert (ours["event"], ours["size"], ours["request_id"], ours["level"]) == ("uploaded", 3, "abc", "info")
    assert (theirs["event"], theirs["request_id"], theirs["level"]) == ("careful now", "abc", "warning")


def test_an_error_has_its_traceback_but_no_values(capsys):
    configure_logs()
    password = "not for the log"
    try:
        raise ValueError(len(password))
    except ValueError:
        structlog.get_logger("webapp").exception("failed")
    err = capsys.readouterr().err
    assert "Traceback" in err
    assert "ValueError: 15" in err
    assert err.count("not for the log") == 0


def test_configuring_again_does_not_double_the_lines(capsys):
    configure_logs()
    configure_logs()
    logging.getLogger("library").warning("once")
    assert capsys.readouterr().err.count("once") == 1
