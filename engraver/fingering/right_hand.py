"""The plucking hand: a letter for every note that is not slurred, and the turn at which the pattern reverses."""

from collections.abc import Iterable
from dataclasses import replace

from engraver.errors import FingeringError
from engraver.fingering.alternation import Pattern, letters_from, pattern_rotations
from engraver.fingering.crossings import count_pattern
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.planting import plantings_of
from engraver.fingering.plucking_plan import plan_freely
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.plucking_textures import Texture, texture_of
from engraver.fingering.strokes import Line, Stroke, attacks_of, lay_formula, lines_of
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import PluckingFinger


def pluck(fingered: FingeredPassage, plan: RightHandPlan) -> FingeredPassage:
    """The passage with p, i, m, a or c on every plucked note, none on slurred ones, its `reversal` and `planted`.

    Letters fixed by the exercise stay, and a plucks artificial harmonics, which the index touches. A formula is laid
    over the onsets when the exercise has not written it on its notes; alternation runs strictly over a single line;
    where the book asks for nothing a single line alternates i-m, begun by the finger with the fewest awkward crossings,
    and every other texture is planned as a whole.
    Letters the passage bore before are dropped.
    Raises FingeringError when the finger that should begin does not take part in the alternation.
    Source: common practice of the methods, from memory; the choice of the first finger follows a published
    teaching article on string crossings.
    """
    attacks = attacks_of(_bear(fingered, ()))
    if plan.formula and not any(note.plucking for note in fingered.passage.notes):
        attacks = lay_formula(attacks, plan.formula)
    texture = texture_of(fingered.passage, attacks)
    if texture is Texture.LINE or (plan.alternate and texture is Texture.BROKEN_CHORD):
        strokes = _alternate(lines_of(attacks), plan)
    else:
        strokes = tuple(
            stroke for attack in plan_freely(fingered.passage, attacks, plan.alternate) for stroke in attack
        )
    plucked = _bear(fingered, strokes)
    return replace(plucked, reversal=reversal_of(plucked), planted=plantings_of(plucked, plan.planting))


def reversal_of(plucked: FingeredPassage) -> int | None:
    """The index of the first plucked note after the turn when the pattern runs opposite on the way back, else None.

    The two letters with which the line entered the turning string are compared with the two with which it leaves
    it. When they come back in the opposite order (in by m-i, out by i-m) everything after the turn is plucked in
    the opposite order: an odd count of plucked notes on the turning string does this to a pattern of two fingers.
    After an even count they come back in the same order and nothing is marked. A pattern of three never runs
    backwards, nor does one of three fingers in four strokes read differently either way, and a line that turns on the
    only string it uses has no way in to compare.
    Source: common practice, from memory; the wording of the rule is ours.
    """
    turn, line = plucked.passage.turn, _only_line(plucked)
    if turn is None or not any(stroke.note <= turn for stroke in line) or len({each.finger for each in line}) > 2:
        return None
    last = max(place for place, stroke in enumerate(line) if stroke.note <= turn)
    first_on, last_on = _stay(line, last)
    if first_on == 0 or last_on == len(line) - 1:
        return None
    entered = (line[first_on - 1].finger, line[first_on].finger)
    left = (line[last_on].finger, line[last_on + 1].finger)
    opposite = entered == left[::-1] and entered[0] != entered[1]
    return line[last + 1].note if opposite else None


def finger_on_repeat(plucked: FingeredPassage, plan: RightHandPlan) -> PluckingFinger | None:
    """The finger that begins when the passage is played again from the top and the turns simply go on.

    After an odd count of plucked notes a pair begins the other way round, so that playing twice practises both;
    None where the passage is no alternation of one line, or does not keep its turns.
    """
    line, pattern = _only_line(plucked), plan.alternate or _usual_pattern(plan.start)
    for rotation in pattern_rotations(pattern) if line else ():
        again = letters_from((*line, replace(line[0], fixed=False)), rotation)
        if again[:-1] == line:
            return again[-1].finger
    return None


def second_start(plucked: FingeredPassage, plan: RightHandPlan) -> PluckingFinger | None:
    """The finger that should begin the second time, so that both ways of the pattern are practised.

    It is the finger that comes in turn; where that is the first one again (an even count for a pair), the next one of
    the pattern. None where `finger_on_repeat` is. Source: common practice; the choice after an even count is ours.
    """
    again, first = (
        finger_on_repeat(plucked, plan),
        next((note.plucking for note in plucked.notes if note.plucking), None),
    )
    pattern = plan.alternate or _usual_pattern(plan.start)
    if again is None or again is not first or first not in pattern:
        return again
    return pattern[(pattern.index(first) + 1) % len(pattern)]


def _only_line(plucked: FingeredPassage) -> Line:
    """The strokes of a passage of single notes alone, nothing otherwise."""
    attacks = attacks_of(plucked)
    return tuple(stroke for (stroke,) in attacks) if all(len(attack) == 1 for attack in attacks) else ()


def _stay(line: Line, place: int) -> tuple[int, int]:
    """The first and last places of the notes around `place` that lie on its string without a break."""
    first = last = place
    while first and line[first - 1].string == line[place].string:
        first -= 1
    while last + 1 < len(line) and line[last + 1].string == line[place].string:
        last += 1
    return first, last


def _alternate(lines: tuple[Line, ...], plan: RightHandPlan) -> Line:
    """The lines under strict alternation, begun by the finger asked for or by the one that crosses best."""
    pattern = _best_rotation(lines, plan.alternate or _usual_pattern(plan.start), plan.start)
    return tuple(stroke for line in lines for stroke in letters_from(line, pattern))


def _usual_pattern(start: PluckingFinger | None) -> Pattern:
    """The pattern of a single line when the book names none: i-m, or the first in the table that has the starter."""
    table = plucking_table()
    return next((each for each in (table.line_pattern, *table.patterns) if start in (None, *each)), table.line_pattern)


def _best_rotation(lines: tuple[Line, ...], pattern: Pattern, start: PluckingFinger | None) -> Pattern:
    """The pattern begun so that fewest fingers repeat, then fewest turns break, then fewest crossings are awkward.

    Between equals the order of the book decides.
    """
    rotations = [each for each in pattern_rotations(pattern) if start in (None, each[0])]
    if not rotations:
        raise FingeringError(
            f"the plucking should start with '{start}', but '{start}' does not take part in {'-'.join(pattern)}",
            hint=f"start with one of {', '.join(dict.fromkeys(pattern))}, or leave 'start' out",
        )
    counts = [count_pattern(lines, rotation) for rotation in rotations]
    return min(counts, key=lambda count: (count.repeated, count.order_breaks, count.awkward)).pattern


def _bear(fingered: FingeredPassage, strokes: Iterable[Stroke]) -> FingeredPassage:
    """The passage with the letters of these strokes; other notes keep only what the exercise itself fixed."""
    letters = {stroke.note: stroke.finger for stroke in strokes}
    notes = []
    for index, (place, note) in enumerate(zip(fingered.notes, fingered.passage.notes, strict=True)):
        letter = None if note.slurred else letters.get(index, note.plucking)
        notes.append(place if place.plucking is letter else replace(place, plucking=letter))
    return replace(fingered, notes=tuple(notes), reversal=None, planted=())
