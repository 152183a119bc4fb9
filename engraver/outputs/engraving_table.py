"""The look of the music and the running of the engraver, as kept in tables/engraving.yaml."""

from pydantic import BaseModel, ConfigDict

from engraver.tables import read_table
from engraver.tables.loader import Table


class _Rows(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Look(_Rows):
    """Sizes and distances of the marks, in staff spaces (`_sp`) and font-size steps."""

    digit_steps: float
    digit_padding_sp: float
    digit_air_sp: float
    letter_steps: float
    ring_steps: float
    ring_padding_sp: float
    numeral_steps: float
    row_padding_sp: float
    row_distance_sp: float
    line_gap_sp: float
    line_period_sp: float
    line_fraction: float
    line_thickness: float
    mark_air_sp: float
    tablature_beam_sp: float
    tablature_gap_sp: float


class LargePrint(_Rows):
    """What changes from a staff size of `from_pt` points upwards."""

    from_pt: float
    digit_extra_steps: float
    mark_extra_steps: float
    thickness: float


class EngravingTable(Table):
    """The whole table."""

    look: Look
    large_print: LargePrint


def engraving_table() -> EngravingTable:
    """The checked table. Raises TableError when it is damaged."""
    return read_table("engraving", EngravingTable)
