"""Opening a package that somebody handed over: a folder, a zip file or one CSV file. Nothing in it is trusted.

Only the base names of `docs/interface.md` are read; whatever else lies there is left alone. Refused are paths that lead
out of the package, links, names that occur twice, and archives that would unpack to more than anybody could have written.
"""

from __future__ import annotations

import json
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path, PurePosixPath
from typing import IO, Any, Final

from logbook.errors import DataRefused, NoBook
from logbook.exchange.descriptor import is_ours
from logbook.exchange.layout import LAYOUTS

MOST_BYTES: Final = 4 * 2**30
"""All files of a package together, unpacked [bytes]: some ten million flights."""

MOST_RATIO: Final = 250
"""A file of a zip that unpacks to more than so many times its size was made to do harm; tables pack about 10 to 1."""

_SMALL: Final = 2**20
_MOST_ENTRIES: Final = 10_000
_MOST_DESCRIPTOR: Final = 16 * 2**20
_DESCRIPTOR: Final = "datapackage.json"
_KNOWN: Final = frozenset({_DESCRIPTOR, *(f"{name}.csv" for name in LAYOUTS)})


class Package:
    """A package that was looked over and can be read.

    Attributes:
        path: where it is.
        ours: it carries our marker: text cells are guarded.
        files: base name (without `.csv`) to size [bytes], of the files it holds.
        delimiters: base name to the separator its descriptor states, where that is not a comma.
    """

    def __init__(
        self, path: Path, files: dict[str, tuple[str, int]], archive: zipfile.ZipFile | None
    ) -> None:
        self.path = path
        self._archive = archive
        self._places = {name: place for name, (place, _) in files.items()}
        self.files = {
            name.removesuffix(".csv"): size for name, (_, size) in files.items() if name != _DESCRIPTOR
        }
        self.descriptor: Any = None
        self.delimiters: dict[str, str] = {}
        if _DESCRIPTOR in files:
            self._read_descriptor(files[_DESCRIPTOR][1])
        self.ours = is_ours(self.descriptor)

    @contextmanager
    def open(self, name: str) -> Iterator[IO[str]]:
        """One of its files as text (UTF-8), line ends as they are.

        Raises:
            DataRefused: it is not what it says it is.
        """
        try:
            with (
                self._raw(f"{name}.csv") as raw,
                TextIOWrapper(raw, encoding="utf-8-sig", newline="") as text,
            ):
                yield text
        except UnicodeDecodeError as error:
            raise DataRefused(
                f"{name}.csv is not UTF-8 ({error.reason}).",
                next_step="Save it as UTF-8, or import it with a mapping that names its encoding.",
            ) from None
        except (zipfile.BadZipFile, zlib.error, EOFError) as error:
            raise _damaged(self.path, error) from None

    def _raw(self, name: str) -> IO[bytes]:
        place = self._places[name]
        return self._archive.open(place) if self._archive is not None else open(place, "rb")  # noqa: PTH123 - closed by the caller

    def _read_descriptor(self, size: int) -> None:
        if size > _MOST_DESCRIPTOR:
            raise DataRefused(
                f"{_DESCRIPTOR} is too long.", next_step="Leave it out, or describe the files only."
            )
        try:
            with self._raw(_DESCRIPTOR) as raw:
                self.descriptor = json.loads(raw.read().decode("utf-8-sig"))
        except (ValueError, RecursionError, zipfile.BadZipFile, zlib.error, EOFError):
            raise DataRefused(
                f"{_DESCRIPTOR} is not JSON.", next_step="Correct it, or leave it out."
            ) from None
        for resource in _resources(self.descriptor):
            self._note_resource(resource)

    def _note_resource(self, resource: dict[str, Any]) -> None:
        paths = resource.get("path", [])
        for path in paths if isinstance(paths, list) else [paths]:
            _refuse_way_out(str(path), _DESCRIPTOR)
            base = PurePosixPath(str(path)).name
            if base in _KNOWN and base not in self._places:
                raise DataRefused(
                    f"{_DESCRIPTOR} names {base}, which is not there.",
                    next_step="Add the file, or take it out of the list.",
                )
            if base in _KNOWN:
                self._note_dialect(base.removesuffix(".csv"), resource)

    def _note_dialect(self, name: str, resource: dict[str, Any]) -> None:
        encoding = str(resource.get("encoding", "utf-8")).lower().replace("_", "-")
        if encoding not in ("utf-8", "utf8", "utf-8-sig", "us-ascii", "ascii"):
            raise DataRefused(f"{name}.csv is said to be in {encoding[:40]}.", next_step="Save it as UTF-8.")
        dialect = resource.get("dialect")
        delimiter = dialect.get("delimiter", ",") if isinstance(dialect, dict) else ","
        if not isinstance(delimiter, str) or len(delimiter) != 1 or delimiter in '"\r\n':
            raise DataRefused(
                f"{_DESCRIPTOR} states no usable separator for {name}.csv.", next_step="State one character."
            )
        if delimiter != ",":
            self.delimiters[name] = delimiter


@contextmanager
def open_package(path: Path) -> Iterator[Package]:
    """Looks a package over and opens it.

    Raises:
        NoBook: there is nothing at that path.
        DataRefused: it is no package, or leads out of itself, or is made to do harm.
    """
    if not path.exists():
        raise NoBook(f"There is nothing at {path}.", next_step="Correct the path.")
    if path.is_dir():
        yield Package(path, _folder_files(path), None)
    elif path.name in _KNOWN and path.is_file():
        yield Package(path, {path.name: (str(path), path.stat().st_size)}, None)
    else:
        with _archive(path) as archive:
            try:
                package = Package(path, _zip_files(archive, path), archive)
            except (zipfile.BadZipFile, zlib.error, EOFError) as error:
                raise _damaged(path, error) from None
            yield package


@contextmanager
def _archive(path: Path) -> Iterator[zipfile.ZipFile]:
    if not path.is_file():
        raise DataRefused(
            f"{path} is neither a folder nor a file.", next_step="Name a package folder or zip file."
        )
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise DataRefused(
            f"{path.name} is not a package: neither a folder, nor a zip file, nor a CSV file of a known name ({error}).",
            next_step="See docs/interface.md for the names, or use a mapping file for a CSV of another kind.",
        ) from None
    with archive:
        yield archive


def _folder_files(folder: Path) -> dict[str, tuple[str, int]]:
    """The known files of a folder, and those its descriptor names in folders below."""
    found: dict[str, tuple[str, int]] = {}
    for name in sorted(_KNOWN | _named_below(folder)):
        place = folder / name
        base = PurePosixPath(name).name
        if not place.exists() and not place.is_symlink():
            continue
        if base in found:
            raise DataRefused(f"{base} occurs twice in {folder}.", next_step="Keep one of the two.")
        state = place.lstat()
        inside = place.resolve().is_relative_to(folder.resolve())
        if not stat.S_ISREG(state.st_mode) or not inside:
            raise DataRefused(
                f"{name} in {folder} is a link or no plain file.", next_step="Put the file itself there."
            )
        found[base] = (str(place), state.st_size)
    return found


def _named_below(folder: Path) -> set[str]:
    """Paths with folders that the descriptor names for known files."""
    place = folder / _DESCRIPTOR
    if place.is_symlink() or not place.is_file() or place.stat().st_size > _MOST_DESCRIPTOR:
        return set()
    try:
        package = json.loads(place.read_text(encoding="utf-8-sig"))
    except (ValueError, RecursionError):
        return set()  # said with its words when the descriptor is read
    names = {str(resource.get("path", "")) for resource in _resources(package)}
    for name in names:
        _refuse_way_out(name, _DESCRIPTOR)
    return {name for name in names if "/" in name and PurePosixPath(name).name in _KNOWN}


def _zip_files(archive: zipfile.ZipFile, path: Path) -> dict[str, tuple[str, int]]:
    entries = archive.infolist()
    if len(entries) > _MOST_ENTRIES:
        raise DataRefused(
            f"{path.name} holds {len(entries)} files.", next_step="A package holds about twenty."
        )
    found: dict[str, tuple[str, int]] = {}
    for entry in entries:
        _refuse_way_out(entry.filename, path.name)
        if stat.S_ISLNK(entry.external_attr >> 16):
            raise DataRefused(f"{path.name} holds a link.", next_step="Put the file itself in.")
        base = PurePosixPath(entry.filename).name
        if entry.is_dir() or base not in _KNOWN:
            continue
        if base in found:
            raise DataRefused(f"{base} occurs twice in {path.name}.", next_step="Keep one of the two.")
        _refuse_bomb(entry, path)
        found[base] = (entry.filename, entry.file_size)
    if sum(size for _, size in found.values()) > MOST_BYTES:
        raise _too_large(path)
    return found


def _refuse_bomb(entry: zipfile.ZipInfo, path: Path) -> None:
    if entry.flag_bits & 0x1:
        raise DataRefused(f"{path.name} is encrypted.", next_step="Make it without a password.")
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise DataRefused(
            f"{path.name} is packed in an unusual way.", next_step="Pack it as an ordinary zip file."
        )
    if entry.file_size > _SMALL and entry.file_size > MOST_RATIO * max(entry.compress_size, 1):
        raise _too_large(path)


def _refuse_way_out(name: str, where: str) -> None:
    parts = name.replace("\\", "/").split("/")
    if name.startswith(("/", "\\")) or ".." in parts or ":" in name or "\0" in name:
        raise DataRefused(
            f"{where} names a path that leads out of the package.",
            next_step="Keep all files inside, by relative paths.",
        )


def _resources(package: Any) -> list[dict[str, Any]]:
    listed = package.get("resources", []) if isinstance(package, dict) else []
    return [item for item in listed if isinstance(item, dict)] if isinstance(listed, list) else []


def _too_large(path: Path) -> DataRefused:
    return DataRefused(
        f"{path.name} would unpack to more than any logbook holds.",
        next_step="Get it from somebody you trust.",
    )


def _damaged(path: Path, error: Exception) -> DataRefused:
    return DataRefused(f"{path.name} is damaged ({error}).", next_step="Get it again.")
