"""Errors as answers: a page, a fragment for htmx, or problem+json (RFC 9457), whichever the request can use."""

import dataclasses
from http import HTTPStatus
from typing import Any

import structlog
from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, PlainTextResponse, Response
from jinja2 import TemplateError
from starlette.exceptions import HTTPException

from webapp.errors import InvalidInputError, MeltlineError, NotFoundError, SignInNeededError, TooLargeError
from webapp.web.addresses import sign_in_address
from webapp.web.numbers import NO_SUCH_ROW, UNKNOWN_VIEW
from webapp.web.paging import UnknownViewError
from webapp.web.rendering import go_to, render, wants_fragment

log = structlog.get_logger("webapp.web")

_START = ("/", "Go to the start page")
_TITLES = {
    401: "Please sign in",
    403: "Not allowed",
    404: "Not found",
    405: "Not possible here",
    409: "Changed in between",
    413: "Too large",
    422: "That does not hold",
    429: "Too many tries",
}
_SENTENCES = {
    404: "There is no page at this address.",
    405: "This address cannot be used in this way.",
}


@dataclasses.dataclass(frozen=True)
class Problem:
    """What is said of an error: HTTP status, a code for programs, a sentence, the field to blame, where to go next."""

    status: int
    code: str
    message: str
    field: str | None = None
    link: tuple[str, str] | None = _START
    headers: dict[str, str] = dataclasses.field(default_factory=dict)


def add_handlers(app: FastAPI) -> None:
    """Let all errors of the routes end here. What nobody expected is caught by the middleware further out."""
    app.add_exception_handler(MeltlineError, answer)
    app.add_exception_handler(RequestValidationError, answer)
    app.add_exception_handler(HTTPException, answer)


def answer(request: Request, error: Exception) -> Response:
    """The answer to any error."""
    if isinstance(error, SignInNeededError) and not wants_json(request):
        return go_to(request, sign_in_address(request))
    return problem_answer(request, problem_of(error))


def problem_of(error: Exception) -> Problem:
    """What to say of an error; of an unexpected one nothing but that it happened."""
    if isinstance(error, MeltlineError):
        headers = {"Connection": "close"} if isinstance(error, TooLargeError) else {}
        return Problem(error.status, error.code, error.message, error.field, headers=headers)
    if isinstance(error, RequestValidationError):
        return _problem_of_request(error)
    if isinstance(error, HTTPException):
        return _problem_of_http(error)
    return Problem(500, "unexpected", "Something went wrong on our side. It has been noted with the request number.")


def _problem_of_request(error: RequestValidationError) -> Problem:
    first = error.errors()[0]
    place, *names = (str(part) for part in first["loc"])
    if place == "path" or first["type"] == NO_SUCH_ROW:
        return problem_of(NotFoundError(_SENTENCES[404]))
    name = ".".join(names) or None
    if first["type"] == UNKNOWN_VIEW:
        return problem_of(UnknownViewError(first["msg"], field=name))
    sentence = f"{name}: {first['msg']}." if name else f"{first['msg']}."
    return problem_of(InvalidInputError(sentence, field=name))


def _problem_of_http(error: HTTPException) -> Problem:
    status = HTTPStatus(error.status_code)
    code = status.phrase.casefold().replace(" ", "_").replace("-", "_")
    sentence = _SENTENCES.get(status, f"{error.detail}.")
    return Problem(int(status), code, sentence, headers=dict(error.headers or {}))


def problem_answer(request: Request, problem: Problem) -> Response:
    """The problem in the form the request can use."""
    request_id = getattr(request.state, "request_id", "")
    if wants_json(request):
        return _problem_json(problem, request_id)
    context = {
        "status": problem.status,
        "title": _TITLES.get(problem.status, "Something went wrong"),
        "code": problem.code,
        "message": problem.message,
        "field": problem.field,
        "link": problem.link,
        "request_id": request_id,
    }
    template = "_error.html" if wants_fragment(request) else "errors/error.html"
    try:
        response: Response = render(request, template, context, status=problem.status)
    except TemplateError:
        # The error must be told even when the page for it is what is broken.
        log.exception("the error page itself failed")
        response = PlainTextResponse(f"{problem.message} Request {request_id}.", status_code=problem.status)
    response.headers.update(problem.headers)
    return response


def _problem_json(problem: Problem, request_id: str) -> JSONResponse:
    document: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(problem.status).phrase,
        "status": problem.status,
        "detail": problem.message,
        "code": problem.code,
        "field": problem.field,
        "request_id": request_id,
    }
    return JSONResponse(document, problem.status, headers=problem.headers, media_type="application/problem+json")


def wants_json(request: Request) -> bool:
    """Whether the request is a program's: it accepts JSON and no HTML."""
    accept = request.headers.get("accept", "")
    return ("application/json" in accept or "application/problem+json" in accept) and "text/html" not in accept
