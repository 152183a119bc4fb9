"""Plates from drafts: batches of exercises go to the engraver while the next are still being composed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from itertools import islice
from os import cpu_count

from engraver.outputs.engraving import Engraved, EngravingJob, engrave_batch
from engraver.press.kept import Shelf
from engraver.press.plates import Draft, Plate, keep_plate, kept_plate, picture_ending, plate_key
from engraver.press.request import OnStep, Request, silent
from engraver.press.settings import Settings
from engraver.score.model import Score
from engraver.spec.book import BookSpec, Exercise

BATCHES_PER_WORKER = 2
SMALLEST_BATCH = 6
ENDINGS: Mapping[str, str] = {"musicxml": ".musicxml", "midi": ".mid", "lilypond": ".ly"}
"""File endings of the formats beside the PDF."""


def reusable(book: BookSpec, shelf: Shelf, request: Request) -> tuple[dict[str, Plate], list[Exercise]]:
    """The plates that lie on the shelf with every format asked for, by exercise id, and the exercises that lack one."""
    plates: dict[str, Plate] = {}
    missing: list[Exercise] = []
    for exercise in book.exercises:
        if exercise.number is None:
            continue
        plate = kept_plate(shelf, plate_key(exercise, book.edition), pictures=request.pdf)
        if plate and all(shelf.path(plate.key, ENDINGS[name]).is_file() for name in request.formats):
            plates[exercise.id] = plate
        else:
            missing.append(exercise)
    return plates, missing


def engrave_drafts(
    drafts: Iterable[Draft],
    count: int,
    shelf: Shelf,
    settings: Settings,
    request: Request,
    on_step: OnStep = silent,
) -> dict[str, Plate]:
    """The plates of all drafts by exercise id, kept on the shelf.

    Each batch is one run of the engraver, a process of its own, so threads are enough to keep all cores busy.
    Raises EngravingFailed naming the exercise that the engraver refused, and whatever the drafts raise.
    """
    if not request.pdf:
        return _without_pictures(drafts, count, shelf, settings, request, on_step)
    workers = request.workers or cpu_count() or 1
    size = max(SMALLEST_BATCH, -(-count // (workers * BATCHES_PER_WORKER)))
    plates: dict[str, Plate] = {}
    with ThreadPoolExecutor(workers) as pool:
        waiting: list[tuple[list[Draft], Future[Mapping[str, Engraved]]]] = []
        try:
            for batch in _batches(drafts, size):
                jobs = [EngravingJob(draft.plate.key[:24], draft.source) for draft in batch]
                waiting.append((batch, pool.submit(engrave_batch, jobs, settings.engraving)))
                _keep_formats(batch, shelf, settings, request)
            for batch, future in waiting:
                on_step(6, "engraving", len(plates), count)
                plates |= _kept(batch, future.result(), shelf)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    return plates


def _without_pictures(
    drafts: Iterable[Draft], count: int, shelf: Shelf, settings: Settings, request: Request, on_step: OnStep
) -> dict[str, Plate]:
    """The plates when no page is wanted: only the other formats are kept, and the engraver is not started."""
    plates = {}
    for draft in drafts:
        _keep_formats([draft], shelf, settings, request)
        if kept_plate(shelf, draft.plate.key) is None:
            keep_plate(shelf, draft.plate)
        plates[draft.exercise.id] = draft.plate
        on_step(5, "writing", len(plates), count)
    return plates


def _batches(drafts: Iterable[Draft], size: int) -> Iterator[list[Draft]]:
    iterator = iter(drafts)
    while batch := list(islice(iterator, size)):
        yield batch


def _kept(batch: Sequence[Draft], engraved: Mapping[str, Engraved], shelf: Shelf) -> dict[str, Plate]:
    out = {}
    for draft in batch:
        systems = engraved[draft.plate.key[:24]].systems
        for index, system in enumerate(systems):
            shelf.put(draft.plate.key, picture_ending(index), system.svg)
        plate = replace(draft.plate, systems=len(systems))
        keep_plate(shelf, plate)
        out[draft.exercise.id] = plate
    return out


def _keep_formats(batch: Sequence[Draft], shelf: Shelf, settings: Settings, request: Request) -> None:
    for draft in batch:
        for name in request.formats:
            shelf.put(draft.plate.key, ENDINGS[name], written(name, draft, draft.score, settings))


def written(name: str, draft: Draft, score: Score, settings: Settings) -> bytes:
    """One exercise in a format beside the PDF: `musicxml`, `midi` or `lilypond`."""
    if name == "musicxml":
        from engraver.outputs.musicxml import musicxml

        return musicxml(score, draft.plate.title)
    if name == "midi":
        from engraver.outputs.midi import midi

        return midi(score)
    from engraver.outputs.lilypond import lilypond_file

    return lilypond_file([(draft.exercise.id, draft.source)], settings.engraving).encode()
