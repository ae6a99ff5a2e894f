"""Addresses to send a browser to: only our own, and after signing in back to where the person was."""

from urllib.parse import quote, urlsplit

from fastapi import Request

from webapp.web.hosts import same_authority

LONGEST = 2000
# Going "back" to these would sign out again, or ask twice.
_NEVER_NEXT = ("/sign-in", "/sign-out", "/setup")


def local_address(text: str) -> str:
    """``text`` if it is a path (with query) on this server, else "/".

    Browsers read ``//host`` and ``/\\host`` as another host and drop tabs and line ends, so none of these may be in it.
    """
    is_path = text.startswith("/") and not text.startswith("//") and "\\" not in text
    if not is_path or len(text) > LONGEST or not text.isascii() or not text.isprintable() or " " in text:
        return "/"
    if urlsplit(text).path.rstrip("/") in _NEVER_NEXT:
        return "/"
    return text


def sign_in_address(request: Request) -> str:
    """The sign-in page, with the way back to the page the person was on."""
    back = _page_of(request)
    return "/sign-in" if back == "/" else f"/sign-in?next={quote(back, safe='/')}"


def _page_of(request: Request) -> str:
    """The page to come back to: this one, or for a form or a fragment the page it stands on."""
    is_page = request.method in ("GET", "HEAD") and request.headers.get("HX-Request") != "true"
    if is_page:
        return local_address(quote(request.url.path) + (f"?{request.url.query}" if request.url.query else ""))
    page = urlsplit(request.headers.get("HX-Current-URL") or request.headers.get("referer") or "")
    if page.netloc and not same_authority(page.netloc, request.headers.get("host", "")):
        return "/"
    return local_address(page.path + (f"?{page.query}" if page.query else ""))
