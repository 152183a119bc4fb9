"""Bar lines of MusicXML with their repeats and endings, and the signs and words that send the player elsewhere.

Source: MusicXML 4.0 schema, types barline, ending, repeat and sound.
"""

from engraver.outputs.musicxml_notes import Staff
from engraver.outputs.musicxml_tree import Xml, tag
from engraver.score.model import Barline, Measure
from engraver.theory.signs import Way

_SOUNDS = {
    Way.FINE: ("fine", "yes"),
    **dict.fromkeys((Way.DA_CAPO, Way.DA_CAPO_AL_FINE, Way.DA_CAPO_AL_CODA), ("dacapo", "yes")),
    **dict.fromkeys((Way.DAL_SEGNO, Way.DAL_SEGNO_AL_FINE, Way.DAL_SEGNO_AL_CODA), ("dalsegno", "segno")),
    Way.TO_CODA: ("tocoda", "coda"),
}
_BAR_STYLES = {Barline.DOUBLE: "light-light", Barline.FINAL: "light-heavy", Barline.REPEAT_END: "light-heavy"}


def way(sent: Way, staff: Staff) -> Xml:
    """A sign or words that send the player elsewhere, with what they mean for a program that plays."""
    name, value = (sent.value, sent.value) if sent.is_place else _SOUNDS[sent]
    shown = tag(sent.value) if sent.is_place else tag("words", sent.value, font_style="italic")
    label = None if staff.label is None else tag("staff", staff.label)
    return tag("direction", tag("direction-type", shown), label, tag("sound", **{name: value}), placement="above")


def opening_barline(measure: Measure, before: tuple[int, ...]) -> Xml | None:
    """The line before a measure where a repeat or an ending begins; `before` is the ending of the measure before."""
    begins = bool(measure.endings) and measure.endings != before
    if not measure.repeat_start and not begins:
        return None
    style = tag("bar-style", "heavy-light") if measure.repeat_start else None
    repeat = tag("repeat", direction="forward") if measure.repeat_start else None
    return tag("barline", style, _ending(measure, "start") if begins else None, repeat, location="left")


def closing_barline(measure: Measure, after: tuple[int, ...]) -> Xml | None:
    """The line after a measure; the bracket of an ending that has no repeat sign stays open."""
    ends = bool(measure.endings) and measure.endings != after
    if measure.barline is Barline.PLAIN and not ends:
        return None
    back = measure.barline is Barline.REPEAT_END
    style = None if measure.barline is Barline.PLAIN else tag("bar-style", _BAR_STYLES[measure.barline])
    ending = _ending(measure, "stop" if back else "discontinue") if ends else None
    return tag("barline", style, ending, tag("repeat", direction="backward") if back else None, location="right")


def _ending(measure: Measure, kind: str) -> Xml:
    return tag("ending", number=", ".join(str(number) for number in measure.endings), type=kind)
