"""`laylog serve` as a process of its own, and an end to everything after a while."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

UP_S, DOWN_S = 30.0, 10.0
AT_REST_S, BUSY_SHARE = 75.0, 0.05
_running: list[subprocess.Popen[bytes]] = []


def now_doing(what: str) -> None:
    """Say on the side what is being measured."""
    print(f"{time.strftime('%H:%M:%S')} {what} ...", file=sys.stderr, flush=True)


@dataclass(frozen=True)
class Server:
    """A dashboard that is up: its address and process id."""

    site: str
    pid: int


@contextmanager
def ends_by_itself(seconds: float) -> Iterator[None]:
    """Whatever hangs in here, the whole program ends after so long, with the server."""

    def end() -> None:
        print(f"not done after {seconds:.0f} s: ended", flush=True)
        for process in _running:
            process.kill()
        os._exit(2)

    timer = threading.Timer(seconds, end)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


@contextmanager
def serving(store: Path) -> Iterator[Server]:
    """`laylog serve` in front of this store."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = "from analytics.cli.main import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", command, "serve", "--store", str(store), "--port", str(port)],
        stdout=subprocess.DEVNULL,
    )
    _running.append(process)
    try:
        _wait_for(process, port)
        yield Server(f"http://127.0.0.1:{port}", process.pid)
    finally:
        process.terminate()
        try:
            process.wait(DOWN_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(DOWN_S)
        _running.remove(process)


def _wait_for(process: subprocess.Popen[bytes], port: int) -> None:
    until = time.perf_counter() + UP_S
    while time.perf_counter() < until:
        if process.poll() is not None:
            raise RuntimeError(f"laylog serve ended with {process.returncode}")
        with socket.socket() as trying:
            trying.settimeout(1.0)
            if trying.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError(f"laylog serve did not answer within {UP_S:.0f} s")


def at_rest(server: Server) -> float:
    """Seconds until the server was done working ahead; AT_REST_S where it never was."""
    started = time.perf_counter()
    quiet = 0
    while quiet < 3 and time.perf_counter() - started < AT_REST_S:
        before = _cpu_s(server.pid)
        time.sleep(1.5)
        quiet = quiet + 1 if _cpu_s(server.pid) - before < BUSY_SHARE * 1.5 else 0
    return time.perf_counter() - started


def _cpu_s(pid: int) -> float:
    """Processor seconds a process has used (0 where the system does not tell)."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
