"""What the steps of an upload share: who may, the form as sent, the line of steps, the draft's page."""

from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import FormData

from webapp.desk.drafts import Draft, DraftClosedError, open_draft
from webapp.errors import ConflictError, InvalidInputError, MeltlineError
from webapp.store.engine import SessionMaker
from webapp.trade.people import Person, Role
from webapp.web.deps import require_role
from webapp.web.rendering import go_to, render

Engineer = Annotated[Person, Depends(require_role(Role.ENGINEER))]


async def get_form(request: Request) -> FormData:
    """The form as it was sent, for pages whose fields depend on the file."""
    return await request.form()


SentForm = Annotated[FormData, Depends(get_form)]


class Step(StrEnum):
    """The steps of a draft, in their order; the value is the last part of the address."""

    FOUND = "found"
    COLUMNS = "columns"
    ROWS = "rows"
    COMMIT = "commit"


STEP_NAMES = {
    Step.FOUND: "What was found",
    Step.COLUMNS: "Columns",
    Step.ROWS: "Rows",
    Step.COMMIT: "Commit",
}
NOTICES = {
    "read": "The file was read again.",
    "columns": "The columns are set, and the file was read again with them.",
    "saved": "The rows are saved.",
    "placement": "The placement file is added: sides stand with the lines.",
    "no-placement": "The placement file is taken away.",
    "back": "The upload is open again.",
}


def step_address(token: str, step: Step) -> str:
    """The address of a step of a draft."""
    return f"/uploads/{token}/{step}"


def load(reads: SessionMaker, person: Person, token: str) -> Draft:
    """The person's open draft."""
    with reads() as session:
        return open_draft(session, person, token)


def text_of(form: FormData, name: str) -> str:
    """The text of a field; "" when it was not sent or is a file."""
    value = form.get(name)
    return value if isinstance(value, str) else ""


def version_of(form: FormData) -> int:
    """The version of the draft that the form was made from."""
    text = text_of(form, "version")
    if not text.isdecimal() or len(text) > 9:
        raise InvalidInputError("The form does not say which state of the upload it was made from. Load the page anew.")
    return int(text)


def errors_of(error: MeltlineError | None) -> dict[str, str]:
    """The error as the templates take it: field -> sentence."""
    return {error.field or "": error.message} if error else {}


def show_step(
    request: Request,
    draft: Draft,
    step: Step,
    context: Mapping[str, Any],
    *,
    error: MeltlineError | None = None,
    done: str = "",
) -> HTMLResponse:
    """The page of one step."""
    shared = {
        "draft": draft,
        "counts": draft.counts,
        "reading": draft.joined.reading,
        "steps_shown": _steps(draft, step),
        "errors": errors_of(error),
        "is_conflict": isinstance(error, ConflictError),
        "notice_text": NOTICES.get(done),
        "here": step_address(draft.token, step),
    }
    return render(request, f"uploads/{step}.html", {**shared, **context}, status=error.status if error else 200)


def _steps(draft: Draft, current: Step) -> list[tuple[str, str | None, str]]:
    shown: list[tuple[str, str | None, str]] = [("File", None, "done")]
    state = "done"
    for step in Step:
        if step is current:
            shown.append((STEP_NAMES[step], None, "current"))
            state = "todo"
            continue
        # What is no BOM has no rows to look at and nothing to commit.
        is_open = draft.reading.is_board_bom or step in (Step.FOUND, Step.COLUMNS)
        shown.append((STEP_NAMES[step], step_address(draft.token, step) if is_open else None, state))
    return shown


def show_closed(request: Request, error: Exception) -> Response:
    """A draft that is no longer open, whatever was to be done with it: to the page that says what became of it."""
    if not isinstance(error, DraftClosedError):
        raise error
    return go_to(request, f"/uploads/{error.token}")
