"""The tabs of a product beside its BOM: setup, route, findings; and what is changed on the BOM's lines."""

from fastapi import APIRouter

from webapp.web.pages.product_tabs import approvals, finding, findings, joints, route, route_edit, setup, ways

router = APIRouter()
# The addresses of the BOM itself are the shortest: they come last.
for part in (setup, route_edit, route, ways, finding, findings, joints, approvals):
    router.include_router(part.router)
