"""One exercise as the player at hand wants it: another guitar, another hand, another key, other staves."""

from dataclasses import dataclass, replace
from typing import get_args

from engraver.errors import EngraverError, SpecError
from engraver.fretboard.tuning import Player
from engraver.spec.book import BookSpec, Exercise
from engraver.spec.fields import note_hint, parse_tonic
from engraver.spec.house import InstrumentSpec, PlayerSpec, StyleSpec
from engraver.spec.played import ExerciseSpec
from engraver.theory.key import Key


@dataclass(frozen=True, slots=True)
class PageWishes:
    """What a single page changes; None or an empty text leaves the book's own choice."""

    edition: str = ""
    scale_length_mm: float | None = None
    reach_mm: float | None = None
    notation: str | None = None
    key: str | None = None


def with_wishes(book: BookSpec, exercise_id: str, wishes: PageWishes) -> tuple[BookSpec, Exercise]:
    """The book with the player's settings in force, and the exercise in the key asked for.

    Raises SpecError for an unknown exercise or edition and for a value that cannot be.
    """
    book = book.for_edition(wishes.edition) if wishes.edition else book
    exercise = book.exercise(exercise_id)
    if exercise.number is None:
        raise SpecError(f"'{exercise_id}' is a text, nothing is played", exercise.place, "name an exercise")
    edition = book.edition
    instrument, player, style = edition.instrument, edition.player, edition.style
    if wishes.scale_length_mm is not None:
        _within("scale length", wishes.scale_length_mm, InstrumentSpec, "scale_length_mm")
        instrument = replace(instrument, scale_length_mm=wishes.scale_length_mm)
    if wishes.reach_mm is not None:
        _within("reach", wishes.reach_mm, PlayerSpec, "reach_mm")
        player = Player(wishes.reach_mm, player.handed)
    if wishes.notation is not None:
        known = get_args(StyleSpec.model_fields["notation"].annotation)
        if wishes.notation not in known:
            raise SpecError(f"'{wishes.notation}' is not a notation we print", hint=f"write one of: {', '.join(known)}")
        style = style.model_copy(update={"notation": wishes.notation})
    edition = replace(edition, instrument=instrument, player=player, style=style)
    return replace(book, edition=edition), _in_key(exercise, wishes.key)


def _within(name: str, value: float, model: type[InstrumentSpec] | type[PlayerSpec], field: str) -> None:
    """Raises SpecError when a measure is outside what a book may say."""
    from pydantic import ValidationError

    try:
        model.model_validate({field: value})
    except ValidationError as error:
        bound = error.errors()[0].get("ctx", {})
        limits = ", ".join(f"{'from' if key == 'ge' else 'up to'} {limit:g} mm" for key, limit in bound.items())
        raise SpecError(f"a {name} of {value:g} mm is not possible", hint=f"give a number {limits}") from error


def _in_key(exercise: Exercise, wanted: str | None) -> Exercise:
    """The exercise on another tonic or in another key; its id tells which."""
    if wanted is None:
        return exercise
    spec = exercise.spec
    changes: dict[str, object] = {}
    try:
        if getattr(spec, "tonics", ()):
            tonic = parse_tonic(wanted)
            changes, slug = {"tonics": (tonic,)}, tonic.slug
        elif "key" in type(spec).model_fields:
            key = Key.parse(wanted)
            changes, slug = {"key": key}, str(key).lower().replace(" ", "-")
        else:
            raise SpecError(f"'{exercise.id}' has no key to change", exercise.place)
    except EngraverError as error:
        error.hint = note_hint(wanted) or error.hint
        raise error.at(exercise.place) from error
    changed: ExerciseSpec = spec.model_copy(update={**changes, "title": None})
    return replace(exercise, id=f"{exercise.id}-in-{slug}", spec=changed)
