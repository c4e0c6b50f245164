"""What the server refuses: other machines' names for it, framing, and anything from outside."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from typing import Any
from urllib.parse import urlsplit

from flask import Flask, Response, abort, request
from werkzeug.exceptions import HTTPException

from analytics.errors import LaylogError

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
BIGGEST_UPLOAD = 40 * 1024 * 1024


def _from_elsewhere() -> bool:
    """True where the browser says another site made this request."""
    origin, site = request.headers.get("Origin"), request.headers.get("Sec-Fetch-Site")
    if site not in (None, "same-origin", "none"):
        return True
    return origin is not None and urlsplit(origin).netloc != request.host


def host_name(host: str) -> str:
    """The name in a Host header, without its port."""
    return host if host.endswith("]") else host.rsplit(":", 1)[0]


def this_machine(host: str) -> bool:
    """True for the names a browser on this very machine uses."""
    return host in LOOPBACK


def guard(
    server: Flask, script_hashes: Sequence[str], known: Callable[[str], bool] = this_machine
) -> None:
    """Turn away strange hosts, other sites' requests and too large uploads.

    `known` says whether a host name is one of this dashboard's own. Every answer tells the browser
    to load nothing from anywhere else.
    """
    server.config["MAX_CONTENT_LENGTH"] = BIGGEST_UPLOAD
    policy = "; ".join(
        (
            "default-src 'self'",
            "script-src 'self' " + " ".join(script_hashes),
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )

    @server.before_request
    def refuse() -> None:
        # A page elsewhere can point its own name at 127.0.0.1; the Host header gives it away.
        if not known(host_name(request.host)):
            abort(403)
        if request.method != "GET" and _from_elsewhere():
            abort(403)
        if (request.content_length or 0) > BIGGEST_UPLOAD:
            abort(413)

    @server.errorhandler(Exception)
    def nonsense(error: Exception) -> Any:
        # What a page asks for is answered with a sentence by the app itself; an error that gets
        # here comes of a request no page makes, and the answer must not tell how we are built.
        if isinstance(error, HTTPException):
            return error
        logging.getLogger("laylog").warning("a request no page makes", exc_info=error)
        if isinstance(error, LaylogError):
            return Response("The log cannot be read just now.", 503, mimetype="text/plain")
        status = 404 if request.method in ("GET", "HEAD") else 400
        return Response("There is nothing here for that.", status, mimetype="text/plain")

    @server.after_request
    def headers(response: Response) -> Any:
        response.headers.update(
            {
                "Content-Security-Policy": policy,
                "X-Content-Type-Options": "nosniff",
                "Referrer-Policy": "same-origin",
                "Cross-Origin-Opener-Policy": "same-origin",
            }
        )
        return response
