"""Who may ask for what: the gate every request passes before any page sees it.

Comes in: ASGI requests. Goes out: a refusal, or the request with a limited body and the answer with
headers that keep a browser from running or loading anything that is not ours. Knows no page.

Sources: OWASP cheat sheets on cross-site request forgery (custom header with a secret, origin check),
on DNS rebinding (host check) and on Content Security Policy.
"""

from __future__ import annotations

import secrets
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from holdtrip.web.options import SiteOptions
from holdtrip.web.tokens import SIGNED_IN, shown_to_name

TOKEN_COOKIE = "holdtrip_token"
FORM_HEADER = "x-form-token"
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self';"
                               " connect-src 'self'; form-action 'self'; base-uri 'none';"
                               " frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


class Guard:
    """Checks host, token, origin and form token; limits bodies; adds the headers to every answer."""

    def __init__(self, app: ASGIApp, options: SiteOptions, form_token: str) -> None:
        self._app, self._options, self._form_token = app, options, form_token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through or answer it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing here speaks over web sockets
        guarded = _with_headers(send)
        refusal = self._refusal(scope, Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, guarded)
            return
        await self._app(scope, self._limited(receive), guarded)

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        host = headers.get("host", "")
        if _host_name(host) not in self._options.host_names:
            return _no(421, "Not served under that host name. See `holdtrip serve --help`, --name.")
        if self._options.tokens:
            entrance = self._entrance(scope)
            if entrance is not None:
                return entrance
            name = shown_to_name((_bearer(headers), _cookie(headers)), self._options.tokens)
            if name is None:
                return _no(401, "Open the address that `holdtrip serve` printed: it carries your token.")
            SIGNED_IN.set(name)
        if scope["method"] not in SAFE_METHODS:
            return self._foreign(headers, host)
        return self._too_large(headers)

    def _entrance(self, scope: Scope) -> Response | None:
        """A visit with the token in its address: the token moves into a cookie, out of the address."""
        query = parse_qsl(scope["query_string"].decode("latin-1"), keep_blank_values=True)
        shown = dict(query).get("token")
        if scope["method"] != "GET" or shown is None or shown_to_name((shown,), self._options.tokens) is None:
            return None
        rest = urlencode([(name, value) for name, value in query if name != "token"])
        answer = RedirectResponse("/" + scope["path"].lstrip("/") + (f"?{rest}" if rest else ""), 303)
        answer.set_cookie(TOKEN_COOKIE, shown, httponly=True, samesite="strict")
        return answer

    def _foreign(self, headers: Headers, host: str) -> Response | None:
        """Why a changing request is refused: it comes from another site, or without our form token."""
        origin = headers.get("origin")
        if origin is not None and urlsplit(origin).netloc.lower() != host.lower():
            return _no(403, "Refused: the request comes from another site.")
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return _no(403, "Refused: the request comes from another site.")
        # A browser never sends this header by itself, so a script that has it is no forged request.
        scripted = shown_to_name((_bearer(headers),), self._options.tokens) is not None
        if not scripted and not _same(headers.get(FORM_HEADER, ""), self._form_token):
            return _no(403, "Refused: the page is older than the server. Load the page again.")
        return self._too_large(headers)

    def _too_large(self, headers: Headers) -> Response | None:
        length = headers.get("content-length", "0")
        if length.isdecimal() and int(length) > self._options.max_upload_bytes:
            return _no(413, f"Too large: at most {self._options.max_upload_bytes} bytes.")
        return None

    def _limited(self, receive: Receive) -> Receive:
        """The request's body, refused once it is longer than allowed, whatever its head promised."""
        seen = 0

        async def limited() -> Message:
            nonlocal seen
            message = await receive()
            seen += len(message.get("body", b""))
            if seen > self._options.max_upload_bytes:
                raise HTTPException(413, f"Too large: at most {self._options.max_upload_bytes} bytes.")
            return message

        return limited


def _with_headers(send: Send) -> Send:
    async def guarded(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return guarded


def _no(status: int, words: str) -> Response:
    return PlainTextResponse(words + "\n", status)


def _host_name(host: str) -> str:
    """The name of a Host header without port and brackets; empty if it is malformed."""
    try:
        return (urlsplit(f"//{host}").hostname or "").lower()
    except ValueError:
        return ""


def _same(shown: str, wanted: str) -> bool:
    return secrets.compare_digest(shown.encode("utf-8", "replace"), wanted.encode())


def _bearer(headers: Headers) -> str:
    scheme, _, value = headers.get("authorization", "").partition(" ")
    return value.strip() if scheme.lower() == "bearer" else ""


def _cookie(headers: Headers) -> str:
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(TOKEN_COOKIE)
    except CookieError:
        return ""
    return morsel.value if morsel is not None else ""
