"""One's own uploads, the form for a new one, and what became of one that is closed."""

from typing import Annotated

from fastapi import APIRouter, File, Form, Request, Response, UploadFile
from fastapi.responses import HTMLResponse

from webapp.desk import drafts, uploads
from webapp.desk.uploads import NewUpload, UploadedFile
from webapp.errors import InvalidInputError, MeltlineError, TooLargeError, UnreadableFileError
from webapp.settings import Settings
from webapp.store import product_reads
from webapp.trade.people import Person
from webapp.web.deps import AppDatabase, AppSettings, Reads
from webapp.web.pages.products import product_address
from webapp.web.pages.uploads.common import Engineer, Step, errors_of, step_address
from webapp.web.paging import UnknownViewError
from webapp.web.rendering import go_to, render

router = APIRouter(prefix="/uploads")

RECENT = 10
ACCEPTED = ".csv,.tsv,.txt,.xlsx,.xlsm,.xls,.ods"
PLACEMENT_ACCEPTED = ".csv,.tsv,.txt,.pos,.xlsx,.xls,.ods"
NOTICES = {"discarded": "The upload is thrown away."}


@router.get("", response_class=HTMLResponse)
def uploads_page(request: Request, person: Engineer, reads: Reads, done: str = "", token: str = "") -> HTMLResponse:
    """The person's open drafts, and what they committed last. After throwing one away it can be taken back."""
    with reads() as session:
        context = {
            "entries": drafts.own_open_drafts(session, person),
            "recent": product_reads.revisions_by(session, person.id, RECENT),
            "notice_text": NOTICES.get(done),
            "thrown_away": token if done == "discarded" else "",
            "address": product_address,
        }
    return render(request, "uploads/list.html", context)


@router.get("/new", response_class=HTMLResponse)
def new_page(
    request: Request, person: Engineer, settings: AppSettings, reads: Reads, product: str = ""
) -> HTMLResponse:
    """The form; ``product`` is the code of the product that the file is meant for."""
    if product:
        with reads() as session:
            row = product_reads.product_by_code(session, product)
        if row is None:
            raise UnknownViewError(f'There is no product "{product[:40]}" to upload a revision for.')
        product = row.code
    return _form(request, person, settings, reads, product)


@router.post("", response_class=HTMLResponse)
def upload(
    request: Request,
    person: Engineer,
    database: AppDatabase,
    settings: AppSettings,
    file: Annotated[UploadFile | None, File()] = None,
    placement: Annotated[UploadFile | None, File()] = None,
    form_key: Annotated[str, Form()] = "",
    product: Annotated[str, Form()] = "",
) -> Response:
    """Keep the file as a draft and go on with what was found in it."""
    try:
        new = NewUpload(_required(file), form_key, _optional(placement), product)
        token = uploads.start_upload(database, settings, person, new)
    except (UnreadableFileError, TooLargeError, InvalidInputError) as error:
        return _form(request, person, settings, database.read, product, error)
    return go_to(request, step_address(token, Step.FOUND))


@router.get("/{token}", response_class=HTMLResponse)
def one_upload(request: Request, person: Engineer, reads: Reads, token: str) -> Response:
    """To the first step of an open draft; of a closed one, what became of it."""
    with reads() as session:
        closed = drafts.closed_draft(session, person, token)
    if closed is None:
        return go_to(request, step_address(token, Step.FOUND))
    return render(request, "uploads/closed.html", {"closed": closed, "address": product_address})


@router.post("/{token}/discard")
def discard(request: Request, person: Engineer, database: AppDatabase, token: str) -> Response:
    """Throw the draft away."""
    uploads.discard(database, person, token)
    return go_to(request, f"/uploads?done=discarded&token={token}")


@router.post("/{token}/take-back")
def take_back(request: Request, person: Engineer, database: AppDatabase, token: str) -> Response:
    """Open a draft again that was thrown away."""
    uploads.take_back(database, person, token)
    return go_to(request, f"{step_address(token, Step.FOUND)}?done=back")


def _required(file: UploadFile | None) -> UploadedFile:
    # A browser sends a nameless, empty part when no file was chosen.
    if file is None or not (file.filename or file.size):
        raise InvalidInputError("Choose the file with the bill of materials.", field="file")
    return UploadedFile(file.filename or "", file.file.read())


def _optional(file: UploadFile | None) -> UploadedFile | None:
    return None if file is None or not (file.filename or file.size) else _required(file)


def _form(
    request: Request,
    person: Person,
    settings: Settings,
    reads: Reads,
    product: str,
    error: MeltlineError | None = None,
) -> HTMLResponse:
    with reads() as session:
        open_count = len(drafts.own_open_drafts(session, person))
    context = {
        "product": product,
        "form_key": uploads.new_form_key(),
        "errors": errors_of(error),
        "max_bytes": settings.max_upload_bytes,
        "accepted": ACCEPTED,
        "placement_accepted": PLACEMENT_ACCEPTED,
        "open_count": open_count,
    }
    return render(request, "uploads/new.html", context, status=error.status if error else 200)
