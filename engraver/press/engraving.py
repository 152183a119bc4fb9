"""Plates from drafts: batches of exercises go to the engraver while the next are still being composed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import replace
from itertools import islice

from engraver.outputs.engraving import Engraved, Engraver, EngravingJob, gather
from engraver.outputs.svg_drawing import read_svg
from engraver.press.kept import Shelf
from engraver.press.legend import keep_legend, legend_jobs
from engraver.press.plates import Draft, Plate, keep_plate, kept_plate, plate_key
from engraver.press.request import OnStep, Request, silent
from engraver.press.settings import Settings
from engraver.score.model import Score
from engraver.spec.book import BookSpec, Exercise

BATCHES_PER_WORKER = 3
SMALLEST_BATCH, LARGEST_BATCH = 6, 120
"""Exercises a run of the engraver: few enough to share the work, many enough to repay its start (measured)."""
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
    engraver: Engraver | None,
    on_step: OnStep = silent,
) -> dict[str, Plate]:
    """The plates of all drafts by exercise id, kept on the shelf; without an engraver they have no pictures.

    A batch goes to the engraver while the next is still being composed, and is kept while later ones are engraved.
    Raises EngravingFailed naming the exercise that the engraver refused, and whatever the drafts raise.
    """
    if engraver is None:
        return _without_pictures(drafts, count, shelf, settings, request, on_step)
    size = min(LARGEST_BATCH, max(SMALLEST_BATCH, -(-count // (engraver.workers * BATCHES_PER_WORKER))))
    plates: dict[str, Plate] = {}
    signs: set[str] = set()

    def told(done: int) -> None:
        on_step(6, "engraving", min(len(plates) + done, count), count)

    waiting: list[tuple[list[tuple[str, Plate]], Future[dict[str, Engraved]]]] = []
    for batch in _batches(drafts, size):
        jobs = [EngravingJob(draft.exercise.id, draft.source, draft.exercise.place) for draft in batch]
        signs |= {sign for draft in batch for sign in draft.plate.signs}
        if sum((len(other) for other, _ in waiting), len(batch)) == count:
            jobs += legend_jobs(signs, shelf, settings)
        unmade = [(draft.exercise.id, draft.plate) for draft in batch]  # scores are let go as soon as they are written
        waiting.append((unmade, engraver.submit(jobs, settings.engraving)))
        _keep_formats(batch, shelf, settings, request)
    _open_the_typesetter()
    while waiting:
        unmade, future = waiting.pop(0)
        engraved = gather(engraver, [future], told)
        plates.update((name, _kept(name, plate, engraved, shelf)) for name, plate in unmade)
        keep_legend(engraved, shelf, settings)
    return plates


def _open_the_typesetter() -> None:
    """Loads what the pages will need while the engraver works; loaded earlier, it would keep the engraver waiting."""
    import typst  # noqa: F401

    import engraver.outputs.book
    import engraver.press.pages  # noqa: F401


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


def _kept(name: str, unmade: Plate, engraved: Mapping[str, Engraved], shelf: Shelf) -> Plate:
    """The finished plate. Pictures are kept as drawings, which are read back in a hundredth of the time of an SVG."""
    plate = replace(unmade, pictures=tuple(read_svg(system.svg, name) for system in engraved[name].systems))
    keep_plate(shelf, plate)
    return plate


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
