from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy.dialects import sqlite

from webapp.store.base import UtcDateTime

DIALECT = sqlite.dialect()


def test_times_are_kept_in_utc_and_come_back_aware():
    kind = UtcDateTime()
    noon_in_the_east = datetime(2026, 3, 1, 12, tzinfo=timezone(timedelta(hours=3)))
    assert kind.process_bind_param(noon_in_the_east, DIALECT) == datetime(2026, 3, 1, 9, tzinfo=UTC)
    assert kind.process_result_value(datetime(2026, 3, 1, 9), DIALECT) == noon_in_the_east
    assert kind.process_bind_param(None, DIALECT) is None
    assert kind.process_result_value(None, DIALECT) is None


def test_a_time_without_zone_is_refused():
    with pytest.raises(ValueError, match="without zone"):
        UtcDateTime().process_bind_param(datetime(2026, 3, 1, 9), DIALECT)
