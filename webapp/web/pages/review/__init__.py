"""The reviewer's pages: the queue, one part (or check) of it, one finding, and signing."""

from fastapi import APIRouter

from webapp.web.pages.review import finding, group, queue, signing

router = APIRouter()
for part in (queue, group, finding, signing):
    router.include_router(part.router)
