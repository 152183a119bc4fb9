"""Which tuplets print their number.

Numbers stand in the first measure that has their kind. In later measures a group has none where one beam holds its
notes (rests may stand at its edges), or where its voice repeats the rhythm of the measure before. A lower voice has
none where the upper voice has the same tuplet at the same time: one number a beat, on the side of the upper beam.
Source: common practice ("simile"); the exact rule is chosen by us.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.score.model import Beam, Element, Measure, Voice

Kind = tuple[int, int, Fraction]
"""How many notes in the time of how many, and how long the group lasts in quarters."""


@dataclass(frozen=True, slots=True)
class _Group:
    """The elements of one tuplet by index, from its first to its last."""

    voice: int
    first: int
    elements: tuple[Element, ...]

    @property
    def start(self) -> Fraction:
        return self.elements[0].onset_quarters

    @property
    def end(self) -> Fraction:
        return self.elements[-1].onset_quarters + self.elements[-1].value.quarters

    @property
    def kind(self) -> Kind:
        value = self.elements[0].value
        return value.actual, value.normal, self.end - self.start

    @property
    def ratio(self) -> Fraction:
        """How much shorter than written its notes are: 2/3 for triplets and sextuplets."""
        return Fraction(self.elements[0].value.normal, self.elements[0].value.actual)

    @property
    def beamed(self) -> bool:
        """True where one beam holds all its notes."""
        beams = [element.beam for element in self.elements if not element.is_rest]
        whole = beams[:1] == [Beam.BEGIN] and beams[-1:] == [Beam.END] and set(beams[1:-1]) <= {Beam.CONTINUE}
        return whole and len(beams) > 1 and not self._rests_within

    @property
    def _rests_within(self) -> bool:
        sounding = [index for index, element in enumerate(self.elements) if not element.is_rest]
        return any(element.is_rest for element in self.elements[sounding[0] : sounding[-1]])


def with_tuplet_numbers(measures: Sequence[Measure]) -> tuple[Measure, ...]:
    """The measures, their tuplets marked that print no number."""
    seen: dict[Kind, int] = {}
    before: Measure | None = None
    out = []
    for measure in measures:
        hidden = set(_hidden(measure, before, seen))
        voices = tuple(
            replace(
                voice,
                elements=tuple(
                    replace(element, show_tuplet=False) if (voice.number, index) in hidden else element
                    for index, element in enumerate(voice.elements)
                ),
            )
            for voice in measure.voices
        )
        out.append(replace(measure, voices=voices) if hidden else measure)
        before = measure
    return tuple(out)


def _hidden(measure: Measure, before: Measure | None, seen: dict[Kind, int]) -> Iterator[tuple[int, int]]:
    """Voice and index of each element that opens a tuplet without a number; notes in `seen` which kinds were met."""
    upper: list[_Group] = []
    for voice in measure.voices:
        groups = list(_groups(voice))
        again = before is not None and _rhythm(voice) == _rhythm(_voice(before, voice.number))
        for group in groups:
            met = seen.setdefault(group.kind, measure.number) < measure.number
            told_above = any(other.ratio == group.ratio and _overlap(other, group) for other in upper)
            if told_above or (met and (again or group.beamed)):
                yield group.voice, group.first
        upper += groups


def _overlap(one: _Group, other: _Group) -> bool:
    return one.start < other.end and other.start < one.end


def _groups(voice: Voice) -> Iterator[_Group]:
    first = 0
    for index, element in enumerate(voice.elements):
        if element.tuplet_start:
            first = index
        if element.tuplet_stop:
            yield _Group(voice.number, first, voice.elements[first : index + 1])


def _voice(measure: Measure, number: int) -> Voice | None:
    return next((voice for voice in measure.voices if voice.number == number), None)


def _rhythm(voice: Voice | None) -> list[tuple[object, bool]]:
    return [(element.value, element.is_rest) for element in voice.elements] if voice else []
