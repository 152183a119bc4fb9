"""Why a note has its name, in the trade's words.

The first true statement of this list is given: the note belongs to the key heard there; it is the leading note
of that minor key; it belongs to an augmented sixth or a diminished seventh; it is the raised sixth of that minor
key; it is a chromatic neighbour, a passing note, a leading note of the next note, or a lowered note that falls;
it is the nearest name.
Source: common practice; the order is chosen by us.

This module needs numpy: import it inside the function that uses it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from engraver.theory.context import Spelled, TimedNote, timeline
from engraver.theory.local_keys import TICKS
from engraver.theory.pitch import PitchName

_LEADING, _RAISED_SIXTH = 8, 6  # fifths above the signature, in minor
_AUGMENTED_SIXTH = 10  # fifths
_MEMBER = ("root", "third", "fifth", "seventh")
_SEEN = 40  # notes looked at on both sides
_NEAR = 4 * TICKS


def reasons_for(notes: Sequence[TimedNote], spelled: Spelled, indices: Iterable[int]) -> list[str]:
    """One line for each of the notes at `indices`, why it is named as `spelled` says."""
    order, line = timeline(notes)
    position = {index: place for place, index in enumerate(order.tolist())}
    staff = _Staff(
        line.ticks.tolist(), line.ends.tolist(), line.midi.tolist(), spelled.names[order].tolist(),
        spelled.signature[order].tolist(), spelled.is_minor[order].tolist(),
    )  # fmt: skip
    return [_reason(_Moment(staff, position[index])) for index in indices]


@dataclass(frozen=True, slots=True)
class _Staff:
    """Named notes in order of onset and pitch."""

    ticks: list[int]
    ends: list[int]
    midi: list[int]
    names: list[int]
    signature: list[int]
    is_minor: list[bool]


@dataclass(frozen=True)
class _Moment:
    """One note with what sounds with it and what stands before and after."""

    staff: _Staff
    place: int

    @property
    def name(self) -> int:
        """Its name, as a place on the line of fifths."""
        return self.staff.names[self.place]

    @property
    def degree(self) -> int:
        """Fifths above the signature: -1 … 5 are the seven names of the key."""
        return self.name - self.staff.signature[self.place]

    @property
    def key(self) -> str:
        """The local key in words: E minor."""
        tonic = PitchName(self.staff.signature[self.place] + 3 * self.staff.is_minor[self.place])
        return f"{tonic.words} {'minor' if self.staff.is_minor[self.place] else 'major'}"

    @cached_property
    def together(self) -> list[int]:
        """Places of the notes that sound as this one begins, itself included, from low to high."""
        staff, now = self.staff, self.staff.ticks[self.place]
        near = range(max(0, self.place - _SEEN), min(len(staff.ticks), self.place + _SEEN + 1))
        sounding = [i for i in near if staff.ticks[i] == now or staff.ticks[i] < now < staff.ends[i]]
        return sorted(sounding, key=lambda i: staff.midi[i])

    def neighbour(self, direction: int) -> int | None:
        """Place of the nearest later (1) or earlier (-1) note a semitone or a tone away, if any."""
        staff = self.staff
        for other in range(self.place + direction, self.place + direction * (_SEEN + 1), direction):
            if not 0 <= other < len(staff.ticks) or abs(staff.ticks[other] - staff.ticks[self.place]) > _NEAR:
                return None
            step = abs(staff.midi[other] - staff.midi[self.place])
            if staff.ticks[other] != staff.ticks[self.place] and step in (1, 2):
                return other
        return None

    def step_to(self, other: int | None) -> int:
        """Semitones to another note, 0 for none."""
        return 0 if other is None else self.staff.midi[other] - self.staff.midi[self.place]

    def words(self, place: int) -> str:
        """The name of another note in words."""
        return PitchName(self.staff.names[place]).words


def _reason(moment: _Moment) -> str:
    return (
        _in_key(moment)
        or _augmented_sixth(moment)
        or _diminished_seventh(moment)
        or _raised_sixth(moment)
        or _by_step(moment)
        or f"nearest name in the key of {moment.key}"
    )


def _in_key(moment: _Moment) -> str:
    if -1 <= moment.degree <= 5:
        return f"in the key of {moment.key}"
    is_leading = moment.staff.is_minor[moment.place] and moment.degree == _LEADING
    return f"leading note of {moment.key}" if is_leading else ""


def _raised_sixth(moment: _Moment) -> str:
    is_sixth = moment.staff.is_minor[moment.place] and moment.degree == _RAISED_SIXTH
    return f"raised sixth of {moment.key}" if is_sixth else ""


def _diminished_seventh(moment: _Moment) -> str:
    """Named when all four notes sound: a tower of minor thirds, three places down the line of fifths each."""
    sounding = {moment.staff.names[place] for place in moment.together}
    for root in sorted(sounding):
        chord = {root, root - 3, root - 6, root - 9}
        if moment.name in chord and chord <= sounding:
            return f"{_MEMBER[(root - moment.name) // 3]} of the diminished seventh on {PitchName(root).words}"
    return ""


def _augmented_sixth(moment: _Moment) -> str:
    """Named when the lowest sounding note and this one, or another and this lowest one, form the interval."""
    names = [moment.staff.names[place] for place in moment.together]
    low, is_low = names[0], moment.together[0] == moment.place
    upper = [name for name in names if name - low == _AUGMENTED_SIXTH]
    if upper and (is_low or moment.name == upper[0]):
        return f"augmented sixth {PitchName(low).words} - {PitchName(upper[0]).words}"
    return ""


def _by_step(moment: _Moment) -> str:
    before, after = moment.neighbour(-1), moment.neighbour(1)
    came, goes = moment.step_to(before), moment.step_to(after)
    if after is None:
        return ""
    target = moment.words(after)
    to_target = moment.staff.names[after] - moment.name
    if came == goes and (goes, to_target) in ((1, -5), (-1, 5)):
        return f"chromatic neighbour {'below' if goes == 1 else 'above'} {target}"
    if before is not None and came * goes < 0 and abs(to_target) in (5, 7) and abs(goes) == 1:
        return f"chromatic passing note between {moment.words(before)} and {target}"
    if (goes, to_target) == (1, -5):
        return f"leading note of {target}"
    if (goes, to_target) == (-1, 5):
        return f"lowered note falling to {target}"
    return ""
