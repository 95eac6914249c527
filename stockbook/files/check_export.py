"""Checks an export by itself: python FILE.check.py FILE (plain Python 3, nothing installed)."""

import hashlib
import sys

if __name__ == "__main__":
    lines = open(sys.argv[1], "rb") if sys.argv[1:] else sys.stdin.buffer  # noqa: PTH123, SIM115
    last, count = next(lines, b"").rstrip(b"\n"), 0
    for count, line in enumerate(lines, start=1):
        found, _, text = line.rstrip(b"\n").partition(b" ")
        chained = b"stockbook entry 1\n" + last + b"\n" + text
        if hashlib.sha256(chained).hexdigest().encode() != found:
            sys.exit(f"Entry {count} does not match its checksum.")
        last = found
    sys.exit(print(f"{count} entries, last checksum {last.decode()}") if count else "No entries.")
