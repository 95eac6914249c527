"""What a file must be before anything of it is read: a plain file of a size that can be meant."""

import stat
from pathlib import Path

from stockbook.errors import InputError

MOST_BYTES = 64 * 1024 * 1024


def content_of(path: Path) -> bytes:
    """The bytes of a plain file; folders, pipes, devices and giants are refused unread."""
    try:
        about = path.stat()
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such file. Check the name.") from None
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: cannot be read ({_why(error)}).") from None
    if not stat.S_ISREG(about.st_mode):
        raise InputError(f"{path}: this is not a file. Name a CSV or xlsx file.")
    if about.st_size > MOST_BYTES:
        raise InputError(f"{path}: larger than {MOST_BYTES // 2**20} MB. Cut it into parts.")
    return _read(path)


def _read(path: Path) -> bytes:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({_why(error)}).") from None
    if not content.strip():
        raise InputError(f"{path.name}: the file is empty. Check that the right file was saved.")
    return content


def _why(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)
