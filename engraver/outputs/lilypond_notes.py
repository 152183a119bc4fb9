"""The note text of LilyPond's input language: pitches, lengths, beams, ties, slurs, fingers, strings.

Pitches are written as they sound; the octave clef alone shows them an octave higher. Note names are LilyPond's English
ones (``bf`` B flat, ``fs`` F sharp). Source: LilyPond notation reference 2.24, chapters 1.1 to 1.3 and 2.4.
"""

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from types import MappingProxyType

from engraver.outputs.lilypond_clearance import Crowded
from engraver.score.model import Barline, Beam, Element, Measure, NoteValue, Score, ScoreNote, Voice
from engraver.score.stems import INNER
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.signs import Articulation

NO_PADDING: Mapping[int, float] = MappingProxyType({})
"""No digit is crowded."""
_ALTER = {-2: "ff", -1: "f", 0: "", 1: "s", 2: "ss"}
_MARKLESS_OCTAVE = 3
_PLAIN_LENGTHS = {NoteValue(base, dots).quarters: f"{base}{'.' * dots}" for dots in (1, 0) for base in (1, 2, 4, 8, 16)}
_TOUCHES = {
    Articulation.STACCATO: "-.",
    Articulation.STACCATISSIMO: "-!",
    Articulation.TENUTO: "--",
    Articulation.MARCATO: "-^",
    Articulation.FERMATA: "\\fermata",
    Articulation.ROLLED: "\\arpeggio",
}
_BEAMS = {Beam.BEGIN: "[", Beam.END: "]"}
_BARLINES = {
    (Barline.PLAIN, False): "",
    (Barline.PLAIN, True): '\\bar ".|:"',
    (Barline.DOUBLE, False): '\\bar "||"',
    (Barline.DOUBLE, True): '\\bar ".|:"',
    (Barline.FINAL, False): '\\bar "|."',
    (Barline.FINAL, True): '\\bar ".|:"',
    (Barline.REPEAT_END, False): '\\bar ":|."',
    (Barline.REPEAT_END, True): '\\bar ":..:"',
}


def name_text(name: PitchName) -> str:
    """The note name without octave: B flat gives ``bf``."""
    return name.letter.lower() + _ALTER[name.alter]


def pitch_text(pitch: SpelledPitch) -> str:
    """The pitch by its sounding octave: E2 gives ``e,``, B flat 4 gives ``bf'``."""
    marks = pitch.octave - _MARKLESS_OCTAVE
    octave = "'" * marks if marks > 0 else "," * -marks
    return name_text(pitch.name) + octave


def value_text(value: NoteValue) -> str:
    """The written value without its tuplet: a dotted quarter gives ``4.``."""
    return f"{value.base}{'.' * value.dots}"


def scaled_value_text(value: NoteValue) -> str:
    """The value with its tuplet written as a factor: a triplet quaver gives ``8*2/3``."""
    factor = f"*{value.normal}/{value.actual}" if value.actual != value.normal else ""
    return value_text(value) + factor


def length_text(quarters: Fraction) -> str:
    """A length in quarters, by its plain value where there is one: 1/2 gives ``8``, 5/2 gives ``4*5/2``."""
    return _PLAIN_LENGTHS.get(quarters) or f"4*{quarters.numerator}/{quarters.denominator}"


def staff_note(note: ScoreNote, padding_sp: float = 0.0) -> str:
    """One head on the staff: pitch, forced accidental, finger digit (set off further where another voice crowds it)."""
    sign = "?" if note.cautionary else "!" if note.accidental else ""
    head, finger = "\\touched " if note.harmonic and note.harmonic.diamond else "", ""
    if note.show_finger:
        away = f"-\\tweak padding #{padding_sp:g} " if padding_sp else ""
        finger = away + (f"\\guided-{note.left_finger}" if note.guide else f"-{note.left_finger}")
    return f"{head}{pitch_text(note.pitch)}{sign}{finger}{'~' if note.tie_start else ''}"


def tablature_note(note: ScoreNote) -> str:
    """One fret number in the tablature: pitch, string, tie; a touched fret in angle brackets."""
    sign = note.harmonic
    number = ""
    if sign is not None:
        stopped = str(note.fret) if sign.artificial else ""
        number = f"\\touchedFret {_quoted(stopped)} {_quoted(sign.place)} "
    return f"{number}{pitch_text(note.fretted)}\\{note.string}{'~' if note.tie_start else ''}"


def _quoted(number: str) -> str:
    return f'"{number}"'


def slur_text(notes: Iterable[ScoreNote]) -> str:
    """The slur signs after a note or chord; one slur serves a whole chord."""
    notes = tuple(notes)
    stop = ")" if any(note.slur_stop for note in notes) else ""
    return stop + ("(" if any(note.slur_start for note in notes) else "")


def _doubled(notes: tuple[ScoreNote, ...]) -> str:
    """Two slurs, above and below, where two voices of a double stop are both slurred."""
    return "\\once \\set doubleSlurs = ##t " if sum(note.slur_start for note in notes) > 1 else ""


def _graces(element: Element, head: Callable[[ScoreNote], str]) -> str:
    """The small notes before an element, several under a beam; nothing for most elements."""
    if not element.graces:
        return ""
    beams = ["[", *[""] * (len(element.graces) - 2), "]"] if len(element.graces) > 1 else [""]
    texts = (
        f"<{' '.join(map(head, g.notes))}>{value_text(g.value)}{beam}{slur_text(g.notes)}"
        for g, beam in zip(element.graces, beams, strict=True)
    )
    command = "\\slashedGrace" if element.graces[0].short and len(element.graces) == 1 else "\\grace"
    return f"{command} {{ {' '.join(texts)} }} "


def staff_element(element: Element, paddings: Mapping[int, float] = NO_PADDING) -> str:
    """A chord, note or rest on the staff, with its beam and slurs; chords and fingered notes stand in ``< >``.

    `paddings` sets digits off further, by string.
    """
    value = value_text(element.value)
    beam = _BEAMS.get(element.beam, "")
    if element.is_rest:
        return f"r{value}{beam}"
    notes, small = element.notes, _graces(element, staff_note)
    heads = " ".join(staff_note(note, paddings.get(note.string, 0.0)) for note in notes)
    beam += _touch_text(element)
    beam += "\\flageolet" if any(note.harmonic and not note.harmonic.diamond for note in notes) else ""
    if len(notes) == 1 and not notes[0].show_finger and not notes[0].harmonic:
        tie = "~" if notes[0].tie_start else ""
        return f"{small}{heads.removesuffix('~')}{value}{tie}{beam}{slur_text(notes)}"
    return f"{small}{_doubled(notes)}<{heads}>{value}{beam}{slur_text(notes)}"


def _touch_text(element: Element) -> str:
    """The accent and the other signs of touch."""
    return ("->" if element.accent else "") + "".join(_TOUCHES[touch] for touch in element.articulations)


def tablature_element(element: Element, rhythm: bool) -> str:
    """A chord, note or rest of the tablature; beams and signs of touch only where it carries the rhythm itself."""
    if element.is_rest and not rhythm:
        return f"s{scaled_value_text(element.value)}"
    beam = _BEAMS.get(element.beam, "") + _touch_text(element) if rhythm else ""
    value = value_text(element.value) if rhythm else scaled_value_text(element.value)
    if element.is_rest:
        return f"r{value}{beam}"
    heads = " ".join(tablature_note(note) for note in element.notes)
    return f"{_graces(element, tablature_note)}<{heads}>{value}{beam}{slur_text(element.notes)}"


def _tuplet_opening(element: Element) -> str:
    """The text that opens a tuplet at this element, or nothing."""
    if not element.tuplet_start:
        return ""
    hide = "" if element.show_tuplet else "\\once \\omit TupletNumber \\once \\omit TupletBracket "
    return f"{hide}\\tuplet {element.value.actual}/{element.value.normal} {{ "


def staff_voice(voice: Voice, crowded: Crowded) -> str:
    """One voice of one measure on the staff."""
    parts = []
    for element in voice.elements:
        closing = " }" if element.tuplet_stop else ""
        written = staff_element(element, _paddings(crowded, voice.number, element))
        if element.is_rest and voice.number == INNER:
            written = f"{pitch_text(_near(voice, element))}{written.removeprefix('r')}\\rest"
        parts.append(f"{_tuplet_opening(element)}{written}{closing}")
    return " ".join(parts)


def _near(voice: Voice, rest: Element) -> SpelledPitch:
    """The height at which a rest of an inner voice stands: of its next note in the measure, else of the one before."""
    notes = [element for element in voice.elements if not element.is_rest]
    return next((e for e in notes if e.onset_quarters > rest.onset_quarters), notes[-1]).notes[0].pitch


def _paddings(crowded: Crowded, voice: int, element: Element) -> Mapping[int, float]:
    if not crowded:
        return NO_PADDING
    keys = ((voice, element.onset_quarters, note.string) for note in element.notes)
    return {key[2]: crowded[key] for key in keys if key in crowded}


def tablature_voice(voice: Voice, rhythm: bool) -> str:
    """One voice of one measure in the tablature; `rhythm` where the tablature carries the rhythm itself."""
    if not rhythm:
        return " ".join(tablature_element(element, rhythm=False) for element in voice.elements)
    parts = []
    for element in voice.elements:
        closing = " }" if element.tuplet_stop else ""
        parts.append(f"{_tuplet_opening(element)}{tablature_element(element, rhythm=True)}{closing}")
    return " ".join(parts)


def barline_text(measure: Measure, following: Measure | None) -> str:
    """The barline between this measure and the next, or nothing for a plain one."""
    return _BARLINES[measure.barline, following is not None and following.repeat_start]


def break_text(number: int, per_system: int, last: bool) -> str:
    """The wish for a new system after this measure (numbered from 1); nothing where the lines fill themselves."""
    if not per_system or last:
        return ""
    return "\\break" if number % per_system == 0 else "\\noBreak"


def voice_numbers(score: Score) -> tuple[int, ...]:
    """The numbers of the voices that appear anywhere, in order."""
    return tuple(sorted({voice.number for measure in score.measures for voice in measure.voices}))
