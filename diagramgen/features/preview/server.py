"""Serves the preview to this machine alone: a random word in the address, the loopback's own name, nothing else.

Whoever lacks the word gets 403, as does a page elsewhere that had its name point here (the Host header tells).
"""

from __future__ import annotations

import hmac
import os
import secrets
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit

from diagramgen.features.preview.page import change, policy, script_and_style, whole_page
from diagramgen.features.preview.redraw import Shown
from diagramgen.lettering import font_path

HOST = "127.0.0.1"
PATIENCE = 20.0
"""Seconds a question waits for news before it is answered that there are none."""
WAITING = 24
"""Questions that may wait so long at one time; those of more pages wait ``SHORT``."""
SHORT = 2.0
IDLE = 30.0
"""Seconds a connection may keep silent."""
ENDED = b'{"ended": true}'


class Board:
    """Where the latest of what is shown hangs; those who have seen it wait for the next."""

    def __init__(self, shown: Shown):
        self._news = threading.Condition()
        self._shown, self._version, self._ended, self._waiting = shown, 0, False, 0
        self._asking = 0

    def hang(self, shown: Shown) -> None:
        """Show something new."""
        with self._news:
            self._shown, self._version = shown, self._version + 1
            self._news.notify_all()

    def end(self) -> None:
        """Tell everyone who waits that nothing comes any more."""
        with self._news:
            self._ended = True
            self._news.notify_all()

    @contextmanager
    def asking(self) -> Iterator[None]:
        """A question, from its being heard until its answer is sent."""
        with self._news:
            self._asking += 1
        try:
            yield
        finally:
            with self._news:
                self._asking -= 1
                self._news.notify_all()

    def all_told(self, patience: float = 2.0) -> bool:
        """Wait until every question has its answer; False where one has not in that time."""
        with self._news:
            return self._news.wait_for(lambda: not self._asking, patience)

    def now(self) -> tuple[Shown, int]:
        """What is shown and its number."""
        with self._news:
            return self._shown, self._version

    def after(self, seen: int, patience: float = PATIENCE) -> tuple[Shown, int] | None:
        """What is shown once it is something else than ``seen``, or after a while the same; None at the end."""
        with self._news:
            # A page too many waits a little as well, or it would ask without a pause.
            patience = patience if self._waiting < WAITING else min(patience, SHORT)
            self._waiting += 1
            try:
                self._news.wait_for(lambda: self._ended or self._version != seen, patience)
            finally:
                self._waiting -= 1
            return None if self._ended else (self._shown, self._version)


class Server(ThreadingHTTPServer):
    """The preview's web server. It listens on the loopback only.

    Its address holds a secret word, so that only who was told the address is answered.
    """

    daemon_threads = True
    # On Windows this would let another program take the port as well.
    allow_reuse_address = os.name != "nt"

    def __init__(self, board: Board, port: int = 0, token: str = ""):
        super().__init__((HOST, port), Handler)
        self.board = board
        self.token = token or secrets.token_urlsafe(18)
        script, style = script_and_style()
        self.policy = policy(script, style)
        self.hosts = frozenset(f"{name}:{self.server_address[1]}" for name in (HOST, "localhost"))

    @property
    def url(self) -> str:
        """The whole address."""
        return f"http://{HOST}:{self.server_address[1]}/{self.token}/"

    def handle_error(self, request: object, client_address: object) -> None:
        """A page that goes away in the middle of an answer is nothing to speak of."""

    def server_bind(self) -> None:
        """As usual, without asking the network what this machine is called."""
        if os.name == "nt" and hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        if self.allow_reuse_address:
            self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.socket.bind(self.server_address)
        self.server_address = self.socket.getsockname()
        self.server_name, self.server_port = HOST, self.server_address[1]


class Handler(BaseHTTPRequestHandler):
    """Answers GET and HEAD of the few things there are."""

    server: Server
    timeout = IDLE
    server_version, sys_version = "diagramgen", ""

    def do_GET(self) -> None:
        """The page, what has changed since, or a font."""
        parts = urlsplit(self.path)
        token, _, name = parts.path.removeprefix("/").partition("/")
        if not self._allowed(token):
            self._answer(403, b"This address lacks the word the preview was started with.\n")
        elif not parts.path.endswith("/") and not name:
            self._answer(308, b"", location=f"/{self.server.token}/")
        elif name == "":
            self._answer(200, whole_page(*self.server.board.now()), "text/html; charset=utf-8")
        elif name == "next":
            with self.server.board.asking():
                found = self.server.board.after(_number(parse_qs(parts.query).get("have", [""])[0]))
                self._answer(200, change(*found) if found is not None else ENDED, "application/json; charset=utf-8")
        elif name in ("regular.ttf", "bold.ttf"):
            self._answer(200, font_path(name == "bold.ttf").read_bytes(), "font/ttf")
        else:
            self._answer(404, b"There is no such thing here.\n")

    do_HEAD = do_GET  # noqa: N815

    def _refuse(self) -> None:
        self.close_connection = True
        self._answer(405, b"Only GET.\n")

    do_POST = do_PUT = do_DELETE = do_PATCH = do_OPTIONS = _refuse  # noqa: N815

    def _allowed(self, token: str) -> bool:
        """Whether the question comes from our own page, or from a hand that typed our address."""
        hosts = self.server.hosts
        origin = self.headers.get("Origin")
        ours = self.headers.get("Host", "").lower() in hosts
        ours = ours and (origin is None or origin.lower().removeprefix("http://") in hosts)
        ours = ours and self.headers.get("Sec-Fetch-Site", "none") in ("none", "same-origin")
        return hmac.compare_digest(token.encode("utf-8", "replace"), self.server.token.encode()) and ours

    def _answer(self, status: int, data: bytes, kind: str = "text/plain; charset=utf-8", location: str = "") -> None:
        self.send_response(status)
        headers = {
            "Content-Type": kind, "Content-Length": str(len(data)), "Cache-Control": "no-store",
            "Content-Security-Policy": self.server.policy, "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin",
        }
        for key, value in headers.items():
            self.send_header(key, value)
        if location:
            self.send_header("Location", location)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's name
        """The terminal says what was drawn, not who asked: an address in it would be the word in a log."""


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 12 else -1
