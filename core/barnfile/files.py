"""Barn files: loading with every fault at once, saving without half a file."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain
from pathlib import Path
from typing import Any

from core.barnfile.atomic import write_whole
from core.barnfile.jsontext import parse_json
from core.barnfile.migrate import migrated
from core.barnfile.reading import Reader, found_words, nearest
from core.barnfile.scans import MeshLibrary, Tell
from core.barnfile.writing import SCHEMA_NAME, barn_text
from core.catalogue.parts import Part
from core.catalogue.standard import standard_catalogue
from core.errors import BarnFileError, Fault, NotWrittenError
from core.geometry.shapes import Mesh
from core.model.barn import SCHEMA_VERSION, Barn
from core.model.consistency import link_faults, own_faults
from core.model.electrical import PLACES
from core.model.job import Reading
from core.model.spec import ObjectSpec, fields_of
from core.quantities import LengthUnit

__all__ = [
    "LARGEST_FILE",
    "BarnFile",
    "load_barn",
    "open_barn",
    "read_barn",
    "read_text",
    "save_barn",
]

LARGEST_FILE = 20_000_000  # [bytes], a hundred times a large barn
MOST_FAULTS = 500
_HEAD_KEYS = ("$schema", "liftlane", "unit")
_UNITS = {unit.value: unit for unit in LengthUnit}


@dataclass(frozen=True, slots=True, kw_only=True)
class BarnFile:
    """A barn as it stands in a file, with what saving it again needs.

    `unit` is that of the file's lengths and `schema` the place of its schema;
    `meshes` holds the mesh of each scan by its id, in room coordinates [in].
    """

    barn: Barn
    unit: LengthUnit = LengthUnit.INCH
    schema: str = SCHEMA_NAME
    meshes: Mapping[str, Mesh] = field(default_factory=dict, compare=False)

    @property
    def text(self) -> str:
        """The text of the file, as saving writes it."""
        return barn_text(self.barn, unit=self.unit, schema=self.schema)


def load_barn(path: Path | str) -> Barn:
    """Read a barn file; the meshes of its scans are left alone.

    Parameters
    ----------
    path : Path or str
        The file.

    Returns
    -------
    Barn
        The document.

    Raises
    ------
    BarnFileError
        If it cannot be used; every fault is listed.
    """
    return read_text(_text_of(Path(path)), where=str(path)).barn


def read_barn(text: str, *, where: str) -> Barn:
    """Read the text of a barn file.

    Parameters
    ----------
    text : str
        The text.
    where : str
        What to call it in messages.

    Returns
    -------
    Barn
        The document.

    Raises
    ------
    BarnFileError
        If it cannot be used; every fault is listed.
    """
    return read_text(text, where=where).barn


def open_barn(
    path: Path | str,
    *,
    library: MeshLibrary | None = None,
    tell: Tell | None = None,
) -> BarnFile:
    """Read a barn file and the meshes of its scans.

    Parameters
    ----------
    path : Path or str
        The file.
    library : MeshLibrary, optional
        That of its folder, which then remembers what was read.
    tell : callable, optional
        Told what is being read, with the share that is done [-].

    Returns
    -------
    BarnFile
        The document, its meshes, its unit and where its schema is.

    Raises
    ------
    BarnFileError
        If it cannot be used; every fault is listed.
    """
    file = read_text(_text_of(Path(path)), where=str(path))
    library = library or MeshLibrary(Path(path).parent)
    meshes, faults = library.load(file.barn, tell=tell)
    if faults:
        raise BarnFileError(str(path), faults)
    return replace(file, meshes=meshes)


def read_text(text: str, *, where: str) -> BarnFile:
    """Read the text of a barn file together with its unit.

    Parameters
    ----------
    text : str
        The text.
    where : str
        What to call it in messages.

    Returns
    -------
    BarnFile
        The document, its unit and where its schema is.

    Raises
    ------
    BarnFileError
        If it cannot be used; every fault is listed.
    """
    value, faults = parse_json(text)
    if faults:
        raise BarnFileError(where, faults)
    if not isinstance(value, dict):
        raise _unusable(where, found_words(value), "a barn file: an object in braces")
    data = _up_to_date(value, where)
    reader = Reader(unit=_UNITS.get(_plain(data.get("unit")), LengthUnit.INCH))
    reader.check_repeats(value, "")
    _read_head(reader, data)
    barn = _read_body(reader, data)
    faults = (*reader.faults, *_faults_between(reader))
    if faults or not isinstance(barn, Barn):
        raise BarnFileError(where, _shown(faults))
    schema = data.get("$schema", SCHEMA_NAME)
    return BarnFile(barn=barn, unit=reader.unit, schema=schema)


def save_barn(
    barn: Barn,
    path: Path | str,
    *,
    unit: LengthUnit = LengthUnit.INCH,
    schema: str = SCHEMA_NAME,
) -> None:
    """Write a barn file in one go: the old file stays until the new one is whole.

    Parameters
    ----------
    barn : Barn
        The document.
    path : Path or str
        The file.
    unit : LengthUnit
        Unit of its lengths.
    schema : str
        Where an editor finds the JSON Schema, relative to the file.

    Raises
    ------
    NotWrittenError
        If the file cannot be written; what was there before is untouched.
    """
    try:
        text = barn_text(barn, unit=unit, schema=schema)
    except ValueError as error:
        msg = f'"{path}" could not be written ({error}); mend the barn first'
        raise NotWrittenError(msg) from error
    write_whole(path, text.encode())


def _text_of(path: Path) -> str:
    """Read the text of a file that can be a barn file."""
    where = str(path)
    try:
        _check_size(path, where)
        return _decoded(path.read_bytes(), where)
    except BarnFileError:
        raise
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise _unusable(where, f"no access ({why})", "a file to read") from None


def _check_size(path: Path, where: str) -> None:
    """Refuse what is no file or too large for a barn, before reading it."""
    if path.is_dir():
        raise _unusable(where, "a folder", "a barn file")
    if not path.is_file():
        raise _unusable(where, "no file of this name", "a barn file")
    size = path.stat().st_size
    if size > LARGEST_FILE:
        limit = f"a barn file of at most {LARGEST_FILE / 1e6:g} MB"
        raise _unusable(where, f"{size / 1e6:.4g} MB", limit)


def _decoded(content: bytes, where: str) -> str:
    """Turn the bytes of a file into text."""
    if not content.strip():
        raise _unusable(where, "an empty file", "a barn file")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"a byte that is no UTF-8 text at position {error.start}"
        raise _unusable(where, found, "a barn file, which is text") from None
    if "\0" in text:
        raise _unusable(where, "binary data", "a barn file, which is text")
    return text


def _unusable(where: str, found: str, expected: str) -> BarnFileError:
    """Make the error for a file of which nothing can be read."""
    return BarnFileError(where, (Fault(path="file", found=found, expected=expected),))


def _up_to_date(data: dict[str, Any], where: str) -> dict[str, Any]:
    """Bring the file up to this version, or refuse it if it is newer."""
    version = data.get("liftlane")
    if isinstance(version, bool) or not isinstance(version, int) or version < 0:
        found = found_words(version) if "liftlane" in data else "nothing"
        near = nearest("liftlane", data)
        fault = Fault(
            path="liftlane",
            found=found,
            expected=f"the version of the file, {SCHEMA_VERSION}",
            nearest=None if "liftlane" in data else near,
        )
        raise BarnFileError(where, (fault,))
    if version > SCHEMA_VERSION:
        fault = Fault(
            path="liftlane",
            found=f"version {found_words(version)}",
            expected=f"version {SCHEMA_VERSION} or older; a newer program wrote "
            "this file, open it with that one",
        )
        raise BarnFileError(where, (fault,))
    return migrated(data, version)


def _read_head(reader: Reader, data: dict[str, Any]) -> None:
    """Check the keys that say how the file is to be read."""
    reader.check_keys(data, (*_HEAD_KEYS, *_body_keys()), "")
    unit = data.get("unit")
    if _plain(unit) not in _UNITS:
        expected = "the unit of lengths, one of " + ", ".join(_UNITS)
        reader.fault("unit", unit, expected, nearest(unit, _UNITS))
    if not isinstance(data.get("$schema", ""), str):
        reader.fault("$schema", data["$schema"], "the file name of the schema")


def _read_body(reader: Reader, data: dict[str, Any]) -> object:
    """Read the barn itself."""
    body = {key: data[key] for key in data if key in _body_keys()}
    return reader.read(body, ObjectSpec(cls=Barn), "")


def _body_keys() -> tuple[str, ...]:
    """List the keys of the barn."""
    return tuple(each.name for each in fields_of(Barn))


def _plain(value: object) -> str:
    """Return a text, or nothing for what is none."""
    return value if isinstance(value, str) else ""


def _faults_between(reader: Reader) -> Iterator[Fault]:
    """Find what does not fit together among all that could be read."""
    yield from _repeated_ids(reader)
    paths = {id(item): path for item, path in reader.built}
    items = [item for item, _ in reader.built]
    standard = {part.id: type(part) for part in standard_catalogue().by_id.values()}
    ids, own = (
        {identity: cls for cls, identity, _ in reader.ids if _family(cls) == family}
        for family in ("object", "part")
    )
    links = link_faults(items, ids=ids, parts={**standard, **own})
    found = chain(*(own_faults(item) for item in items), links)
    for fault in found:
        path = paths[id(fault.subject)]
        yield Fault(
            path=f"{path}.{fault.field}" if path else fault.field,
            found=fault.found,
            expected=fault.expected,
            nearest=fault.nearest,
        )


def _repeated_ids(reader: Reader) -> Iterator[Fault]:
    """Find ids that more than one thing has."""
    first = {("object", place): f"electrical.{place}" for place in PLACES}
    for cls, identity, path in reader.ids:
        key = (_family(cls), identity)
        if key in first:
            yield Fault(
                path=f"{path}.id",
                found=f"{found_words(identity)}, the id of {first[key]}",
                expected="an id that nothing else has",
            )
        first.setdefault(key, path)


def _family(cls: type) -> str:
    """Tell within what ids must differ: objects, own parts, or readings."""
    if issubclass(cls, Part):
        return "part"
    return "reading" if cls is Reading else "object"


def _shown(faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """Leave repeats out; count those beyond what anyone reads."""
    each = tuple(dict.fromkeys(faults))
    if len(each) <= MOST_FAULTS:
        return each
    found = f"{len(each) - MOST_FAULTS} more faults"
    rest = Fault(path="file", found=found, expected="that those above are mended first")
    return (*each[:MOST_FAULTS], rest)
