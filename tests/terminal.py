"""A real pseudo-terminal: a command is started on it, keys are typed, the screen is read."""

import os
import pty
import select
import signal
import sys
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

SECONDS = 30.0


@dataclass
class Terminal:
    """One command on a terminal of its own."""

    pid: int
    file: int
    screen: str = field(default="")
    code: int | None = field(default=None)

    @classmethod
    def start(
        cls, words: list[str], folder: Path, columns: int = 80, **environment: str
    ) -> "Terminal":
        """`python -m stockbook …` in a folder, on a new terminal of so many columns."""
        pid, file = pty.fork()
        if pid == 0:  # pragma: no cover the child becomes the command
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # whoever runs the tests may ignore it
            os.chdir(folder)
            termios.tcsetwinsize(0, (24, columns))
            os.environ |= {"COLUMNS": str(columns), "LINES": "24", "TERM": "dumb"} | environment
            os.execv(sys.executable, [sys.executable, "-m", "stockbook", *words])
        return cls(pid, file)

    def read_until(self, words: str) -> str:
        """The screen once it holds the words; a failure after a while says what it held."""
        until = time.monotonic() + SECONDS
        while words not in self.screen:
            if time.monotonic() > until or not self._read(until):
                raise AssertionError(f"no {words!r} on the screen:\n{self.screen}")
        return self.screen

    def _read(self, until: float) -> bool:
        """Whether something was read; a line that is only idle or flushed is read again."""
        while time.monotonic() < until:
            ready, _, _ = select.select([self.file], [], [], 0.2)
            try:
                text = os.read(self.file, 65536) if ready else b""
            except OSError:  # the other side is closed, or what was on its way was thrown away
                text = b""
            self.screen += text.decode("utf-8", "replace")
            if text:
                return True
            if self._ended():
                return False
        return False

    def _ended(self) -> bool:
        if self.code is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.code = os.waitstatus_to_exitcode(status)
                return False  # what it said last is still to be read
        return self.code is not None

    def type(self, keys: str) -> None:
        """Keys are typed; `\\x03` is Ctrl-C."""
        os.write(self.file, keys.encode())

    def interrupt(self) -> int:
        """Ctrl-C is pressed until the command ends, as a person would; its exit code.

        A signal that comes in the moment before the terminal is read only leaves a mark.
        """
        until = time.monotonic() + SECONDS
        while self.code is None and time.monotonic() < until:
            self.type("\x03")
            while self._read(time.monotonic() + 1.0):
                pass
        return self.end()

    def end(self) -> int:
        """The exit code once the command has ended."""
        until = time.monotonic() + SECONDS
        while self._read(until):
            pass
        os.close(self.file)
        if self.code is None:
            raise AssertionError(f"still running after {SECONDS:.0f} s:\n{self.screen}")
        return self.code
