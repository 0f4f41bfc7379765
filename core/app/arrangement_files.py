"""An arrangement as a small file that people can read, for other collections and other people."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from core.catalogue.faults import TomlFaults, raise_if_any
from core.errors import BadEntry, FileTrouble
from core.model.arrangement import (
    Arrangement,
    ArrangementKind,
    Break,
    Order,
    ShowP,
    parse_arrangement,
    row_text,
)

SUFFIX = ".arrangement.toml"
MOST_BYTES = 1 << 20
_HEAD = "# An arrangement of Slotleaf: how the slots of an album turn into leaves of rows.\n"
_MAP_NOTE = "One line a leaf: slots row by row, _ for each spacer."
_OWN = {"name", "form", "leaves", "slots_per_row", "rows_per_leaf"}


def write_arrangement(path: Path, name: str, shape: Arrangement) -> None:
    """Write an arrangement; the file is there whole or not at all. Raises FileTrouble."""
    try:
        beside = path.with_name(path.name + ".new")
        beside.write_text(arrangement_text(name, shape), encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        raise FileTrouble(
            f"“{path}” cannot be written ({error.strerror}). Choose another place."
        ) from error


def arrangement_text(name: str, shape: Arrangement) -> str:
    """What is written: one key a line, what is as usual left out."""
    import tomlkit

    document = tomlkit.parse(_HEAD)
    document.add("name", tomlkit.item(name))
    document.add("form", tomlkit.item(shape.kind.word))
    if shape.kind is ArrangementKind.ROW_MAP:
        document.add(tomlkit.comment(_MAP_NOTE))
        leaves = tomlkit.array()
        leaves.extend(" ".join(map(row_text, leaf)) for leaf in shape.row_map)
        document.add("leaves", leaves.multiline(True))
    for key, value in _pairs(shape):
        document.add(key, tomlkit.item(value))
    return tomlkit.dumps(document)


def _pairs(shape: Arrangement) -> Iterator[tuple[str, Any]]:
    if not shape.kind.is_matrix and shape.kind is not ArrangementKind.ROW_MAP:
        yield "slots_per_row", shape.per_row
    if shape.rows_per_leaf and shape.kind is not ArrangementKind.ROW_MAP:
        yield "rows_per_leaf", shape.rows_per_leaf
    if shape.order is not Order.AS_LISTED:
        yield "order", "date" if shape.order is Order.DATE else "mint"
    if shape.mints:
        yield "mints", list(shape.mints)
    flags = {"down": shape.is_down, "closed": shape.is_closed, "wide": shape.is_wide}
    yield from ((key, True) for key, is_set in flags.items() if is_set)
    for key, place in (("leaf_break", shape.leaf_break), ("row_break", shape.row_break)):
        if place is not Break.NONE:
            yield key, place.value
    if shape.blocks > 1:
        yield "blocks", shape.blocks
    if shape.hole_mm is not None:
        yield "hole", shape.hole_mm
    if shape.show_p is not ShowP.AS_ON_COIN:
        yield "p", shape.show_p.value
    if shape.label:
        yield "label", shape.label


def read_arrangement(path: Path) -> tuple[str, Arrangement]:
    """The name and the arrangement in a file.

    Raises FileTrouble where it cannot be read, CatalogueFault with every fault, line and remedy.
    """
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise FileTrouble(f"“{path}” is too large for an arrangement. Choose another file.")
        text = content.decode("utf-8-sig").replace("\r\n", "\n")
    except OSError as error:
        raise FileTrouble(f"“{path}” cannot be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise FileTrouble(f"“{path}” is not a text file. Choose an arrangement.") from error
    return arrangement_of(text, path.name)


def arrangement_of(text: str, file: str) -> tuple[str, Arrangement]:
    """Read the text of an arrangement's file; `file` is its name in faults.

    Raises CatalogueFault with every fault, line and remedy.
    """
    faults = TomlFaults(file, text)
    values: dict[str, Any] = {}
    try:
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # too long a figure is no fault of TOML's
        faults.add(1, f"this cannot be read ({error}); write it as the program exports it")
        raise_if_any(faults)
    name = values.get("name")
    if not (isinstance(name, str) and name.strip()):
        faults.at("", 0, "name", 'there is no name; write name = "…"')
    parts = _parts(values, faults)
    raise_if_any(faults)
    return " ".join(str(name).split()), parse_arrangement("; ".join(parts))


def _parts(values: dict[str, Any], faults: TomlFaults) -> list[str]:
    """The parts of the arrangement in one line, each tried alone, so that every fault is told."""
    options = sorted((key for key in values if key not in _OWN), key=lambda key: key == "label")
    found = []
    for key in ("form", *options):
        try:
            part = _form(values) if key == "form" else _option(key, values[key])
            if part:
                parse_arrangement(part if key == "form" else f"by-decade; {part}")
                found.append(part)
        except BadEntry as error:
            is_map = key == "form" and values.get("form") == ArrangementKind.ROW_MAP.word
            faults.at("", 0, "leaves" if is_map else key, str(error))
    return found


def _form(values: dict[str, Any]) -> str:
    form = values.get("form")
    if form == ArrangementKind.ROW_MAP.word:
        leaves = values.get("leaves")
        if not isinstance(leaves, list) or not all(isinstance(leaf, str) for leaf in leaves):
            raise BadEntry('leaves is no list of texts; write leaves = ["9 9 8", "10 10"]')
        return f"{form}:{' / '.join(leaves)}"
    per_row, rows = (values.get(key) for key in ("slots_per_row", "rows_per_leaf"))
    if per_row is None:
        return f"{form}:{rows}" if rows is not None else f"{form}"
    return f"{form}:{per_row}x{5 if rows is None else rows}"


def _option(key: str, value: object) -> str:
    """One part as the one line has it; "" for a switch that is off."""
    word = key.replace("_", "-")
    match value:
        case bool():
            return word if value else ""
        case int() | float():
            return f"{word}={value:g}"
        case str():
            return f"{word}={value}"
        case list() if all(isinstance(one, str) for one in value):
            return f"{word}={','.join(one or '-' for one in value)}"
    raise BadEntry(f"{key} is of the wrong kind; write it as the program exports it")
