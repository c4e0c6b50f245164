"""What the server refuses: other machines' names for it, framing, and anything from outside."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flask import Flask, Response, abort, request

LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
BIGGEST_UPLOAD = 40 * 1024 * 1024


def host_name(host: str) -> str:
    """The name in a Host header, without its port."""
    return host if host.endswith("]") else host.rsplit(":", 1)[0]


def guard(server: Flask, script_hashes: Sequence[str]) -> None:
    """Turn away strange hosts and too large uploads, and tell the browser to load nothing else."""
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
        if host_name(request.host) not in LOOPBACK:
            abort(403)
        if (request.content_length or 0) > BIGGEST_UPLOAD:
            abort(413)

    @server.after_request
    def headers(response: Response) -> Any:
        response.headers.update(
            {
                "Content-Security-Policy": policy,
                "X-Content-Type-Options": "nosniff",
                "Referrer-Policy": "no-referrer",
                "Cross-Origin-Opener-Policy": "same-origin",
            }
        )
        return response
