"""What an editor has printed on a note: fingers of both hands, string, fret, slurs.

Source: MusicXML 4.0 schema, type technical: `fingering` is the fretting finger, `pluck` the plucking one.
"""

from typing import TYPE_CHECKING

from engraver.reading.music import NO_MARKS, EditorMarks
from engraver.theory.passage import PluckingFinger
from engraver.theory.signs import Articulation

if TYPE_CHECKING:
    from lxml.etree import _Element

_FINGERS = {str(finger): finger for finger in range(5)}
_LETTERS = {letter.value: letter for letter in PluckingFinger}
_OTHER_SIGN = "other-dynamics"
_LONGEST_SIGN = 8
_TOUCHES = {
    Articulation.STACCATO: {"staccato", "detached-legato"},
    Articulation.STACCATISSIMO: {"staccatissimo", "spiccato"},
    Articulation.TENUTO: {"tenuto", "detached-legato"},
    Articulation.MARCATO: {"strong-accent"},
    Articulation.FERMATA: {"fermata"},
    Articulation.ROLLED: {"arpeggiate"},
}
_SIGN_PATHS = ("notations/*", "notations/articulations/*")
_SLURRED = ("hammer-on", "pull-off")
_MOST_STRINGS, _MOST_FRETS = 20, 36


def marks_of(note: "_Element") -> EditorMarks:
    """The marks of a MusicXML note; what is no finger, string, fret or letter of ours is passed over."""
    finger = string = fret = plucking = None
    harmonic = found = False
    for technical in note.iterfind("notations/technical"):
        for mark in technical:
            found = True
            text = (mark.text or "").strip()
            match mark.tag:
                case "fingering" if not is_second_choice(mark):
                    finger = _FINGERS.get(text, finger) if finger is None else finger
                    plucking = plucking or _LETTERS.get(text)
                case "pluck":
                    plucking = _LETTERS.get(text, plucking)
                case "string":
                    string = _small(text, 1, _MOST_STRINGS)
                case "fret":
                    fret = _small(text, 0, _MOST_FRETS)
                case "open-string":
                    fret = 0 if fret is None else fret
                case "harmonic":
                    harmonic = True
    return EditorMarks(finger, string, fret, plucking, harmonic) if found else NO_MARKS


def dynamics_of(item: "_Element") -> tuple[str, ...]:
    """The signs of loudness of a direction or note: `mf`; a sign made of several (`s`, `f`) counts as one."""
    found = []
    for path in ("direction-type/dynamics", "notations/dynamics"):
        for dynamics in item.iterfind(path):
            letters = ((sign.text or "").strip() if sign.tag == _OTHER_SIGN else str(sign.tag) for sign in dynamics)
            found.append("".join(letters)[:_LONGEST_SIGN])
    return tuple(sign for sign in found if sign)


def articulations_of(note: "_Element") -> tuple[Articulation, ...]:
    """How a note is touched, as its notations say."""
    tags = {str(sign.tag) for path in _SIGN_PATHS for sign in note.iterfind(path)}
    return tuple(articulation for articulation in Articulation if tags & _TOUCHES[articulation])


def is_second_choice(mark: "_Element") -> bool:
    """True for a finger that stands beside the main one: a substitution or an alternative."""
    return "yes" in (mark.get("substitution"), mark.get("alternate"))


def slurs_of(note: "_Element") -> tuple[tuple[str, ...], tuple[str, ...], bool]:
    """The numbers of slurs that start and stop here, and whether a hammer-on or pull-off ends here."""
    starts: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    slurred = False
    for notations in note.iterfind("notations"):
        for slur in notations.iterfind("slur"):
            number = slur.get("number", "1")
            starts += (number,) if slur.get("type") == "start" else ()
            stops += (number,) if slur.get("type") == "stop" else ()
        for technical in notations.iterfind("technical"):
            slurred = slurred or any(mark.tag in _SLURRED and mark.get("type") == "stop" for mark in technical)
    return starts, stops, slurred


def _small(text: str, least: int, most: int) -> int | None:
    return int(text) if text.isdigit() and len(text) < 3 and least <= int(text) <= most else None
