"""The tour: from BOM to decision, step by step, with links into a product that is there."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.store import product_reads
from webapp.web.deps import Reads
from webapp.web.pages.products import product_address
from webapp.web.rendering import render

router = APIRouter(prefix="/help")


@router.get("/tour", response_class=HTMLResponse)
def tour_page(request: Request, reads: Reads) -> HTMLResponse:
    """The stops; links into a product only for who is signed in."""
    product = None
    if request.state.person is not None:
        with reads() as session:
            entries, _ = product_reads.list_products(session, "", 0, 1)
        product = entries[0] if entries else None
    address = product_address(product.code) if product else ""
    return render(request, "help/tour.html", {"product": product, "address": address})
