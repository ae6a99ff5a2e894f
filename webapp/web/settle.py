"""After an edit of what several products share: the first few are re-assessed at once, the sweep does the rest."""

from collections.abc import Iterable

from fastapi import Request

from webapp.desk import assessing
from webapp.desk.sweep import Sweeper
from webapp.store.engine import Database

AT_ONCE = 3


def settle(request: Request, database: Database, product_ids: Iterable[int]) -> int:
    """Re-assess up to ``AT_ONCE`` of the products and wake the sweep; how many products are left to it."""
    ids = sorted(set(product_ids))
    for product_id in ids[:AT_ONCE]:
        assessing.reassess(database, product_id)
    sweeper: Sweeper | None = request.app.state.sweeper
    if sweeper is not None:
        sweeper.wake()
    return len(ids[AT_ONCE:])
