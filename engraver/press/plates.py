"""Plates: one exercise ready for the page, and the drafts from which missing plates are made."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from engraver.fingering.fingered import FingeredPassage
from engraver.outputs.pages import Tempo
from engraver.press.kept import Shelf, content_hash, program_hash
from engraver.score.diagrams import Diagram, Dot
from engraver.score.model import Score
from engraver.spec.book import Edition, Exercise


@dataclass(frozen=True, slots=True)
class Plate:
    """What a page needs of an engraved exercise; its `systems` pictures lie on the shelf under its `key`."""

    key: str
    title: str
    alt: str
    remark: str
    reason: str
    signs: tuple[str, ...]
    tempo: Tempo | None
    warnings: tuple[str, ...]
    systems: int = 0
    diagrams: tuple[Diagram, ...] = ()

    def system_name(self, index: int) -> str:
        """The name of one of its pictures."""
        return f"{self.key[:24]}-{index}"


@dataclass(frozen=True, slots=True)
class Draft:
    """A plate that waits for the engraver: its fingered notes, its score and the engraver's source."""

    exercise: Exercise
    plate: Plate
    fingered: FingeredPassage
    score: Score
    source: str


def plate_key(exercise: Exercise, edition: Edition) -> str:
    """The hash of all that an exercise's plate depends on: its spec, the edition, the program."""
    about = (edition.instrument, edition.player, edition.style, edition.language)
    return content_hash(program_hash(), repr(exercise.spec), repr(exercise.number), repr(about))


def keep_plate(shelf: Shelf, plate: Plate) -> None:
    """Puts a plate on the shelf."""
    shelf.put_record(plate.key, asdict(plate))


def kept_plate(shelf: Shelf, key: str, pictures: bool = True) -> Plate | None:
    """The plate with this key, if it and (unless no page is wanted) all its pictures are there whole."""
    record = shelf.get_record(key)
    if record is None:
        return None
    try:
        plate = _from_record(record)
    except (KeyError, TypeError):
        return None
    if not pictures:
        return plate
    files = (shelf.path(key, picture_ending(index)) for index in range(plate.systems))
    return plate if plate.systems and all(path.is_file() for path in files) else None


def picture_ending(index: int) -> str:
    """The file ending of a system's picture."""
    return f".{index}.drawing"


def _from_record(record: Mapping[str, Any]) -> Plate:
    tempo = record["tempo"]
    return Plate(
        **{
            **record,
            "signs": tuple(record["signs"]),
            "warnings": tuple(record["warnings"]),
            "tempo": Tempo(**tempo) if tempo else None,
            "diagrams": tuple(_diagram(kept) for kept in record["diagrams"]),
        }
    )


def _diagram(kept: Mapping[str, Any]) -> Diagram:
    return Diagram(**{**kept, "dots": tuple(Dot(**dot) for dot in kept["dots"])})
