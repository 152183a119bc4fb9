"""The rows of fingers, strings and counts that drills are written in, and what an entry gives or leaves out."""

from collections.abc import Iterable, Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from engraver.spec.fields import teacher_error
from engraver.spec.hands import Finger, StoppingFinger, StringNumber

Strings = Annotated[tuple[StringNumber, ...], Field(min_length=1, max_length=10)]
FingerRow = Annotated[tuple[StoppingFinger, ...], Field(min_length=1, max_length=12)]
SlurRow = Annotated[tuple[Finger, ...], Field(min_length=2, max_length=8)]
Times = Annotated[int, Field(ge=1, le=16)]


def _one_or_several(value: Any) -> Any:
    """A single number as a list of one."""
    return (value,) if isinstance(value, int) else value


def _row_or_rows(value: Any) -> Any:
    """A single row of fingers as a list of one row."""
    return (
        (value,) if isinstance(value, list | tuple) and not any(isinstance(i, list | tuple) for i in value) else value
    )


def _orders(value: Any) -> Any:
    """The rows of an entry; none for `all`."""
    if isinstance(value, str):
        if value.strip().lower() != "all":
            raise teacher_error(f"'{value}' is no finger order", "write all, or the fingers in order: [1, 3, 2, 4]")
        return ()
    return _row_or_rows(value)


SlurRows = Annotated[
    tuple[SlurRow, ...],
    BeforeValidator(_row_or_rows, json_schema_input_type=SlurRow | tuple[SlurRow, ...]),
    Field(min_length=1, max_length=24),
]
Orders = Annotated[
    tuple[FingerRow, ...],
    BeforeValidator(_orders, json_schema_input_type=Literal["all"] | FingerRow | tuple[FingerRow, ...]),
    Field(max_length=24),
]
Counts = Annotated[
    tuple[Times, ...],
    BeforeValidator(_one_or_several, json_schema_input_type=Times | tuple[Times, ...]),
    Field(min_length=1, max_length=16),
]
HeldStrings = Annotated[
    tuple[StringNumber, ...],
    BeforeValidator(_one_or_several, json_schema_input_type=StringNumber | tuple[StringNumber, ...]),
    Field(max_length=3),
]


def given(data: Any, name: str) -> Any:
    """What the entry says under a name, None where it says nothing."""
    return data.get(name) if isinstance(data, Mapping) else None


def filled(data: Any, **defaults: Any) -> Any:
    """The entry with what it leaves out, where a default is known."""
    if not isinstance(data, Mapping):
        return data
    return {name: value for name, value in defaults.items() if value is not None} | dict(data)


def hand_position(data: Any) -> Any:
    """The position that the entry gives to the fretting hand, if any."""
    return given(given(data, "left_hand"), "position")


def items_of(value: Any) -> list[Any]:
    """The items of a list; none where there is no list."""
    return [] if isinstance(value, str) or not isinstance(value, Iterable) else list(value)


def rows_of(value: Any) -> list[tuple[int, ...]]:
    """One row of fingers, or several, as a list of rows; what is no row of fingers gives none."""
    items = items_of(value)
    if items and all(isinstance(item, int) for item in items):
        return [tuple(items)]
    return [tuple(row) for item in items if (row := items_of(item))]
