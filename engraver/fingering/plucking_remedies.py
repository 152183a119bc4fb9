"""Remedies for awkward crossings: another first finger, another fingering of the fretting hand, or a slur.

Source: a published teaching article on string crossings names these three; their order here is chosen by us, from
the one that changes least to the one that changes what is heard.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from engraver.errors import FingeringError
from engraver.fingering.crossings import awkward_crossings
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import Note


class RemedyKind(StrEnum):
    """What a remedy changes."""

    FIRST_FINGER = "first finger"
    LEFT_HAND = "left hand"
    SLUR = "slur"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to have fewer awkward crossings.

    `passage` is the whole passage with the remedy taken; `awkward` counts its awkward crossings and `removed` how
    many fewer these are. `note` is the note newly slurred, or the first one to lie on another string; None for
    another first finger. `alternative` counts the alternatives of the fretting hand from 1.
    """

    kind: RemedyKind
    passage: FingeredPassage
    awkward: int
    removed: int
    note: int | None = None
    alternative: int | None = None

    @property
    def words(self) -> str:
        """The remedy in a teacher's words, notes counted from 1."""
        spared = f"{self.removed} fewer awkward crossing{'s' if self.removed > 1 else ''}, {self.awkward} left"
        return f"{self._what()}: {spared}"

    def _what(self) -> str:
        if self.kind is RemedyKind.FIRST_FINGER:
            first = next(note.plucking for note in self.passage.notes if note.plucking)
            return f"begin with {first}"
        if self.note is None:
            raise FingeringError("a slur or another string needs the note it is on")
        place = self.passage.notes[self.note]
        if self.kind is RemedyKind.SLUR:
            return f"slur into note {self.note + 1} ({place.note.pitch})"
        return f"play note {self.note + 1} ({place.note.pitch}) on string {place.string}"


def remedies(
    plucked: FingeredPassage, plan: RightHandPlan, alternatives: Sequence[FingeredPassage] = ()
) -> tuple[Remedy, ...]:
    """The remedies that leave fewer awkward crossings, best first; between equals the one that changes least.

    `plucked` is the passage as planned by `plan`; `alternatives` are other fingerings of its fretting hand, best
    first. A slur is proposed only between neighbouring notes on one string that the fretting hand can sound.
    """
    now = len(awkward_crossings(plucked))
    found = (
        replace(each, awkward=left, removed=now - left)
        for each in (*_first_fingers(plucked, plan), *_left_hands(plucked, plan, alternatives), *_slurs(plucked, plan))
        if (left := len(awkward_crossings(each.passage))) < now
    )
    return tuple(sorted(found, key=lambda remedy: remedy.awkward))


def _first_fingers(plucked: FingeredPassage, plan: RightHandPlan) -> Iterator[Remedy]:
    if plan.start:
        yield Remedy(RemedyKind.FIRST_FINGER, pluck(plucked, replace(plan, start=None)), 0, 0)


def _left_hands(plucked: FingeredPassage, plan: RightHandPlan, others: Sequence[FingeredPassage]) -> Iterator[Remedy]:
    for count, other in enumerate(others, 1):
        moved = [k for k, (a, b) in enumerate(zip(plucked.notes, other.notes, strict=True)) if a.string != b.string]
        if moved:
            yield Remedy(RemedyKind.LEFT_HAND, pluck(other, plan), 0, 0, moved[0], count)


def _slurs(plucked: FingeredPassage, plan: RightHandPlan) -> Iterator[Remedy]:
    for note in range(1, len(plucked.notes)):
        if _can_be_slurred(plucked, note):
            yield Remedy(RemedyKind.SLUR, pluck(_with_slur(plucked, note), plan), 0, 0, note)


def _can_be_slurred(plucked: FingeredPassage, note: int) -> bool:
    """True for a single plucked note on the string of the single plucked note before it, on another fret.

    Up, the finger hammers on (an open string cannot be hammered); down, it pulls off to a string already held.
    Neither end may be slurred already: one slur at a time. Source: common practice, from memory.
    """
    one, other = plucked.notes[note - 1], plucked.notes[note]
    alone = all((place,) in plucked.passage.events for place in (note - 1, note))
    plain = alone and not one.note.slurred and not other.note.slurred and other.note.plucking is None
    return plain and one.string == other.string and one.fret != other.fret and one.left_finger != other.left_finger


def _with_slur(plucked: FingeredPassage, note: int) -> FingeredPassage:
    slurred: Note = replace(plucked.notes[note].note, slurred=True)
    notes, fingered = list(plucked.passage.notes), list(plucked.notes)
    notes[note], fingered[note] = slurred, replace(fingered[note], note=slurred)
    return replace(plucked, passage=replace(plucked.passage, notes=tuple(notes)), notes=tuple(fingered))
