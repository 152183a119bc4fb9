"""What an editor has printed on a note: fingers of both hands, string, fret, slurs.

Source: MusicXML 4.0 schema, type technical: `fingering` is the fretting finger, `pluck` the plucking one.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from engraver.reading.music import NO_MARKS, EditorMarks, HarmonicPitch
from engraver.theory.passage import HarmonicKind, PluckingFinger
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
_SLURRED = ("hammer-on", "pull-off")
_MOST_STRINGS, _MOST_FRETS = 20, 36


@dataclass(frozen=True, slots=True)
class Notations:
    """All that stands on one note beside its pitch and length.

    `slur_starts` and `slur_stops` are numbers of slurs; `slurred`: a hammer-on or pull-off ends here.
    """

    marks: EditorMarks = NO_MARKS
    ties: frozenset[str] = frozenset()
    slur_starts: tuple[str, ...] = ()
    slur_stops: tuple[str, ...] = ()
    slurred: bool = False
    accent: bool = False
    articulations: tuple[Articulation, ...] = ()
    dynamics: tuple[str, ...] = ()


NO_NOTATIONS = Notations()


def notations_of(note: "_Element") -> Notations:
    """What the notations of a note say, found in one walk."""
    technical: list[_Element] = []
    ties, starts, stops, dynamics = set(), [], [], []
    tags: set[str] = set()
    for child in (child for notations in note.iterfind("notations") for child in notations):
        match child.tag:
            case "technical":
                technical += child
            case "tied":
                ties.add(child.get("type", ""))
            case "slur":
                kind, number = child.get("type"), child.get("number", "1")
                starts += [number] if kind == "start" else []
                stops += [number] if kind == "stop" else []
            case "articulations":
                tags |= {str(sign.tag) for sign in child}
            case "dynamics":
                dynamics.append(_letters(child))
            case _:
                tags.add(str(child.tag))
    return Notations(
        _marks(technical) if technical else NO_MARKS,
        frozenset(ties),
        tuple(starts),
        tuple(stops),
        any(mark.tag in _SLURRED and mark.get("type") == "stop" for mark in technical),
        "accent" in tags,
        _articulations(frozenset(tags)) if tags else (),
        tuple(filter(None, dynamics)),
    )


@cache
def _articulations(tags: frozenset[str]) -> tuple[Articulation, ...]:
    return tuple(articulation for articulation in Articulation if tags & _TOUCHES[articulation])


def _marks(technical: "Iterable[_Element]") -> EditorMarks:
    """The marks of the hands; what is no finger, string, fret or letter of ours is passed over."""
    finger = string = fret = plucking = None
    harmonic = False
    kind: HarmonicKind | None = None
    told: HarmonicPitch | None = None
    for mark in technical:
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
                kind = next((k for k in HarmonicKind if mark.find(k.value) is not None), None)
                told = next((p for p in HarmonicPitch if mark.find(f"{p.value}-pitch") is not None), None)
    return _one_of(finger, string, fret, plucking, harmonic, kind, told)


@cache
def _one_of(
    finger: int | None,
    string: int | None,
    fret: int | None,
    plucking: PluckingFinger | None,
    harmonic: bool,
    kind: HarmonicKind | None,
    told: HarmonicPitch | None,
) -> EditorMarks:
    """Equal marks are one value, since a long file has few different ones."""
    return EditorMarks(finger, string, fret, plucking, harmonic, kind, told)


def dynamics_of(direction: "_Element") -> tuple[str, ...]:
    """The signs of loudness of a direction: `mf`; a sign made of several (`s`, `f`) counts as one."""
    return tuple(filter(None, map(_letters, direction.iterfind("direction-type/dynamics"))))


def _letters(dynamics: "_Element") -> str:
    letters = ((sign.text or "").strip() if sign.tag == _OTHER_SIGN else str(sign.tag) for sign in dynamics)
    return "".join(letters)[:_LONGEST_SIGN]


def is_second_choice(mark: "_Element") -> bool:
    """True for a finger that stands beside the main one: a substitution or an alternative."""
    return "yes" in (mark.get("substitution"), mark.get("alternate"))


def _small(text: str, least: int, most: int) -> int | None:
    return int(text) if text.isdigit() and len(text) < 3 and least <= int(text) <= most else None
