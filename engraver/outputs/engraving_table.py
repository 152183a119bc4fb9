"""The look of the music and the running of the engraver, as kept in tables/engraving.yaml."""

from pydantic import BaseModel, ConfigDict

from engraver.tables import read_table
from engraver.tables.loader import Table


class _Rows(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Look(_Rows):
    """Sizes and distances of the marks, in staff spaces (`_sp`) and font-size steps."""

    digit_steps: float
    digit_padding_sp: float
    sign_reach_steps: int
    sign_sp: float
    reminder_sp: float
    beside_sign_sp: float
    digit_air_sp: float
    letter_steps: float
    planted_steps: float
    planted_gap_sp: float
    planted_tick_sp: float
    loudness_steps: float
    loudness_letters_sp: dict[str, float]
    word_letter_sp: float
    hairpin_gap_sp: float
    hairpin_head_sp: float
    hairpin_height_sp: float
    hairpin_raised_sp: float
    ring_steps: float
    ring_padding_sp: float
    node_steps: float
    node_bracket_sp: float
    node_height_sp: float
    node_line_sp: float
    node_half_sp: float
    node_gap_sp: float
    numeral_steps: float
    barre_letters_sp: dict[str, float]
    barre_fraction_sp: float
    barre_fraction_steps: float
    barre_fraction_raised_sp: float
    barre_space_sp: float
    barre_gap_sp: float
    second_sp: float
    barre_line_height_sp: float
    guide_dash_sp: float
    guide_rise_sp: float
    guide_line: float
    guide_height_sp: float
    guide_gap_sp: float
    row_padding_sp: float
    row_clearance_sp: float
    row_distance_sp: float
    letter_distance_sp: float
    line_gap_sp: float
    broken_line_from_sp: float
    line_period_sp: float
    line_fraction: float
    line_thickness: float
    tablature_line_sp: float
    string_name_steps: float
    mark_air_sp: float
    tablature_beam_sp: float
    numeral_air_sp: float
    slur_step_sp: float
    slur_ends_sp: float
    tuplet_height_sp: float
    tuplet_row_sp: float


class LargePrint(_Rows):
    """What changes from a staff size of `from_pt` points upwards."""

    from_pt: float
    digit_extra_steps: float
    mark_extra_steps: float
    thickness: float


class Spacing(_Rows):
    """Natural widths in staff spaces, and the shares of a line from which music is stretched to fill it."""

    opening_sp: float
    key_sign_sp: float
    barline_sp: float
    note_sp: float
    doubling_sp: float
    longest_basis_quarters: float
    digit_sp: float
    accidental_sp: float
    guide_sp: float
    comfort: float
    full_from: float
    stretch_last_from: float


class Running(_Rows):
    """How the music engraver is run."""

    exercises_per_run: int
    start_weight: int
    timeout_s: float
    timeout_per_exercise_s: float
    poll_s: float


class Message(_Rows):
    """A phrase of the engraver's log, what it means for a teacher, and what to do."""

    log: str
    words: str
    hint: str


class EngravingTable(Table):
    """The whole table."""

    margin_mm: float
    look: Look
    large_print: LargePrint
    spacing: Spacing
    running: Running
    messages: tuple[Message, ...]


def engraving_table() -> EngravingTable:
    """The checked table. Raises TableError when it is damaged."""
    return read_table("engraving", EngravingTable)
