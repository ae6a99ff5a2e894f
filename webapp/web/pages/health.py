"""For probes: whether the process is alive, and whether it can serve."""

import structlog
from fastapi import APIRouter, Response
from sqlalchemy.exc import SQLAlchemyError

from webapp.store import migrate
from webapp.web.deps import AppDatabase

log = structlog.get_logger("webapp.web")
router = APIRouter()


@router.get("/healthz")
async def alive() -> dict[str, str]:
    """The process answers."""
    return {"status": "ok"}


@router.get("/readyz")
def ready(database: AppDatabase, response: Response) -> dict[str, str]:
    """The database answers and is at the newest migration; 503 if not."""
    try:
        current = migrate.is_current(database)
    except SQLAlchemyError:
        log.exception("the database does not answer")
        response.status_code = 503
        return {"status": "database does not answer"}
    if not current:
        response.status_code = 503
        return {"status": "database is not at the newest migration"}
    return {"status": "ok"}
