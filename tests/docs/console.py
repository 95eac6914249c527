"""Console blocks of the documents: found, run in order in one folder, compared, or written anew.

A block is fenced as `console`; lines that start with `$ ` are commands, what follows is what they
print (both streams). A line `...` stands for any number of lines. Run this file to write the
blocks anew after a change of output: `python tests/docs/console.py`.
"""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ("README.md", "DEVELOPERS.md")
_BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Step:
    """One command and what the document says it prints."""

    command: str
    shown: tuple[str, ...]


def steps(block: str) -> Iterator[Step]:
    """The commands of a block with what each shows."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, rest = part.partition("\n")
        while command.endswith("\\"):
            more, _, rest = rest.partition("\n")
            command = f"{command[:-1]}{more.strip()}"
        yield Step(command, tuple(rest.rstrip("\n").split("\n")) if rest.strip() else ())


def blocks(document: str) -> list[str]:
    """The console blocks of a document."""
    return _BLOCK.findall((ROOT / document).read_text(encoding="utf-8"))


def prepare(folder: Path) -> None:
    """A working folder with the demonstration files and a `stockbook` command of this source."""
    (folder / "seed_inventory").symlink_to(ROOT / "seed_inventory")
    shim = folder / ".bin" / "stockbook"
    shim.parent.mkdir()
    shim.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m stockbook "$@"\n')
    shim.chmod(0o755)


def run(command: str, folder: Path) -> tuple[str, ...]:
    """What a command prints in the folder, both streams, trailing blanks cut."""
    surroundings = {
        "PATH": f"{folder / '.bin'}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(ROOT), "LANG": "C.UTF-8", "HOME": str(folder),
    }  # fmt: skip
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=surroundings, text=True, check=False,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, timeout=120,
    )  # fmt: skip
    lines = [line.rstrip() for line in done.stdout.rstrip("\n").split("\n")]
    return tuple(lines) if done.stdout.strip() else ()


def agrees(shown: tuple[str, ...], found: tuple[str, ...]) -> bool:
    """Whether the output is what the document shows; `...` stands for any lines."""
    shown = tuple(line.rstrip() for line in shown)
    if "..." not in shown:
        return shown == found
    cut = shown.index("...")
    head, rest = shown[:cut], shown[cut + 1 :]
    if found[:cut] != head:
        return False
    return any(agrees(rest, found[start:]) for start in range(cut, len(found) + 1))


def _anew(step: Step, found: tuple[str, ...]) -> tuple[str, ...]:
    """The output in the form the document had: whole, or its first and last lines."""
    if "..." not in step.shown:
        return found
    cut = step.shown.index("...")
    tail = len(step.shown) - cut - 1
    return (*found[:cut], "...", *(found[-tail:] if tail else ()))


def write_anew(folder: Path) -> None:
    """Every block of every document shows what really comes out."""
    prepare(folder)
    for document in DOCUMENTS:
        path = ROOT / document
        text = path.read_text(encoding="utf-8")
        path.write_text(_BLOCK.sub(lambda m: _block_anew(m[1], folder), text), encoding="utf-8")


def _block_anew(block: str, folder: Path) -> str:
    lines = []
    for step in steps(block):
        lines += [f"$ {step.command}", *_anew(step, run(step.command, folder))]
    return "\n".join(["```console", *lines, "```"])


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as name:
        write_anew(Path(name))
