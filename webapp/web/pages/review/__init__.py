"""The reviewer's pages: the queue, one part (or check) of it, one finding, and signing."""

from fastapi import APIRouter

from webapp.web.pages.review.finding import router as finding_router
from webapp.web.pages.review.group import router as group_router
from webapp.web.pages.review.queue import router as queue_router
from webapp.web.pages.review.signing import router as signing_router

router = APIRouter()
for part in (queue_router, group_router, finding_router, signing_router):
    router.include_router(part)
