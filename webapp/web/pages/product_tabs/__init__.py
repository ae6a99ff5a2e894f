"""The tabs of a product beside its BOM: setup, route, findings."""

from fastapi import APIRouter

from webapp.web.pages.product_tabs import finding, findings, route, route_edit, setup

router = APIRouter()
for part in (setup, route_edit, route, finding, findings):
    router.include_router(part.router)
