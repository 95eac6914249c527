"""A real browser without a screen: opens pages, answers questions about them, prints them.

It is spoken to over a pair of pipes (the DevTools protocol, messages that end in a zero byte), so
that no port is opened and every page of a run shares one start.
"""

import base64
import contextlib
import json
import os
import select
import shutil
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from extras import IN_CI

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-extensions",
    "--remote-debugging-pipe",
)  # fmt: skip
PATIENCE = 60
"""Seconds that one answer may take on a busy machine."""


@dataclass
class Opened:
    """A page as the browser has it."""

    browser: "Browser"
    session: str
    asked_for: list[str] = field(default_factory=list)
    """Every address that the page made the browser ask for."""

    def ask(self, expression: str) -> Any:
        """What an expression in the page is worth, as plain data."""
        found = self.browser.call(
            "Runtime.evaluate", self.session, expression=expression, returnByValue=True
        )
        assert "exceptionDetails" not in found, found
        return found["result"].get("value")

    def wide(self, millimetres: float) -> None:
        """The window is so wide, and the page is set as for print."""
        pixels = round(millimetres / 25.4 * 96)
        self.browser.call(
            "Emulation.setDeviceMetricsOverride", self.session, width=pixels, height=1000,
            deviceScaleFactor=1, mobile=False,
        )  # fmt: skip
        self.browser.call("Emulation.setEmulatedMedia", self.session, media="print")

    def pdf(self) -> bytes:
        """The page printed on its own paper."""
        found = self.browser.call(
            "Page.printToPDF", self.session, preferCSSPageSize=True, printBackground=True
        )
        return base64.b64decode(found["data"])


@dataclass
class Browser:
    """A running browser."""

    to: int
    out: int
    number: int = 0
    rest: bytes = b""
    events: list[dict[str, Any]] = field(default_factory=list)

    def call(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        """One command and its answer; what happens meanwhile is kept."""
        self.number += 1
        message = {"id": self.number, "method": method, "params": params}
        message |= {"sessionId": session} if session else {}
        os.write(self.to, json.dumps(message).encode() + b"\0")
        while True:
            heard = self._next()
            if heard.get("id") == self.number:
                assert "error" not in heard, (method, heard["error"])
                return dict(heard["result"])
            self.events.append(heard)

    def open(self, path: Path) -> Opened:
        """A file as a page, loaded to its end."""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        found = self.call("Target.attachToTarget", targetId=target, flatten=True)
        session = str(found["sessionId"])
        self.call("Page.enable", session)
        self.call("Network.enable", session)
        self.events.clear()
        self.call("Page.navigate", session, url=path.as_uri())
        while not any(one.get("method") == "Page.loadEventFired" for one in self.events):
            self.events.append(self._next())
        asked = [
            one["params"]["request"]["url"] for one in self.events
            if one.get("method") == "Network.requestWillBeSent"
        ]  # fmt: skip
        return Opened(self, session, asked)

    def _next(self) -> dict[str, Any]:
        until = time.monotonic() + PATIENCE
        while b"\0" not in self.rest:
            ready, _, _ = select.select([self.out], [], [], max(0, until - time.monotonic()))
            more = os.read(self.out, 1 << 20) if ready else b""
            assert more, "the browser says nothing more"
            self.rest += more
        heard, _, self.rest = self.rest.partition(b"\0")
        return dict(json.loads(heard))


def chromium() -> str:
    """The browser's program; in continuous integration its absence is a failure."""
    found = next((path for path in map(shutil.which, NAMES) if path), None)
    if found is None:
        assert not IN_CI, f"no browser is installed: none of {', '.join(NAMES)}"
        pytest.skip("no browser is installed")
    return found


@contextlib.contextmanager
def running(folder: Path) -> Iterator[Browser]:
    """A browser with nothing of anybody's in it, ended afterwards."""
    program = chromium()
    hears, to = os.pipe()
    out, says = os.pipe()
    line = 'program=$1; shift; exec "$program" "$@" 3<&"$HEARS" 4>&"$SAYS"'
    process = subprocess.Popen(
        ["bash", "-c", line, "browser", program, *QUIET, f"--user-data-dir={folder}"],
        env=os.environ | {"HEARS": str(hears), "SAYS": str(says), "HOME": str(folder)},
        pass_fds=(hears, says), stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(hears)
    os.close(says)
    browser = Browser(to, out)
    try:
        yield browser
        browser.call("Browser.close")
    finally:
        os.close(to)
        os.close(out)
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
