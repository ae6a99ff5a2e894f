"""Alloys: all on one temperature axis, each by itself, side by side, what-if, the tin-bismuth diagram, the method."""

from fastapi import APIRouter

from webapp.web.pages.alloys import compare, diagram, listing, method, one, try_out

router = APIRouter()
# The page of one alloy takes whatever follows, so it comes last.
for page in (listing, compare, try_out, diagram, method, one):
    router.include_router(page.router)
