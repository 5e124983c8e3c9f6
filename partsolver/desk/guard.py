"""Who gets in, and what a request may bring: checked before any page is asked for.

Host and Origin are compared with the addresses that the desk was started on, so that no foreign name that was
bound to this machine gets an answer (DNS rebinding); a session's random token is taken once from the address
and then kept in a cookie that other sites never send (RFC 6265bis: SameSite=Strict, HttpOnly); a body has a
limit in size and time.
"""

from __future__ import annotations

import asyncio
import hashlib
import hmac
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, field
from urllib.parse import parse_qs, urlencode

from starlette.datastructures import Headers
from starlette.requests import HTTPConnection
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from partsolver.report.desk import code_page, refusal_page

# Every file of a request together: a few price lists or dumps (base/textfile.py allows 32 MiB for one).
MOST_BODY_BYTES = 48 * 2**20
# A form of the desk is sent at once; who sends slower than this holds nothing up.
MOST_BODY_S = 30.0
# Wrong codes before the code is worth nothing any more: 10 of 10^8.
MOST_CODES = 10
SAFE_METHODS = ("GET", "HEAD")
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self';"
    " form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",  # no-referrer would take the Origin from our own forms (Fetch, 3.2)
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "x-frame-options": "DENY",
    "cache-control": "no-store",
}


@dataclass
class Session:
    """The secrets of one run of the desk. ``code``: eight digits for a phone, None without --lan."""

    hosts: Sequence[str]
    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(32))
    code: str | None = None
    wrong_codes: int = 0

    @property
    def cookie(self) -> str:
        """Cookies do not tell ports apart (RFC 6265, 8.5): the name does."""
        return f"partsolver-{self.port}"

    @property
    def form_token(self) -> str:
        """What every form carries (against requests that another page makes)."""
        return hmac.new(self.token.encode(), b"form", hashlib.sha256).hexdigest()

    def knows_host(self, host: str) -> bool:
        return host.lower() in {f"{name}:{self.port}" for name in self.hosts}

    def knows_origin(self, origin: str) -> bool:
        return origin.startswith("http://") and self.knows_host(origin.removeprefix("http://"))

    def knows_code(self, code: str) -> bool:
        """Whether this is the code; a few wrong ones end it."""
        if self.code is None or self.wrong_codes >= MOST_CODES:
            return False
        right = hmac.compare_digest(code.encode(), self.code.encode())
        self.wrong_codes += not right
        return right


class TooMuch(Exception):
    """A body beyond the limit of size or time."""


class Guard:
    """The outermost layer: refuses, or hands on with limits."""

    def __init__(self, app: ASGIApp, session: Session) -> None:
        self.app, self.session = app, session

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        answer = self._refused(scope)
        if answer is not None:
            await _with_headers(answer)(scope, receive, send)
            return
        limited = _Limited(receive)
        sent = False

        async def send_on(message: Message) -> None:
            nonlocal sent
            if message["type"] == "http.response.start":
                sent = True
                own = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *((k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in own),
                ]
            await send(message)

        try:
            await self.app(scope, limited, send_on)
        except TooMuch:
            if not sent:
                await _with_headers(Response(refusal_page("too-much"), 413, media_type="text/html"))(
                    scope, receive, send
                )

    def _refused(self, scope: Scope) -> Response | None:
        """The answer to who is not let in, and to who comes with the token; None: hand on."""
        session, headers = self.session, Headers(scope=scope)
        if len(headers.getlist("host")) != 1 or not session.knows_host(headers["host"]):
            return Response(refusal_page("host"), 421, media_type="text/html")
        origin = headers.get("origin")
        changes = scope["method"] not in SAFE_METHODS
        if (origin is not None or changes) and not session.knows_origin(origin or ""):
            return Response(refusal_page("origin"), 403, media_type="text/html")
        if int(headers.get("content-length") or 0) > MOST_BODY_BYTES:
            return Response(refusal_page("too-much"), 413, media_type="text/html")
        query = parse_qs(scope["query_string"].decode("latin-1"))
        given = query.pop("t", [""])[0]
        cookie = HTTPConnection(scope).cookies.get(session.cookie, "")
        if not changes and given and hmac.compare_digest(given.encode(), session.token.encode()):
            return self.welcome(scope["path"] + ("?" + urlencode(query, doseq=True) if query else ""))
        if hmac.compare_digest(cookie.encode(), session.token.encode()) or scope["path"].startswith(
            "/static/"
        ):
            return None
        return self._at_the_door(scope, query)

    def _at_the_door(self, scope: Scope, query: dict[str, list[str]]) -> Response:
        code = query.get("code", [""])[0].replace(" ", "")
        if code and self.session.knows_code(code):
            return self.welcome("/")
        if self.session.code is not None and self.session.wrong_codes < MOST_CODES:
            return Response(code_page(bool(code)), 403, media_type="text/html")
        return Response(refusal_page("token"), 403, media_type="text/html")

    def welcome(self, path: str) -> Response:
        """Into the desk with the cookie; the token leaves the address."""
        answer = RedirectResponse("/" + path.lstrip("/\\"), 303)
        answer.set_cookie(self.session.cookie, self.session.token, httponly=True, samesite="strict", path="/")
        return answer


def _with_headers(answer: Response) -> Response:
    for name, value in HEADERS.items():
        answer.headers[name] = value
    return answer


class _Limited:
    """A body that ends with TooMuch where it is too large or too slow."""

    def __init__(self, receive: Receive) -> None:
        self.receive, self.size, self.done, self.until = receive, 0, False, 0.0

    async def __call__(self) -> Message:
        if self.done:  # what comes now is the end of the connection, which may take its time
            return await self.receive()
        now = asyncio.get_running_loop().time()
        self.until = self.until or now + MOST_BODY_S
        try:
            message = await asyncio.wait_for(self.receive(), max(0.0, self.until - now))
        except TimeoutError:
            raise TooMuch from None
        if message["type"] == "http.request":
            self.size += len(message.get("body", b""))
            self.done = not message.get("more_body", False)
            if self.size > MOST_BODY_BYTES:
                raise TooMuch
        return message
