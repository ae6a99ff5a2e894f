"""The way from a file to a revision of a product: upload, what was found, columns, rows, commit."""

from fastapi import APIRouter

from webapp.web.pages.uploads import columns, commit, found, listing, rows

router = APIRouter()
# The list first: its /new must not be taken for a draft's name.
for part in (listing, found, columns, rows, commit):
    router.include_router(part.router)
