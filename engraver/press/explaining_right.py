"""The plucking hand explained: its pattern, the other patterns and first fingers, remedies for awkward crossings."""

from engraver.fingering.alternation import Pattern
from engraver.fingering.alternatives import Alternative
from engraver.fingering.crossings import PatternCount, awkward_crossings, pattern_table, repeated_fingers
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.plucking_remedies import Remedy, RemedyKind, remedies
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.right_hand import finger_on_repeat
from engraver.fingering.shifts import is_single_line
from engraver.fingering.strokes import FINGER_ORDER
from engraver.fretboard.limits import Planting, RightHandPlan
from engraver.press.explain_table import phrases
from engraver.press.explanation import Section
from engraver.score.plucking_marks import planting_marks
from engraver.spec.book import Exercise


def right_hand_sections(
    exercise: Exercise, fingered: FingeredPassage, others: tuple[Alternative, ...]
) -> tuple[Section, ...]:
    """The sections of the plucking hand; patterns and remedies only over an alternating line."""
    plan = exercise.hands[1]
    table = pattern_table(fingered, _all_patterns(plan))
    chosen = next((row for row in table if row.chosen), None)
    if _is_fixed(fingered) or not is_single_line(fingered):
        return (_texture(fingered, plan),)
    first = _texture(fingered, plan)
    if chosen:
        first = Section(phrases().headings.plucking, _alternation(fingered, plan, chosen))
    patterns = Section(phrases().headings.patterns, (), *_patterns(table))
    return first, patterns, *(_remedies(fingered, plan, others) if chosen else ())


def _is_fixed(fingered: FingeredPassage) -> bool:
    """True when the exercise itself demands every letter."""
    return all(note.plucking or note.slurred for note in fingered.passage.notes)


def _alternation(fingered: FingeredPassage, plan: RightHandPlan, chosen: PatternCount) -> tuple[str, ...]:
    """The pattern in use, its awkward crossings and repeated fingers, what happens at the turn and the second time."""
    told, awkward, repeated = phrases().plucking, awkward_crossings(fingered), repeated_fingers(fingered)
    again = finger_on_repeat(fingered, plan)
    lines = (
        told.alternation.format(letters=" ".join(chosen.pattern)),
        told.awkward.format(notes=_numbers(awkward)) if awkward else told.no_awkward,
        told.repeated.format(notes=_numbers(repeated)) if repeated else "",
        told.reversal.format(note=fingered.reversal + 1) if fingered.reversal is not None else "",
        told.again.format(letter=again) if again else "",
        *_planting(fingered, plan),
    )
    return tuple(line for line in lines if line)


def _numbers(indices: tuple[int, ...]) -> str:
    return ", ".join(str(index + 1) for index in indices)


def _all_patterns(plan: RightHandPlan) -> tuple[Pattern, ...]:
    """The sensible patterns, and the book's own where it is another."""
    known = plucking_table().patterns
    return known if not plan.alternate or plan.alternate in known else (*known, plan.alternate)


def _patterns(table: tuple[PatternCount, ...]) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Every pattern with every first finger and its counts, best first, the chosen one marked."""
    told = phrases().columns
    rows = [
        (
            phrases().signs.chosen if row.chosen else "",
            " ".join(row.pattern),
            str(row.awkward),
            str(row.repeated),
            str(row.order_breaks),
        )
        for row in table
    ]
    return (told.chosen, told.pattern, told.awkward, told.repeated, told.order_breaks), tuple(rows)


def _remedies(fingered: FingeredPassage, plan: RightHandPlan, others: tuple[Alternative, ...]) -> tuple[Section, ...]:
    """What would leave fewer awkward crossings, the proposed remedy first; nothing where none is awkward."""
    if not awkward_crossings(fingered):
        return ()
    told, heading = phrases().columns, phrases().headings.remedies
    found = remedies(fingered, plan, [other.fingered for other in others])[: phrases().limits.remedies]
    if not found:
        return (Section(heading, (phrases().plucking.no_remedy,)),)
    rows = [
        (_name(remedy), str(remedy.removed), str(remedy.awkward), "" if place else phrases().plucking.proposed)
        for place, remedy in enumerate(found)
    ]
    return (Section(heading, (), (told.remedy, told.fewer, told.left, ""), tuple(rows)),)


def _name(remedy: Remedy) -> str:
    """What the remedy changes; another left hand by its number among the alternatives."""
    what = remedy.words.partition(":")[0]
    if remedy.kind is RemedyKind.LEFT_HAND:
        return phrases().plucking.left_hand.format(number=remedy.alternative, words=what)
    return what


def _texture(fingered: FingeredPassage, plan: RightHandPlan) -> Section:
    """Whether the letters are fixed or planned, and which strings each finger plucks."""
    told = phrases().plucking
    line = told.fixed if _is_fixed(fingered) else told.free
    if plan.formula:
        line = told.formula.format(letters=" ".join("".join(step) for step in plan.formula))
    return Section(phrases().headings.plucking, (line, *_planting(fingered, plan)), *_homes(fingered))


def _planting(fingered: FingeredPassage, plan: RightHandPlan) -> tuple[str, ...]:
    """When the fingers are laid on their strings, as far as letters are printed for it; nothing where unasked."""
    told = phrases().plucking
    if plan.planting is Planting.NONE:
        return ()
    if not fingered.planted:
        return (told.unplanted.format(way=plan.planting.value),)
    laid = sorted(planting_marks(fingered, "first and turns").items())
    what = (told.planted_with.format(letters=" ".join(fingers), note=note + 1) for note, fingers in laid)
    return (told.planted.format(way=plan.planting.value, what=", ".join(what)),)


def _homes(fingered: FingeredPassage) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """How often each finger plucks each string."""
    told, rows = phrases().columns, []
    for finger in FINGER_ORDER:
        strings = [note.string for note in fingered.notes if note.plucking is finger]
        if strings:
            counts = ", ".join(f"{string} ({strings.count(string)})" for string in sorted(set(strings), reverse=True))
            rows.append((finger.value, counts))
    return (told.finger, told.strings), tuple(rows)
