"""Sharing the dashboard on the shop's own network: a passphrase, a signed cookie, few guesses."""

from __future__ import annotations

import hashlib
import ipaddress
import socket
import threading
import time
from collections import deque
from collections.abc import Callable
from datetime import timedelta
from html import escape
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlsplit

from flask import Flask, Response, redirect, request, session
from flask.sessions import SecureCookieSessionInterface

if TYPE_CHECKING:
    from analytics.shop import Shop

SIGN_IN, SIGN_OUT = "/sign-in", "/sign-out"
SIGNED_IN_DAYS = 30
GUESSES, GUESSES_IN_ALL, WITHIN_S = 5, 100, 15 * 60
MOST_ADDRESSES = 1000
PAGE = """<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Sign in · laylog</title>
<link rel="icon" href="/assets/favicon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/assets/laylog.css">
</head>
<body>
<main id="screen" class="sign-in">
<h1>This shop's log</h1>
{said}
<form method="post" action="{action}">
<input type="text" name="username" value="shop" autocomplete="username" hidden>
<label class="big-label" for="passphrase">The shop's passphrase</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password"
 required autofocus>
<button type="submit" class="button">Sign in</button>
</form>
<p class="soft">Whoever looks after the log knows it.</p>
</main>
</body>
</html>"""


class Guesses:
    """Wrong passphrases lately, by address and in all; thread-safe, and never more than so many."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._by_address: dict[str, deque[float]] = {}
        self._all: deque[float] = deque()

    def wait_s(self, address: str) -> int:
        """Seconds until this address may try again; 0 when it may now."""
        with self._lock:
            now = self._clock()
            own = self._recent(self._by_address.get(address, deque()), now)
            everyone = self._recent(self._all, now)
            full = [
                times[-most] + WITHIN_S - now
                for times, most in ((own, GUESSES), (everyone, GUESSES_IN_ALL))
                if len(times) >= most
            ]
            return max((int(wait) + 1 for wait in full), default=0)

    def wrong(self, address: str) -> None:
        """Note a wrong passphrase."""
        with self._lock:
            now = self._clock()
            if len(self._by_address) >= MOST_ADDRESSES:
                self._by_address = {
                    a: times for a, times in self._by_address.items() if self._recent(times, now)
                }
            self._by_address.setdefault(address, deque(maxlen=GUESSES)).append(now)
            self._all.append(now)

    @staticmethod
    def _recent(times: deque[float], now: float) -> deque[float]:
        while times and times[0] <= now - WITHIN_S:
            times.popleft()
        return times


def shared_hosts(names: tuple[str, ...]) -> Callable[[str], bool]:
    """Whether a Host header's name is one this machine may be called by when it shares.

    A strange page can point a name of its own at this machine, but never a bare address: those
    are all let through, and of names only this machine's own and those given.
    """
    own = socket.gethostname().casefold()
    known = {own, f"{own}.local", "localhost", *(name.casefold() for name in names)}

    def fits(host: str) -> bool:
        try:
            ipaddress.ip_address(host.strip("[]"))
        except ValueError:
            return host.casefold() in known
        return True

    return fits


def address_here() -> str:
    """This machine's address on its network, or its name; nothing is sent to find out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("10.255.255.255", 1))
            return str(asking.getsockname()[0])
        except OSError:
            return socket.gethostname()


class _Cookies(SecureCookieSessionInterface):
    """Signed cookies; behind an encrypting proxy they never travel in the clear."""

    def get_cookie_secure(self, app: Flask) -> bool:
        return request.is_secure or request.headers.get("X-Forwarded-Proto") == "https"


def ask_for_passphrase(
    server: Flask, shop: Shop, clock: Callable[[], float] = time.monotonic
) -> None:
    """Let nobody see or do anything before signing in; what the sign-in page wears is public."""
    guesses, one_at_a_time = Guesses(clock), threading.Lock()
    server.session_interface = _Cookies()
    server.config.update(
        SECRET_KEY=shop.sign_in_secret(),
        SESSION_COOKIE_NAME="laylog",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=timedelta(days=SIGNED_IN_DAYS),
    )

    @server.before_request
    def only_signed_in() -> Any:
        if request.path in (SIGN_IN, SIGN_OUT) or request.path.startswith("/assets/"):
            return None
        if session.get("since") == _secret_mark(shop):
            return None
        if request.method == "GET" and "text/html" in request.headers.get("Accept", ""):
            return redirect(f"{SIGN_IN}?to={quote(request.full_path.rstrip('?'))}")
        return Response("Sign in first.", 401, mimetype="text/plain")

    @server.route(SIGN_IN, methods=["GET", "POST"])
    def sign_in() -> Any:
        to = _inside(request.args.get("to", "/"))
        if request.method == "GET":
            return _page(to)
        address = request.remote_addr or ""
        wait = guesses.wait_s(address)
        if wait:
            minutes = -(-wait // 60)
            said = f"Too many wrong tries. Wait {minutes} min, then try again."
            return _page(to, said, 429, {"Retry-After": str(wait)})
        # each try takes memory on purpose; many at once must not take all of it
        with one_at_a_time:
            fits = shop.passphrase_fits(request.form.get("passphrase", "")[:200])
        if not fits:
            guesses.wrong(address)
            return _page(to, "That is not the passphrase. Try again.", 403)
        session.permanent = True
        session["since"] = _secret_mark(shop)
        return redirect(to)

    @server.route(SIGN_OUT, methods=["POST"])
    def sign_out() -> Any:
        session.clear()
        return redirect(SIGN_IN)


def _secret_mark(shop: Shop) -> str:
    """A short sign of the passphrase in force, so that a new one signs everybody out."""
    return hashlib.sha256(shop.sign_in_secret().encode()).hexdigest()[:16]


def _inside(to: str) -> str:
    """A path on this dashboard; anything that leads elsewhere becomes the start page."""
    parts = urlsplit(to)
    inside = to.startswith("/") and not to.startswith(("//", "/\\")) and not parts.netloc
    return to if inside and "\\" not in to and not parts.scheme else "/"


def _page(
    to: str, said: str = "", status: int = 200, headers: dict[str, str] | None = None
) -> Response:
    notice = f'<p class="notice stop" role="alert">{escape(said)}</p>' if said else ""
    action = escape(f"{SIGN_IN}?to={quote(to)}", quote=True)
    page = PAGE.format(said=notice, action=action)
    return Response(page, status, headers=headers, mimetype="text/html")
