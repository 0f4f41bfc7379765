"""A file put in place whole or not at all, over a file of its own kind only."""

import os
from contextlib import suppress
from pathlib import Path
from secrets import token_hex

from core.errors import FileTrouble, Refused

HEADS = {
    "PDF": (b"%PDF-",),
    "PNG": (b"\x89PNG\r\n\x1a\n",),
    "SVG": (b"<?xml", b"<svg"),
    "MD": (b"# ",),
}
"""How the files of each kind begin; Markdown (MD) as it is written here, with a heading.

Sources: ISO 32000-1:2008, 7.5.2; Portable Network Graphics (PNG) Specification, second edition,
ISO/IEC 15948:2003, 5.2; XML 1.0, fifth edition, 2.8.
"""


def write_whole(path: Path, data: bytes, kind: str, what: str) -> None:
    """Write a file of a kind of `HEADS`; what was there before stays until it is whole.

    `what` is named where it fails: "The checklist". Raises Refused where the name is that of a file
    of another kind (a collection, say), FileTrouble where it cannot be written; both say what to
    do.
    """
    _refuse_other_kind(path, kind)
    temporary = path.with_name(f".{path.name[:60]}.{token_hex(4)}.part")
    try:
        with temporary.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        with suppress(OSError):  # the first trouble is the one to tell
            temporary.unlink(missing_ok=True)
        raise FileTrouble(
            f"{what} could not be written to {path} ({error.strerror or error})."
            " Choose another folder or name, or close the program that has the file open;"
            " then save again."
        ) from error


def _refuse_other_kind(path: Path, kind: str) -> None:
    """Raise Refused where a file of another kind stands: none of those is ever written over."""
    heads = HEADS[kind]
    try:
        with path.open("rb") as file:
            head = file.read(max(map(len, heads)))
    except OSError:  # nothing there, or nothing to read: writing tells
        return
    if head and not head.startswith(heads):
        raise Refused(
            f"“{path}” is there already and is no {kind}; it was left as it is. Choose another "
            f"name, such as one that ends in .{kind.lower()}."
        )
