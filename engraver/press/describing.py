"""What is said about an exercise on its page: the remark before the tempo, the alternative text."""

from collections.abc import Iterator

from engraver.exercises.reasons import exercise_reason
from engraver.exercises.titles import exercise_title, pitch_words
from engraver.fingering.fingered import BREAKING, FingeredPassage
from engraver.fingering.right_hand import second_start
from engraver.outputs.pages import Tempo
from engraver.press.guitar_words import guitar_words
from engraver.press.hand_reasons import hand_reason
from engraver.press.plates import Plate, plate_key
from engraver.press.warnings import warnings_of
from engraver.score.diagrams import Diagram
from engraver.score.model import Score, ScoreNote
from engraver.score.signs import signs_used
from engraver.spec.book import Edition, Exercise
from engraver.spec.excerpt import ExcerptSpec
from engraver.spec.played import PlayedSpec
from engraver.tables.words import Words, words
from engraver.theory.passage import PluckingFinger


def describe(exercise: Exercise, edition: Edition, fingered: FingeredPassage, score: Score) -> Plate:
    """The plate of an exercise before its pictures are made."""
    spec = exercise.spec
    assert isinstance(spec, PlayedSpec)
    printed = words(edition.language)
    title = exercise_title(spec, printed)
    return Plate(
        key=plate_key(exercise, edition),
        title=title,
        alt=alternative_text(exercise, score, printed),
        remark=remark(spec, fingered, printed, edition),
        reason=_below(spec, fingered, printed, edition),
        signs=tuple(sign.value for sign in signs_used(score)),
        tempo=Tempo.of(score.tempo) if score.tempo else None,
        warnings=(*fingered.passage.remarks, *_rolled(fingered), *warnings_of(spec, edition, fingered)),
        diagrams=_diagrams(spec, fingered, edition) if edition.style.diagrams else (),
    )


def _diagrams(spec: PlayedSpec, fingered: FingeredPassage, edition: Edition) -> tuple[Diagram, ...]:
    """The pictures of the neck; loaded only for books that print them."""
    from engraver.press.necks import neck_diagrams

    return neck_diagrams(spec, fingered, edition)


def _credit(spec: ExcerptSpec) -> str:
    """Where an excerpt comes from; loaded only for books that hold one."""
    from engraver.exercises.excerpts import credit_line

    return credit_line(spec)


def _below(spec: PlayedSpec, fingered: FingeredPassage, words: Words, edition: Edition) -> str:
    """What stands under the music: where an excerpt comes from, and the reasons where the edition prints them."""
    credit = _credit(spec) if isinstance(spec, ExcerptSpec) else ""
    reasons = _reasons(spec, fingered, words) if edition.style.reasons else ""
    return " ".join(part for part in (credit, reasons) if part)


def _reasons(spec: PlayedSpec, fingered: FingeredPassage, words: Words) -> str:
    """Why it is spelled so, then why it is fingered so; empty when there is nothing to say."""
    spelled, hand = exercise_reason(spec, words), hand_reason(fingered, words)
    return " ".join(part for part in (spelled, words.book.why.format(reason=hand) if hand else "") if part)


def _rolled(fingered: FingeredPassage) -> Iterator[str]:
    """A warning for each note that is struck late because no hand holds its chord at once."""
    for cost in fingered.account:
        if cost.name == BREAKING:
            note = fingered.notes[cost.note].note
            bar = fingered.passage.bar_number(note.onset_quarters)
            yield f"bar {bar}: no hand holds the chord under {note.pitch} at once; it is rolled"


def remark(spec: PlayedSpec, fingered: FingeredPassage, words: Words, edition: Edition) -> str:
    """Tuning and capo, stroke and alternation in words, the last only over a single line that does alternate.

    `string 6 to D, rest stroke, alternate i m`; the letters are those of the edition.

    Where the line is to be played twice, the finger that begins the second time.
    """
    parts = [*guitar_words(edition.instrument, words)]
    if spec.right_hand.stroke:
        parts.append(words.strokes.rest if spec.right_hand.stroke == "rest" else words.strokes.free)
    letters = [note.plucking for note in fingered.notes if note.plucking]
    turns = [finger for finger in letters if finger in spec.right_hand.alternate]
    if len(turns) > len(letters) / 2 and len(fingered.passage.events) == len(fingered.notes):
        first = " ".join(_letter(finger, edition) for finger in turns[: len(spec.right_hand.alternate)])
        parts.append(words.strokes.alternate.format(letters=first))
    if spec.right_hand.repeat_from_top and (letter := second_start(fingered, spec.right_hand.plan())):
        parts.append(words.strokes.twice.format(letter=_letter(letter, edition)))
    return ", ".join(parts)


def _letter(finger: PluckingFinger, edition: Edition) -> str:
    return edition.style.little_finger if finger is PluckingFinger.LITTLE else finger.value


def alternative_text(exercise: Exercise, score: Score, words: Words) -> str:
    """What is read aloud in place of the music, after its heading.

    Staves, key signature, metre, length, outer notes; the first notes with their places and fingers, the last notes,
    and the positions that are printed. The title is not said again.
    """
    sounding = sorted((e for e in score.elements if e.notes), key=lambda element: element.onset_quarters)
    notes = [note for element in sounding for note in element.notes]
    low, *_, high = sorted((note.heard for note in (*notes, *notes)), key=lambda pitch: pitch.sounding_midi)
    notation = words.names.notations[score.notation.value]
    head = words.alt.exercise.format(
        number=exercise.number,
        notation=notation[:1].upper() + notation[1:],
        key=words.signature(score.key_fifths),
        metre=words.metre(str(score.metre)),
        bars=words.bars(len(score.measures)),
        lowest=pitch_words(low, words),
        highest=pitch_words(high, words),
    )
    first = [note for e in sounding if e.onset_quarters == sounding[0].onset_quarters for note in e.notes]
    last = [note for e in sounding if e.onset_quarters == sounding[-1].onset_quarters for note in e.notes]
    parts = [
        head,
        words.alt.begins.format(notes="; ".join(_placed(note, words) for note in _rising(first))),
        words.alt.ends.format(notes=", ".join(pitch_words(note.heard, words) for note in _rising(last))),
    ]
    positions = [str(e.position) for e in sounding if e.position is not None]
    if positions:
        parts.append(words.alt.positions.format(positions=", ".join(positions)))
    return " ".join(parts)


def _rising(notes: list[ScoreNote]) -> list[ScoreNote]:
    return sorted(notes, key=lambda note: note.heard.sounding_midi)


def _placed(note: ScoreNote, words: Words) -> str:
    """A note with its place and finger: `C 3, string 5: fret 3 finger 3`."""
    pattern = words.alt.neck_finger if note.left_finger else words.alt.neck_fret
    place = pattern.format(fret=note.fret, finger=note.left_finger) if note.fret else words.alt.neck_open
    return f"{pitch_words(note.heard, words)}, {words.alt.neck_string.format(string=note.string, places=place)}"
