"""Answers leave compressed, and files that never change under their address are kept by browsers.

On the shop's own wireless a phone feels every hundred kilobytes; on this machine alone it costs a
few milliseconds.
"""

from __future__ import annotations

import gzip

from flask import Flask, Response, request

LEAST_BYTES = 1_000
FILES = ("/assets/", "/_dash-component-suites/")
COMPRESSED_WELL = frozenset(
    {
        "application/javascript",
        "application/json",
        "image/svg+xml",
        "text/css",
        "text/html",
        "text/javascript",
        "text/plain",
    }
)
FOR_ANSWERS, FOR_FILES = 4, 9
"""How hard to compress: an answer is sent once, a file is compressed once and sent often."""
A_YEAR_S = 31_536_000


def travel_light(server: Flask) -> None:
    """Compress what leaves for browsers that can read it; let them keep files with a version."""
    files: dict[tuple[str, str], bytes] = {}

    @server.after_request
    def lighten(response: Response) -> Response:
        if _has_version(response):
            response.headers["Cache-Control"] = f"private, max-age={A_YEAR_S}, immutable"
        if not _worth_it(response):
            return response
        response.direct_passthrough = False
        plain = response.get_data()
        if len(plain) < LEAST_BYTES:
            return response
        version = response.headers.get("ETag") or response.headers.get("Last-Modified")
        if request.path.startswith(FILES) and version:
            kept = (request.path, version)
            if kept not in files:
                files[kept] = gzip.compress(plain, FOR_FILES)
            response.set_data(files[kept])
        else:
            response.set_data(gzip.compress(plain, FOR_ANSWERS))
        response.headers["Content-Encoding"] = "gzip"
        response.headers["Content-Length"] = str(len(response.get_data()))
        response.vary.add("Accept-Encoding")
        return response


def _worth_it(response: Response) -> bool:
    return (
        response.status_code == 200
        and request.method != "HEAD"
        and response.mimetype in COMPRESSED_WELL
        and "Content-Encoding" not in response.headers
        and "gzip" in request.headers.get("Accept-Encoding", "")
    )


def _has_version(response: Response) -> bool:
    """Whether the address names the file's own version, so that it never changes under it."""
    own = request.path.startswith("/assets/") and bool(request.args.get("m"))
    return own and response.status_code == 200
