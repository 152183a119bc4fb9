"""Titles of the drills, and the caution that stands under those that can tire or strain a hand."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from engraver.exercises.titles import chords_words, scale_words
from engraver.fretboard.numerals import position_numeral
from engraver.spec.drills import (
    BarreSpec,
    CrossingsSpec,
    FingerOrdersSpec,
    ShiftsSpec,
    SlursSpec,
    TremoloSpec,
)
from engraver.spec.played import ExerciseSpec
from engraver.tables.words import Words

_CLOSE_FRETS = 5
"""From this position on the frets lie close enough for reach drills. Source: advice of teachers, from memory."""
_LONG_SLUR_DRILL = 6
"""From this many strings or groups on a slur drill counts as long; chosen by us."""


def slurs_title(spec: SlursSpec, words: Words) -> str:
    """`Ascending slurs 1-2, strings 6 to 1, position V`."""
    rows = dict.fromkeys(group[:2] if spec.manner == "trill" else group for group in spec.groups)
    fingers = _rows(rows, words)
    if spec.lower:
        fingers += "/" + _rows([spec.lower_group[:2] if spec.manner == "trill" else spec.lower_group], words)
    kind = words.drills.slurs[spec.manner].format(fingers=fingers)
    return _joined(words, kind, strings_words(spec.strings, words), _position(spec.position, words))


def finger_orders_title(spec: FingerOrdersSpec, words: Words) -> str:
    """`Finger order 1-2-3-4, string 1, position V`; held fingers and crossings are named."""
    table = words.drills.finger_orders
    free = [finger for finger in (1, 2, 3, 4) if finger not in spec.held]
    pattern = table["several" if len(spec.orders) > 1 else "one" if spec.orders else "all"]
    kind = pattern.format(fingers=_rows(spec.orders or [free], words))
    strings = strings_words(spec.strings, words)
    where = words.drills.across.format(strings=strings) if spec.across else strings
    return _joined(words, kind, where, _position(spec.position, words), *_held(spec, words))


def tremolo_title(spec: TremoloSpec, words: Words) -> str:
    """`Tremolo p a m i over Am, E7, Am`."""
    letters = " ".join("".join(finger.value for finger in step) for step in spec.formula)
    title = words.drills.tremolo.format(letters=letters, chords=chords_words(spec.progression, words))
    return title if spec.string == 1 else _joined(words, title, strings_words((spec.string,), words))


def shifts_title(spec: ShiftsSpec, words: Words) -> str:
    """`Shifts with finger 1, string 1, positions I, III, V and VII`, or `C major along string 2`."""
    table, strings = words.drills.shifts, strings_words(spec.strings, words)
    if spec.scale is not None:
        form = scale_words(spec.tonics[0].name, spec.scale, words)
        return table["scale"].format(scale=form, strings=strings_words(spec.strings[:1], words))
    one = spec.manner == "in turn" and len(set(spec.row)) == 1
    guide = spec.guide or spec.row[-1]
    kind = table["one" if one else spec.manner].format(
        fingers=_rows([spec.row[:1] if one else spec.row], words), guide=guide
    )
    positions = words.listing(tuple(position_numeral(position) for position in spec.positions))
    return _joined(words, kind, strings, words.drills.positions.format(positions=positions))


def barre_title(spec: BarreSpec, words: Words) -> str:
    """`Partial barre, strings 3 to 1, frets 5 and 7`."""
    kind = words.drills.barre[spec.manner]
    frets = words.listing(tuple(str(fret) for fret in spec.frets))
    where = (words.drills.fret if len(spec.frets) == 1 else words.drills.frets).format(frets=frets)
    if spec.chord is not None:
        quality = words.drills.grip.format(chord=words.drills.qualities[spec.chord])
        return _joined(words, kind, quality, where)
    return _joined(words, kind, strings_words(spec.strings, words), where)


def crossings_title(spec: CrossingsSpec, words: Words) -> str:
    """`String crossings, strings 1, 2 and 3, each string 4 times`."""
    counts = words.listing(tuple(str(count) for count in spec.times))
    times = (words.drills.once if spec.times == (1,) else words.drills.times).format(times=counts)
    stopped = [words.drills.stopped] if any(spec.frets) else []
    return _joined(words, words.drills.crossings, strings_words(spec.strings, words), times, *stopped)


def exercise_caution(spec: ExerciseSpec, words: Words) -> str:
    """The caution that this exercise needs, in one line; empty where nothing strains the hand.

    Source: usual advice to players (small portions, rest, wide stretches higher up first), wording and limits ours.
    """
    cautions = words.drills.cautions
    match spec:
        case BarreSpec():
            return cautions["barre"]
        case SlursSpec():
            return cautions[key] if (key := _slur_caution(spec)) else ""
        case FingerOrdersSpec():
            fingers = {finger for row in spec.orders for finger in row} | set(spec.held)
            wide = not spec.orders or {1, 4} <= fingers
            return cautions["held"] if spec.held else cautions["stretch"] if wide and _far(spec.position) else ""
    return ""


def strings_words(strings: Sequence[int], words: Words) -> str:
    """`string 3`, `strings 2 and 1`, `strings 6 to 1`."""
    if len(set(strings)) == 1:
        return words.drills.string.format(string=strings[0])
    steps = {after - before for before, after in pairwise(strings)}
    if len(strings) > 2 and steps in ({1}, {-1}):
        return words.drills.strings_between.format(first=strings[0], last=strings[-1])
    return words.drills.strings.format(strings=words.listing(tuple(str(string) for string in strings)))


def _slur_caution(spec: SlursSpec) -> str:
    if spec.manner == "trill":
        return "trill"
    if _far(spec.position) and any({1, 4} <= set(group) for group in spec.groups):
        return "stretch"
    return "slurs" if len(spec.strings) * len(spec.groups) >= _LONG_SLUR_DRILL else ""


def _far(position: int) -> bool:
    return position < _CLOSE_FRETS


def _held(spec: FingerOrdersSpec, words: Words) -> list[str]:
    pairs = zip(spec.held, spec.held_strings, strict=True)
    return [words.drills.held.format(finger=finger, string=string) for finger, string in pairs]


def _rows(rows: Iterable[Sequence[int]], words: Words) -> str:
    return words.listing(tuple("-".join(str(finger) for finger in row) for row in rows))


def _position(position: int, words: Words) -> str:
    return words.titles.position.format(position=position_numeral(position))


def _joined(words: Words, title: str, *qualities: str) -> str:
    for quality in qualities:
        title = words.titles.qualified.format(title=title, quality=quality)
    return title
