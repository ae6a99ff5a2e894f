"""Around every page: a request number and a log line, security headers, errors nobody foresaw, the size of the body."""

import secrets
from time import perf_counter

import anyio
import structlog
from fastapi import Request
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.errors import TooLargeError
from webapp.settings import Settings
from webapp.web import problems

log = structlog.get_logger("webapp.web")

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
SECURITY_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
TRANSPORT_SECURITY = "max-age=31536000"


class RequestLog:
    """Gives every request a number of our own (one from outside could forge the log) and logs one line for it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request_id = secrets.token_hex(8)
        scope.setdefault("state", {})["request_id"] = request_id
        status = 0

        async def send_numbered(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)["X-Request-ID"] = request_id
            await send(message)

        begin = perf_counter()
        with structlog.contextvars.bound_contextvars(request_id=request_id):
            try:
                await self.app(scope, receive, send_numbered)
            finally:
                took_ms = round((perf_counter() - begin) * 1000, 1)
                person = scope["state"].get("person")
                who = person.login if person else None
                # Without the query: it may hold what people searched for.
                log.info("request", method=scope["method"], path=scope["path"], status=status, ms=took_ms, person=who)


class SecurityHeaders:
    """Puts the security headers on every answer, and keeps pages out of caches that say nothing of their own."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.headers = dict(SECURITY_HEADERS)
        if settings.secure_cookies:
            self.headers["Strict-Transport-Security"] = TRANSPORT_SECURITY

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_secured(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    headers[name] = value
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self.app(scope, receive, send_secured)


class UnexpectedErrors:
    """Logs an error that nobody foresaw and answers with its request number and nothing of its insides."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        started = False

        async def send_noticed(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, receive, send_noticed)
        except Exception as error:
            if scope["type"] != "http" or started:
                raise
            log.exception("unexpected error")
            await problems.answer(Request(scope), error)(scope, receive, send)


class _BodyTooLargeError(TooLargeError, HTTPException):
    """Also an HTTPException, because that is what FastAPI lets through while it reads a form."""

    def __init__(self, limit: int) -> None:
        TooLargeError.__init__(self, f"This is more than the {limit // 2**20} MiB that can be taken at once.")
        self.status_code, self.detail, self.headers = self.status, self.message, None


class BodyLimit:
    """Counts the bytes of a body as they come: what the Content-Length says may be a lie.

    Beyond the limit the rest is read and thrown away, within bounds, before the answer: a browser that is still
    sending shows "connection reset" instead of the page that says what is wrong.
    """

    DRAIN_BYTES = 512 * 2**20
    DRAIN_SECONDS = 30.0
    # What the other fields of a form and the separators may add to a file of the greatest size.
    SLACK_BYTES = 256 * 1024

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.limit = settings.max_upload_bytes + self.SLACK_BYTES

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        announced = headers.get("content-length", "0")
        too_much_announced = announced.isdecimal() and int(announced) > self.limit
        # Who asks before sending ("Expect") is told at once and need not send anything.
        asks_first = headers.get("expect", "").casefold() == "100-continue"
        received = 0

        async def receive_counted() -> Message:
            nonlocal received
            if too_much_announced:
                if not asks_first:
                    await self._drain(receive)
                raise _BodyTooLargeError(self.limit)
            message = await receive()
            received += len(message.get("body", b""))
            if received > self.limit:
                if message.get("more_body", False):
                    await self._drain(receive)
                raise _BodyTooLargeError(self.limit)
            return message

        await self.app(scope, receive_counted, send)

    async def _drain(self, receive: Receive) -> None:
        drained = 0
        with anyio.move_on_after(self.DRAIN_SECONDS):
            while drained < self.DRAIN_BYTES:
                message = await receive()
                drained += len(message.get("body", b""))
                if message["type"] != "http.request" or not message.get("more_body", False):
                    return
