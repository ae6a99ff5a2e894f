"""The last step: as a new product or as the next revision of one, with what changes."""

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from webapp.desk import commits
from webapp.desk.commits import Comparison, NewProduct, NextRevision
from webapp.desk.drafts import Draft
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.store import product_reads
from webapp.store.engine import SessionMaker
from webapp.web.deps import AppDatabase, Reads
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import (
    Engineer,
    SentForm,
    Step,
    load,
    show_step,
    step_address,
    text_of,
    version_of,
)
from webapp.web.rendering import go_to

router = APIRouter(prefix="/uploads")


@router.get("/{token}/commit", response_class=HTMLResponse)
def commit_page(
    request: Request, person: Engineer, reads: Reads, token: str, to: str = "", product: str = ""
) -> HTMLResponse:
    """``to`` is "new" or "next"; ``product`` the code of the one that gets its next revision."""
    draft = load(reads, person, token)
    code = product or ("" if to else draft.product_code or "")
    return _page(request, draft, reads, is_next=bool(code) or to == "next", code=code)


@router.post("/{token}/commit", response_class=HTMLResponse)
def commit(request: Request, person: Engineer, database: AppDatabase, token: str, form: SentForm) -> Response:
    """Make the draft a revision and go to its product; a second time nothing is made, and it is said."""
    product = text_of(form, "product")
    is_next = text_of(form, "to") == "next"
    typed = {name: text_of(form, name) for name in ("code", "name", "note")}
    target = NextRevision(product) if is_next else NewProduct(typed["code"], typed["name"])
    try:
        done = commits.commit_upload(database, person, token, version_of(form), target, typed["note"])
    except (InvalidInputError, ConflictError) as error:
        if getattr(error, "token", None):
            raise
        draft = load(database.read, person, token)
        return _page(request, draft, database.read, is_next=is_next, code=product, typed=typed, error=error)
    query = f"done=already&revision={done.number}" if done.already else "done=committed"
    return go_to(request, f"{product_address(done.code)}?{query}")


def _page(
    request: Request,
    draft: Draft,
    reads: SessionMaker,
    *,
    is_next: bool,
    code: str,
    typed: dict[str, str] | None = None,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    comparison: Comparison | None = None
    with reads() as session:
        codes = product_reads.product_codes(session)
        same_file = product_reads.revisions_from_file(session, draft.file_sha256)
        if is_next and code:
            try:
                comparison = commits.compare(session, draft, code)
            except InvalidInputError as missing:
                error = error or missing
    here = step_address(draft.token, Step.COMMIT)
    context = {
        "is_next": is_next,
        "code": code,
        "codes": codes,
        "comparison": comparison,
        "same_file": same_file,
        "typed": typed or {"code": "", "name": "", "note": ""},
        "ways": [
            ("New product", f"{here}?to=new", not is_next),
            ("Next revision of a product", f"{here}?to=next", is_next),
        ],
        "address": product_address,
    }
    return show_step(request, draft, Step.COMMIT, context, error=error)
