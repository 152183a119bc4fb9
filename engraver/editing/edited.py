"""What editing a music file gives."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Edited:
    """A file after editing: its new content, how many note heads changed, and what the musician should know."""

    data: bytes
    changed: int
    remarks: tuple[str, ...]
