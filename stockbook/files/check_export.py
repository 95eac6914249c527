"""Checks an export on its own: python check_export.py FILE (plain Python 3, nothing installed)."""

import hashlib
import sys

if __name__ == "__main__":
    lines = sys.stdin.buffer if len(sys.argv) < 2 else open(sys.argv[1], "rb")  # noqa: PTH123, SIM115
    last, count = next(lines, b"").strip(), 0
    for count, line in enumerate(lines, start=1):
        found, _, text = line.rstrip(b"\n").partition(b" ")
        chained = b"stockbook entry 1\n" + last + b"\n" + text
        if hashlib.sha256(chained).hexdigest().encode() != found:
            sys.exit(f"Entry {count} does not match its checksum.")
        last = found
    sys.stdout.write(f"{count} entries, last checksum {last.decode()}\n")
