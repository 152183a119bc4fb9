"""The files of a build: gathered whole before the first is written, listed with their hashes in a manifest."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from engraver.errors import OutputError
from engraver.press.kept import content_hash
from engraver.press.request import ALL, EditionReport, Request

MANIFEST = "manifest.json"


@dataclass(frozen=True, slots=True)
class Made:
    """One edition's files by their path inside its folder, and what the manifest says of it.

    `sources` are the files that the book names, by their path from the book's folder.
    """

    name: str
    files: Mapping[str, bytes]
    about: Mapping[str, Any]
    warnings: tuple[str, ...] = ()
    counts: Mapping[str, int] = field(default_factory=dict)
    sources: tuple[str, ...] = ()


def write_edition(made: Made, book: Path, request: Request) -> EditionReport:
    """Writes an edition's files and its manifest, each whole or not at all; files of the build before are removed.

    Raises OutputError when the folder cannot be written.
    """
    folder = request.out / book.stem / made.name
    before = _read(folder).get("files", {})
    manifest = {
        **made.about,
        "inputs": {name: _file_hash(book.parent / name) for name in (book.name, *made.sources)},
        "request": request.text(),
        "counts": dict(made.counts),
        "warnings": list(made.warnings),
        "files": {name: content_hash(data) for name, data in sorted(made.files.items())},
    }
    try:
        for name, data in made.files.items():
            if _file_hash(folder / name) != manifest["files"][name]:
                _write(folder / name, data)
        for name in sorted(set(before) - set(made.files)):
            _inside(folder, name).unlink(missing_ok=True)
        _write(folder / MANIFEST, json.dumps(manifest, indent=1, sort_keys=True, ensure_ascii=False).encode())
    except OSError as error:
        hint = "choose another folder with --out"
        raise OutputError(f"'{folder}' cannot be written ({error.strerror})", hint=hint) from error
    return _report(book, made.name, folder, made.counts, made.warnings, "built")


def write_file(path: Path, data: bytes) -> Path:
    """Writes one file, whole or not at all, and gives its path. Raises OutputError when it cannot be written."""
    try:
        _write(path, data)
    except OSError as error:
        hint = "choose another folder with --out"
        raise OutputError(f"'{path}' cannot be written ({error.strerror})", hint=hint) from error
    return path


def nothing_to_do(book: Path, request: Request) -> tuple[EditionReport, ...]:
    """The reports of the last build when book, request, program and files are what they were; else nothing."""
    root = request.out / book.stem
    reports = []
    for name in _names(root, request):
        manifest = _unchanged(root / name, book.parent, request.text())
        if manifest is None:
            return ()
        counts = {**manifest["counts"], "engraved": 0, "reused": manifest["counts"]["exercises"]}
        reports.append(_report(book, name, root / name, counts, manifest["warnings"], "nothing changed"))
    return tuple(reports)


def _names(root: Path, request: Request) -> tuple[str, ...]:
    """The editions asked for, by what the last build noted of the book's editions."""
    if request.editions and request.editions != (ALL,):
        return request.editions
    for manifest in sorted(root.glob(f"*/{MANIFEST}")):
        names = tuple(_read(manifest.parent).get("editions", ()))
        return names if request.editions else names[:1]
    return ()


def _unchanged(folder: Path, inputs: Path, request: str) -> Mapping[str, Any] | None:
    manifest = _read(folder)
    if manifest.get("request") != request:
        return None
    hashes = [(inputs / name, digest) for name, digest in manifest["inputs"].items()]
    hashes += [(folder / name, digest) for name, digest in manifest["files"].items()]
    return manifest if all(_file_hash(path) == digest for path, digest in hashes) else None


def _report(
    book: Path, name: str, folder: Path, counts: Mapping[str, int], warnings: Any, reason: str
) -> EditionReport:
    numbers = {key: int(counts.get(key, 0)) for key in ("pages", "exercises", "engraved", "reused")}
    return EditionReport(book.stem, name, folder, warnings=tuple(warnings), reason=reason, **numbers)


def _file_hash(path: Path) -> str:
    """The hash of a file's content, or an empty text when it cannot be read."""
    try:
        return content_hash(path.read_bytes())
    except OSError:
        return ""


def _read(folder: Path) -> dict[str, Any]:
    try:
        manifest = json.loads((folder / MANIFEST).read_bytes())
    except (OSError, ValueError):
        return {}
    return manifest if isinstance(manifest, dict) else {}


def _inside(folder: Path, name: str) -> Path:
    """A file of the manifest; never one outside its folder."""
    path = (folder / name).resolve()
    return path if path.is_relative_to(folder.resolve()) else folder / f"{MANIFEST}.none"


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    part.write_bytes(data)
    part.replace(path)
