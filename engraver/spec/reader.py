"""Reads a book file: every error of the file in one run, each with its line and column."""

import difflib
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from engraver.errors import EngraverError, SpecError, SpecErrors
from engraver.spec.book import BookSpec, Chapter, Edition, Exercise
from engraver.spec.fields import Frozen, closest
from engraver.spec.heads import KINDS, BookHead, ChapterHead, EditionHead, known_fields
from engraver.spec.house import LARGE_PRINT, InstrumentSpec, PlayerSpec, StyleSpec, check_tuning, makes_large
from engraver.spec.levels import without_level
from engraver.spec.played import MOST_TONICS, MOST_VARIANTS, ExerciseSpec
from engraver.spec.source import Path_, Source, read_source
from engraver.spec.wording import is_internal, sentence

MOST_EXERCISES = 20_000
STANDARD_EDITION = "standard"
_EDITION_FIELDS = (*EditionHead.model_fields, "instrument", "player", "style")
_MERGED_FIELDS = ("left_hand", "right_hand", "tempo")
_Model = TypeVar("_Model", bound=BaseModel)


def read_book(path: str | Path) -> BookSpec:
    """The book in a YAML file, checked whole.

    Raises SpecErrors with every error of the file, or SpecError when the file cannot be read at all.
    """
    book, errors = read_what_is_right(path)
    if errors or book is None:
        raise SpecErrors(errors)
    return book


def read_what_is_right(path: str | Path) -> tuple[BookSpec | None, tuple[EngraverError, ...]]:
    """The book without the entries that have errors, and the errors; no book when its head cannot be used.

    Raises SpecError when the file cannot be read at all.
    """
    reader = _BookReader(read_source(Path(path)))
    book = reader.read(Path(path))
    return book, tuple(reader.errors)


class _BookReader:
    def __init__(self, source: Source) -> None:
        self.source = source
        self.errors: list[EngraverError] = []
        self.ids: dict[str, Exercise] = {}
        self.number = 0

    def read(self, path: Path) -> BookSpec | None:
        if not isinstance(self.source.value, dict):
            self._error((), "a book begins with its title", "write 'title: …' on the first line")
            return None
        head = self._validated(BookHead, self.source.value, ())
        editions = self._editions(self.source.value)
        chapters = self._read_chapters(self.source.value)
        if head is None or not editions:
            return None
        return BookSpec(path, head.author or "", head.text, head.imprint, editions[0], editions, chapters)

    def _editions(self, root: Mapping[str, Any]) -> tuple[Edition, ...]:
        found: list[Edition | None] = []
        named = root.get("editions") or {STANDARD_EDITION: None}
        for name, changes in named.items() if isinstance(named, dict) else ():
            base = ("editions", name)
            changes = changes if isinstance(changes, dict) else {}
            for field in changes:
                if field not in _EDITION_FIELDS:
                    hint = closest(str(field), _EDITION_FIELDS)
                    self._error((*base, field), f"an edition cannot change '{field}'", hint, of_key=True)
            found.append(self._edition(root, str(name), changes, base))
        return tuple(edition for edition in found if edition)

    def _edition(self, root: Mapping[str, Any], name: str, changes: Mapping[str, Any], base: Path_) -> Edition | None:
        instrument = self._section(InstrumentSpec, "instrument", root, changes, base)
        player = self._section(PlayerSpec, "player", root, changes, base)
        style = self._section(StyleSpec, "style", root, changes, base)
        own = {key: changes[key] for key in EditionHead.model_fields if key in changes}
        head = self._validated(EditionHead, own, base)
        if not (instrument and player and style and head):
            return None
        try:
            check_tuning(instrument.instrument())
        except EngraverError as error:
            self._error(("instrument",), error.message, error.hint)
        words = {key: str(getattr(head, key) or root.get(key) or "") for key in EditionHead.model_fields}
        words["language"] = words["language"].strip() or "en"
        return Edition(name=name, instrument=instrument.instrument(), player=player.player(), style=style, **words)

    def _section(
        self, model: type[_Model], name: str, root: Mapping[str, Any], changes: Mapping[str, Any], base: Path_
    ) -> _Model | None:
        written = root.get(name)
        own: Mapping[str, Any] = written if isinstance(written, dict) else {}
        change = changes.get(name) or {}
        if not isinstance(change, dict):
            self._error((*base, name), f"'{name}' is not a group of fields", "write {name: value}")
            return None
        locate = {field: (*base, name) for field in change}
        implied = LARGE_PRINT if model is StyleSpec and makes_large(own, change) else {}
        return self._validated(model, {**own, **implied, **change}, (name,), locate)

    def _read_chapters(self, root: Mapping[str, Any]) -> tuple[Chapter, ...]:
        book_defaults = self._defaults(root.get("defaults"), ("defaults",))
        chapters = root.get("chapters")
        if not isinstance(chapters, list):
            return ()
        found = [self._chapter(raw, ("chapters", n), book_defaults) for n, raw in enumerate(chapters)]
        return tuple(chapter for chapter in found if chapter)

    def _chapter(self, raw: Any, base: Path_, book_defaults: "_Defaults") -> Chapter | None:
        head = self._validated(ChapterHead, raw, base)
        if not isinstance(raw, dict) or not isinstance(raw.get("exercises"), list):
            return None
        defaults = book_defaults.under(self._defaults(raw.get("defaults"), (*base, "defaults")))
        exercises: list[Exercise] = []
        for index, entry in enumerate(raw["exercises"]):
            exercises += self._entry(entry, (*base, "exercises", index), defaults)
        return Chapter(head.title, head.text, tuple(exercises), head.practice_lines) if head else None

    def _defaults(self, raw: Any, base: Path_) -> "_Defaults":
        if raw is None:
            return _Defaults({}, {})
        if not isinstance(raw, dict):
            return _Defaults({}, {})
        for field in raw:
            if field not in known_fields() or field in ("id", "kind"):
                self._error(
                    (*base, field),
                    f"there is no field '{field}' to give a default for",
                    closest(str(field), known_fields()),
                    True,
                )
        return _Defaults(raw, {field: base for field in raw})

    def _entry(self, raw: Any, base: Path_, defaults: "_Defaults") -> list[Exercise]:
        if not isinstance(raw, dict):
            self._error(base, "an exercise is a group of fields", "write {id: …, kind: …}")
            return []
        kind = raw.get("kind")
        if kind is None or kind not in KINDS:
            self._no_kind(raw, kind, base)
            return []
        model = KINDS[kind]
        merged, locate = defaults.fill(raw, base, model)
        spec = self._validated(model, merged, base, locate)
        return self._expanded(self._located(spec, base), base) if spec else []

    def _no_kind(self, raw: Mapping[str, Any], kind: Any, base: Path_) -> None:
        """An entry without a kind that we know; the name of the field may be what is misspelled."""
        slips = difflib.get_close_matches("kind", [str(field) for field in raw if field not in known_fields()], n=1)
        if kind is None and slips:
            self._error((*base, slips[0]), f"there is no field '{slips[0]}' here", "did you mean 'kind'?", True)
            return
        found = "the exercise has no kind" if kind is None else f"'{kind}' is not a kind of exercise"
        self._error((*base, "kind") if kind is not None else base, found, closest(str(kind or ""), KINDS))

    def _located(self, spec: ExerciseSpec, base: Path_) -> ExerciseSpec:
        """The spec with the files it names found beside the book."""
        try:
            return spec.located(Path(self.source.file).parent)
        except EngraverError as error:
            self._error((*base, "file"), error.message, error.hint)
            return spec

    def _expanded(self, spec: ExerciseSpec, base: Path_) -> list[Exercise]:
        """One exercise per tonic and rhythm variant; the id gains what there are several of."""
        tonics, variants = getattr(spec, "tonics", ()), getattr(spec, "variants", ())
        if len(tonics) * max(1, len(variants)) > MOST_TONICS * MOST_VARIANTS // 2:
            self._error(
                base, f"the entry stands for {len(tonics) * len(variants):,} exercises", "split it into several"
            )
            return []
        out: list[Exercise] = []
        for index, tonic in enumerate(tonics or (None,)):
            field = (*base, "tonics", index) if tonic else (*base, "key")
            for name in variants or (None,):
                changes = {"tonics": (tonic,)} if tonic else {}
                changes |= {"rhythm": name, "variants": (name,)} if name else {}
                parts = [
                    spec.id,
                    tonic.slug if len(tonics) > 1 else "",
                    _slug(name) if name and len(variants) > 1 else "",
                ]
                one = spec.model_copy(update=changes) if changes else spec
                out += self._numbered("-".join(filter(None, parts)), one, base, field)
        return out

    def _numbered(self, exercise_id: str, spec: ExerciseSpec, base: Path_, tonic: Path_) -> list[Exercise]:
        if exercise_id in self.ids:
            first = self.ids[exercise_id].place.line
            self._error(
                tonic if spec.id != exercise_id else (*base, "id"),
                f"the id '{exercise_id}' is used twice (first in line {first})",
                "give each exercise its own id, and each tonic once",
            )
            return []
        if len(self.ids) >= MOST_EXERCISES:
            self._error(base, f"the book holds more than {MOST_EXERCISES:,} exercises", "split the book")
            return []
        if spec.kind != "text":
            self.number += 1
        number = None if spec.kind == "text" else self.number
        place = self.source.place(base)
        exercise = Exercise(exercise_id, number, spec, place, self.source.place(tonic))
        self.ids[exercise_id] = exercise
        return [exercise]

    def _validated(
        self, model: type[_Model], raw: Any, base: Path_, locate: Mapping[str, Path_] | None = None
    ) -> _Model | None:
        """The model, or None after noting every refusal; `locate` says where fields not under `base` stand."""
        try:
            return model.model_validate(raw)
        except ValidationError as error:
            for item in _most_telling(error):
                self._note(model, item, base, locate or {})
            return None

    def _note(self, model: type[BaseModel], item: Mapping[str, Any], base: Path_, locate: Mapping[str, Path_]) -> None:
        path = tuple(item["loc"])
        if path:
            base = locate.get(str(path[0]), base)
        wrong, hint = sentence(item, _fields_at(model, path[:-1]))
        self._error((*base, *path), wrong, hint, of_key=item["type"] == "extra_forbidden")

    def _error(self, path: Path_, wrong: str, hint: str, of_key: bool = False) -> None:
        error = SpecError(" ".join(wrong.split()), self.source.place(path, of_key), " ".join(hint.split()))
        if str(error) not in {str(other) for other in self.errors[-50:]}:
            self.errors.append(error)


def _slug(name: str) -> str:
    """A name as part of an id: `accent-on-the-first`."""
    return "-".join(re.findall(r"[a-z0-9]+", name.lower()))


class _Defaults:
    """Defaults in force, and the path under which each stands in the file."""

    def __init__(self, values: Mapping[str, Any], bases: Mapping[str, Path_]) -> None:
        self.values = values
        self.bases = bases

    def under(self, nearer: "_Defaults") -> "_Defaults":
        """These defaults with nearer ones on top."""
        return _Defaults(_merged(self.values, nearer.values), {**self.bases, **nearer.bases})

    def fill(
        self, raw: Mapping[str, Any], base: Path_, model: type[BaseModel]
    ) -> tuple[dict[str, Any], dict[str, Path_]]:
        """The entry with the defaults that its kind knows, and where each defaulted field stands."""
        known = {name: value for name, value in self.values.items() if name in model.model_fields}
        if "tonics" in raw or "key" in raw:  # the entry's own choice of roots replaces the default's
            known = {name: value for name, value in known.items() if name not in ("tonics", "key")}
        return _merged(known, raw), {name: self.bases[name] for name in known if name not in raw}


def _merged(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`over` on top of `under`; the hands and the tempo are merged field by field, a level standing for its fields."""
    out = dict(under)
    for name, value in over.items():
        below = out.get(name)
        if name in _MERGED_FIELDS and isinstance(below, dict) and isinstance(value, dict):
            below = without_level(below, value.get("level"))
            value = {**below, **value}
        out[name] = value
    return out


def _fields_at(model: type[BaseModel], path: Iterable[Any]) -> tuple[str, ...]:
    """The field names allowed at a path inside a model."""
    for part in path:
        field = model.model_fields.get(str(part))
        inner = field.annotation if field else None
        if isinstance(inner, type) and issubclass(inner, Frozen):
            model = inner
    return tuple(field.alias or name for name, field in model.model_fields.items())


def _most_telling(error: ValidationError) -> list[Mapping[str, Any]]:
    """One refusal per place: of the branches of a union the first, and no count of a list whose items are wrong."""
    items = error.errors(include_url=False)
    best: dict[tuple[Any, ...], Mapping[str, Any]] = {}
    for item in items:
        path = item["loc"]
        if item["type"] == "too_short" and any(other["loc"][: len(path)] == path for other in items if other != item):
            continue
        named = tuple(part for part in path if not isinstance(part, str) or not is_internal(part))
        best.setdefault(named[:2] if len(named) > 2 else named, item)
    return list(best.values())
