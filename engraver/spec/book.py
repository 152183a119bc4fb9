"""The book as the rest of the program sees it: one exercise per tonic, every one with its place in the file."""

from dataclasses import dataclass, replace
from pathlib import Path

from engraver.errors import Place, SpecError
from engraver.fretboard.limits import LeftHandLimits, RightHandPlan
from engraver.fretboard.tuning import Instrument, Player
from engraver.spec.fields import closest
from engraver.spec.house import StyleSpec
from engraver.spec.played import ExerciseSpec, PlayedSpec


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise: its stable id, its printed number (None for a text), its spec with at most one tonic.

    `place` is where the entry stands in the book, `tonic_place` where its tonic (or key) is named.
    """

    id: str
    number: int | None
    spec: ExerciseSpec
    place: Place
    tonic_place: Place

    @property
    def hands(self) -> tuple[LeftHandLimits, RightHandPlan]:
        """What the book asks of the two hands."""
        if isinstance(self.spec, PlayedSpec):
            return self.spec.left_hand.limits(), self.spec.right_hand.plan()
        return LeftHandLimits(), RightHandPlan()


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter with its words and exercises; `practice_lines` as many as the style says when None."""

    title: str
    text: str
    exercises: tuple[Exercise, ...]
    practice_lines: int | None = None


@dataclass(frozen=True, slots=True)
class Edition:
    """What one edition changes: the whole of its settings after the change. `date` is a text, such as autumn 2027."""

    name: str
    title: str
    subtitle: str
    language: str
    instrument: Instrument
    player: Player
    style: StyleSpec
    date: str = ""
    isbn: str = ""
    ismn: str = ""


@dataclass(frozen=True, slots=True)
class BookSpec:
    """A book that has been read and checked. `edition` holds the settings in force."""

    path: Path
    author: str
    text: str
    imprint: str
    edition: Edition
    editions: tuple[Edition, ...]
    chapters: tuple[Chapter, ...]

    @property
    def name(self) -> str:
        """The book's file name without its ending: the folder its pages go to."""
        return self.path.stem

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All exercises in order."""
        return tuple(exercise for chapter in self.chapters for exercise in chapter.exercises)

    def for_edition(self, name: str) -> "BookSpec":
        """The same book with another edition's settings in force. Raises SpecError for an unknown name."""
        for edition in self.editions:
            if edition.name == name:
                return replace(self, edition=edition)
        names = [edition.name for edition in self.editions]
        raise SpecError(f"the book has no edition '{name}'", Place(str(self.path)), closest(name, names))

    def exercise(self, exercise_id: str) -> Exercise:
        """The exercise with this id. Raises SpecError for an unknown one."""
        for exercise in self.exercises:
            if exercise.id == exercise_id:
                return exercise
        ids = [exercise.id for exercise in self.exercises]
        hint = closest(exercise_id, ids) if len(ids) > 1 else f"its only exercise is '{ids[0]}'"
        raise SpecError(f"the book has no exercise '{exercise_id}'", Place(str(self.path)), _shortened(hint))


def _shortened(hint: str) -> str:
    return hint if len(hint) < 200 else hint[:197] + "…"
