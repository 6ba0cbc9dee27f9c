"""A real browser driven over its own pipe (Chrome DevTools Protocol, messages ended by a zero byte), without a library.

It listens to everything the page says: what it asks of the network, what it logs, what it throws.
"""

from __future__ import annotations

import base64
import contextlib
import fcntl
import json
import os
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

import pytest

PATIENCE = 60.0
"""Seconds until an answer is missed; a machine with much to do is slow."""
KEYS = {"ArrowDown": 40, "ArrowUp": 38, "ArrowLeft": 37, "ArrowRight": 39, "Tab": 9, "Enter": 13, " ": 32}


def program() -> str:
    """The browser; a test without one is skipped by name."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("missing: chromium")
    return found


class Browser:
    """One headless browser with one page."""

    def __init__(self, profile: Path, width: int = 1280, height: int = 1000):
        ends = [*os.pipe(), *os.pipe()]
        # The protocol asks for file descriptors 3 and 4: the shell puts ours there, from numbers out of its way.
        there, self._out, self._in, back = (fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in ends)
        self.process = subprocess.Popen(
            ["bash", "-c", f'exec "$0" "$@" 3<&{there} 4>&{back}', program(), "--headless=new", "--no-sandbox",
             "--disable-gpu", "--hide-scrollbars", "--no-first-run", "--disable-background-networking",
             "--disable-dev-shm-usage", f"--user-data-dir={profile}", f"--window-size={width},{height}",
             "--remote-debugging-pipe", "about:blank"],
            pass_fds=(there, back), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )
        for end in (there, back, *ends):
            os.close(end)
        self._left = b""
        self._number = 0
        self.heard: list[dict[str, Any]] = []
        self.session = ""
        targets = self.ask("Target.getTargets")["targetInfos"]
        target = next(t["targetId"] for t in targets if t["type"] == "page")
        self.session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log", "Accessibility", "DOM"):
            self.ask(f"{domain}.enable")

    def ask(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Send a command and wait for its answer; events on the way are kept."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                assert "error" not in answer, (method, answer)
                result: dict[str, Any] = answer["result"]
                return result
            self.heard.append(answer)

    def _next(self) -> dict[str, Any]:
        until = time.monotonic() + PATIENCE
        while b"\0" not in self._left:
            ready, _, _ = select.select([self._in], [], [], max(0.0, until - time.monotonic()))
            assert ready, "the browser does not answer"
            piece = os.read(self._in, 1 << 20)
            assert piece, "the browser went away"
            self._left += piece
        message, _, self._left = self._left.partition(b"\0")
        found: dict[str, Any] = json.loads(message)
        return found

    def open(self, address: str) -> None:
        """Load a page and wait until it has settled."""
        # From one place of a page to another is no loading: so it begins from an empty one.
        self._load("about:blank")
        self._load(address)

    def _load(self, address: str) -> None:
        self.heard.clear()
        self.ask("Page.navigate", url=address)
        until = time.monotonic() + PATIENCE
        while not any(e.get("method") == "Page.loadEventFired" for e in self.heard):
            assert time.monotonic() < until, "the page does not load"
            self.heard.append(self._next())

    def value(self, expression: str) -> Any:
        """What an expression is worth in the page."""
        answer = self.ask("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def press(self, key: str) -> None:
        """One key down and up, as a hand does it."""
        text = {"Enter": "\r", " ": " "}.get(key, "")
        for kind in ("keyDown" if text else "rawKeyDown", "keyUp"):
            self.ask("Input.dispatchKeyEvent", type=kind, key=key, code="Space" if key == " " else key,
                     windowsVirtualKeyCode=KEYS[key], **({"text": text} if text and kind == "keyDown" else {}))

    def click(self, x: float, y: float) -> None:
        """A press of the left button."""
        for kind in ("mousePressed", "mouseReleased"):
            self.ask("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def width(self, width: int, height: int = 900) -> None:
        """Another size of the window."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)

    def pdf(self, **how: Any) -> bytes:
        """The page as the browser prints it."""
        return base64.b64decode(self.ask("Page.printToPDF", printBackground=True, **how)["data"])

    def requests(self) -> list[str]:
        """Every address the page asked for since it was opened."""
        return [e["params"]["request"]["url"] for e in self.heard if e.get("method") == "Network.requestWillBeSent"]

    def complaints(self) -> list[Any]:
        """Whatever was logged or thrown."""
        said = ("Runtime.exceptionThrown", "Runtime.consoleAPICalled", "Log.entryAdded",
                "Page.javascriptDialogOpening")
        return [e["params"] for e in self.heard if e.get("method") in said]

    def close(self) -> None:
        """End the browser; only this one."""
        with contextlib.suppress(OSError, AssertionError):
            self.session = ""
            os.write(self._out, json.dumps({"id": 0, "method": "Browser.close"}).encode() + b"\0")
        try:
            self.process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self._out)
        os.close(self._in)
