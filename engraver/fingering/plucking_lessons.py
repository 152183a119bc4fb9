"""Lessons: what letters fixed by the exercise teach the notes like them, as a pattern marked once is meant to go on.

Source: the custom of marking a pattern in its first bar only, common practice of the methods.
"""

from collections import Counter
from collections.abc import Iterator

from engraver.fingering.strokes import Attack
from engraver.theory.passage import PluckingFinger

_Sight = tuple[object, ...]
_Shown = dict[_Sight, Counter[PluckingFinger]]

Lesson = PluckingFinger | None
"""The finger most fixed letters show for notes like this one; None without any, and on fixed letters themselves."""


def lessons_of(attacks: tuple[Attack, ...]) -> tuple[tuple[Lesson, ...], ...]:
    """For every stroke of every attack what it is taught by the fixed letters it is likest to.

    Likest is the same string between the same neighbouring strings, then with one neighbour the same, then the
    string alone. Between fingers shown equally often the one fixed first is taught.
    """
    shown: _Shown = {}
    for place, attack in enumerate(attacks):
        for stroke in attack:
            if stroke.fixed and stroke.finger:
                for sight in _sights(attacks, place, stroke.string):
                    shown.setdefault(sight, Counter())[stroke.finger] += 1
    return tuple(
        tuple(None if stroke.fixed else _lesson(shown, _sights(attacks, place, stroke.string)) for stroke in attack)
        for place, attack in enumerate(attacks)
    )


def _lesson(shown: _Shown, sights: Iterator[_Sight]) -> Lesson:
    return next((shown[sight].most_common(1)[0][0] for sight in sights if sight in shown), None)


def _sights(attacks: tuple[Attack, ...], place: int, string: int) -> Iterator[_Sight]:
    """What a note looks like among its neighbours' strings, from the fullest view to the barest."""
    own, before, after = (_strings(attacks, place + k) for k in (0, -1, 1))
    yield string, own, before, after
    yield string, own, before, "before"
    yield string, own, after, "after"
    yield (string,)


def _strings(attacks: tuple[Attack, ...], place: int) -> tuple[int, ...]:
    return tuple(stroke.string for stroke in attacks[place]) if 0 <= place < len(attacks) else ()
