"""After an edit of what several products share: the first few are re-assessed at once, the sweep does the rest."""

from collections.abc import Iterable

from fastapi import Request

from webapp.desk import assessing
from webapp.desk.sweep import Sweeper
from webapp.store.engine import Database

AT_ONCE = 3


def settle(request: Request, database: Database, product_ids: Iterable[int]) -> None:
    """Re-assess up to ``AT_ONCE`` of the products and wake the sweep, to which the others are left."""
    for product_id in sorted(set(product_ids))[:AT_ONCE]:
        assessing.reassess(database, product_id)
    sweeper: Sweeper | None = request.app.state.sweeper
    if sweeper is not None:
        sweeper.wake()
