"""From templates to responses: one Jinja environment, strict and escaping, and the htmx headers in one place."""

from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from webapp import __version__
from webapp.resources import resource_dir
from webapp.trade.figures import CURRENCY
from webapp.web.wording import FILTERS

VARY = "HX-Request, HX-Request-Type"


@cache
def static(path: str) -> str:
    """Address of a static file, with its content's hash so that a browser may keep it for good.

    The hash is taken once a process. Raises FileNotFoundError for a file that is not there.
    """
    content = (resource_dir("static") / path).read_bytes()
    return f"/static/{path}?v={sha256(content).hexdigest()[:12]}"


def make_environment() -> Environment:
    """The Jinja environment: undefined names are errors, everything is escaped."""
    environment = Environment(
        loader=FileSystemLoader(resource_dir("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["version"] = __version__
    environment.globals["static"] = static
    environment.globals["currency"] = CURRENCY
    environment.filters.update(FILTERS)
    return environment


def wants_fragment(request: Request) -> bool:
    """Whether htmx asks for a part of the page (not a boosted page or a history restore, which want it whole)."""
    return request.headers.get("HX-Request") == "true" and request.headers.get("HX-Request-Type") == "partial"


def render(request: Request, template: str, context: Mapping[str, Any], *, status: int = 200) -> HTMLResponse:
    """The page ``template`` with ``context``; ``person`` (who is signed in, or None) and ``path`` are always there."""
    environment: Environment = request.app.state.templates
    body = environment.get_template(template).render(
        {"person": getattr(request.state, "person", None), "path": request.url.path, **context}
    )
    return HTMLResponse(body, status_code=status, headers={"Vary": VARY})


def go_to(request: Request, address: str) -> Response:
    """Send the browser on after a POST: 303, or for htmx 200 with ``HX-Redirect``."""
    if request.headers.get("HX-Request") == "true":
        return Response(status_code=200, headers={"HX-Redirect": address})
    return RedirectResponse(address, status_code=303)
