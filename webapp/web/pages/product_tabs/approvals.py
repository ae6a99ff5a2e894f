"""On the tab *BOM*: which of a line's parts may be fitted."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from starlette.datastructures import FormData

from webapp.desk import assessing
from webapp.desk.alternates import Place, set_approval
from webapp.errors import ConflictError, InvalidInputError
from webapp.web.deps import AppDatabase
from webapp.web.numbers import PageNumber, RowId
from webapp.web.pages.product_tabs.common import before_saving, load_product
from webapp.web.pages.products import Answer, asked_for, lines_page
from webapp.web.pages.uploads.common import Engineer, SentForm, text_of
from webapp.web.rendering import go_to

router = APIRouter(prefix="/products")


@router.post("/{code:path}", response_class=HTMLResponse)
def approve(
    request: Request,
    person: Engineer,
    database: AppDatabase,
    code: str,
    form: SentForm,
    show: str = "all",
    q: str = "",
    sort: str = "",
    page: PageNumber = 1,
    revision: RowId | None = None,
) -> Response:
    """Approve a part of a line, or take it out; re-assess; back to the same lines, with what that changed."""
    asked = asked_for(code, show, q, sort, page, revision)
    with database.read() as session:
        product = load_product(session, code)
    place = Place(_number(form, "of"), _number(form, "line"), _number(form, "part"))
    approved = text_of(form, "approved") == "yes"
    before = before_saving(database, product.id)
    try:
        with database.command() as session:
            set_approval(session, person, product.id, place, approved=approved, version=_number(form, "version"))
    except (InvalidInputError, ConflictError) as error:
        answer = Answer(line=place.line, part=place.part_id, error=error)
        return lines_page(request, database.read, person, asked, answer)
    assessing.reassess(database, product.id)
    done = {"done": "approved" if approved else "taken-out", "line": place.line, "part": place.part_id, "was": before}
    return go_to(request, asked.view().address(**done))


def _number(form: FormData, name: str) -> int:
    text = text_of(form, name)
    if not text.isdecimal() or len(text) > 9:
        raise InvalidInputError("The form does not say which part of which line is meant. Load the page anew.")
    return int(text)
