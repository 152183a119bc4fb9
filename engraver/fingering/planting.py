"""Planting: the plucking fingers laid on their strings in advance.

Two ways are taught. Full: all fingers of a rising figure are laid on their strings together, with the stroke before it.
Sequential: each finger is laid on its string as the one before it plays; a figure that falls or turns is always
planted so, and a chord whole or not at all. A finger on a string stops it, so none is laid on a string that is struck
in the meantime or is still meant to sound by its written length: full planting cuts what rings on beyond that,
sequential planting lets it ring as long as it can.
Source: common practice of teachers, from memory; no published source; the exact rule is chosen by us.
"""

from collections import defaultdict

from engraver.fingering.fingered import FingeredPassage, Planted
from engraver.fingering.strokes import FINGER_ORDER, Attack, Stroke, attacks_of
from engraver.fretboard.limits import Planting
from engraver.theory.passage import PluckingFinger

_THUMB = PluckingFinger.THUMB


def plantings_of(plucked: FingeredPassage, planting: Planting) -> tuple[Planted, ...]:
    """What is planted and when, in the order of the passage; the thumb is never planted, nor is the first stroke."""
    attacks = attacks_of(plucked)
    laid: dict[int, list[Stroke]] = defaultdict(list)
    for place, attack in enumerate(attacks) if planting is not Planting.NONE else ():
        first = _before_rise(attacks, place) if planting is Planting.FULL else place - 1
        fingers = [stroke for stroke in attack if stroke.finger not in (None, _THUMB)]
        free = (at for at in (first, place - 1) if all(_is_free(plucked, attacks, at, place, each) for each in fingers))
        moment = next(free, None)
        if fingers and moment is not None:
            laid[moment] += fingers
    return tuple(Planted(attacks[at][0].note, _fingers(laid[at])) for at in sorted(laid))


def _before_rise(attacks: tuple[Attack, ...], place: int) -> int:
    """The stroke with which the rising figure that holds `place` is planted: the one before its first finger."""
    first = place
    while first and _rises(attacks[first - 1], attacks[first]):
        first -= 1
    return first - 1


def _rises(one: Attack, other: Attack) -> bool:
    """True when a finger other than the thumb is followed by one nearer the little finger, on a higher string."""
    if len(one) > 1 or len(other) > 1 or one[0].finger in (None, _THUMB) or other[0].finger is None:
        return False
    return _rank(one[0]) < _rank(other[0]) and one[0].string > other[0].string


def _is_free(plucked: FingeredPassage, attacks: tuple[Attack, ...], at: int, place: int, stroke: Stroke) -> bool:
    """True when the finger and the string of a stroke have nothing else to do from the attack `at` on."""
    if at < 0:
        return False
    meanwhile = [other for attack in attacks[at:place] for other in attack]
    if any(other.finger is stroke.finger or other.string == stroke.string for other in meanwhile):
        return False
    earlier = (other for attack in reversed(attacks[:at]) for other in attack if other.string == stroke.string)
    last = next((plucked.notes[other.note].note for other in earlier), None)
    now = plucked.notes[attacks[at][0].note].note.onset_quarters
    return last is None or last.onset_quarters + last.duration_quarters <= now


def _fingers(strokes: list[Stroke]) -> tuple[PluckingFinger, ...]:
    ordered = sorted(strokes, key=lambda stroke: (-stroke.string, _rank(stroke)))
    return tuple(dict.fromkeys(stroke.finger for stroke in ordered if stroke.finger is not None))


def _rank(stroke: Stroke) -> int:
    return FINGER_ORDER.index(stroke.finger) if stroke.finger else 0
