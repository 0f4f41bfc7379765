"""Reads series: the ones that travel with the program, a collection's own copies, or a folder.

A series is two texts, `series.toml` and `issues.csv`. Whatever is wrong with them is told at
once, each fault with its file, its line and what to do.
"""

from collections.abc import Collection
from functools import cache
from pathlib import Path
from stat import S_ISREG

import resources
from core.catalogue.faults import Faults, Told, TomlFaults, raise_if_any
from core.catalogue.head import MOST_BYTES as MOST_TOML_BYTES
from core.catalogue.head import Applies, Head, read_head
from core.catalogue.rows import MOST_BYTES as MOST_CSV_BYTES
from core.catalogue.rows import Body, read_rows
from core.catalogue.write import write_series
from core.errors import CatalogueFault, UnknownSeries
from core.model.issue import Facet, Series, SeriesId, Sign

HEAD_FILE, ROWS_FILE = "series.toml", "issues.csv"
NAMES = (HEAD_FILE, ROWS_FILE)
FOLDER = "catalogue"


@cache
def library_ids() -> tuple[SeriesId, ...]:
    """The ids of the series that travel with the program, sorted; each is a folder's name."""
    return tuple(SeriesId(name) for name in resources.names(FOLDER) if "." not in name)


@cache
def library_texts(series_id: SeriesId) -> tuple[str, str]:
    """The two texts of a series that travels with the program. Raises UnknownSeries."""
    if series_id not in library_ids():
        raise UnknownSeries(
            f"There is no series {str(series_id)!r}; known are {', '.join(library_ids())}."
        )
    head, rows = (resources.read_text(f"{FOLDER}/{series_id}/{name}") for name in NAMES)
    return head, rows


@cache
def load_series(series_id: SeriesId) -> Series:
    """A series that travels with the program, read once. Raises UnknownSeries."""
    return read_series(*library_texts(series_id))


def series_text(series: Series) -> tuple[str, str]:
    """`series.toml` and `issues.csv` of a series; reading them gives an equal series.

    A series of the library gives the texts that it was read from, at once; another is written.
    """
    if series.id in library_ids() and load_series(series.id) is series:
        return library_texts(series.id)
    return write_series(series)


def read_series(
    toml_text: str, csv_text: str, names: tuple[str, str] = (HEAD_FILE, ROWS_FILE)
) -> Series:
    """A series from its two texts; `names` are the names under which faults are told.

    Raises CatalogueFault, whose message has every fault, one a line.
    """
    toml_text, csv_text = toml_text.removeprefix("\ufeff"), csv_text.removeprefix("\ufeff")
    return _read(toml_text, csv_text, TomlFaults(names[0], toml_text), Faults(names[1]))


def check_folder(folder: Path) -> Series:
    """The series in a folder on disk. Raises CatalogueFault, as `read_series` does."""
    if folder.exists() and not folder.is_dir():
        raise CatalogueFault(
            f"{folder.name} is a file; name the folder that has {HEAD_FILE} and {ROWS_FILE}"
        )
    head_faults, row_faults = Faults(HEAD_FILE), Faults(ROWS_FILE)
    head = _text_of(folder / HEAD_FILE, MOST_TOML_BYTES, head_faults)
    rows = _text_of(folder / ROWS_FILE, MOST_CSV_BYTES, row_faults)
    toml_faults = TomlFaults(HEAD_FILE, head or "")
    toml_faults.found += head_faults.found
    return _read(head, rows, toml_faults, row_faults)


def _read(
    head_text: str | None, rows_text: str | None, head_faults: TomlFaults, row_faults: Faults
) -> Series:
    """A series from the texts that could be had. Raises CatalogueFault."""
    series = _examined(head_text, rows_text, head_faults, row_faults)
    raise_if_any(head_faults, row_faults)
    if series is None:
        raise CatalogueFault(f"{head_faults.file} line 1: nothing could be read; check the file")
    return series


def examine(toml_text: str, csv_text: str) -> tuple[Series | None, list[Told], list[Told]]:
    """A series from its two texts with the faults of each; without a series where there are any.

    The faults of `series.toml` come first. Never raises.
    """
    head_faults, row_faults = TomlFaults(HEAD_FILE, toml_text), Faults(ROWS_FILE)
    series = _examined(toml_text, csv_text, head_faults, row_faults)
    is_sound = not (head_faults.found or row_faults.found)
    return (series if is_sound else None), head_faults.found, row_faults.found


def _examined(
    head_text: str | None, rows_text: str | None, head_faults: TomlFaults, row_faults: Faults
) -> Series | None:
    """A series from the texts that could be had, faulty parts left out; the faults are noted."""
    head = None if head_text is None else read_head(head_text, head_faults)
    body = Body() if rows_text is None else read_rows(rows_text, head, row_faults)
    if head is None:
        return None
    series = _series(head, body)
    if rows_text is not None:
        faulty = {fault.key for fault in row_faults.found} | head.unread
        _check_together(series, head_faults, faulty)
    return series


def _text_of(path: Path, most_bytes: int, faults: Faults) -> str | None:
    """The text of a file, None where a fault was noted."""
    try:
        about = path.stat()
        if not S_ISREG(about.st_mode):  # opening a pipe would wait for ever
            faults.add(1, "this is a folder or a device and cannot be read; put a file there")
            return None
        if about.st_size > most_bytes:
            faults.add(1, f"the file is larger than {most_bytes // 1024} KB; shorten it")
            return None
        with path.open("rb") as file:
            content = file.read(most_bytes + 1)
    except FileNotFoundError:
        faults.add(1, f"there is no such file in {path.parent}; a series needs both its files")
        return None
    except OSError as error:
        faults.add(1, f"the file cannot be read ({error.strerror}); check its permissions")
        return None
    if len(content) > most_bytes:
        faults.add(1, f"the file is larger than {most_bytes // 1024} KB; shorten it")
        return None
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        faults.add(line, "this line is not UTF-8 text; save the file as UTF-8")
        return None


def _series(head: Head, body: Body) -> Series:
    return Series(
        id=head.series_id,
        title=head.title,
        issuer=head.issuer,
        denomination=head.denomination,
        face_value_minor=head.face_value_minor,
        currency=head.currency,
        diameter_mm=head.diameter_mm,
        mints=tuple(head.mints),
        designs=tuple(head.designs),
        compositions=tuple(head.compositions),
        issues=tuple(body.issues),
        totals=tuple(body.totals),
        varieties=tuple(head.varieties),
        sources=head.sources,
        is_invented=head.is_invented,
        signs=tuple(head.signs),
        words=head.words,
        note=head.note,
    )


def _check_together(series: Series, faults: TomlFaults, faulty: Collection[str]) -> None:
    """Check what the head says of issues against the issues that there are.

    `faulty`: the columns of `issues.csv` in which a fault was found, "" for a fault of a whole
    row or file. What rests on one of these is checked once it is corrected.
    """
    if "" in faulty:
        return
    _check_used(series, faults, faulty)
    facets = [f.value for f in Facet]
    facets += sorted({name for issue in series.issues for name, _ in issue.choices})
    for at, variety in enumerate(series.varieties):
        if _rests_on(variety.applies, faulty):
            continue
        wrong = _wrong_values(series, facets, variety.applies)
        if not wrong and not series.variety_mask(variety):
            wrong = ["applies to no issue; correct its facets"]
        for text in wrong:
            faults.at("variety", at, "applies", f"variety {str(variety.id)!r} {text}")
    for at, sign in enumerate(series.signs):
        if sign.facet and not _rests_on((*sign.applies, (sign.facet, (sign.value,))), faulty):
            _check_sign(series, faults, facets, at, sign)


def _check_used(series: Series, faults: TomlFaults, faulty: Collection[str]) -> None:
    """Check that every mint, design and composition is that of an issue."""
    for table, facet, ids in (
        ("mint", Facet.MINT, [m.id for m in series.mints]),
        ("design", Facet.DESIGN, [d.id for d in series.designs]),
        ("composition", Facet.COMPOSITION, [c.id for c in series.compositions]),
    ):
        for at, this in enumerate(ids if facet.value not in faulty else ()):
            if not series.facet_mask(facet.value, (this,)):
                faults.at(table, at, "id", f"no issue has {table} {this!r}; use it or take it out")


def _check_sign(series: Series, faults: TomlFaults, facets: list[str], at: int, sign: Sign) -> None:
    """Check what one sign says of issues."""
    told = f"sign of {sign.facet} {sign.value!r}"
    own = _wrong_values(series, facets, ((sign.facet, (sign.value,)),))
    wrong = _wrong_values(series, facets, sign.applies)
    if not own and not wrong and not series.sign_mask(sign):
        wrong = ["applies to no issue; correct its facets"]
    for text in own:
        faults.at("sign", at, "value", f"{told} {text}")
    for text in wrong:
        faults.at("sign", at, "applies", f"{told} {text}")


def _rests_on(applies: Applies, faulty: Collection[str]) -> bool:
    """Whether the issues that are named so cannot be told as long as these columns have faults."""
    fixed = {facet.value for facet in Facet}
    columns = {facet if facet in fixed else "choices" for facet, _ in applies}
    return not columns.isdisjoint(faulty)


def _wrong_values(series: Series, known: list[str], applies: Applies) -> list[str]:
    """What is wrong with the facets and values that a variety or sign names."""
    wrong = []
    for facet, values in applies:
        if facet not in known:
            told = ", ".join(known)
            wrong.append(f"names the facet {facet!r}, which no issue has; use {told}")
            continue
        wrong += [
            f"names {facet} {value!r}, which no issue has; correct it"
            for value in values
            if not series.facet_mask(facet, (value,))
        ]
    return wrong
