"""Plates: one exercise ready for the page, and the drafts from which missing plates are made."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from itertools import accumulate
from typing import Any

from engraver.errors import OutputError
from engraver.fingering.fingered import FingeredPassage
from engraver.outputs.drawing import Drawing
from engraver.outputs.pages import Tempo
from engraver.press.kept import Shelf, content_hash, program_hash
from engraver.score.diagrams import Diagram, Dot
from engraver.score.model import Score
from engraver.spec.book import Edition, Exercise

_ENDING = ".plate"


@dataclass(frozen=True, slots=True)
class Plate:
    """What a page needs of an engraved exercise; `pictures` are its systems, none before engraving."""

    key: str
    title: str
    alt: str
    remark: str
    reason: str
    signs: tuple[str, ...]
    tempo: Tempo | None
    warnings: tuple[str, ...]
    diagrams: tuple[Diagram, ...] = ()
    pictures: tuple[Drawing, ...] = ()

    @property
    def systems(self) -> int:
        """How many systems it has."""
        return len(self.pictures)

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
    return content_hash(program_hash(), repr(exercise.spec), repr(exercise.number), _about(edition))


@lru_cache(maxsize=8)  # the same for every exercise of an edition
def _about(edition: Edition) -> str:
    """All of an edition that a plate depends on."""
    return repr((edition.instrument, edition.player, edition.style, edition.language))


def keep_plate(shelf: Shelf, plate: Plate) -> None:
    """Puts a plate on the shelf: one file, a line of facts and then the pictures."""
    pictures = [picture.to_bytes() for picture in plate.pictures]
    facts = {name: getattr(plate, name) for name in Plate.__slots__}  # not asdict, which copies every picture
    facts["pictures"] = [len(picture) for picture in pictures]
    head = json.dumps(facts, sort_keys=True, ensure_ascii=False, default=asdict).encode()
    shelf.put(plate.key, _ENDING, b"\n".join([head, b"".join(pictures)]))


def kept_plate(shelf: Shelf, key: str, pictures: bool = True) -> Plate | None:
    """The plate with this key, if it is there whole (with its pictures, unless no page is wanted)."""
    head, _, rest = (shelf.get(key, _ENDING) or b"").partition(b"\n")
    try:
        record = json.loads(head)
        drawings = tuple(map(Drawing.from_bytes, _cut(rest, record["pictures"])))
        plate = _from_record({**record, "pictures": drawings})
    except (OutputError, ValueError, KeyError, TypeError):
        return None
    return plate if plate.pictures or not pictures else None


def _cut(data: bytes, lengths: Sequence[int]) -> Iterator[bytes]:
    """The pieces of these lengths, one after the other. Raises ValueError when they are not the whole."""
    if sum(lengths) != len(data):
        raise ValueError("cut short, or too long")
    return (data[end - length : end] for end, length in zip(accumulate(lengths), lengths, strict=True))


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
